"""How a sum that disagrees with its parts is told."""

from __future__ import annotations

from waterlint.catalog.limit import Limit
from waterlint.finding import Finding, Related
from waterlint.model.water import Analysis
from waterlint.rules import analyses
from waterlint.rules.agreement import Gap
from waterlint.rules.balance import implausible_ions
from waterlint.rules.registry import Case
from waterlint.rules.wording import number


def slip_is_told(case: Case, analysis: Analysis, rule: str) -> bool:
    """Whether a ten-fold slip is told of this analysis already, in the place of a rule on sums."""
    slips = implausible_ions(analysis)
    return bool(slips) and analyses.speaks_for(
        case, "implausible-quantity", "warning", rule, "warning"
    )


def disagreement(
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
