"""Keys that a recipe must have: the format's, the house's, and those its own doses ask for."""

from __future__ import annotations

from collections.abc import Iterator

from waterlint.finding import Finding
from waterlint.model.recipe import VESSELS, Recipe
from waterlint.prediction.doses import LIQUOR_VESSELS
from waterlint.rules.file import FORMAT
from waterlint.rules.registry import Case, Example, rule
from waterlint.rules.samples import recipe, recipe_example
from waterlint.rules.traits import traits_of


@rule(
    "missing-key",
    subject="recipe",
    levels=("error",),
    group="The file",
    excusable=False,
    what=(
        "A key that the format requires or that the house's `require` asks for; also the water "
        "of a vessel that an addition goes into."
    ),
    why="Without it the recipe or report cannot be computed, or not as this house wants it.",
    limits=(
        f"the required keys — {FORMAT}",
        "`require` — the house's own configuration; none unless set",
    ),
    configure="`require: [color, style]` in waterlint.yaml asks for more than the format does.",
    failing=Example(recipe(without=["batch"])),
    passing=recipe_example(),
)
def missing_keys(case: Case) -> Iterator[Finding]:
    """What the configuration asks of every recipe, and what the recipe's own doses ask of it."""
    yield from _required(case)
    if "unweighed" in traits_of(case):
        yield from _vessels_of_doses(case)


def _required(case: Case) -> Iterator[Finding]:
    assert case.recipe is not None
    for key in case.settings.require:
        if key in case.recipe.keys:
            continue
        origin = case.settings.origin.get("require", "the configuration")
        yield case.finding(
            "missing-key",
            "error",
            "",
            f"the recipe has no `{key}`, which this house requires of every recipe",
            help=f"Add a line `{key}: …`, or take `{key}` out of `require` in the configuration.",
            basis=f"`require` in {origin}",
            quantity=key,
        )


def _vessels_of_doses(case: Case) -> Iterator[Finding]:
    """The first dose into each vessel that has no water to take it."""
    recipe = case.recipe
    assert recipe is not None
    told: set[str] = set()
    for addition in recipe.additions:
        for dose in addition.doses:
            is_rate = "/" in dose.amount.unit
            if dose.place in told or not _lacks_water(recipe, dose.place, is_rate):
                continue
            told.add(dose.place)
            where = "no brewing water" if dose.place == "liquor" else f"no {dose.place} water"
            yield case.finding(
                "missing-key",
                "error",
                dose.pointer,
                f"the recipe has {where} that this {addition.name} could go into",
                help=(
                    f"Add `water.{dose.place}` with its volume, or dose where there is water."
                    if dose.place in VESSELS
                    else "Add the vessels under `water`, or dose where there is water."
                ),
                basis=FORMAT,
                quantity="water",
                vessel=dose.place,
            )


def _lacks_water(recipe: Recipe, place: str, is_rate: bool) -> bool:
    """Whether a dose finds nothing to dissolve in, or a rate nothing to count by."""
    if place == "liquor":
        return not any(vessel in recipe.vessels for vessel in LIQUOR_VESSELS)
    if place in ("kettle", "fermenter") and not is_rate:
        return False
    return place not in recipe.vessels
