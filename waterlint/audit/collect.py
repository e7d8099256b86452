"""From the files of a call to the rows of an audit."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence

from waterlint.finding import Finding, Level
from waterlint.hints import Final
from waterlint.intake import Loaded, Part
from waterlint.linter import Linter, Report
from waterlint.model.water import IONS
from waterlint.output.audit import FIGURES, Audit, Row
from waterlint.paths import Path
from waterlint.prediction.result import Figure, WaterFigures
from waterlint.project.discovery import Found
from waterlint.records import Record
from waterlint.rules.figures import figure_of
from waterlint.rules.ranges import judge
from waterlint.rules.registry import Case
from waterlint.source.nodes import Scalar
from waterlint.source.schema import UNKNOWN_KIND

#: Whose water a figure of a row is about.
VESSEL_OF: Final[Mapping[str, str]] = {
    name: "mash" if name in ("mash_ph", "residual_alkalinity") else "batch" for name in FIGURES
}

#: How much of a run's time linting takes, seen from the progress that is told; the rest is the
#: figures.
_LINTING: Final = 0.5

Told = Callable[[Row, Case | None], None]


class Collected(Record):
    """An audit before it is sorted, and the report of the run that it stands on."""

    audit: Audit
    report: Report


def collect(
    linter: Linter,
    found: Sequence[Found],
    *,
    is_wanted: Callable[[Row], bool] = lambda row: True,
    told: Told | None = None,
    progress: Callable[[float, int], None] | None = None,
) -> Collected:
    """Lint files and make a row of every recipe in them.

    Parameters
    ----------
    linter : Linter
    found : sequence of Found
    is_wanted : callable
        Which rows to keep.
    told : callable, optional
        Given each kept row with what the rules look at, `None` where errors stand in the way.
        That is not kept, so that a collection of any size can be looked at.
    progress : callable, optional
        Told which share of a run over how many files is done.

    Returns
    -------
    Collected
        A recipe with errors has its row, and so has a file that cannot be read: it may hold one.
    """
    if progress is not None:
        linter.progress = lambda share, files: progress(_LINTING * share, files)
    report = linter.lint(found)
    counting, aside = _by_path(report.findings), _by_path((*report.accepted, *report.known))
    rows: list[Row] = []
    recipes = 0
    with_rows: set[str] = set()
    for number, file in enumerate(found, 1):
        for row, case in _rows(linter, file.path, counting, aside):
            recipes += 1
            with_rows.add(row.path)
            if is_wanted(row):
                rows.append(row)
                if told is not None:
                    told(row, case)
        if progress is not None:
            progress(_LINTING + (1.0 - _LINTING) * number / len(found), len(found))
    others = tuple(each for each in report.findings if each.path not in with_rows)
    return Collected(Audit(tuple(rows), recipes, report.files, others), report)


def _by_path(findings: Iterable[Finding]) -> Mapping[str, tuple[Finding, ...]]:
    grouped: dict[str, list[Finding]] = defaultdict(list)
    for finding in findings:
        grouped[finding.path].append(finding)
    return {path: tuple(group) for path, group in grouped.items()}


def _rows(
    linter: Linter,
    path: Path,
    counting: Mapping[str, tuple[Finding, ...]],
    aside: Mapping[str, tuple[Finding, ...]],
) -> Iterator[tuple[Row, Case | None]]:
    path = linter.disk.absolute(path)
    file = linter.intake.load(path)
    found, more = counting.get(file.shown, ()), aside.get(file.shown, ())
    # A document that says it is something unheard of is more likely a recipe than dropped.
    parts = [part for part in file.parts if part.kind in ("recipe", UNKNOWN_KIND)]
    cases = {case.document.index: case for case in linter.cases(path)} if parts else {}
    known = {part.document.index for part in file.parts}
    for number, part in enumerate(parts):
        index = part.document.index
        # What concerns the file as a whole is told with its first recipe.
        own = [each for each in found if each.document == index]
        own += [each for each in found if number == 0 and each.document not in known]
        set_aside = sum(each.document == index for each in more)
        yield _row(file, part, cases.get(index), tuple(own), set_aside), cases.get(index)
    if not file.parts and any(each.level == "error" for each in found) and _may_be_recipe(file):
        yield Row(file.shown, 0, "", None, findings=found, aside=len(more), is_read=False), None
    if not any(part.kind == "water" for part in file.parts):
        linter.intake.release(path)


def _may_be_recipe(file: Loaded) -> bool:
    """Whether a file that cannot be read may hold a recipe; its beginning may say what it is."""
    beginning = "" if file.source is None else file.source.text[:4096]
    return not any(f"waterlint: {kind}/" in beginning for kind in ("water", "config"))


def _row(
    file: Loaded, part: Part, case: Case | None, findings: tuple[Finding, ...], aside: int
) -> Row:
    index = part.document.index
    if case is None or case.recipe is None:
        name, style = _word(part, "name") or "", _word(part, "style")
        return Row(file.shown, index, name, style, findings=findings, aside=aside, is_read=False)
    figures: dict[str, Figure] = {}
    beyond: dict[str, Level] = {}
    for name, vessel in VESSEL_OF.items():
        figure = figure_of(case.prediction, name, vessel)
        if figure is None:
            continue
        figures[name] = figure
        verdict = judge(case, name, vessel)
        if verdict is not None and verdict.broken is not None:
            beyond[name] = verdict.broken.level
    water = None if case.prediction is None else case.prediction.mash_water
    return Row(
        path=file.shown,
        document=index,
        name=case.recipe.name,
        style=case.recipe.style,
        figures=figures,
        mash_ions={} if water is None else _ions(water),
        beyond=beyond,
        findings=findings,
        aside=aside,
    )


def _ions(water: WaterFigures) -> dict[str, Figure]:
    found = {ion: water.ion(ion) for ion in IONS}
    return {ion: figure for ion, figure in found.items() if figure is not None}


def _word(part: Part, key: str) -> str | None:
    """A text of a recipe that has errors elsewhere."""
    node = part.document.find(f"/{key}")
    return node.text if isinstance(node, Scalar) else None
