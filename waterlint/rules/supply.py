"""What a water report says of the supply: how old it is, and whether it went through a softener."""

from __future__ import annotations

from collections.abc import Iterator

from waterlint.catalog import limits
from waterlint.chemistry.ions import CALCIUM_CARBONATE_EQUIVALENT, to_milliequivalents
from waterlint.chemistry.ions import hardness as total_hardness
from waterlint.days import date, timedelta
from waterlint.finding import Finding
from waterlint.model.water import Analysis, WaterReport
from waterlint.rules import analyses
from waterlint.rules.registry import Case, Example, rule
from waterlint.rules.samples import REPORT_NAME, recipe, report, report_example
from waterlint.rules.wording import apart, listed, number

#: Mean length of a month in the Gregorian calendar [days]; arithmetic, 146,097 days in 400 years.
_MONTH = 146_097 / 4_800


@rule(
    "report-age",
    subject="water",
    levels=("warning",),
    group="The water report",
    what=(
        "A water report that a recipe uses and whose newest analysis was sampled longer ago than "
        "the house allows, or is said to be sampled far in the future. A report that no checked "
        "recipe uses may be as old as it likes."
    ),
    why=(
        "Works change sources with the season and the year. A recipe that is worked out to the "
        "milligram on the water of three years ago is worked out on another water."
    ),
    limits=(limits.REPORT_AGE.line, limits.REPORT_AHEAD.line),
    configure="`report_age: 9 months` in waterlint.yaml; `levels: {report-age: note}`, or `off`.",
    failing=Example(recipe(), {REPORT_NAME: report("sampled: 2019-03-14")}),
    passing=Example(recipe(), {REPORT_NAME: report()}),
)
def report_age(case: Case) -> Iterator[Finding]:
    """A used report whose newest analysis is older than the house allows."""
    assert case.report is not None
    newest = case.report.newest
    allowed = case.settings.report_age_months
    ahead = (newest.sampled - case.today).days
    if case.used_by and ahead > limits.REPORT_AHEAD.ceiling:
        yield _ahead(case, newest, ahead)
    if not case.used_by or case.today <= quiet_until(case.report, allowed):
        return
    age = (case.today - newest.sampled).days / _MONTH
    others = len(case.used_by) - 3
    users = [*case.used_by[:3], *([f"{others} more"] if others > 0 else [])]
    yield case.finding(
        "report-age",
        "warning",
        analyses.place(newest, "sampled"),
        f"the water was sampled {apart(age, allowed, 2)} months ago, on "
        f"{newest.sampled.isoformat()}; {number(allowed)} months are allowed. It is used by "
        f"{listed(users)}",
        help=(
            "Ask the supplier for this year's analysis, or have a sample analysed. Add it under "
            "`seasons` or as a new report; `waterlint compare` shows what it does to the recipes."
        ),
        basis=_age_basis(case),
        quantity="report_age",
        value=age,
        high=allowed,
        unit="months",
    )


def _ahead(case: Case, newest: Analysis, days: int) -> Finding:
    limit = limits.REPORT_AHEAD
    return case.finding(
        "report-age",
        "warning",
        analyses.place(newest, "sampled"),
        f"the water is said to be sampled on {newest.sampled.isoformat()}, {days} days from now",
        help="Correct the day: until then nobody is told when the analysis has grown old.",
        basis=limit.basis,
        quantity="days_ahead",
        value=float(days),
        high=limit.ceiling,
        unit=limit.unit,
    )


def _age_basis(case: Case) -> str:
    origin = case.settings.origin.get("report_age")
    if origin is None or origin == "built in":
        return limits.REPORT_AGE.basis
    return f"`report_age` in {origin}"


def quiet_from(report: WaterReport) -> date:
    """The first day on which a report is not too far ahead."""
    ahead = int(limits.REPORT_AHEAD.ceiling)
    days = report.newest.sampled.toordinal() - ahead
    return date.fromordinal(max(days, date.min.toordinal()))


def quiet_until(report: WaterReport, months: float) -> date:
    """The last day on which a report is not older than so many months."""
    return _later(report.newest.sampled, months)


def _later(day: date, months: float) -> date:
    """The day so many months after `day`; of a month too short for it, the last."""
    whole = int(months)
    place = day.month - 1 + whole
    year, month = day.year + place // 12, place % 12 + 1
    if year > date.max.year:
        return date.max
    last = 31 if month == 12 else (date(year, month + 1, 1) - timedelta(days=1)).day
    moved = date(year, month, min(day.day, last))
    return moved + timedelta(days=round((months - whole) * _MONTH))


@rule(
    "softened-water",
    subject="water",
    levels=("warning",),
    group="The water report",
    what="Much sodium with next to no hardness: water that a softener exchanged.",
    why=(
        "An ion exchange softener gives two sodium for every calcium or magnesium and leaves "
        "the alkalinity as it was: nothing is left that works against it in the mash, and the "
        "sodium stays in the beer. A few wells are like that by nature, and brew no better."
    ),
    limits=(limits.SOFTENED_SODIUM.line, limits.SOFTENED_RATIO.line),
    configure="`levels: {softened-water: note}`, or `off`.",
    failing=report_example("  calcium: 3 mg/L", "  magnesium: 1 mg/L", "  sodium: 82 mg/L"),
    passing=report_example(),
)
def softened_water(case: Case) -> Iterator[Finding]:
    """Each analysis that looks softened, unless it only repeats what the main one says."""
    assert case.report is not None
    main_is_soft = False
    for analysis in analyses.main_first(case.report):
        if not is_softened(analysis):
            continue
        if analysis.pointer and main_is_soft and not analyses.states(analysis, "ions/sodium"):
            continue
        main_is_soft = main_is_soft or not analysis.pointer
        yield _softened(case, analysis)


def _hardness(analysis: Analysis) -> float:
    """[mEq/L]"""
    calcium, magnesium = (analysis.ions[name].value for name in ("calcium", "magnesium"))
    return total_hardness(calcium, magnesium) / CALCIUM_CARBONATE_EQUIVALENT


def is_softened(analysis: Analysis) -> bool:
    """Whether an analysis looks like water from a softener."""
    if not {"sodium", "calcium", "magnesium"} <= analysis.ions.keys():
        return False
    sodium = to_milliequivalents("sodium", analysis.ions["sodium"].value)
    return (
        sodium > limits.SOFTENED_SODIUM.ceiling
        and sodium > limits.SOFTENED_RATIO.ceiling * _hardness(analysis)
    )


def _softened(case: Case, analysis: Analysis) -> Finding:
    sodium = analysis.ions["sodium"].value
    equivalents = to_milliequivalents("sodium", sodium)
    return case.finding(
        "softened-water",
        "warning",
        analyses.place(analysis, "ions/sodium"),
        f"sodium is {number(sodium)} mg/L ({number(equivalents)} mEq/L) beside a hardness of only "
        f"{number(_hardness(analysis))} mEq/L{analyses.title(analysis)}: with more than "
        f"{number(limits.SOFTENED_SODIUM.ceiling)} mEq/L, and more than "
        f"{number(limits.SOFTENED_RATIO.ceiling)} times the hardness, it looks like water from a "
        "softener",
        help=(
            "Draw the brewing water before the softener. If the supply is like that by nature, "
            "blend it with distilled or reverse osmosis water."
        ),
        basis=limits.SOFTENED_RATIO.basis,
        quantity="sodium",
        value=sodium,
        unit="mg/L",
    )
