"""A report's sums against the figures they follow from: hardness, alkalinity, and two more."""

from __future__ import annotations

from collections.abc import Iterator

from waterlint.catalog import limits
from waterlint.catalog.limit import Limit
from waterlint.chemistry.ions import CALCIUM_CARBONATE_EQUIVALENT, IONS
from waterlint.finding import Finding, Related
from waterlint.model.water import Analysis
from waterlint.rules import analyses
from waterlint.rules.agreement import (
    Gap,
    alkalinity_gap,
    conductivity_gap,
    hardness_gap,
    solids_gap,
)
from waterlint.rules.balance import Verdict, implausible_ions, verdicts
from waterlint.rules.registry import Case, rule
from waterlint.rules.samples import report_example
from waterlint.rules.wording import number
from waterlint.units import parse

#: How near a ratio of two figures comes to a unit's factor to be taken for a slip of unit;
#: °dH and gpg, the nearest of two units, are 4 % apart.
_NEAR = 0.02

#: What a hardness that is read as mg/L as CaCO3 may be instead.
_HARDNESS_UNITS = ("°dH", "°fH", "°e", "gpg", "mmol/L", "mEq/L")


@rule(
    "hardness-disagrees",
    subject="water",
    levels=("warning",),
    group="The water report",
    what=(
        "The reported total hardness against that of calcium and magnesium. The rounding of "
        "each figure's last digit is allowed for."
    ),
    why=(
        "Hardness is the sum of the two and nothing else that matters. Where they disagree, a "
        "unit is mixed up or a figure copied wrong, and residual alkalinity goes wrong with it."
    ),
    limits=(limits.HARDNESS_DISAGREES.line,),
    configure="`levels: {hardness-disagrees: note}`, or `off`.",
    failing=report_example("hardness: 9.2 mg/L as CaCO3"),
    passing=report_example("hardness: 9.2 °dH"),
)
def hardness_disagrees(case: Case) -> Iterator[Finding]:
    """Each analysis whose hardness is not that of its calcium and magnesium."""
    assert case.report is not None
    for analysis in analyses.main_first(case.report):
        gap = hardness_gap(analysis)
        if gap is None or _is_implausible(case, analysis):
            continue
        calcium, magnesium = (analysis.ions[name] for name in ("calcium", "magnesium"))
        yield _finding(
            case,
            "hardness-disagrees",
            analysis,
            gap,
            limits.HARDNESS_DISAGREES,
            what=(
                f"hardness is reported as {number(gap.reported.value)} mg/L as CaCO3, while "
                f"calcium {number(calcium.value)} mg/L and magnesium {number(magnesium.value)} "
                f"mg/L make {number(gap.low)}"
            ),
            help=_hardness_slip(gap, calcium.value + magnesium.value),
            behind=("ions/calcium", "ions/magnesium"),
        )


def _hardness_slip(gap: Gap, plain_sum: float) -> str:
    reported = gap.reported.value
    if plain_sum and abs(reported / plain_sum - 1.0) < _NEAR:
        return (
            "The hardness is the plain sum of the two figures: if they are given as calcium "
            "carbonate, write `as CaCO3` behind each."
        )
    for unit in _HARDNESS_UNITS:
        factor = parse("hardness", f"1 {unit}").value
        if gap.low and abs(reported * factor / gap.low - 1.0) < _NEAR:
            return f"If the hardness is given in {unit}, write `{number(reported)} {unit}`."
    if reported < gap.low:
        return (
            "Calcium and magnesium cannot be more than the hardness: compare all three, and their "
            "units, with the laboratory's sheet."
        )
    return "Compare the three figures, and their units, with the laboratory's sheet."


