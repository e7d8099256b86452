"""What an addition is to chemistry: its pure compound, and what a millimole of it leaves."""

from __future__ import annotations

from functools import lru_cache

from waterlint.catalog.additives import Additive, Form
from waterlint.catalog.catalog import Catalog
from waterlint.chemistry.acids import acid
from waterlint.chemistry.ions import CALCIUM_CARBONATE_EQUIVALENT, IONS
from waterlint.chemistry.salts import salt
from waterlint.hints import Final, Literal
from waterlint.model.recipe import Addition
from waterlint.prediction.rows import (
    ALKALINITY,
    CARBON,
    INDEX,
    IONS_OF_ROWS,
    Sparse,
    row,
    sparse,
)
from waterlint.records import Record, field

Kind = Literal["salt", "acid", "chalk", "sulfite"]

WHOLE: Final = 100.0
"""Strength of a solid without one [% by mass]; definition."""


class Compound(Record):
    """A pure compound as it stands in a product.

    Attributes
    ----------
    substance : str
        Chemistry's name of it.
    kind : str
        How it acts; bases are salts with alkalinity.
    molar_mass : float
        Of the form that is weighed, water of crystallisation included [g/mol].
    per_millimole : Sparse
        What a millimole leaves where it dissolves wholly [mg, mEq, mmol].
    strength : float
        Mass of that form per mass of product [-].
    density, density_sd : float or None, float
        Of a liquid product [g/mL]; `None` where it is not known or the product solid.
    liquid : bool
    largest : float
        The largest of `per_millimole`, see `largest_of`.
    """

    substance: str
    kind: Kind
    molar_mass: float
    per_millimole: Sparse
    strength: float
    liquid: bool
    density: float | None = None
    density_sd: float = 0.0
    largest: float = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "largest", largest_of(self.per_millimole))


def largest_of(amounts: Sparse) -> float:
    """The largest of ions [mg] and of alkalinity [mg as CaCO3], up or down.

    Examples
    --------
    >>> largest_of({INDEX["calcium"]: 40.0, INDEX[ALKALINITY]: -2.0}) > 100.0
    True
    """
    ions = [abs(amount) for place, amount in amounts.items() if place < IONS_OF_ROWS]
    alkalinity = CALCIUM_CARBONATE_EQUIVALENT * abs(amounts.get(INDEX[ALKALINITY], 0.0))
    return max([alkalinity, *ions])


def find_compound(addition: Addition, catalog: Catalog) -> Compound | str:
    """The compound of an addition.

    Parameters
    ----------
    addition : Addition
    catalog : Catalog

    Returns
    -------
    Compound or str
        A sentence on what is missing or unknown, where no dose can be made of it.
    """
    strength, density = addition.strength, addition.density
    key = (
        id(catalog),
        addition.name,
        addition.form,
        None if strength is None else strength.value,
        None if density is None else (density.value, density.sd),
    )
    kept = _FOUND.get(key)
    if kept is None or kept[0] is not catalog:
        if len(_FOUND) >= _FOUND_AT_MOST:
            _FOUND.clear()
        kept = _FOUND[key] = (catalog, _find(addition, catalog))
    return kept[1]


#: Compounds that were found, by the identity of their catalogue: a collection of recipes doses the
#: same few. A catalogue cannot change.
_FOUND: dict[object, tuple[Catalog, Compound | str]] = {}
_FOUND_AT_MOST: Final = 1024


def _find(addition: Addition, catalog: Catalog) -> Compound | str:
    additive = catalog.additives.get(addition.name)
    if additive is None:
        return f"{addition.name} is no known additive"
    form = additive.form(addition.form)
    if form is None and addition.form is None:
        return f"{addition.name}: its form is not stated, so what a gram of it gives is not known"
    if form is None:
        return f"{addition.name} has no form {addition.form!r}"
    strength = additive.default_strength
    if addition.strength is not None:
        strength = addition.strength.value
    if strength is None:
        if additive.needs_strength(addition.form):
            return f"{addition.name}: its strength is not stated"
        strength = WHOLE
    liquid = form.state == "liquid"
    density, density_sd = _density(addition, additive, strength) if liquid else (None, 0.0)
    kind, substance = _kind(additive, form)
    return Compound(
        substance,
        kind,
        additive.molar_mass(form.name),
        _of_acid(substance) if kind == "acid" else _of_salt(substance),
        strength / WHOLE,
        liquid,
        density,
        density_sd,
    )


def _kind(additive: Additive, form: Form) -> tuple[Kind, str]:
    if form.salt is None:
        assert additive.acid is not None
        return "acid", additive.acid
    if additive.role == "sulfite":
        return "sulfite", form.salt
    return ("chalk" if form.salt == "calcium_carbonate" else "salt"), form.salt


def _density(addition: Addition, additive: Additive, strength: float) -> tuple[float | None, float]:
    if addition.density is not None:
        return addition.density.value, addition.density.sd or 0.0
    found = additive.density(strength)
    return (None, 0.0) if found is None else (found.value, found.sd)


@lru_cache(maxsize=64)
def _of_salt(name: str) -> Sparse:
    found = salt(name)
    amounts = {ion: count * IONS[ion].molar_mass for ion, count in found.ions.items()}
    return sparse(row(amounts | {ALKALINITY: found.alkalinity, CARBON: found.inorganic_carbon}))


@lru_cache(maxsize=64)
def _of_acid(name: str) -> Sparse:
    found = acid(name)
    anion = IONS[found.anion].molar_mass
    return sparse(row({found.anion: anion, ALKALINITY: found.alkalinity}))
