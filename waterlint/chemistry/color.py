"""Colour of malt and beer: units, malt colour units, Morey's equation.

References
----------
D. Morey, "Beer's Law" correspondence, Brewing Techniques: SRM = 1.4922 MCU^0.6859 for SRM
below 50. Built on earlier correlations, not on measured beers of its own.
Malt EBC = 2.65 Lovibond - 1.2: D. Rowlett, as cited by K. Troester, 2009.
Beer EBC = 1.97 SRM: definition, both being absorbances at 430 nm of different path length.
"""

from __future__ import annotations

from collections.abc import Iterable

from waterlint.chemistry.number import Number
from waterlint.hints import Final, NamedTuple

MOREY_FACTOR: Final = 1.4922
"""[SRM]; Morey, Brewing Techniques."""

MOREY_EXPONENT: Final = 0.6859
"""[-]; Morey, Brewing Techniques. 0.65896859, found on wikis, is a misprint."""

MOREY_LIMIT_SRM: Final = 50.0
"""The equation is stated for colours below this [SRM]; Morey, Brewing Techniques."""

MCU_PER_KG_LOVIBOND_PER_LITER: Final = 3.785411784 / 0.45359237
"""Pound and US gallon to kilogram and liter, 8.3454; arithmetic from their definitions."""

EBC_PER_SRM: Final = 1.97
"""Beer colour; 12.7 x 1.97 = 25 by the definitions of SRM and EBC."""

MALT_EBC_SLOPE: Final = 2.65
"""[EBC per degree Lovibond]; Rowlett, as cited by Troester 2009."""

MALT_EBC_OFFSET: Final = -1.2
"""[EBC]; Rowlett, as cited by Troester 2009."""


def lovibond_to_ebc(lovibond: float) -> float:
    """Malt colour, degrees Lovibond to EBC.

    Examples
    --------
    >>> round(lovibond_to_ebc(60.0), 1)
    157.8
    """
    return MALT_EBC_SLOPE * lovibond + MALT_EBC_OFFSET


def ebc_to_lovibond(ebc: float) -> float:
    """Malt colour, EBC to degrees Lovibond.

    Notes
    -----
    The line does not pass through zero: 0 EBC (sugar) reads as 0.45. Callers give 0 for what
    has no colour.

    Examples
    --------
    >>> round(ebc_to_lovibond(157.8), 1)
    60.0
    """
    return (ebc - MALT_EBC_OFFSET) / MALT_EBC_SLOPE


def srm_to_ebc(srm: float) -> float:
    """Beer colour, SRM to EBC.

    Examples
    --------
    >>> round(srm_to_ebc(30.0), 1)
    59.1
    """
    return EBC_PER_SRM * srm


def ebc_to_srm(ebc: float) -> float:
    """Beer colour, EBC to SRM.

    Examples
    --------
    >>> round(ebc_to_srm(59.1), 1)
    30.0
    """
    return ebc / EBC_PER_SRM


def malt_color_units(grist: Iterable[tuple[float, float]], volume: float) -> float:
    """Malt colour units of a grist.

    Parameters
    ----------
    grist : iterable of (float, float)
        Mass [kg] and colour [degrees Lovibond] of each malt.
    volume : float
        Wort into the fermenter [L], above 0.

    Returns
    -------
    float
        [lb degrees Lovibond per US gal]

    Raises
    ------
    ValueError
        If the volume is not above 0.

    Examples
    --------
    >>> round(malt_color_units([(4.5, 2.0), (0.4, 60.0)], 20.0), 2)
    13.77
    """
    if not volume > 0.0:
        raise ValueError(f"the volume must be above 0 L, got {volume}")
    return MCU_PER_KG_LOVIBOND_PER_LITER * sum([mass * color for mass, color in grist]) / volume


def morey_srm(mcu: Number) -> Number:
    """Morey's equation without its limit [SRM], for floats and arrays.

    See `predict_color` for the form that says whether the limit holds.

    Examples
    --------
    >>> round(morey_srm(10.0), 2)
    7.24
    """
    srm: Number = MOREY_FACTOR * mcu**MOREY_EXPONENT
    return srm


class BeerColor(NamedTuple):
    """A predicted colour.

    Attributes
    ----------
    srm, ebc : float
    within_validity : bool
        False from 50 SRM on, where Morey's equation is extrapolated: the beer is black, and
        the figure says no more than that.
    """

    srm: float
    ebc: float
    within_validity: bool


def predict_color(grist: Iterable[tuple[float, float]], volume: float) -> BeerColor:
    """Colour of a beer from its grist by Morey's equation.

    Parameters
    ----------
    grist : iterable of (float, float)
        Mass [kg] and colour [degrees Lovibond] of each malt.
    volume : float
        Wort into the fermenter [L], above 0.

    Returns
    -------
    BeerColor

    Raises
    ------
    ValueError
        If the volume is not above 0.

    Notes
    -----
    Ignores kettle caramelisation, oxidation, fining and mash efficiency.

    Examples
    --------
    >>> color = predict_color([(3.6287, 2.0), (0.45359, 60.0), (0.45359, 500.0)], 18.92706)
    >>> round(color.srm, 1), round(color.ebc, 1), color.within_validity
    (38.7, 76.3, True)
    """
    srm = morey_srm(malt_color_units(grist, volume))
    return BeerColor(srm, srm_to_ebc(srm), srm < MOREY_LIMIT_SRM)