@rule(
    "alkalinity-disagrees",
    subject="water",
    levels=("warning",),
    group="The water report",
    what=(
        "The reported alkalinity against that of bicarbonate and carbonate, where a report "
        "gives both. Carbonate that the report leaves out, and that its pH asks for, is allowed "
        "for, and so is the rounding of each figure's last digit."
    ),
    why=(
        "The two are one thing in two units: 1 mg/L as CaCO3 is 1.22 mg/L of bicarbonate. Which "
        "of them is wrong decides over the mash pH."
    ),
    limits=(limits.ALKALINITY_DISAGREES.line,),
    configure="`levels: {alkalinity-disagrees: note}`, or `off`.",
    failing=report_example("  bicarbonate: 40 mg/L"),
    passing=report_example("  bicarbonate: 49 mg/L"),
)
def alkalinity_disagrees(case: Case) -> Iterator[Finding]:
    """Each analysis whose alkalinity is not that of its bicarbonate."""
    assert case.report is not None
    for analysis in analyses.main_first(case.report):
        gap = alkalinity_gap(analysis)
        if gap is None or _is_implausible(case, analysis):
            continue
        bicarbonate = analysis.ions["bicarbonate"].value
        yield _finding(
            case,
            "alkalinity-disagrees",
            analysis,
            gap,
            limits.ALKALINITY_DISAGREES,
            what=(
                f"alkalinity is reported as {number(gap.reported.value)} mg/L as CaCO3, while "
                f"bicarbonate {number(bicarbonate)} mg/L makes {number(gap.low)}"
            ),
            help=_alkalinity_slip(gap, bicarbonate),
            behind=("ions/bicarbonate",),
        )


def _alkalinity_slip(gap: Gap, bicarbonate: float) -> str:
    reported = gap.reported.value
    if bicarbonate and abs(reported / bicarbonate - 1.0) < _NEAR:
        return (
            "The two figures are the same number: one basis was copied to the other. Write what "
            "the laboratory measured, `as CaCO3` or `as HCO3`, and leave the other out."
        )
    carbonate = IONS["carbonate"].equivalent_weight / CALCIUM_CARBONATE_EQUIVALENT
    if reported and abs(bicarbonate / reported / carbonate - 1.0) < _NEAR:
        return (
            "The bicarbonate fits if it is given as carbonate (CO3). Write what the laboratory "
            "measured, and leave the other out."
        )
    return "Write the one that the laboratory measured, and leave the other out."


@rule(
    "conductivity-disagrees",
    subject="water",
    levels=("warning",),
    group="The water report",
    what=(
        "The reported conductivity against that of the reported ions at 25 °C. It stands aside "
        "where the ion balance already names the side that is wrong."
    ),
    why=(
        "Conductivity is measured by itself and easily: it notices what a balance cannot, an "
        "ion missing on both sides or all figures of another sample."
    ),
    limits=(limits.CONDUCTIVITY_DISAGREES.line,),
    configure="`levels: {conductivity-disagrees: note}`, or `off`.",
    failing=report_example("conductivity: 620 µS/cm"),
    passing=report_example("conductivity: 430 µS/cm"),
)
def conductivity_disagrees(case: Case) -> Iterator[Finding]:
    """Each analysis whose conductivity its ions do not explain."""
    assert case.report is not None
    for verdict in verdicts(case.report):
        analysis = verdict.analysis
        gap = conductivity_gap(analysis)
        if gap is None or _is_implausible(case, analysis):
            continue
        if _balance_explains(case, verdict, gap, limits.CONDUCTIVITY_DISAGREES):
            continue
        yield _finding(
            case,
            "conductivity-disagrees",
            analysis,
            gap,
            limits.CONDUCTIVITY_DISAGREES,
            what=(
                f"conductivity is reported as {number(gap.reported.value)} µS/cm, while the "
                f"ions conduct {number(gap.low)} µS/cm at 25 °C"
            ),
            help=(
                "See whether conductivity and ions come from the same sample, and whether an "
                "ion is missing. A figure measured at 20 °C is written `… at 20 °C`."
            ),
        )


