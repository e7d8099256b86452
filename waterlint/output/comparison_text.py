"""A comparison for people."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from waterlint.output.cleaning import shown_path
from waterlint.output.comparison import Comparison, FileChange, FindingChange, RecipeChange
from waterlint.output.comparison import tally as tally_of
from waterlint.output.comparison import words as words_of
from waterlint.output.comparison_figures import HEAD, aligned, figure_rows, standing
from waterlint.output.suggestion import render_text as render_remedy
from waterlint.output.text import one_line

_PAINT = {"error": "31;1", "warning": "33;1", "note": "36"}


def render(comparison: Comparison, *, color: bool = False, width: int = 100) -> str:
    """A comparison as text; what falls out stands first, the counts last."""
    wide = max(width, 40)
    blocks = [one_line(comparison.question)]
    blocks += ["\n".join(_recipe(each, color, wide)) for each in comparison.recipes]
    blocks += ["\n".join(_file(each, color, wide)) for each in comparison.files]
    blocks += ["\n".join(_wrapped(f"Not known: {each}.", wide, "")) for each in comparison.remarks]
    blocks.append(tally_of(comparison))
    return "\n\n".join(blocks) + "\n"


def _recipe(recipe: RecipeChange, color: bool, width: int) -> Iterator[str]:
    verdict = "falls out" if recipe.falls_out else recipe.state
    yield f"{one_line(recipe.name)} ({shown_path(recipe.path)}): {verdict}"
    if recipe.old_path is not None:
        yield f"  before at {shown_path(recipe.old_path)}"
    if recipe.because:
        yield from _wrapped(recipe.because, width, "  ")
    yield from _findings(recipe.appearing, recipe.going, color, width)
    if recipe.staying:
        noun = "finding stays" if recipe.staying == 1 else "findings stay"
        yield f"  {recipe.staying} {noun}"
    rows = figure_rows(recipe)
    if rows:
        yield from aligned([("", *HEAD), *rows], "    ")
    stay = standing(recipe)
    if stay and rows:
        yield f"    {stay} other {'figure stays' if stay == 1 else 'figures stay'}"
    if recipe.remedy is not None:
        yield "  Remedy:"
        shown = render_remedy([recipe.remedy], width - 2).splitlines()[1:]
        yield from (f"  {line}" for line in shown)
    elif recipe.without_remedy:
        yield from _wrapped(f"No remedy: {recipe.without_remedy}.", width, "  ")


def _file(file: FileChange, color: bool, width: int) -> Iterator[str]:
    before = "" if file.old_path is None else f", before {shown_path(file.old_path)}"
    yield f"{shown_path(file.path)}{before}"
    yield from _findings(file.appearing, file.going, color, width)


def _findings(
    appearing: tuple[FindingChange, ...],
    going: tuple[FindingChange, ...],
    color: bool,
    width: int,
) -> Iterator[str]:
    for appears, changes in ((True, appearing), (False, going)):
        for change in changes:
            finding = change.finding
            told = words_of(change, appears=appears)
            line = f" (line {finding.span.line})" if appears else ""
            first, *rest = _wrapped(
                f"{told}: {one_line(finding.message)}{line} [{finding.rule}]", width, "  "
            )
            if color and appears:
                first = first.replace(told, f"\x1b[{_PAINT[finding.level]}m{told}\x1b[0m", 1)
            yield first
            yield from rest


def _wrapped(text: str, width: int, indent: str) -> list[str]:
    return textwrap.wrap(
        one_line(text),
        width,
        initial_indent=indent,
        subsequent_indent=f"{indent}  ",
        break_long_words=False,
        break_on_hyphens=False,
    )
