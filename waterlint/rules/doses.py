"""Whether a dose can be weighed, and whether it does anything."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from waterlint.catalog import limits
from waterlint.catalog.additives import Additive
from waterlint.finding import Finding
from waterlint.model.recipe import Addition, Dose, Recipe
from waterlint.prediction.doses import LIQUOR_VESSELS
from waterlint.prediction.result import Prediction, WaterFigures
from waterlint.records import Record
from waterlint.rules import analyses
from waterlint.rules.registry import Case, once, rule
from waterlint.rules.samples import recipe_example
from waterlint.rules.wording import apart, number

#: A hair's breadth for the arithmetic: exactly at a limit is within it.
HAIR = 1e-9


class Measured(Record, frozen=False):
    """A dose with its additive and what is put on the scale or into the measure.

    Attributes
    ----------
    addition : Addition
    additive : Additive
    dose : Dose
    amount : float
        [`unit`]
    unit : str
        ``g`` or ``mL``.
    """

    addition: Addition
    additive: Additive
    dose: Dose
    amount: float
    unit: str


def volume_of(recipe: Recipe, place: str) -> float:
    """The liquid that a dose in a place goes into [L].

    The mash's, the sparge's and the liquor's is their own water; kettle and fermenter hold the
    batch.
    """
    if place in ("kettle", "fermenter"):
        return recipe.batch.volume.value
    vessels = recipe.vessels
    names = LIQUOR_VESSELS if place == "liquor" else (place,)
    return sum([vessels[name].volume.value for name in names if name in vessels], 0.0)


@once
def measured_doses(case: Case) -> tuple[Measured, ...]:
    """Every dose of a known additive as it is measured out; rates are counted by their water."""
    recipe = case.recipe
    assert recipe is not None
    found: list[Measured] = []
    for addition in recipe.additions:
        additive = case.catalog.additives.get(addition.name)
        if additive is None:
            continue
        for dose in addition.doses:
            amount, unit = dose.amount.value, dose.amount.unit
            if "/" in unit:
                unit = unit.partition("/")[0]
                amount *= _water_for_rate(recipe, dose.place)
            found.append(Measured(addition, additive, dose, amount, unit))
    return tuple(found)


def pure_grams(item: Measured) -> float:
    """Mass of the substance in a dose [g], 0 where it cannot be told."""
    strength = item.additive.default_strength
    if item.addition.strength is not None:
        strength = item.addition.strength.value
    share = 1.0 if strength is None else strength / 100.0
    if item.unit == "g":
        return item.amount * share
    density = item.additive.density(100.0 * share)
    if item.addition.density is not None:
        return item.amount * item.addition.density.value * share
    return 0.0 if density is None else item.amount * density.value * share


def _water_for_rate(recipe: Recipe, place: str) -> float:
    """A rate counts by a vessel's own water, also in the fermenter [L]."""
    if place == "fermenter":
        vessel = recipe.vessels.get("fermenter")
        return 0.0 if vessel is None else vessel.volume.value
    return volume_of(recipe, place)


@rule(
    "below-scale",
    subject="recipe",
    levels=("warning",),
    group="Additions",
    what=(
        "A dose under twice the resolution of the house's scale, or of its measure for what is "
        "dosed by volume. A rate is counted by the water it is meant for. A sulfite, whose dose "
        "may be three times what is needed, is told only where the scale does not show it."
    ),
    why=(
        "Rounding at the tare and at the reading leaves a fifth and more of such a dose open. "
        "What is weighed is then not what was computed."
    ),
    limits=(limits.BELOW_SCALE.line,),
    configure="`scale: {mass: 0.01 g, volume: 0.1 mL}` in waterlint.yaml.",
    failing=recipe_example("additions: [{add: gypsum, mash: 0.15 g}]"),
    passing=recipe_example("additions: [{add: gypsum, mash: 0.2 g}]"),
)
def below_scale(case: Case) -> Iterator[Finding]:
    """Each dose that the scale or the measure cannot tell well from nothing."""
    limit, scale = limits.BELOW_SCALE, case.settings.scale
    mass, volume = limit.floor * scale.mass_g, limit.floor * scale.volume_ml
    for item in measured_doses(case):
        if item.amount >= (mass if item.unit == "g" else volume):
            continue  # as nearly all
        if not _is_below_scale(case, item):
            continue
        resolution = _resolution(case, item)
        least = limit.floor * resolution
        tool = "scale" if item.unit == "g" else "measure"
        solution = (
            " Or dissolve a weighable amount in water and dose a part of the solution."
            if item.unit == "g"
            else " Or measure it by mass, or in a thinner grade."
        )
        yield case.finding(
            "below-scale",
            "warning",
            item.dose.pointer,
            f"{apart(item.amount, least)} {item.unit} of {item.additive.title} is under "
            f"{number(least)} {item.unit}, {number(limit.floor)} times the resolution of the "
            f"{tool}",
            help=(
                "Leave it out where it matters little, or state the finer `scale` that it is "
                f"measured with in waterlint.yaml.{solution}"
            ),
            basis=limit.basis,
            quantity="dose",
            vessel=item.dose.place,
            value=item.amount,
            low=least,
            unit=item.unit,
        )


