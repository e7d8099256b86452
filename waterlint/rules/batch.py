"""The whole batch: each ion against its range, the ratio of two of them, and their sum."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from waterlint.catalog import limits
from waterlint.finding import Finding
from waterlint.prediction.result import Figure
from waterlint.rules.analyses import is_on
from waterlint.rules.kettle_dose import kettle_excess
from waterlint.rules.limit_lines import lines
from waterlint.rules.practice import practice_excess
from waterlint.rules.range_findings import beyond, limit_text, source_pointer
from waterlint.rules.ranges import (
    Bound,
    Verdict,
    bounds_of,
    is_ratio_meaningless,
    judge,
    style_of,
    water_of,
)
from waterlint.rules.registry import Case, Check, Example, rule
from waterlint.rules.samples import recipe_example
from waterlint.rules.wording import number

_DISTILLED: Final = (
    "  mash: {volume: 15 L, from: distilled}",
    "  sparge: {volume: 13.5 L, from: distilled}",
)


@dataclass(frozen=True, slots=True)
class IonRule:
    """What differs between the rules on single ions."""

    ion: str
    why: str
    too_high: str
    failing: Example
    passing: Example
    too_low: str = ""
    styled: bool = False


ION_RULES: Final = (
    IonRule(
        "calcium",
        why=(
            "Calcium takes oxalate out as stone before it gets into casks and lines, helps yeast "
            "to settle and the boil to clear. Too much of it takes phosphate from the yeast and "
            "tastes of minerals."
        ),
        too_high="Use less of the calcium salts, or dilute with a softer water.",
        too_low="Add gypsum or calcium chloride, whichever of sulfate and chloride is wanted.",
        failing=recipe_example(*_DISTILLED),
        passing=recipe_example(),
        styled=True,
    ),
    IonRule(
        "magnesium",
        why=(
            "Malt brings more magnesium than yeast needs. Beyond a little more of it beer turns "
            "sour and bitter, and at worst it acts as a laxative."
        ),
        too_high="Use less Epsom salt or magnesium chloride, or dilute with a softer water.",
        failing=recipe_example("additions: [{add: epsom-salt, mash: 10 g}]"),
        passing=recipe_example("additions: [{add: epsom-salt, mash: 2 g}]"),
    ),
    IonRule(
        "sodium",
        why=(
            "Some sodium rounds malt and roast; more of it tastes of salt, and beside much "
            "sulfate it is harsh."
        ),
        too_high="Use less table salt or baking soda, or dilute a sodium-rich water.",
        failing=recipe_example("additions: [{add: table-salt, mash: 8 g}]"),
        passing=recipe_example("additions: [{add: table-salt, mash: 2 g}]"),
        styled=True,
    ),
    IonRule(
        "potassium",
        why=(
            "Malt brings some 500 mg/L of potassium itself. What water adds has no use, and much "
            "of it tastes salty and slows enzymes."
        ),
        too_high=(
            "Replace potassium salts by those of sodium or calcium, or dilute with a softer water."
        ),
        failing=recipe_example("additions: [{add: potassium-chloride, mash: 2 g}]"),
        passing=recipe_example("additions: [{add: potassium-chloride, mash: 0.5 g}]"),
    ),
    IonRule(
        "chloride",
        why=(
            "Chloride fills out malt. Far above its range beer tastes salty and blunt, and "
            "stainless steel pits."
        ),
        too_high="Use less calcium chloride or table salt, or dilute a chloride-rich water.",
        failing=recipe_example("additions: [{add: calcium-chloride, form: dihydrate, mash: 9 g}]"),
        passing=recipe_example("additions: [{add: calcium-chloride, form: dihydrate, mash: 3 g}]"),
    ),
    IonRule(
        "sulfate",
        why=(
            "Sulfate dries the finish and sharpens hops. How much of it a beer bears is a matter "
            "of its style; far above that it is harsh, and yeast makes sulfur notes of it."
        ),
        too_high="Use less gypsum or Epsom salt, or dilute a sulfate-rich water.",
        failing=recipe_example(
            "style: blonde-ale", "additions: [{add: gypsum, mash: 6 g, sparge: 5 g}]"
        ),
        passing=recipe_example("style: blonde-ale", "additions: [{add: gypsum, mash: 3 g}]"),
        styled=True,
    ),
)


def _register(row: IonRule) -> Check:
    name = f"batch-{row.ion}"

    @rule(
        name,
        subject="recipe",
        levels=("note", "warning"),
        group="The whole batch",
        what=(
            f"The {row.ion} that all waters and all additions bring to the whole batch, over all "
            "its water, against the range of the recipe, the house, the style or any beer. Where "
            "a rule says more of the same excess, such as `kettle-only-excess`, this one is silent."
        ),
        why=row.why,
        limits=lines(name, row.ion if row.styled else ""),
        configure=(
            f"`ranges: {{{row.ion}: 20 .. 90 mg/L}}` in waterlint.yaml for the house or for paths, "
            f"`targets: {{{row.ion}: 20 .. 90 mg/L}}` in a recipe; missing either is a warning."
        ),
        failing=row.failing,
        passing=row.passing,
    )
    def check(case: Case) -> Iterator[Finding]:
        return ion_findings(case, row)

    return check


def ion_findings(case: Case, row: IonRule) -> Iterator[Finding]:
    """An ion of the whole batch beyond its range, unless a more telling rule says so."""
    verdict = judge(case, row.ion, "batch")
    bound = None if verdict is None else verdict.broken
    if verdict is None or bound is None or is_told_elsewhere(case, row.ion, bound):
        return
    help = row.too_low if bound.side == "low" else row.too_high
    yield beyond(case, f"batch-{row.ion}", verdict, bound, help=help)


def is_told_elsewhere(case: Case, ion: str, bound: Bound) -> bool:
    """Whether another rule says more of this excess of an ion."""
    if bound.side == "low":
        return False
    if is_on(case, "kettle-only-excess") and kettle_excess(case, ion) is not None:
        return True
    if is_on(case, "dose-beyond-practice") and practice_excess(case, ion) is not None:
        return bound.origin != "target"
    wanted = bound.origin in ("target", "house")
    return not wanted and bound.level == "note" and ion in BOTH and _tells_both(case)


for _row in ION_RULES:
    _register(_row)


@rule(
    "chloride-sulfate-ratio",
    subject="recipe",
    levels=("warning",),
    group="The whole batch",
    what=(
        "Chloride over sulfate by mass in the whole batch, against the recipe's target, the "
        "house's range or the style's. Some texts write it the other way round: sulfate to "
        "chloride of 2 is 0.5 here."
    ),
    why=(
        "At amounts that can be tasted, more chloride was found to fill out a beer and more "
        "sulfate to dry it, at several levels of both. Of little of either the ratio says "
        "nothing, so a style's or a house's range is then not held up; to a target it is, with "
        "a word about it."
    ),
    limits=lines("chloride-sulfate-ratio", "chloride_to_sulfate"),
    configure=(
        "`ranges: {chloride_to_sulfate: {best-bitter: 0.3 .. 0.9}}` in waterlint.yaml, or "
        "`targets: {chloride_to_sulfate: 0.3 .. 0.9}` in a recipe. Without a style only these "
        "are judged."
    ),
    failing=recipe_example("style: hazy-ipa", "additions: [{add: gypsum, mash: 3 g}]"),
    passing=recipe_example(
        "style: hazy-ipa", "additions: [{add: calcium-chloride, form: dihydrate, mash: 3 g}]"
    ),
)
def chloride_sulfate_ratio(case: Case) -> Iterator[Finding]:
    """The ratio outside the range that holds for it."""
    verdict = judge(case, "chloride_to_sulfate", "batch")
    if verdict is None:
        yield from _no_sulfate(case)
        return
    bound = verdict.broken
    if bound is None:
        return
    more = "chloride" if bound.side == "low" else "sulfate"
    less = "sulfate" if bound.side == "low" else "chloride"
    yield beyond(
        case,
        "chloride-sulfate-ratio",
        verdict,
        bound,
        help=f"Move salts from {less} to {more}: gypsum brings sulfate, calcium chloride chloride.",
        also=_about_amounts(case),
    )


def _about_amounts(case: Case) -> str:
    water = water_of(case.prediction, "batch")
    assert water is not None
    amounts = " and ".join(f"{number(water.ions[ion].value)} mg/L of {ion}" for ion in BOTH)
    if not is_ratio_meaningless(case):
        return f" It is that of {amounts}."
    least = number(limits.RATIO_MEANINGLESS.floor)
    return f" Of {amounts}, both under {least} mg/L, the ratio means little."


def _no_sulfate(case: Case) -> Iterator[Finding]:
    """Chloride without any sulfate: beyond every upper bound, though there is no number for it."""
    water = water_of(case.prediction, "batch")
    if water is None or water.chloride_to_sulfate is not None or is_ratio_meaningless(case):
        return
    high = [
        bound for bound in bounds_of(case, "chloride_to_sulfate", "batch") if bound.side == "high"
    ]
    for bound in high[:1]:
        chloride = number(water.ions["chloride"].value)
        yield case.finding(
            "chloride-sulfate-ratio",
            bound.level,
            bound.pointer or source_pointer(case, "batch"),
            f"the whole batch has {chloride} mg/L of chloride and no sulfate, so chloride to "
            f"sulfate is above any limit, here {limit_text(bound, 'chloride_to_sulfate')}",
            help="Replace some of the chloride salts by gypsum or Epsom salt.",
            basis=bound.basis,
            quantity="chloride_to_sulfate",
            vessel="batch",
            high=bound.value,
            unit="",
        )


BOTH: Final = ("chloride", "sulfate")


@rule(
    "minerals-high",
    subject="recipe",
    levels=("note",),
    group="The whole batch",
    what=(
        "Chloride and sulfate both high in the whole batch, or the sum of all ions. Where both "
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
    both, total = limits.MINERALS_HIGH_BOTH, limits.MINERALS_HIGH_SUM
    water = water_of(case.prediction, "batch")
    style = style_of(case)
    if water is None or (style is not None and "minerals" in style.unchecked):
        return
    pointer = source_pointer(case, "batch")
    help = "Leave out salts of the less wanted of the two, or dilute with a softer water."
    if _tells_both(case):
        lower = min((water.ions[ion] for ion in BOTH), key=lambda figure: figure.value)
        amounts = " and ".join(f"{number(water.ions[ion].value)} mg/L of {ion}" for ion in BOTH)
        yield case.finding(
            "minerals-high",
            both.level,
            pointer,
            f"the whole batch has {amounts}, both above {number(both.ceiling)} mg/L",
            help=help,
            basis=both.basis,
            quantity="chloride_and_sulfate",
            vessel="batch",
            value=lower.value,
            value_low=lower.low,
            value_high=lower.high,
            low=0.0,
            high=both.ceiling,
            unit="mg/L",
        )
        return
    summed = Figure(sum(figure.value for figure in water.ions.values()))
    bound = Bound("high", total.level, total.ceiling, "general", total.basis)
    if bound.is_broken_by(summed.value):
        yield case.finding(
            "minerals-high",
            total.level,
            pointer,
            f"the ions of the whole batch add up to {number(summed.value, 4)} mg/L, above "
            f"{number(total.ceiling)} mg/L",
            help="Use less of the largest additions, or dilute with a softer water.",
            basis=total.basis,
            quantity="ions",
            vessel="batch",
            value=summed.value,
            low=0.0,
            high=total.ceiling,
            unit="mg/L",
        )


def _tells_both(case: Case) -> bool:
    """Whether `minerals-high` speaks for chloride and sulfate together."""
    water = water_of(case.prediction, "batch")
    style = style_of(case)
    if water is None or not is_on(case, "minerals-high"):
        return False
    if style is not None and "minerals" in style.unchecked:
        return False
    limit = limits.MINERALS_HIGH_BOTH
    bound = Bound("high", limit.level, limit.ceiling, "general", limit.basis)
    if not all(bound.is_broken_by(water.ions[ion].value) for ion in BOTH):
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
