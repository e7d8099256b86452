"""Hardness and alkalinity of a report against the ions they are made of."""

from __future__ import annotations

from collections.abc import Iterator

from waterlint.catalog import limits
from waterlint.chemistry.ions import CALCIUM_CARBONATE_EQUIVALENT, IONS
from waterlint.finding import Finding
from waterlint.rules import analyses
from waterlint.rules.agreement import Gap, alkalinity_gap, hardness_gap
from waterlint.rules.disagreement import disagreement, slip_is_told
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
        if gap is None or slip_is_told(case, analysis, "hardness-disagrees"):
            continue
        calcium, magnesium = (analysis.ions[name] for name in ("calcium", "magnesium"))
        yield disagreement(
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
        if gap is None or slip_is_told(case, analysis, "alkalinity-disagrees"):
            continue
        bicarbonate = analysis.ions["bicarbonate"].value
        yield disagreement(
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
