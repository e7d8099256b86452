"""Equilibrium constants of natural water and their change with temperature.

Coefficients are those of the file ``phreeqc.dat`` (U.S. Geological Survey, PHREEQC 3.8.6), read
there; calcite after Plummer and Busenberg 1982.

References
----------
D. L. Parkhurst, C. A. J. Appelo, "Description of input and examples for PHREEQC version 3",
U.S. Geological Survey Techniques and Methods 6-A43, 2013.
L. N. Plummer, E. Busenberg, Geochimica et Cosmochimica Acta 46, 1982, 1011.
D. J. Bradley, K. S. Pitzer, Journal of Physical Chemistry 83, 1979, 1599.
"""

from __future__ import annotations

from functools import lru_cache
from math import exp, log, log10, sqrt

from waterlint.hints import Final, NamedTuple

ZERO_CELSIUS: Final = 273.15
"""[K]; definition."""

REFERENCE_KELVIN: Final = 298.15
"""25 degrees Celsius [K]."""

ONE_ATMOSPHERE_BAR: Final = 1.01325
"""[bar]; definition."""

GAS_CONSTANT: Final = 8.314462618
"""[J/(mol K)]; CODATA 2018, exact."""

KILOJOULE_PER_KILOCALORIE: Final = 4.184
"""[kJ/kcal]; definition."""

TEMPERATURE_RANGE: Final = (0.0, 100.0)
"""Where the expressions are used here [degrees Celsius]: liquid water at 1 atm."""


class Reaction(NamedTuple):
    """A reaction's constant over temperature.

    Attributes
    ----------
    log_k : float
        log10 K at 25 degrees Celsius, ionic strength 0.
    enthalpy : float
        [kJ/mol], for van 't Hoff's equation where there are no coefficients.
    analytic : tuple of float
        A1 to A6 of log10 K = A1 + A2 T + A3/T + A4 log10 T + A5/T^2 + A6 T^2, T in K.
    """

    log_k: float
    enthalpy: float = 0.0
    analytic: tuple[float, ...] = ()

    def log_k_at(self, kelvin: float) -> float:
        """log10 K at a temperature [K]."""
        if not self.analytic:
            slope = self.enthalpy * 1000.0 / (GAS_CONSTANT * log(10.0))
            return self.log_k - slope * (1.0 / kelvin - 1.0 / REFERENCE_KELVIN)
        a1, a2, a3, a4, a5, a6 = self.analytic + (0.0,) * (6 - len(self.analytic))
        return a1 + a2 * kelvin + a3 / kelvin + a4 * log10(kelvin) + a5 / kelvin**2 + a6 * kelvin**2


def kilocalories(log_k: float, enthalpy: float) -> Reaction:
    """Make a reaction from log10 K at 25 degrees Celsius and an enthalpy [kcal/mol]."""
    return Reaction(log_k, enthalpy * KILOJOULE_PER_KILOCALORIE)


def analytic(*coefficients: float) -> Reaction:
    """Make a reaction from the coefficients A1 to A6."""
    found = Reaction(0.0, 0.0, coefficients)
    return Reaction(found.log_k_at(REFERENCE_KELVIN), 0.0, coefficients)


WATER: Final = analytic(293.29227, 0.1360833, -10576.913, -123.73158, 0.0, -6.996455e-5)
"""H2O = H+ + OH-; phreeqc.dat."""

BICARBONATE: Final = analytic(107.8871, 0.03252849, -5151.79, -38.92561, 563713.9)
"""CO3-2 + H+ = HCO3-; phreeqc.dat, after Plummer and Busenberg 1982."""

CARBON_DIOXIDE: Final = analytic(464.1965, 0.09344813, -26986.16, -165.75951, 2248628.9)
"""CO3-2 + 2 H+ = CO2 + H2O; phreeqc.dat, after Plummer and Busenberg 1982."""

HENRY_CARBON_DIOXIDE: Final = analytic(10.5624, -2.3547e-2, -3972.8, 0.0, 5.8746e5, 1.9194e-5)
"""CO2(g) = CO2 [mol/(kg atm)]; phreeqc.dat."""

