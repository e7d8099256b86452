"""A recipe for another batch size, and doses as the house's scale can weigh them."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from decimal import ROUND_HALF_UP, Decimal
from math import floor, log10

from waterlint.catalog.catalog import Catalog
from waterlint.hints import Final, Literal
from waterlint.model.recipe import Addition, Dose, Recipe
from waterlint.prediction.compounds import find_compound
from waterlint.prediction.doses import LIQUOR_VESSELS
from waterlint.project.config import Scale
from waterlint.records import Record, replace
from waterlint.units import Quantity, QuantityError, parse

FIGURES: Final = 3
"""Significant figures of a scaled volume or mass of grist; common practice: half a percent, less
than a sight glass or a grain scale leaves open."""

IN_PROPORTION: Final = (
    "Water, grist and doses are in proportion to the batch, so that every concentration and the "
    "mash pH stay as they are."
)
UNCHANGED: Final = "Times, temperatures and the mill gap are the recipe's."
"""What `scale_recipe` does and leaves, for who brews by it."""

_UNIT = re.compile(r"[^\d.,±<+/\-\s].*$")


def scale_recipe(recipe: Recipe, factor: float) -> Recipe:
    """The recipe for a batch `factor` times as large.

    Parameters
    ----------
    recipe : Recipe
    factor : float
        Above 0.

    Returns
    -------
    Recipe
        With the same pointers. All volumes, the grist and all doses by mass or volume are in
        proportion; doses by rate, times, temperatures and the mill gap stay.

    Notes
    -----
    Evaporation and losses are taken in proportion too, since only then is the wort's water the
    same. A kettle's own are not: the sheet says so and shows what it reckons with.
    """
    batch = recipe.batch
    return replace(
        recipe,
        batch=replace(
            batch,
            volume=_times(batch.volume, factor),
            evaporation=None if batch.evaporation is None else _times(batch.evaporation, factor),
            losses=None if batch.losses is None else _times(batch.losses, factor),
        ),
        vessels={
            name: replace(vessel, volume=_times(vessel.volume, factor))
            for name, vessel in recipe.vessels.items()
        },
        grist=tuple(replace(malt, mass=_times(malt.mass, factor)) for malt in recipe.grist),
        additions=tuple(
            replace(
                addition,
                doses=tuple(
                    dose
                    if "/" in dose.amount.unit
                    else replace(dose, amount=_times(dose.amount, factor))
                    for dose in addition.doses
                ),
            )
            for addition in recipe.additions
        ),
    )


def _times(quantity: Quantity, factor: float) -> Quantity:
    return Quantity(
        quantity.value * factor,
        quantity.unit,
        None if quantity.sd is None else quantity.sd * factor,
        # What was written no longer holds; its unit still tells how the brewer reckons.
        quantity.text,
        quantity.resolution * factor,
    )


def own_unit(kind: Literal["volume", "mass"], quantity: Quantity) -> tuple[str, float]:
    """The unit in which a volume or mass is written, and its size in the canonical one.

    Examples
    --------
    >>> own_unit("volume", Quantity(57.0, "L", text="15 US gal"))
    ('US gal', 3.785411784)
    """
    found = _UNIT.search(quantity.text)
    unit = found.group().strip() if found else quantity.unit
    try:
        return unit, parse(kind, f"1 {unit}").value
    except QuantityError:
        return quantity.unit, 1.0


def round_figures(recipe: Recipe) -> Recipe:
    """The recipe with volumes and grist of as many figures as one can measure, in its units."""
    return replace(
        recipe,
        batch=replace(
            recipe.batch,
            volume=_rounded("volume", recipe.batch.volume),
            evaporation=_maybe(recipe.batch.evaporation),
            losses=_maybe(recipe.batch.losses),
        ),
        vessels={
            name: replace(vessel, volume=_rounded("volume", vessel.volume))
            for name, vessel in recipe.vessels.items()
        },
        grist=tuple(replace(malt, mass=_rounded("mass", malt.mass)) for malt in recipe.grist),
    )


def _maybe(quantity: Quantity | None) -> Quantity | None:
    return None if quantity is None else _rounded("volume", quantity)


def _rounded(kind: Literal["volume", "mass"], quantity: Quantity) -> Quantity:
    if not quantity.value > 0.0:
        return quantity
    size = own_unit(kind, quantity)[1]
    value = quantity.value / size
    step = Decimal(1).scaleb(floor(log10(value)) + 1 - FIGURES)
    return replace(quantity, value=float(on_grid(value, step)) * size)


def on_grid(value: float, step: Decimal) -> Decimal:
    """The nearest multiple of `step`, half of one upwards.

    Examples
    --------
    >>> on_grid(1.86, Decimal("0.1")), on_grid(11.75, Decimal("0.5")), on_grid(0.02, Decimal("0.1"))
    (Decimal('1.9'), Decimal('12.0'), Decimal('0.0'))
    """
    # Rounded first, so that what floats leave of a half is a half.
    steps = Decimal(repr(round(value / float(step), 6)))
    return steps.quantize(Decimal(1), ROUND_HALF_UP) * step


class Portion(Record):
    """A dose as it is measured out.

    Attributes
    ----------
    addition : Addition
    dose : Dose
        As the recipe has it.
    unit : str
        ``g`` or ``mL``: of `exact` and `amount`.
    exact : float
        What the recipe asks for.
    step : Decimal
        Of the scale or the measure.
    amount : Decimal
        On its grid.
    milliliters : Decimal or None
        Of a liquid that is weighed: its volume on the measure's grid; `None` where that shows
        nothing, or the density is not known.
    """

    addition: Addition
    dose: Dose
    unit: str
    exact: float
    step: Decimal
    amount: Decimal
    milliliters: Decimal | None = None


def portions(recipe: Recipe, catalog: Catalog, scale: Scale) -> list[Portion]:
    """Every dose of a recipe as it is measured out; a liquid on whichever tool is finer.

    Parameters
    ----------
    recipe : Recipe
    catalog : Catalog
    scale : Scale

    Returns
    -------
    list of Portion
        In the order of the file.
    """
    volumes = {name: vessel.volume.value for name, vessel in recipe.vessels.items()}
    return [
        _portion(addition, dose, volumes, catalog, scale)
        for addition in recipe.additions
        for dose in addition.doses
    ]


def _portion(
    addition: Addition, dose: Dose, volumes: Mapping[str, float], catalog: Catalog, scale: Scale
) -> Portion:
    unit, _, rate = dose.amount.unit.partition("/")
    places = LIQUOR_VESSELS if dose.place == "liquor" else (dose.place,)
    water = sum(volumes.get(place, 0.0) for place in places)
    exact = dose.amount.value * (water if rate else 1.0)
    by_mass, by_volume = Decimal(str(scale.mass_g)), Decimal(str(scale.volume_ml))
    compound = find_compound(addition, catalog)
    density = None if isinstance(compound, str) else compound.density
    if not density:
        step = by_volume if unit == "mL" else by_mass
        return Portion(addition, dose, unit, exact, step, on_grid(exact, step))
    milliliters = exact if unit == "mL" else exact / density
    if unit == "mL" and scale.volume_ml <= scale.mass_g / density:
        return Portion(addition, dose, unit, exact, by_volume, on_grid(exact, by_volume))
    measured = on_grid(milliliters, by_volume)
    grams = milliliters * density
    return Portion(addition, dose, "g", grams, by_mass, on_grid(grams, by_mass), measured or None)


def with_portions(recipe: Recipe, measured: Sequence[Portion], *, rounded: bool = True) -> Recipe:
    """The recipe with its doses as they are measured out, so that this is what is predicted.

    Parameters
    ----------
    recipe : Recipe
    measured : sequence of Portion
        Of this recipe.
    rounded : bool
        Otherwise what the recipe asks for, by the tool that it is measured with.
    """
    by_pointer = {portion.dose.pointer: portion for portion in measured}

    def dose(old: Dose) -> Dose:
        portion = by_pointer[old.pointer]
        value = float(portion.amount) if rounded else portion.exact
        return replace(old, amount=Quantity(value, portion.unit, text=old.amount.text))

    return replace(
        recipe,
        additions=tuple(
            replace(addition, doses=tuple(dose(each) for each in addition.doses))
            for addition in recipe.additions
        ),
    )
