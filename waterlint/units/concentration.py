"""Units of what is dissolved: they depend on the substance, and on what a laboratory counts.

A concentration becomes mg/L of the substance itself. Alkalinity and hardness become mg/L as
CaCO3, 50.04 of it to the milliequivalent.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from types import MappingProxyType

from waterlint.hints import Final
from waterlint.records import Record
from waterlint.units.table import GRAIN, IMPERIAL_GALLON, US_GALLON, Kind, Unit, spelled, spellings

_MASS_UNITS: Final = {"mg/l": 1.0, "ug/l": 1e-3, "ppm": 1.0}
"""Factors to mg/L. One ppm is taken as 1 mg/L: a litre of water weighs a kilogram."""

_DEGREES: Final = ("°dh", "°fh", "°e", "gpg")


class Substance(Record):
    """What can be told about a dissolved substance.

    Attributes
    ----------
    formula : str
        What its milligrams are counted as, if nothing else is said.
    bases : tuple of str
        What else they can be counted as.
    charge : int
        Milliequivalents to the millimole; 0 where the question has no answer.
    degrees : bool
        Whether degrees of hardness are used for it.
    """

    formula: str
    bases: tuple[str, ...] = ()
    charge: int = 0
    degrees: bool = False


SUBSTANCES: Final[Mapping[str, Substance]] = MappingProxyType(
    {
        "calcium": Substance("Ca", ("CaCO3",), 2, degrees=True),
        "magnesium": Substance("Mg", ("CaCO3",), 2, degrees=True),
        "sodium": Substance("Na", (), 1),
        "potassium": Substance("K", (), 1),
        "ammonium": Substance("NH4", ("N",), 1),
        "iron": Substance("Fe", (), 2),
        "manganese": Substance("Mn", (), 2),
        "copper": Substance("Cu", (), 2),
        "chloride": Substance("Cl", (), 1),
        "sulfate": Substance("SO4", ("S",), 2),
        "nitrate": Substance("NO3", ("N",), 1),
        "nitrite": Substance("NO2", ("N",), 1),
        "fluoride": Substance("F", (), 1),
        "bicarbonate": Substance("HCO3", ("CaCO3",), 1, degrees=True),
        "carbonate": Substance("CO3", ("CaCO3",), 2, degrees=True),
        "phosphate": Substance("PO4"),
        "silica": Substance("SiO2"),
        "chlorine": Substance("Cl2"),
        "chloramine": Substance("Cl2", ("NH2Cl",)),
        "lactate": Substance("C3H5O3", (), 1),
        "citrate": Substance("C6H5O7"),
        "sulfite": Substance("SO3"),
        "alkalinity": Substance("CaCO3", ("HCO3",), 2, degrees=True),
        "residual_alkalinity": Substance("CaCO3", ("HCO3",), 2, degrees=True),
        "hardness": Substance("CaCO3", ("Ca", "Mg"), 2, degrees=True),
    }
)
"""By name. The last three are sums counted as CaCO3, with two milliequivalents to its mole."""

_PLAIN: Final = Substance("")
"""A sum such as dissolved solids: milligrams and nothing else."""

_PER_MILLIGRAM: Final = {"Ca": 2, "Mg": 2, "CaCO3": 2, "HCO3": 1, "CO3": 2}
"""Charges of what is converted by equivalents; all other bases are converted by atoms."""


def substance_of(kind: Kind, substance: str | None) -> tuple[str, Substance]:
    """The substance that a quantity of this kind is about, with its name for sentences."""
    name = substance or "" if kind.name == "concentration" else kind.name
    return name.replace("_", " "), SUBSTANCES.get(name, _PLAIN)


def bases(what: Substance) -> tuple[str, ...]:
    """Everything that milligrams of the substance can be counted as, the usual one first."""
    return (what.formula, *what.bases) if what.formula else ()


def base_units(kind: Kind, substance: str | None) -> tuple[str, ...]:
    """The units that are offered for a substance, without a basis."""
    _, what = substance_of(kind, substance)
    units = ["mg/L", "µg/L", "ppm"]
    if what.formula:
        units.append("mmol/L")
    if what.charge:
        units.append("mEq/L")
    if what.degrees:
        units += ["°dH", "°fH", "°e", "gpg"]
    return tuple(units)


def split_basis(unit: str) -> tuple[str, str | None]:
    """The unit and its basis as they are compared: ``mg/L as CaCO3`` → ``mg/l``, ``caco3``."""
    base, found, basis = spelled(unit).partition(" as ")
    return base.strip(), basis.strip() if found else None


def find_base(kind: Kind, substance: str | None, base: str) -> str | None:
    """The unit without basis that is written like this for a substance, as it is shown."""
    for symbol in base_units(kind, substance):
        if base in spellings(symbol):
            return symbol
    return None


@lru_cache(maxsize=512)
def find_chemical_unit(kind: Kind, substance: str | None, unit: str) -> Unit | None:
    """The unit that is written like this for a substance, `None` where it makes no sense."""
    _, what = substance_of(kind, substance)
    base, written_basis = split_basis(unit)
    symbol = find_base(kind, substance, base)
    if symbol is None:
        return None
    base = spelled(symbol)
    basis: str | None = what.formula
    if written_basis is not None:
        basis = {spelled(each): each for each in bases(what)}.get(written_basis)
        if basis is None or base in _DEGREES or base == "meq/l":
            return None
    canonical = "mg/L" if kind.name == "concentration" else "mg/L as CaCO3"
    return Unit(unit, canonical, _factor(kind, what, base, basis or "", written_basis is None))


def _factor(kind: Kind, what: Substance, base: str, basis: str, default: bool) -> float:
    if base in _MASS_UNITS:
        return _MASS_UNITS[base] * _from_basis(what, basis)
    if base in _DEGREES:
        return _degree(base) * _from_basis(what, "CaCO3")
    if base == "mmol/l" and not (default and kind.name.endswith("alkalinity")):
        return _molar_mass(basis) * _from_basis(what, basis)
    # Milliequivalents; a laboratory's mmol/L of alkalinity is one of acid, so it counts alike.
    return _molar_mass(what.formula) / what.charge


def _from_basis(what: Substance, basis: str) -> float:
    """Milligrams of the substance to one milligram of what was counted."""
    if basis == what.formula:
        return 1.0
    if basis in _PER_MILLIGRAM:
        counted = _molar_mass(basis) / _PER_MILLIGRAM[basis]
        return _molar_mass(what.formula) / _PER_MILLIGRAM[what.formula] / counted
    # One atom of nitrogen or sulfur, or one molecule of chloramine for the chlorine in it.
    return _molar_mass(what.formula) / _molar_mass(basis)


def _degree(base: str) -> float:
    """One degree of hardness [mg/L as CaCO3], by the degrees' definitions."""
    if base == "°dh":
        return 10.0 * _molar_mass("CaCO3") / _molar_mass("CaO")
    return {
        "°fh": 10.0,
        "°e": GRAIN * 1e3 / IMPERIAL_GALLON,
        "gpg": GRAIN * 1e3 / US_GALLON,
    }[base]


def _molar_mass(formula: str) -> float:
    # Imported here: most files need no molar mass, and start-up counts.
    from waterlint.chemistry.formulas import molar_mass

    return molar_mass(formula)
