"""Targets and ranges of the house that no rule of their own speaks for."""

from __future__ import annotations

from collections.abc import Iterator

from waterlint.finding import Finding
from waterlint.hints import Final
from waterlint.model.recipe import Recipe, Target
from waterlint.rules.ion_rules import ION_RULES
from waterlint.rules.range_findings import beyond, title_of
from waterlint.rules.ranges import Bound, judge
from waterlint.rules.registry import Case, once, rule
from waterlint.rules.samples import recipe_example

#: The figures, by quantity and vessel, whose own rule tells a missed target.
NAMED: Final = frozenset(
    {
        ("mash_ph", "mash"),
        ("calcium", "mash"),
        ("alkalinity", "sparge"),
        ("chloride_to_sulfate", "batch"),
        *((row.ion, "batch") for row in ION_RULES),
    }
)


@rule(
    "target-missed",
    subject="recipe",
    levels=("warning",),
    group="The whole batch",
    what=(
        "A target of the recipe, or a range of the house, that a predicted figure misses and no "
        "other rule is about: alkalinity, nitrate, colour, a target of one vessel. Also a target "
        "for a water that the recipe does not have."
    ),
    why="Who writes a target wants to hear when a change of water or dose takes the beer off it.",
    limits=("the range that recipe or house states — their own",),
    configure="Change the target, or the range in waterlint.yaml.",
    failing=recipe_example("targets: {alkalinity: .. 30 mg/L as CaCO3}"),
    passing=recipe_example("targets: {alkalinity: .. 120 mg/L as CaCO3}"),
)
def target_missed(case: Case) -> Iterator[Finding]:
    """Each target and range of the house that is missed."""
    assert case.recipe is not None
    for target in case.recipe.targets:
        if target.vessel != "batch" and target.vessel not in case.recipe.vessels:
            yield _without_water(case, target)
    for quantity, vessel in wanted_figures(case):
        verdict = None if (quantity, vessel) in NAMED else judge(case, quantity, vessel)
        bound = None if verdict is None else verdict.broken
        if verdict is None or bound is None:
            continue
        yield beyond(
            case,
            "target-missed",
            verdict,
            bound,
            pointer=bound.pointer or (_color_pointer(case.recipe) if quantity == "color" else ""),
            help=_advice(quantity, bound),
        )


@once
def wanted_figures(case: Case) -> list[tuple[str, str]]:
    """Every figure, by quantity and vessel, that the recipe or the house has a range for."""
    assert case.recipe is not None
    settings = case.settings
    house = {*settings.ranges, *settings.style_ranges}
    return list(
        dict.fromkeys(
            [
                *[(target.quantity, target.vessel) for target in case.recipe.targets],
                *[(name, "mash" if name == "mash_ph" else "batch") for name in sorted(house)],
            ]
        )
    )


def _color_pointer(recipe: Recipe) -> str:
    return "/grist" if recipe.color is None else "/color"


def _advice(quantity: str, bound: Bound) -> str:
    wish = "the target" if bound.origin == "target" else "the range in waterlint.yaml"
    if quantity == "color":
        return f"Change the dark malts, or {wish}."
    return f"Change the doses or the share of distilled or reverse-osmosis water, or {wish}."


def _without_water(case: Case, target: Target) -> Finding:
    return case.finding(
        "target-missed",
        "warning",
        target.pointer,
        f"the recipe has no {target.vessel} water, so nothing meets this target for "
        f"{title_of(target.quantity, target.vessel)}",
        help=f"Leave the target out, or describe the water under `water.{target.vessel}`.",
        basis=f"the recipe's own target, `{target.range.text}`",
        quantity=target.quantity,
        vessel=target.vessel,
        low=target.range.low,
        high=target.range.high,
        unit=target.range.unit,
    )
