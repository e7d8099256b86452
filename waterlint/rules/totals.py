"""Conductivity and dissolved solids of a report against all of its ions."""

from __future__ import annotations

from collections.abc import Iterator

from waterlint.catalog import limits
from waterlint.catalog.limit import Limit
from waterlint.finding import Finding
from waterlint.rules import analyses
from waterlint.rules.agreement import Gap, conductivity_gap, solids_gap
from waterlint.rules.balance import Verdict, verdicts
from waterlint.rules.disagreement import disagreement, slip_is_told
from waterlint.rules.registry import Case, rule
from waterlint.rules.samples import report_example
from waterlint.rules.wording import number


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
        if gap is None or slip_is_told(case, analysis, "conductivity-disagrees"):
            continue
        if _balance_explains(case, verdict, gap, limits.CONDUCTIVITY_DISAGREES):
            continue
        yield disagreement(
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
        if gap is None or slip_is_told(case, analysis, "solids-disagree"):
            continue
        if _balance_explains(case, verdict, gap, limits.SOLIDS_DISAGREE):
            continue
        if _conductivity_tells(case, verdict, gap):
            continue
        yield disagreement(
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


def _balance_explains(case: Case, verdict: Verdict, gap: Gap, limit: Limit) -> bool:
    """Whether the ion balance tells the fault behind a sum that disagrees.

    It does where the sum fits once the side that is wrong is brought to the other's charges.
    """
    if verdict.level is None or not analyses.speaks_for(
        case, "ion-balance", verdict.level, limit.rule, "warning"
    ):
        return False
    balance = verdict.charges.balance
    margin = limit.ceiling / 100.0
    for side in (balance.cations, balance.anions):
        scale = 2.0 * side / verdict.charges.total
        low, high = gap.low * scale * (1.0 - margin), gap.high * scale * (1.0 + margin)
        if low <= gap.reported.value <= high:
            return True
    return False


def _conductivity_tells(case: Case, verdict: Verdict, solids: Gap) -> bool:
    """Whether the conductivity is off to the same side, and tells it."""
    conductivity = conductivity_gap(verdict.analysis)
    if conductivity is None or not conductivity.percent * solids.percent > 0.0:
        return False
    if _balance_explains(case, verdict, conductivity, limits.CONDUCTIVITY_DISAGREES):
        return False
    rule = "conductivity-disagrees"
    return analyses.speaks_for(case, rule, "warning", "solids-disagree", "warning")
