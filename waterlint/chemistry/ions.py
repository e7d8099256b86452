"""Ions, equivalents, hardness, residual alkalinity and ion balance.

Every molar mass is computed from a formula (`waterlint.chemistry.formulas`), so that no two
places can disagree about one. Concentrations are mg/L of the ion itself unless said otherwise.

References
----------
P. Kolbach, Monatsschrift fuer Brauerei, 1953, as cited by K. Troester, "The effect of brewing
water and grist composition on the pH of the mash", 2009.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from waterlint.chemistry.formulas import elements, molar_mass
from waterlint.hints import Final, NamedTuple


class Ion(NamedTuple):
    """A dissolved species that a report or a recipe counts.

    Attributes
    ----------
    name : str
        Full name, snake_case.
    formula : str
        Without charge.
    charge : int
        The charge it is counted with in an ion balance [-]; for weak acids that of the
        form prevailing where total alkalinity is zero (H2PO4-, H2 citrate-, HSO3-).
    molar_mass : float
        [g/mol]
    """

    name: str
    formula: str
    charge: int
    molar_mass: float

    @property
    def equivalent_weight(self) -> float:
        """Mass of one mole of charge [mg/mEq]."""
        return self.molar_mass / abs(self.charge)


def _ion(name: str, formula: str, charge: int) -> tuple[str, Ion]:
    return name, Ion(name, formula, charge, molar_mass(formula))


IONS: Final[Mapping[str, Ion]] = MappingProxyType(
    dict(
        (
            _ion("calcium", "Ca", 2),
            _ion("magnesium", "Mg", 2),
            _ion("sodium", "Na", 1),
            _ion("potassium", "K", 1),
            _ion("ammonium", "NH4", 1),
            _ion("iron", "Fe", 2),
            _ion("manganese", "Mn", 2),
            _ion("copper", "Cu", 2),
            _ion("chloride", "Cl", -1),
            _ion("sulfate", "SO4", -2),
            _ion("nitrate", "NO3", -1),
            _ion("nitrite", "NO2", -1),
            _ion("fluoride", "F", -1),
            _ion("bicarbonate", "HCO3", -1),
            _ion("carbonate", "CO3", -2),
            _ion("hydroxide", "OH", -1),
            _ion("lactate", "C3H5O3", -1),
            _ion("phosphate", "PO4", -1),
            _ion("citrate", "C6H5O7", -1),
            _ion("sulfite", "SO3", -1),
        )
    )
)
"""The ions by name. Phosphate, citrate and sulfite are given as mg/L of PO4, C6H5O7 and SO3."""

CALCIUM_CARBONATE_EQUIVALENT: Final = molar_mass("CaCO3") / 2.0
"""mg of CaCO3 per mEq, 50.043; arithmetic."""

KOLBACH_CALCIUM: Final = 3.5
"""Equivalents of calcium that undo one of alkalinity; Kolbach 1953, as cited by Troester 2009."""

KOLBACH_MAGNESIUM: Final = 7.0
"""Equivalents of magnesium that undo one of alkalinity; Kolbach 1953, as cited by Troester 2009."""

_MEQ_PER_MG = {name: 1.0 / ion.equivalent_weight for name, ion in IONS.items()}


def to_milliequivalents(ion: str, milligrams: float) -> float:
    """Convert mg/L of an ion to mEq/L (unsigned).

    Examples
    --------
    >>> round(to_milliequivalents("calcium", 40.078), 6)
    2.0
    """
    return milligrams * _MEQ_PER_MG[ion]


def from_milliequivalents(ion: str, milliequivalents: float) -> float:
    """Convert mEq/L of an ion to mg/L.

    Examples
    --------
    >>> round(from_milliequivalents("calcium", 2.0), 2)
    40.08
    """
    return milliequivalents / _MEQ_PER_MG[ion]


def to_millimoles(ion: str, milligrams: float) -> float:
    """Convert mg/L of an ion to mmol/L.

    Examples
    --------
    >>> round(to_millimoles("sulfate", 96.06), 3)
    1.0
    """
    return milligrams / IONS[ion].molar_mass


def from_millimoles(ion: str, millimoles: float) -> float:
    """Convert mmol/L of an ion to mg/L.

    Examples
    --------
    >>> round(from_millimoles("sulfate", 1.0), 2)
    96.06
    """
    return millimoles * IONS[ion].molar_mass


def as_calcium_carbonate(ion: str, milligrams: float) -> float:
    """Convert mg/L of an ion to mg/L as CaCO3 of the same equivalents.

    Examples
    --------
    >>> round(as_calcium_carbonate("bicarbonate", 121.93), 2)
    100.0
    """
    return to_milliequivalents(ion, milligrams) * CALCIUM_CARBONATE_EQUIVALENT


def from_calcium_carbonate(ion: str, milligrams: float) -> float:
    """Convert mg/L as CaCO3 to mg/L of an ion of the same equivalents.

    Examples
    --------
    >>> round(from_calcium_carbonate("calcium", 100.0), 2)
    40.04
    """
    return from_milliequivalents(ion, milligrams / CALCIUM_CARBONATE_EQUIVALENT)


def reported_as(formula: str, part: str, milligrams: float) -> float:
    """Convert a figure reported as one of a species' elements to the species.

    Parameters
    ----------
    formula : str
        The species, such as ``SO4``.
    part : str
        What the laboratory counted, such as ``S``.
    milligrams : float
        [mg/L as `part`]

    Returns
    -------
    float
        [mg/L as `formula`]

    Examples
    --------
    >>> round(reported_as("NO3", "N", 10.0), 2)
    44.27
    """
    (element, count), *rest = elements(part).items()
    if rest or element not in elements(formula):
        raise ValueError(f"{formula} cannot be reported as {part}")
    share = elements(formula)[element] / count
    return milligrams * molar_mass(formula) / (share * molar_mass(part))


def hardness(calcium: float, magnesium: float) -> float:
    """Total hardness of calcium and magnesium.

    Parameters
    ----------
    calcium, magnesium : float
        [mg/L]

    Returns
    -------
    float
        [mg/L as CaCO3]

    Notes
    -----
    Strontium, iron and other traces are left out, as a brewing report leaves them out.

    Examples
    --------
    >>> round(hardness(0.0, 10.0), 2)
    41.18
    """
    return CALCIUM_CARBONATE_EQUIVALENT * (
        calcium * _MEQ_PER_MG["calcium"] + magnesium * _MEQ_PER_MG["magnesium"]
    )


def residual_alkalinity(alkalinity: float, calcium: float, magnesium: float) -> float:
    """Kolbach's residual alkalinity.

    Parameters
    ----------
    alkalinity : float
        [mg/L as CaCO3]
    calcium, magnesium : float
        [mg/L]

    Returns
    -------
    float
        [mg/L as CaCO3], negative where hardness prevails.

    Notes
    -----
    Defined for cast-out wort of 12 degrees Plato. It ranks waters, it does not predict a
    mash's pH: see `waterlint.chemistry.mash`.

    Examples
    --------
    >>> round(residual_alkalinity(100.0, 100.0, 0.0), 2)
    28.65
    """
    return alkalinity - CALCIUM_CARBONATE_EQUIVALENT * (
        calcium * _MEQ_PER_MG["calcium"] / KOLBACH_CALCIUM
        + magnesium * _MEQ_PER_MG["magnesium"] / KOLBACH_MAGNESIUM
    )


def residual_alkalinity_from_hardness(alkalinity: float, total_hardness: float) -> float:
    """Estimate residual alkalinity where only total hardness is known.

    Parameters
    ----------
    alkalinity, total_hardness : float
        In one and the same unit, of equivalents.

    Returns
    -------
    float
        In that unit. An estimate: assumes calcium to magnesium 70 to 30 (Troester 2009).

    Examples
    --------
    >>> residual_alkalinity_from_hardness(10.0, 8.0)
    8.0
    """
    return alkalinity - total_hardness / 4.0


class IonBalance(NamedTuple):
    """Charge sums of an analysis.

    Attributes
    ----------
    cations, anions : float
        [mEq/L]
    percent_difference : float
        100 (C - A) / (C + A); 0 where both sums are 0.
    """

    cations: float
    anions: float
    percent_difference: float


def ion_balance(concentrations: Mapping[str, float], alkalinity: float = 0.0) -> IonBalance:
    """Add up the charges of an analysis.

    Parameters
    ----------
    concentrations : mapping of str to float
        mg/L by ion name. Give either bicarbonate and carbonate here or `alkalinity`, not both.
    alkalinity : float
        [mg/L as CaCO3], counted as anions.

    Returns
    -------
    IonBalance
        Unpacks into cations [mEq/L], anions [mEq/L], percent difference.

    Examples
    --------
    >>> balance = ion_balance({"calcium": 7, "magnesium": 2, "sodium": 2,
    ...                        "chloride": 5, "sulfate": 5, "bicarbonate": 14})
    >>> [round(figure, 3) for figure in balance]
    [0.601, 0.475, 11.743]
    """
    cations = 0.0
    anions = alkalinity / CALCIUM_CARBONATE_EQUIVALENT
    for name, milligrams in concentrations.items():
        if IONS[name].charge > 0:
            cations += milligrams * _MEQ_PER_MG[name]
        else:
            anions += milligrams * _MEQ_PER_MG[name]
    total = cations + anions
    return IonBalance(cations, anions, 100.0 * (cations - anions) / total if total else 0.0)
