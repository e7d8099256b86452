"""What a new water report does to every recipe that uses the old one."""

from __future__ import annotations

import os
from collections.abc import Callable, Collection, Iterator, Sequence

from waterlint.compare.comparing import Pair, Question
from waterlint.compare.side import lint_side
from waterlint.compare.wrong import WrongQuestion
from waterlint.finding import Level
from waterlint.linter import Linter, Options
from waterlint.paths import Path
from waterlint.project.dependents import Dependent, dependents_among, water_references
from waterlint.project.discovery import Found, Survey, survey
from waterlint.project.files import ReadProblem
from waterlint.project.git import Change
from waterlint.project.references import is_path
from waterlint.project.root import absolute, leads_out, project_root
from waterlint.records import Record, replace
from waterlint.source.schema import kind_of


class Replacement(Record):
    """A water report, and the one that is read in its place."""

    old: Path
    new: Path


def replacement_of(text: str) -> Replacement:
    """Read ``OLD=NEW``; where names hold the sign themselves, the first OLD that is there counts.

    Raises
    ------
    WrongQuestion
        If it is not of that form.
    """
    places = [place for place, sign in enumerate(text) if sign == "="]
    pairs = [(text[:place], text[place + 1 :]) for place in places]
    pairs = [(old, new) for old, new in pairs if old and new]
    if not pairs:
        raise WrongQuestion(f"--water takes OLD=NEW, two water reports, not {text!r}")
    for old, new in pairs:
        if os.path.lexists(old):
            return Replacement(Path(old), Path(new))
    return Replacement(*map(Path, pairs[0]))


def ask_water(
    replacements: Sequence[Replacement],
    paths: Sequence[Path],
    options: Options,
    fails: Level | None,
    progress: Callable[[float, int], None] | None = None,
) -> Question:
    """Lint every recipe that uses one of the old reports, with the old and with the new.

    Parameters
    ----------
    replacements : sequence of Replacement
    paths : sequence of Path
        Files and folders whose recipes are looked at.
    options : Options
    fails : Level or None
        The mildest level that fails.
    progress : callable, optional
        As a `Linter` takes it.

    Raises
    ------
    WrongQuestion
        If one of the reports is no water report that can be read.
    """
    before = Linter(options)
    for each in replacements:
        _must_be_report(before, each.old)
        _must_be_report(Linter(options), each.new)
    looked = survey(paths, before.configs, before.disk)
    searched = {before.disk.absolute(path) for path in paths}
    touched = _dependents(before, looked, searched, [each.old for each in replacements])
    after_options = replace(options, stand_ins=_stand_ins(before, touched, replacements))
    files = [Found(each.path, each.because, named=False) for each in touched]
    before.progress = progress
    earlier = lint_side(before, files, earlier=True)
    after = Linter(after_options)
    after.progress = progress
    shown = {before.disk.shown(each.old): before.disk.shown(each.new) for each in replacements}
    return Question(
        "; ".join(f"{new} in the place of {old}" for old, new in shown.items()),
        earlier,
        lint_side(after, files, earlier=False),
        tuple(Pair(each.path, each.path, _because(each)) for each in touched),
        shown,
        fails,
    )


def _because(dependent: Dependent) -> str:
    return f"uses {dependent.because.removesuffix(' changed')}"


def _must_be_report(linter: Linter, path: Path) -> None:
    """Refuse what is no water report without errors."""
    path = linter.disk.absolute(path)
    if leads_out(path, linter.options.allow_roots, linter.disk.working_directory):
        raise WrongQuestion(
            f"--water: {linter.disk.shown(path)}: a symbolic link leads out of its project. "
            "Name what it leads to, or allow that folder with --allow-root."
        )
    source = linter.disk.read(path)
    if isinstance(source, ReadProblem):
        raise WrongQuestion(f"--water: {source.path}: {source.message}. {source.help}")
    parts = linter.intake.load(path).parts
    waters = [part for part in parts if part.kind == "water"]
    faults = [each for part in waters for each in part.findings]
    for fault in (*source.findings, *faults):
        if fault.level == "error":
            place = f"{source.path}:{fault.span.line}:{fault.span.column}"
            raise WrongQuestion(f"--water: {place}: {fault.message}. {fault.help}")
    if len(waters) != 1:
        number = "no water report" if not waters else f"{len(waters)} water reports"
        raise WrongQuestion(f"--water: {source.path} holds {number}, where one is needed")


def _dependents(
    linter: Linter, looked: Survey, searched: Collection[Path], olds: Sequence[Path]
) -> list[Dependent]:
    changes = [Change("changed", linter.disk.absolute(old)) for old in olds]
    # A link to the old report leads to it as well.
    changes += [Change("changed", Path(os.path.realpath(change.path))) for change in changes]
    found: list[Dependent] = []
    for root, part in _by_root(linter, looked):
        found += dependents_among(part, changes, root, linter.disk, has_all_links=root in searched)
    return [each for each in found if _is_recipe_file(linter, each.path)]


def _by_root(linter: Linter, looked: Survey) -> Iterator[tuple[Path, Survey]]:
    """A survey, split by the projects that its files belong to."""
    parts: dict[Path, list[Found]] = {}
    for file in looked.found:
        root = project_root(file.path, linter.disk.working_directory)
        parts.setdefault(root, []).append(file)
    for root, files in parts.items():
        yield root, Survey(files, [], looked.links)


def _is_recipe_file(linter: Linter, path: Path) -> bool:
    source = linter.disk.read(path)
    if isinstance(source, ReadProblem):
        return True
    return any(kind_of(document) == "recipe" for document in source.documents)


def _stand_ins(
    linter: Linter, touched: Sequence[Dependent], replacements: Sequence[Replacement]
) -> dict[Path, Path]:
    """The new report for the old one, under every name by which a recipe knows it."""
    new_of = {
        os.path.realpath(linter.disk.absolute(each.old)): linter.disk.absolute(each.new)
        for each in replacements
    }
    found = {
        linter.disk.absolute(each.old): linter.disk.absolute(each.new) for each in replacements
    }
    for dependent in touched:
        source = linter.disk.read(dependent.path)
        if isinstance(source, ReadProblem):
            continue
        for document in source.documents:
            for reference in water_references(document):
                if not is_path(reference.text) or "\0" in reference.text:
                    continue
                path = _absolute(dependent.path, reference.text)
                new = None if path is None else new_of.get(os.path.realpath(path))
                if path is not None and new is not None:
                    found[path] = new
    return found


def _absolute(path: Path, reference: str) -> Path | None:
    try:
        return absolute(reference, path.parent)
    except (OSError, ValueError):
        return None