@rule(
    "solids-disagree",
    subject="water",
    levels=("warning",),
    group="The water report",
    what=(
        "The reported dissolved solids against the sum of the ions. Anything between what "
        "drying leaves (half of the bicarbonate goes off as carbon dioxide and water) and the "
        "sum with all bicarbonate is taken as agreement, and so is a fair margin on both sides. "
        "It stands aside where the ion balance or the conductivity tells the same fault."
    ),
    why="Solids far above the ions mean that one is missing; far below, that one is too high.",
    limits=(limits.SOLIDS_DISAGREE.line,),
    configure="`levels: {solids-disagree: note}`, or `off`.",
    failing=report_example("dissolved_solids: 410 mg/L"),
    passing=report_example("dissolved_solids: 230 mg/L"),
)
def solids_disagree(case: Case) -> Iterator[Finding]:
    """Each analysis whose dissolved solids its ions do not explain."""
    assert case.report is not None
    for verdict in verdicts(case.report):
        analysis = verdict.analysis
        gap = solids_gap(analysis)
        if gap is None or _is_implausible(case, analysis):
            continue
        if _balance_explains(case, verdict, gap, limits.SOLIDS_DISAGREE):
            continue
        if _conductivity_tells(case, analysis, gap):
            continue
        yield _finding(
            case,
            "solids-disagree",
            analysis,
            gap,
            limits.SOLIDS_DISAGREE,
            what=(
                f"dissolved solids are reported as {number(gap.reported.value)} mg/L, while the "
                f"ions add up to {number(gap.low)} mg/L dried, {number(gap.high)} mg/L with all "
                "bicarbonate"
            ),
            help="Look for an ion that is missing, or a figure in the wrong unit.",
            unit="mg/L",
        )


def _is_implausible(case: Case, analysis: Analysis) -> bool:
    """Whether a ten-fold slip is told of this analysis already; its sums go wrong with it."""
    return analyses.is_on(case, "implausible-quantity") and bool(implausible_ions(analysis))


def _balance_explains(case: Case, verdict: Verdict, gap: Gap, limit: Limit) -> bool:
    """Whether the ion balance tells the fault behind a sum that disagrees.

    It does where the sum fits once the side that is wrong is brought to the other's charges.
    """
    if verdict.level is None or not analyses.is_on(case, "ion-balance"):
        return False
    balance = verdict.charges.balance
    margin = limit.ceiling / 100.0
    for side in (balance.cations, balance.anions):
        scale = 2.0 * side / verdict.charges.total
        low, high = gap.low * scale * (1.0 - margin), gap.high * scale * (1.0 + margin)
        if low <= gap.reported.value <= high:
            return True
    return False


def _conductivity_tells(case: Case, analysis: Analysis, solids: Gap) -> bool:
    """Whether the conductivity is off to the same side, and tells it."""
    if not analyses.is_on(case, "conductivity-disagrees"):
        return False
    conductivity = conductivity_gap(analysis)
    return conductivity is not None and conductivity.percent * solids.percent > 0.0


def _finding(
    case: Case,
    name: str,
    analysis: Analysis,
    gap: Gap,
    limit: Limit,
    *,
    what: str,
    help: str,
    behind: tuple[str, ...] = (),
    unit: str | None = None,
) -> Finding:
    figure = {
        "hardness-disagrees": "hardness",
        "alkalinity-disagrees": "alkalinity",
        "conductivity-disagrees": "conductivity",
        "solids-disagree": "dissolved_solids",
    }[name]
    return case.finding(
        name,
        "warning",
        analyses.place(analysis, figure),
        f"{what}{analyses.title(analysis)}{_by_how_much(gap, limit)}",
        help=help,
        basis=limit.basis,
        related=tuple(
            Related(case.path, case.place(analyses.place(analysis, key)), "compared with this")
            for key in behind
        ),
        quantity=figure,
        value=gap.reported.value,
        low=gap.allowed_low,
        high=gap.allowed_high,
        unit=unit or gap.reported.unit,
    )


def _by_how_much(gap: Gap, limit: Limit) -> str:
    if not gap.high:
        return ""
    side = "more" if gap.percent > 0.0 else "less"
    return f": {number(abs(gap.percent))} % {side}, where {number(limit.ceiling)} % is allowed"
