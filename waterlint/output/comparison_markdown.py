"""A comparison as GitHub Flavored Markdown, for a comment on a pull request."""

from __future__ import annotations

from collections.abc import Iterator

from waterlint.output.cleaning import sentence, shown_path
from waterlint.output.comparison import (
    Comparison,
    FileChange,
    FindingChange,
    RecipeChange,
    tally,
    words,
)
from waterlint.output.comparison_figures import HEAD, figure_rows
from waterlint.output.markdown import cell_text, code, row, within
from waterlint.output.suggestion import Suggested
from waterlint.output.text import one_line

#: The most that a comment may take [bytes]. GitHub refuses one of more than 65,536 characters.
LONGEST = 60_000

_FINDINGS = ("| Now | What | Rule |", "| --- | --- | --- |")
_FIGURES = (
    row("Figure", *(title.capitalize() for title in HEAD)),
    "| --- | ---: | ---: | ---: | --- |",
)
_DOSES = ("| Dose | Vessel | Before | After |", "| --- | --- | ---: | ---: |")


def render(comparison: Comparison) -> str:
    """A comparison as Markdown; the same comparison gives the same bytes."""
    blocks = ["## waterlint", cell_text(sentence(comparison.question)), tally(comparison)]
    sections = [("\n\n".join(_recipe(each)), 1) for each in comparison.recipes]
    sections += [("\n\n".join(_file(each)), 1) for each in comparison.files]
    sections += [(cell_text(sentence(f"Not known: {each}")), 0) for each in comparison.remarks]
    blocks += within(LONGEST, sections, "a comment may take 64 KiB at most")
    return "\n\n".join(blocks) + "\n"


def _recipe(recipe: RecipeChange) -> Iterator[str]:
    verdict = "falls out" if recipe.falls_out else recipe.state
    yield f"### {cell_text(one_line(recipe.name))}: {verdict}"
    where = code(shown_path(recipe.path))
    if recipe.old_path is not None:
        where += f", before {code(shown_path(recipe.old_path))}"
    because = f": {cell_text(sentence(recipe.because))}" if recipe.because else ""
    yield f"{where}{because}"
    if recipe.appearing or recipe.going:
        yield _findings(recipe.appearing, recipe.going)
    rows = figure_rows(recipe)
    if rows:
        shown = [row(*map(cell_text, each)) for each in rows]
        yield _folded("Figures", "\n".join([*_FIGURES, *shown]), len(shown))
    if recipe.remedy is not None:
        yield _remedy(recipe.remedy)
    elif recipe.without_remedy:
        yield cell_text(sentence(f"No remedy: {recipe.without_remedy}"))


def _file(file: FileChange) -> Iterator[str]:
    yield f"### {code(shown_path(file.path))}"
    if file.old_path is not None:
        yield f"Before {code(shown_path(file.old_path))}."
    yield _findings(file.appearing, file.going)


def _findings(appearing: tuple[FindingChange, ...], going: tuple[FindingChange, ...]) -> str:
    rows = [
        row(
            words(change, appears=appears),
            cell_text(sentence(change.finding.message or change.finding.rule)),
            change.finding.rule,
        )
        for appears, changes in ((True, appearing), (False, going))
        for change in changes
    ]
    return "\n".join([*_FINDINGS, *rows])


def _folded(title: str, text: str, count: int) -> str:
    """A table that a reader unfolds; the blank lines let what is inside be Markdown."""
    return f"<details><summary>{title}: {count} change</summary>\n\n{text}\n\n</details>"


def _remedy(remedy: Suggested) -> str:
    if not remedy.changed:
        return "No change of doses clears what is found."
    rows = [
        row(
            *map(
                cell_text,
                (
                    " ".join(filter(None, (dose.additive, dose.form, dose.strength))),
                    dose.vessel,
                    dose.before or "–",
                    dose.after or "–",
                ),
            )
        )
        for dose in remedy.doses
    ]
    cleared, left = len(remedy.cleared), len(remedy.left) + len(remedy.new)
    head = f"Remedy: clears {cleared}, leaves {left}."
    notes = [f"Caution: {each}" for each in remedy.cautions]
    notes += [f"In the way: {each}" for each in remedy.remarks]
    lines = [cell_text(sentence(each)) for each in notes]
    return "\n\n".join([head, "\n".join([*_DOSES, *rows]), *lines])