def _resolution(case: Case, item: Measured) -> float:
    scale = case.settings.scale
    return scale.mass_g if item.unit == "g" else scale.volume_ml


def _is_below_scale(case: Case, item: Measured) -> bool:
    resolution = _resolution(case, item)
    # A sulfite may be between once and three times what the chlorine asks for, so half a step
    # more or less is no matter.
    steps = 0.5 if item.additive.role == "sulfite" else limits.BELOW_SCALE.floor
    return 0.0 < item.amount < steps * resolution * (1.0 - HAIR)


#: The sound recipe a hundred times as large: what the scale shows can be nothing there.
_BREWHOUSE = (
    "batch: {volume: 20 hL, evaporation: 3 hL, losses: 1 hL}",
    "  mash: {volume: 15 hL, from: ./well.yaml}",
    "  sparge: {volume: 13.5 hL, from: ./well.yaml}",
    "  - {malt: pale malt, kind: pale, mass: 450 kg, color: 6 EBC}",
)


@rule(
    "negligible-addition",
    subject="recipe",
    levels=("note",),
    group="Additions",
    what=(
        "A dose that changes no ion of its water by 1 mg/L and its alkalinity by less than "
        "1 mg/L as CaCO3, which moves no mash by 0.01 pH. Sulfites, whose work is done in smaller "
        "amounts, and chalk are left to their own rules."
    ),
    why="It is weighed, written down and stirred in on every brew day, and does nothing.",
    limits=(limits.NEGLIGIBLE_ION.line, limits.NEGLIGIBLE_PH.line),
    configure="`levels: {negligible-addition: off}`.",
    failing=recipe_example(*_BREWHOUSE, "additions: [{add: gypsum, kettle: 2 g}]"),
    passing=recipe_example(*_BREWHOUSE, "additions: [{add: gypsum, kettle: 200 g}]"),
)
def negligible_addition(case: Case) -> Iterator[Finding]:
    """Each dose that its water hardly notices."""
    prediction = case.prediction
    if prediction is None:
        return
    limit = limits.NEGLIGIBLE_ION
    changes: dict[str, Mapping[str, tuple[float, str]]] = {}
    for item, water in _slight_doses(case, prediction):
        if item.additive.role == "sulfite" or _is_chalk(item.additive):
            continue
        if analyses.is_on(case, "below-scale") and _is_below_scale(case, item):
            continue
        if item.dose.place not in changes:
            changes[item.dose.place] = _largest_changes(water)
        change = changes[item.dose.place].get(item.dose.pointer, (0.0, ""))
        if change[0] >= limit.floor * (1.0 - HAIR):
            continue
        yield case.finding(
            "negligible-addition",
            "note",
            item.dose.pointer,
            f"this {item.additive.title} changes no ion of its water by {number(limit.floor)} "
            f"mg/L and no pH by {number(limits.NEGLIGIBLE_PH.floor)}"
            + (f"; the most is {number(change[0], 2)} {_unit_of(change[1])}" if change[1] else ""),
            help="Leave it out.",
            basis=limit.basis,
            quantity=change[1] or None,
            vessel=item.dose.place,
            value=change[0],
            low=limit.floor,
            unit="mg/L",
        )


def _slight_doses(case: Case, prediction: Prediction) -> Iterator[tuple[Measured, WaterFigures]]:
    """The doses that may be negligible, each with its water; hardly any is."""
    most = limits.NEGLIGIBLE_ION.floor * (1.0 + HAIR)
    # What the whole batch notices, a part of it does.
    batch = {} if prediction.batch_water is None else prediction.batch_water.largest_changes
    if batch and min(batch.values()) >= most:
        return
    largest: dict[str, Mapping[str, float]] = {}
    for item in measured_doses(case):
        place, pointer = item.dose.place, item.dose.pointer
        water = _water_of(prediction, place)
        if water is None or pointer not in prediction.dose_mass_g:
            continue
        if place not in largest:
            largest[place] = water.largest_changes
        if largest[place].get(pointer, 0.0) < most:
            yield item, water


def _unit_of(changed: str) -> str:
    return "mg/L as CaCO3 of alkalinity" if changed == "alkalinity" else f"mg/L of {changed}"


def _is_chalk(additive: Additive) -> bool:
    return any(form.salt == "calcium_carbonate" for form in additive.forms.values())


def _water_of(prediction: Prediction, place: str) -> WaterFigures | None:
    """The water in which a dose is judged: its vessel's own, else the whole batch's."""
    if place == "sparge":
        return prediction.sparge_water
    if place in ("mash", "liquor") and prediction.mash_water is not None:
        return prediction.mash_water
    return prediction.batch_water


def _largest_changes(water: WaterFigures) -> Mapping[str, tuple[float, str]]:
    """The largest change that each dose makes, and of what [mg/L, alkalinity as CaCO3]."""
    largest: dict[str, tuple[float, str]] = {}
    for ion, brought in water.contributions.items():
        for each in brought:
            change = (abs(each.amount), ion)
            largest[each.origin] = max(largest.get(each.origin, change), change)
    return largest
