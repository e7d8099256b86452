"""Doses: how many grams of product and how many millimoles of pure compound each one is."""

from __future__ import annotations

from collections.abc import Mapping
from math import hypot, sqrt

from waterlint.catalog.catalog import Catalog
from waterlint.hints import Final
from waterlint.model.recipe import Addition, Dose, Recipe
from waterlint.prediction.compounds import Compound, find_compound
from waterlint.project.config import Scale
from waterlint.records import Record

WEIGHINGS_ROUNDED: Final = sqrt(6.0)
"""Resolution over standard deviation of a weighing: rounded at the tare and at the reading,
both uniform; arithmetic."""

LIQUOR_VESSELS: Final = ("mash", "sparge", "kettle")
"""Whose water a dose to the liquor is shared by; the recipe format says so."""

#: Whose water a place's rate is reckoned by, and its doses go into.
_WATER_OF: Final[Mapping[str, tuple[str, ...]]] = {
    "liquor": LIQUOR_VESSELS,
    "mash": ("mash",),
    "sparge": ("sparge",),
    "kettle": ("kettle",),
    "fermenter": ("fermenter",),
}

#: Where wort takes up a dose, water of its own or not.
_WORT_PLACES: Final = frozenset({"kettle", "fermenter"})


class Weighed(Record, frozen=False):
    """A dose as it is weighed or measured.

    Attributes
    ----------
    pointer : str
    place : str
    label : str
        The additive's name.
    compound : Compound
    dissolved : bool
        Of chalk: carbon dioxide was bubbled through.
    mass : float
        Of the product [g].
    amount : float
        Of the pure compound [mmol].
    relative_sd : float
        Of both [-].
    """

    pointer: str
    place: str
    label: str
    compound: Compound
    dissolved: bool
    mass: float
    amount: float
    relative_sd: float


class Unweighed(Record):
    """A dose that could not be computed: where it goes, and why not."""

    place: str
    reason: str
    pointer: str


def weigh(
    recipe: Recipe, volumes: Mapping[str, float], catalog: Catalog, scale: Scale
) -> tuple[list[Weighed], list[Unweighed]]:
    """Work out every dose of a recipe.

    Parameters
    ----------
    recipe : Recipe
    volumes : mapping of str to float
        Of the vessels' own water [L]; a vessel without water may be absent.
    catalog : Catalog
    scale : Scale
        What masses and volumes are measured with.

    Returns
    -------
    tuple of list of Weighed, list of Unweighed
    """
    weighed: list[Weighed] = []
    unweighed: list[Unweighed] = []
    water = {
        place: sum([volumes.get(vessel, 0.0) for vessel in vessels])
        for place, vessels in _WATER_OF.items()
    }
    for addition in recipe.additions:
        compound = find_compound(addition, catalog)
        strength_sd = _strength_sd(addition)
        for dose in addition.doses:
            found: Weighed | str
            found = (
                compound
                if isinstance(compound, str)
                else _weigh(addition, dose, compound, water[dose.place], scale, strength_sd)
            )
            if isinstance(found, str):
                unweighed.append(Unweighed(dose.place, found, addition.pointer))
            else:
                weighed.append(found)
    return weighed, unweighed


def _weigh(
    addition: Addition,
    dose: Dose,
    compound: Compound,
    water: float,
    scale: Scale,
    strength_sd: float,
) -> Weighed | str:
    """A dose into so much water [L]; a sentence where there is no telling how much it is."""
    amount, unit = dose.amount, dose.amount.unit
    by_rate = unit in ("g/L", "mL/L")
    by_mass = unit in ("g", "g/L")
    problem = _problem(addition, dose, compound, water, by_rate, by_mass)
    if problem:
        return problem
    measured = amount.value * (water if by_rate else 1.0)
    density, density_sd, resolution = 1.0, 0.0, scale.mass_g
    if not by_mass:
        assert compound.density
        density, density_sd = compound.density, compound.density_sd / compound.density
        resolution = scale.volume_ml
    relative = 0.0
    if amount.value > 0.0 and amount.sd is None:
        relative = resolution / WEIGHINGS_ROUNDED / measured
    elif amount.value > 0.0 and amount.sd is not None:
        relative = amount.sd / amount.value
    mass = measured * density
    return Weighed(
        dose.pointer,
        dose.place,
        addition.name,
        compound,
        addition.dissolved,
        mass,
        1000.0 * mass * compound.strength / compound.molar_mass,
        hypot(relative, strength_sd, density_sd),
    )


def _problem(
    addition: Addition, dose: Dose, compound: Compound, water: float, by_rate: bool, by_mass: bool
) -> str:
    """Why a dose cannot be weighed; empty where it can."""
    unit = dose.amount.unit
    if not by_mass and unit not in ("mL", "mL/L"):
        return f"{addition.name}: {dose.amount.text or unit!r} is no dose"
    if by_rate and dose.place == "kettle":
        return f"{addition.name}: the kettle takes a mass or a volume, no rate"
    if water <= 0.0 and (by_rate or dose.place not in _WORT_PLACES):
        return f"{addition.name}: there is no {dose.place} water to add it to"
    if by_mass or (compound.liquid and compound.density):
        return ""
    if not compound.liquid:
        return f"{addition.name}: a volume is no dose of a solid"
    return f"{addition.name}: the density at this strength is not known"


def _strength_sd(addition: Addition) -> float:
    strength = addition.strength
    if strength is None or strength.sd is None or not strength.value > 0.0:
        return 0.0
    return strength.sd / strength.value
