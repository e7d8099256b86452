"""Two states of a project, recipe by recipe."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence

from waterlint.compare.figures import figure_changes
from waterlint.compare.findings import difference
from waterlint.compare.side import Recipe, Side
from waterlint.finding import LEVELS, Finding, Level
from waterlint.output.comparison import (
    Comparison,
    FileChange,
    RecipeChange,
    State,
    ordered,
)
from waterlint.paths import Path
from waterlint.records import Record

#: Recipes by file and document, of which all findings are told with the recipe.
_Told = set[tuple[str, int]]

#: Gives a remedy for a recipe at a path that falls out; what it returns is what is shown.
Mend = Callable[[Path, RecipeChange], RecipeChange]


class Pair(Record):
    """A file on both sides; `None` where it is not there. `because` says why it is looked at."""

    before: Path | None
    after: Path | None
    because: str


class Question(Record):
    """What is compared.

    Attributes
    ----------
    text : str
        For the heading.
    before, after : Side
    pairs : tuple of Pair
        Files that may hold recipes.
    renamed : mapping of str to str
        Names of other files on the later side, by those on the earlier, where they differ.
    fails : Level or None
    remarks : tuple of str
    """

    text: str
    before: Side
    after: Side
    pairs: tuple[Pair, ...]
    renamed: Mapping[str, str]
    fails: Level | None
    remarks: tuple[str, ...] = ()


def compare(question: Question, mend: Mend | None = None) -> Comparison:
    """Answer a question.

    Parameters
    ----------
    question : Question
    mend : callable, optional
        Asked for each recipe that falls out.
    """
    recipes: list[RecipeChange] = []
    told: tuple[_Told, _Told] = (set(), set())
    same = 0
    for pair in question.pairs:
        olds, news = _recipes(question.before, pair.before), _recipes(question.after, pair.after)
        news = news or question.after.stand_in(pair.after, olds)
        olds = olds or question.before.stand_in(pair.before, news)
        told[0].update((each.shown, each.document) for each in olds)
        told[1].update((each.shown, each.document) for each in news)
        for old, new in _matched(olds, news):
            change = _recipe(question, pair, old, new)
            if change is None:
                same += 1
                continue
            if change.falls_out and mend is not None and pair.after is not None:
                change = mend(pair.after, change)
            recipes.append(change)
        for side, path in ((question.before, pair.before), (question.after, pair.after)):
            if path is not None:
                side.forget(path)
    return Comparison(
        question.text,
        ordered(recipes),
        tuple(_files(question, *told)),
        same,
        question.fails,
        question.remarks,
    )


def _recipes(side: Side, path: Path | None) -> list[Recipe]:
    return [] if path is None else side.recipes(path)


def _matched(
    olds: Sequence[Recipe], news: Sequence[Recipe]
) -> Iterator[tuple[Recipe | None, Recipe | None]]:
    """Recipes of one file in two states: by name where that tells them, else by their order."""
    counts = Counter(each.name for each in olds), Counter(each.name for each in news)
    alone = {name for name in counts[0] if counts[0][name] == 1 == counts[1][name]}
    by_name = {each.name: each for each in olds if each.name in alone}
    rest = [each for each in olds if each.name not in alone]
    for new in news:
        if new.name in alone:
            yield by_name[new.name], new
        else:
            yield (rest.pop(0) if rest else None), new
    for old in rest:
        yield old, None


def _recipe(
    question: Question, pair: Pair, old: Recipe | None, new: Recipe | None
) -> RecipeChange | None:
    """What changes in a recipe; `None` where nothing does."""
    shown = new or old
    assert shown is not None
    told = difference(
        _own(question.before.counting, old),
        _own(question.after.counting, new),
        _own(question.after.aside, new),
        lambda _: None if old is None or old.case is None else old.case.document,
        lambda _: None if new is None or new.case is None else new.case.document,
    )
    figures = figure_changes(None if old is None else old.case, None if new is None else new.case)
    state: State = "changed" if old and new else ("added" if new else "removed")
    moved = any(figure.moves for figure in figures)
    if state == "changed" and not (moved or told.appearing or told.going):
        return None
    levels = [each.finding.level for each in told.appearing]
    return RecipeChange(
        path=shown.shown,
        document=shown.document,
        name=shown.name,
        state=state,
        because=pair.because,
        figures=figures,
        appearing=told.appearing,
        going=told.going,
        staying=told.staying,
        falls_out=_fails(levels, question.fails),
        old_path=old.shown if old and new and old.shown != new.shown else None,
    )


def _own(findings: Mapping[str, tuple[Finding, ...]], recipe: Recipe | None) -> list[Finding]:
    if recipe is None:
        return []
    return [each for each in findings.get(recipe.shown, ()) if each.document == recipe.document]


def _fails(levels: Iterable[Level], least: Level | None) -> bool:
    return least is not None and any(LEVELS.index(level) >= LEVELS.index(least) for level in levels)


def _files(question: Question, olds: _Told, news: _Told) -> Iterator[FileChange]:
    """What changes in water reports, configurations and what else is no recipe."""
    before, after = question.before, question.after
    came_from = {new: old for old, new in question.renamed.items()}
    now = {path: _rest(found, news) for path, found in after.counting.items()}
    then = {path: _rest(found, olds) for path, found in before.counting.items()}
    names = {question.renamed.get(path, path) for path in then} | {*now}
    for path in sorted(names):
        old = came_from.get(path, path)
        told = difference(
            then.get(old, ()),
            now.get(path, ()),
            _rest(after.aside.get(path, ()), news),
            before.document,
            after.document,
        )
        if told.appearing or told.going:
            yield FileChange(path, told.appearing, told.going, old if old != path else None)


def _rest(findings: Iterable[Finding], told: _Told) -> list[Finding]:
    return [each for each in findings if (each.path, each.document) not in told]


def exit_status(comparison: Comparison, after: Side) -> int:
    """0 where no recipe falls out, 1 where one does, 2 where something could not be judged."""
    weights = (after.report.weight(finding, None) for finding in after.report.findings)
    return 2 if 2 in weights else int(comparison.falling > 0)
