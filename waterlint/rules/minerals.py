"""Much of everything: chloride and sulfate both high, or all ions together."""

from __future__ import annotations

from collections.abc import Iterator

from waterlint.catalog import limits
from waterlint.catalog.limit import Limit
from waterlint.finding import Finding
from waterlint.hints import Final
from waterlint.prediction.result import Figure, WaterFigures
from waterlint.rules.analyses import is_on
from waterlint.rules.doubt import is_doubtful
from waterlint.rules.figures import (
    DILUTE,
    dosed,
    is_of_the_style,
    is_of_the_water,
    style_of,
    water_of,
)
from waterlint.rules.kettle_dose import kettle_excess
from waterlint.rules.limit_lines import lines
from waterlint.rules.range_findings import source_pointer
from waterlint.rules.ranges import Bound, Verdict, judge
from waterlint.rules.registry import Case, once, rule
from waterlint.rules.samples import recipe_example
from waterlint.rules.wording import number

BOTH: Final = ("chloride", "sulfate")


@rule(
    "minerals-high",
    subject="recipe",
    levels=("note",),
    group="The whole batch",
    what=(
        "Chloride and sulfate both high in the whole batch, or the sum of all ions but those that "
        "the style is made of, as the lactate of a sour beer. Where both "
        "are wanted by target or house, it is silent; where it speaks, the notes on either of "
        "the two are not given besides."
    ),
    why=(
        "What one of them does to beer hides the other, and both together taste of minerals. "
        "It comes of adding salts for a ratio instead of leaving some out."
    ),
    limits=lines("minerals-high"),
    configure="`levels: {minerals-high: off}`, or targets of both ions in the recipe.",
    failing=recipe_example(
        "additions:\n"
        "  - {add: gypsum, mash: 3 g, sparge: 3 g}\n"
        "  - {add: calcium-chloride, form: dihydrate, mash: 3 g, sparge: 3 g}",
    ),
    passing=recipe_example("additions: [{add: gypsum, mash: 3 g}]"),
)
def minerals_high(case: Case) -> Iterator[Finding]:
    """Both of the two beyond their limit together, else the sum."""
    water = water_of(case.prediction, "batch")
    style = style_of(case)
    if water is None or (style is not None and "minerals" in style.unchecked):
        return
    both = tells_both(case)
    if not (both or _may_be_high(water)) or any(
        is_doubtful(case, ion, "batch") for ion in water.ions
    ):
        return
    if both:
        limit = limits.MINERALS_HIGH_BOTH
        amounts = " and ".join(f"{number(water.ions[ion].value)} mg/L of {ion}" for ion in BOTH)
        yield _finding(
            case,
            limit,
            min((water.ions[ion] for ion in BOTH), key=lambda figure: figure.value),
            f"the whole batch has {amounts}, both above {number(limit.ceiling)} mg/L",
            "Leave out salts of the less wanted of the two, or dilute with distilled or "
            "reverse-osmosis water."
            if not all(is_of_the_water(case, ion, "batch", limit.ceiling) for ion in BOTH)
            else DILUTE,
        )
        return
    limit = limits.MINERALS_HIGH_SUM
    counted = [ion for ion in water.ions if not is_of_the_style(case, ion)]
    total = sum(water.ions[ion].value for ion in counted)
    but = "".join(f" but {ion}" for ion in water.ions if ion not in counted)
    if _bound(limit).is_broken_by(total):
        yield _finding(
            case,
            limit,
            Figure(total),
            f"the ions of the whole batch{but} add up to {number(total, 4)} mg/L, above "
            f"{number(limit.ceiling)} mg/L",
            "Use less of the largest additions, or dilute with distilled or reverse-osmosis water."
            if sum(dosed(case, ion, "batch") for ion in counted) > total - limit.ceiling
            else DILUTE,
        )


def _may_be_high(water: WaterFigures) -> bool:
    """Whether the sum of all ions may be beyond its limit, were all carbon bicarbonate."""
    return water.ions_sum_at_most > limits.MINERALS_HIGH_SUM.ceiling


def _bound(limit: Limit) -> Bound:
    return Bound("high", limit.level, limit.ceiling, "general", limit.basis)


def _finding(case: Case, limit: Limit, figure: Figure, message: str, help: str) -> Finding:
    return case.finding(
        "minerals-high",
        limit.level,
        source_pointer(case, "batch"),
        message,
        help=help,
        basis=limit.basis,
        quantity=limit.quantity,
        vessel="batch",
        value=figure.value,
        value_low=figure.low,
        value_high=figure.high,
        low=0.0,
        high=limit.ceiling,
        unit=limit.unit,
    )


@once
def tells_both(case: Case) -> bool:
    """Whether `minerals-high` speaks for chloride and sulfate together."""
    water = water_of(case.prediction, "batch")
    style = style_of(case)
    if water is None or not is_on(case, "minerals-high"):
        return False
    if style is not None and "minerals" in style.unchecked:
        return False
    if min([water.value(ion) for ion in BOTH]) <= limits.MINERALS_HIGH_BOTH.ceiling:
        return False
    bound = _bound(limits.MINERALS_HIGH_BOTH)
    if not all(bound.is_broken_by(water.value(ion)) for ion in BOTH):
        return False
    if any(is_doubtful(case, ion, "batch") for ion in BOTH):
        return False
    if all(_is_wanted(judge(case, ion, "batch")) for ion in BOTH):
        return False
    return not any(_kettle_clears(case, ion, bound.value) for ion in BOTH)


def _is_wanted(verdict: Verdict | None) -> bool:
    """Whether target or house allow as much of an ion as there is."""
    if verdict is None:
        return False
    return any(
        bound.side == "high"
        and bound.origin in ("target", "house")
        and not bound.is_broken_by(verdict.figure.value)
        for bound in verdict.bounds
    )


def _kettle_clears(case: Case, ion: str, limit: float) -> bool:
    """Whether what `kettle-only-excess` asks for brings the ion within the limit as well."""
    excess = kettle_excess(case, ion) if is_on(case, "kettle-only-excess") else None
    return excess is not None and excess.strictest.value <= limit
