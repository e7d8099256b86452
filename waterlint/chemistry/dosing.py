"""Doses that bring a water to a pH or an alkalinity."""

from __future__ import annotations

from math import isfinite

from waterlint.chemistry.acids import ACIDS, acid
from waterlint.chemistry.ions import CALCIUM_CARBONATE_EQUIVALENT
from waterlint.chemistry.roots import root_value
from waterlint.chemistry.salts import salt
from waterlint.chemistry.speciation import PH_RANGE, speciate
from waterlint.chemistry.water import Water
from waterlint.hints import Final, NamedTuple

LARGEST_DOSE: Final = 10_000.0
"""Where the search for a dose ends [mmol/L]; the strength of a concentrated acid."""

_DOSE_TOLERANCE: Final = 1e-10


class _Compound(NamedTuple):
    """What one mmol adds: alkalinity [mEq], and whether it is an acid."""

    alkalinity: float
    is_acid: bool


def _compound(name: str) -> _Compound:
    if name in ACIDS:
        return _Compound(acid(name).alkalinity, True)
    found = salt(name)
    if not found.alkalinity:
        raise ValueError(f"{name} is neither an acid nor a base")
    return _Compound(found.alkalinity, False)


def _dosed(water: Water, name: str, dose: float, compound: _Compound) -> Water:
    return water.with_acid(name, dose) if compound.is_acid else water.with_base(name, dose)


def dose_to_ph(water: Water, name: str, ph: float, pco2: float | None = None) -> float:
    """Dose of an acid or a base that brings a water to a pH.

    Parameters
    ----------
    water : Water
    name : str
        An acid, or a base as in `Water.with_base`.
    ph : float
        The pH wanted, at the water's temperature.
    pco2 : float, optional
        Pressure of CO2 that the water stays open to [atm]; without it the water is closed.

    Returns
    -------
    float
        [mmol/L]; 0 where the water is there already.

    Raises
    ------
    ValueError
        If the compound is unknown or moves the pH the other way, the pH or pressure is out of
        range, or no dose up to `LARGEST_DOSE` is enough.

    Notes
    -----
    Nothing precipitates on the way.

    Examples
    --------
    >>> water = Water(calcium=42, magnesium=6, sodium=11, potassium=2, chloride=28, sulfate=24,
    ...               nitrate=4, alkalinity=96, ph=7.6)
    >>> round(dose_to_ph(water, "phosphoric", 5.5), 3)
    1.606
    """
    if not PH_RANGE[0] < ph < PH_RANGE[1]:
        raise ValueError(f"ph must lie between {PH_RANGE[0]} and {PH_RANGE[1]}, got {ph}")
    if pco2 is not None and not (isfinite(pco2) and pco2 > 0.0):
        raise ValueError(f"pco2 must be above 0 atm, got {pco2}")
    compound = _compound(name)

    def excess(dose: float) -> float:
        """How far the dosed water's alkalinity is from that of the pH, in doses [mmol/L]."""
        dosed = _dosed(water, name, dose, compound)
        dic = None if pco2 is not None else 0.001 * dosed.dic
        wanted = speciate(dosed.totals, water.temperature, ph=ph, dic=dic, pco2=pco2).alkalinity
        have = dosed.alkalinity / CALCIUM_CARBONATE_EQUIVALENT
        return (have - 1000.0 * wanted) / compound.alkalinity

    start = excess(0.0)
    if abs(start) < _DOSE_TOLERANCE:
        return 0.0
    if start > 0.0:
        way = "lower" if compound.is_acid else "raise"
        raise ValueError(f"{name} can only {way} the pH, which is {water.ph:.2f} before any")
    high = max(-start, 1e-3)
    while excess(high) < 0.0:
        high *= 2.0
        if high > LARGEST_DOSE:
            raise ValueError(f"no dose of {name} brings this water to pH {ph}")
    return root_value(excess, 0.0, high, _DOSE_TOLERANCE)


def dose_to_alkalinity(water: Water, name: str, alkalinity: float) -> float:
    """Dose of an acid or a base that brings a water to a total alkalinity.

    Parameters
    ----------
    water : Water
    name : str
        An acid, or a base as in `Water.with_base`.
    alkalinity : float
        [mg/L as CaCO3]

    Returns
    -------
    float
        [mmol/L]

    Raises
    ------
    ValueError
        If the compound is unknown, moves the alkalinity the other way, or the alkalinity is not
        finite.

    Notes
    -----
    Total alkalinity is linear in the dose, whatever becomes of the carbon dioxide. Phosphoric
    and citric acid count as giving one proton, since their anions' further ones belong to it.

    Examples
    --------
    >>> round(dose_to_alkalinity(Water(alkalinity=96, ph=7.6), "lactic", 20.0), 4)
    1.5187
    """
    if not isfinite(alkalinity):
        raise ValueError(f"alkalinity must be finite, got {alkalinity}")
    change = (alkalinity - water.alkalinity) / CALCIUM_CARBONATE_EQUIVALENT
    dose = change / _compound(name).alkalinity
    if dose < 0.0:
        raise ValueError(f"{name} cannot bring {water.alkalinity:g} to {alkalinity:g} mg/L")
    return dose