CALCITE: Final = analytic(17.118, -0.046528, -3496.0)
"""CaCO3(s) = Ca+2 + CO3-2; phreeqc.dat, after Ellis 1959, Plummer and Busenberg 1982."""


class WaterProperties(NamedTuple):
    """What activity and conductivity need of the solvent at 1 atm.

    Attributes
    ----------
    density : float
        [kg/L]
    debye_hueckel_a : float
        [kg^0.5 mol^-0.5], for log10.
    debye_hueckel_b : float
        [kg^0.5 mol^-0.5 per angstrom]
    """

    density: float
    debye_hueckel_a: float
    debye_hueckel_b: float


@lru_cache(maxsize=256)
def water_properties(celsius: float) -> WaterProperties:
    """Density and Debye-Hueckel coefficients of water.

    Parameters
    ----------
    celsius : float
        [degrees Celsius], 0 to 100.

    Returns
    -------
    WaterProperties

    Notes
    -----
    Density after Kell 1975 (from memory; agrees with PHREEQC's within 5e-5), dielectric
    constant after Bradley and Pitzer 1979 at 1 atm.

    Examples
    --------
    >>> round(water_properties(25.0).debye_hueckel_a, 4)
    0.51
    """
    t = celsius
    density = (
        999.83952
        + 16.945176 * t
        - 7.9870401e-3 * t**2
        - 46.170461e-6 * t**3
        + 105.56302e-9 * t**4
        - 280.54253e-12 * t**5
    ) / (1.0 + 16.879850e-3 * t)
    kelvin = t + ZERO_CELSIUS
    epsilon_1000 = 342.79 * exp(-5.0866e-3 * kelvin + 9.4690e-7 * kelvin**2)
    c = -2.0525 + 3115.9 / (-182.89 + kelvin)
    b = -8032.5 + 4.2142e6 / kelvin + 2.1417 * kelvin
    epsilon = epsilon_1000 + c * log((b + ONE_ATMOSPHERE_BAR) / (b + 1000.0))
    root = sqrt(density / 1000.0)
    return WaterProperties(
        density / 1000.0,
        1.82483e6 * root / (epsilon * kelvin) ** 1.5,
        50.2916 * root / (epsilon * kelvin) ** 0.5,
    )


def log_k_carbonic_1(celsius: float) -> float:
    """log10 of carbonic acid's first constant, CO2* = HCO3- + H+, at ionic strength 0.

    Examples
    --------
    >>> round(-log_k_carbonic_1(25.0), 3)
    6.352
    """
    kelvin = celsius + ZERO_CELSIUS
    return BICARBONATE.log_k_at(kelvin) - CARBON_DIOXIDE.log_k_at(kelvin)


def log_k_carbonic_2(celsius: float) -> float:
    """log10 of carbonic acid's second constant, HCO3- = CO3-2 + H+, at ionic strength 0.

    Examples
    --------
    >>> round(-log_k_carbonic_2(25.0), 3)
    10.329
    """
    return -BICARBONATE.log_k_at(celsius + ZERO_CELSIUS)


def log_k_water(celsius: float) -> float:
    """log10 of water's ion product at ionic strength 0.

    Examples
    --------
    >>> round(-log_k_water(25.0), 2)
    13.99
    """
    return WATER.log_k_at(celsius + ZERO_CELSIUS)


def log_k_calcite(celsius: float) -> float:
    """log10 of calcite's solubility product.

    Examples
    --------
    >>> round(-log_k_calcite(25.0), 2)
    8.48
    """
    return CALCITE.log_k_at(celsius + ZERO_CELSIUS)


def log_k_henry(celsius: float) -> float:
    """log10 of Henry's constant of CO2 [mol/(kg atm)].

    Examples
    --------
    >>> round(-log_k_henry(25.0), 3)
    1.468
    """
    return HENRY_CARBON_DIOXIDE.log_k_at(celsius + ZERO_CELSIUS)
