"""Acids: what they leave in water and how many protons they give."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from waterlint.chemistry.formulas import molar_mass
from waterlint.chemistry.number import Number
from waterlint.hints import Final, NamedTuple


class Acid(NamedTuple):
    """One pure acid.

    Attributes
    ----------
    name : str
        Key in `ACIDS`.
    formula : str
    molar_mass : float
        [g/mol], without water of crystallisation.
    anion : str
        The ion of `waterlint.chemistry.ions` that it leaves, one mole per mole.
    alkalinity : float
        What a mole adds to total alkalinity [Eq/mol]; negative.
    constants : tuple of float
        Dissociation constants at 25 degrees Celsius, ionic strength 0 [mol/L], of the protons
        that are not given at any pH here.
    strong_protons : int
        Protons given at any pH here.
    """

    name: str
    formula: str
    molar_mass: float
    anion: str
    alkalinity: float
    constants: tuple[float, ...]
    strong_protons: int


def _acid(
    name: str,
    formula: str,
    anion: str,
    alkalinity: float,
    exponents: tuple[float, ...],
    strong: int,
) -> Acid:
    constants = tuple(10.0**-exponent for exponent in exponents)
    return Acid(name, formula, molar_mass(formula), anion, alkalinity, constants, strong)


_ALL = (
    # pK: the common table value, from memory (ECHA registration 14252: 3.85)
    _acid("lactic", "C3H6O3", "lactate", -1.0, (3.86,), 0),
    # pK: phreeqc.dat (third: minteq.v4.dat, by way of phreeqc.dat)
    _acid("phosphoric", "H3PO4", "phosphate", -1.0, (2.168, 7.207, 12.346), 0),
    _acid("hydrochloric", "HCl", "chloride", -1.0, (), 1),
    # second proton: pK 1.99 (phreeqc.dat), given wholly wherever there is malt or alkalinity
    _acid("sulfuric", "H2SO4", "sulfate", -2.0, (), 2),
    # pK: minteq.v4.dat, which names NIST 46
    _acid("citric", "C6H8O7", "citrate", -1.0, (3.128, 4.761, 6.396), 0),
)

ACIDS: Final[Mapping[str, Acid]] = MappingProxyType({acid.name: acid for acid in _ALL})
"""Acids by name. Citric monohydrate is 210.138 g per mole of the acid counted here."""


def acid(name: str) -> Acid:
    """Look an acid up.

    Raises
    ------
    ValueError
        If the name is unknown; it lists what is known.

    Examples
    --------
    >>> round(acid("lactic").molar_mass, 2)
    90.08
    """
    try:
        return ACIDS[name]
    except KeyError:
        raise ValueError(f"unknown acid {name!r}; known are {', '.join(sorted(ACIDS))}") from None


def protons_given(name: str, ph: Number) -> Number:
    """Protons that a mole of acid has given at a pH [mol/mol].

    Parameters
    ----------
    name : str
        Key in `ACIDS`.
    ph : float or array

    Returns
    -------
    float or array

    Notes
    -----
    Constants of 25 degrees Celsius at ionic strength 0, as the mash balance wants them.

    Examples
    --------
    >>> round(protons_given("lactic", 5.4), 3), round(protons_given("phosphoric", 5.4), 3)
    (0.972, 1.015)
    """
    power: Number = 10.0**ph
    return dissociation(name, power)[0]


def dissociation(name: str, power: Number) -> tuple[Number, Number]:
    """Mean and variance of the protons that a mole of acid has given [mol/mol].

    Parameters
    ----------
    name : str
        Key in `ACIDS`.
    power : float or array
        10^pH, so that one power serves all acids of a mash.

    Examples
    --------
    >>> [round(float(each), 3) for each in dissociation("lactic", 10.0**3.86)]
    [0.5, 0.25]
    """
    found = acid(name)
    nothing = 0.0 * power
    weight = total = nothing + 1.0
    first = second = nothing
    for count, constant in enumerate(found.constants, start=1):
        weight = weight * power * constant
        total = total + weight
        first = first + count * weight
        second = second + count * count * weight
    mean = first / total
    return found.strong_protons + mean, second / total - mean * mean
