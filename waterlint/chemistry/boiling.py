"""Chalk leaving and entering water: boiling, lime-free softening by heat, dissolving chalk.

End points of equilibrium; a kettle gets there within its boil or it does not. Both are
therefore the most that can happen.
"""

from __future__ import annotations

from math import isfinite, log10

from waterlint.chemistry.ions import CALCIUM_CARBONATE_EQUIVALENT, IONS
from waterlint.chemistry.roots import root_value
from waterlint.chemistry.salts import SALTS
from waterlint.chemistry.speciation import speciate
from waterlint.chemistry.water import Water
from waterlint.hints import Final, NamedTuple

BOILING_POINT: Final = 100.0
"""[degrees Celsius] at 1 atm."""

ATMOSPHERIC_PCO2: Final = 10.0**-3.4
"""Carbon dioxide of air [atm], about 400 ppm; common practice."""

_CHALK = SALTS["calcium_carbonate"].molar_mass
_CALCIUM = IONS["calcium"].molar_mass
_TOLERANCE: Final = 1e-12


class Boiled(NamedTuple):
    """A boiled water and the chalk that fell out of it [mg/L]."""

    water: Water
    precipitated: float


class Chalked(NamedTuple):
    """A water with chalk in it, and the chalk that stayed undissolved [mg/L].

    The second is more than was given where the water was oversaturated.
    """

    water: Water
    undissolved: float


def _with_chalk(water: Water, amount: float, pco2: float | None, only_loses: bool) -> Water:
    """Dissolve chalk [mmol/L], or precipitate it where negative, and settle the gas."""
    ions = water.ions
    ions["calcium"] = max(0.0, water.calcium + amount * _CALCIUM)
    alkalinity = water.alkalinity + 2.0 * amount * CALCIUM_CARBONATE_EQUIVALENT
    closed = Water.from_carbon(ions, alkalinity, max(0.0, water.dic + amount), water.temperature)
    if pco2 is None or (only_loses and closed.log10_pco2 <= log10(pco2)):
        return closed
    open_to_gas = speciate(
        closed.totals,
        water.temperature,
        alkalinity=0.001 * alkalinity / CALCIUM_CARBONATE_EQUIVALENT,
        pco2=pco2,
    )
    return Water.from_carbon(ions, alkalinity, 1000.0 * open_to_gas.dic, water.temperature)


def _check_pressure(pco2: float | None) -> None:
    if pco2 is not None and not (isfinite(pco2) and pco2 > 0.0):
        raise ValueError(f"pco2 must be above 0 atm, got {pco2}")


def boil(
    water: Water,
    pco2: float = ATMOSPHERIC_PCO2,
    saturation_index: float = 0.0,
    temperature: float = BOILING_POINT,
    most: float | None = None,
) -> Boiled:
    """Drive out carbon dioxide by heat and let chalk fall.

    Parameters
    ----------
    water : Water
    pco2 : float
        Pressure of CO2 that remains above the water [atm].
    saturation_index : float
        Of calcite at which precipitation stops; above 0 for water that stays oversaturated.
    temperature : float
        [degrees Celsius]
    most : float, optional
        Chalk that may fall at most [mg/L], where time or seeds do not let all of it.

    Returns
    -------
    Boiled
        The water, back at its own temperature, and the chalk that fell out [mg/L].

    Raises
    ------
    ValueError
        If a figure is not finite, or pressure or temperature out of range.

    Notes
    -----
    Carbon dioxide is only lost and chalk only falls. No evaporation, no magnesium carbonate.

    Examples
    --------
    >>> hard = Water(calcium=118, magnesium=19, sodium=14, potassium=2, chloride=31.3,
    ...              sulfate=42, alkalinity=318, ph=7.2)
    >>> soft, fallen = boil(hard, pco2=1e-5)
    >>> round(soft.alkalinity), round(fallen)
    (41, 277)
    """
    _check_pressure(pco2)
    if not isfinite(saturation_index):
        raise ValueError(f"saturation_index must be finite, got {saturation_index}")
    if most is not None and not (isfinite(most) and most >= 0.0):
        raise ValueError(f"most must be finite and not negative, got {most}")
    hot = water.at_temperature(temperature)

    def oversaturation(fallen: float) -> float:
        settled = _with_chalk(hot, -fallen, pco2, only_loses=True)
        return settled.calcite_saturation_index - saturation_index

    amount = 0.0
    if oversaturation(0.0) > 0.0:
        amount = root_value(oversaturation, 0.0, water.calcium / _CALCIUM, _TOLERANCE)
    if most is not None:
        amount = min(amount, most / _CHALK)
    settled = _with_chalk(hot, -amount, pco2, only_loses=True)
    return Boiled(settled.at_temperature(water.temperature), amount * _CHALK)


def dissolve_chalk(water: Water, dose: float, pco2: float | None = None) -> Chalked:
    """Stir chalk into a water until it dissolves no more.

    Parameters
    ----------
    water : Water
    dose : float
        Calcium carbonate [mg/L].
    pco2 : float, optional
        Pressure of the CO2 that the water is open to [atm]; without it the water is closed.

    Returns
    -------
    Chalked
        The water, and the chalk left undissolved [mg/L].

    Raises
    ------
    ValueError
        If the dose is negative or not finite, or the pressure not above 0.

    Notes
    -----
    Equilibrium with calcite at the water's temperature, which takes hours to days. Where the
    water is oversaturated, the chalk makes more of it fall: `undissolved` exceeds the dose.

    Examples
    --------
    >>> soft = Water(calcium=1, magnesium=0.2, sodium=4, potassium=0.3, chloride=2.5,
    ...              sulfate=0.8, alkalinity=8, ph=6.6)
    >>> water, left = dissolve_chalk(soft, 120.0)
    >>> round(left), round(water.ph, 1)
    (106, 9.2)
    """
    _check_pressure(pco2)
    if not (isfinite(dose) and dose >= 0.0):
        raise ValueError(f"the dose must be finite and not negative, got {dose}")

    def undersaturation(amount: float) -> float:
        return -_with_chalk(water, amount, pco2, only_loses=False).calcite_saturation_index

    amount = dose / _CHALK
    if undersaturation(amount) < 0.0:
        lowest = -water.calcium / _CALCIUM
        amount = root_value(undersaturation, lowest, amount, _TOLERANCE)
    return Chalked(_with_chalk(water, amount, pco2, only_loses=False), dose - amount * _CHALK)
