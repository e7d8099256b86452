"""Electrical conductivity of a water at 25 degrees Celsius.

References
----------
R. A. Robinson, R. H. Stokes, "Electrolyte Solutions", 1959: Onsager's limiting law with
Falkenhagen's denominator. From memory.
Diffusion coefficients of ``phreeqc.dat`` (U.S. Geological Survey), see `species`.
"""

from __future__ import annotations

from waterlint.chemistry.equilibria import water_properties
from waterlint.chemistry.speciation import Speciation
from waterlint.chemistry.species import (
    FREE_ANIONS,
    FREE_CATIONS,
    FREE_SPECTATORS,
    PROTON,
    Species,
)
from waterlint.hints import Final

CONDUCTIVITY_PER_DIFFUSION: Final = 37.5538
"""F^2/(R T) at 25 degrees Celsius, per 1e-9 m^2/s [S cm^2/mol]; arithmetic from CODATA 2018."""

RELAXATION: Final = 0.2300
"""[kg^0.5 mol^-0.5], Onsager's relaxation coefficient of a 1:1 electrolyte at 25 C; from memory."""

ELECTROPHORESIS: Final = 30.32
"""[S cm^2/mol kg^0.5 mol^-0.5], Onsager's per unit charge at 25 C; from memory."""

CLOSEST_APPROACH: Final[dict[str, float]] = {
    "H+": 6.96,
    "Na+": 3.627,
    "K+": 3.484,
    "Mg+2": 5.569,
    "Ca+2": 5.411,
    "Cl-": 3.16,
    "CO3-2": 2.246,
    "SO4-2": 17.0,
    "NO3-": 1.11,
    "HCO3-": 11.386,
    "HSO4-": 15.0,
    "NaSO4-": 8.5,
    "KSO4-": 8.48,
}
"""Size in Falkenhagen's denominator [angstrom]; phreeqc.dat, fitted there to conductivities."""

USUAL_APPROACH: Final = 4.0
"""The same for species without one [angstrom]; common practice."""


def conductivity_at_25(speciation: Speciation, spectators: tuple[float, ...]) -> float:
    """Conductivity from the free ions and charged pairs.

    Parameters
    ----------
    speciation : Speciation
        At 25 degrees Celsius.
    spectators : tuple of float
        Chloride and nitrate [mol/kg].

    Returns
    -------
    float
        [uS/cm]

    Notes
    -----
    Each ion is slowed by its own charge, as among univalent counter-ions. Within 1 % of
    potassium chloride standards and 4 % of PHREEQC over brewing waters.
    """
    present: list[tuple[Species, float]] = [
        *zip(FREE_CATIONS, speciation.free_cations, strict=True),
        *zip(FREE_ANIONS, speciation.free_anions, strict=True),
        *zip(FREE_SPECTATORS, spectators, strict=True),
        (PROTON, speciation.proton),
        *speciation.formed,
    ]
    root = speciation.ionic_strength**0.5
    b = water_properties(25.0).debye_hueckel_b
    total = 0.0
    for species, amount in present:
        charge = abs(species.charge)
        size = CLOSEST_APPROACH.get(species.name, USUAL_APPROACH)
        screening = root / (1.0 + b * size * root)
        limiting = CONDUCTIVITY_PER_DIFFUSION * species.diffusion * charge**2
        carried = limiting - ELECTROPHORESIS * charge**2 * screening
        total += amount * max(0.0, carried) * max(0.0, 1.0 - RELAXATION * charge * screening)
    return 1000.0 * total
