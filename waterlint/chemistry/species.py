"""The dissolved species: what forms from the ions of a water, how strongly, how it moves.

One table drives speciation, activity and conductivity. Constants, ion sizes and diffusion
coefficients are those of ``phreeqc.dat`` (U.S. Geological Survey, PHREEQC 3.8.6), read there.
Citrate is that of its sister file ``minteq.v4.dat`` (which names NIST 46), sulfite that of
``llnl.dat``. Lactic acid's 3.86 is the common table value, from memory (ECHA registration
14252 has 3.85). Diffusion of lactate, citrate and sulfite from memory.

Left out as too weak for fresh water: HCl, the CO2 dimer, pairs of lactate, sulfite and chloride.
"""

from __future__ import annotations

from functools import lru_cache

from waterlint.chemistry.equilibria import (
    BICARBONATE,
    CARBON_DIOXIDE,
    WATER,
    ZERO_CELSIUS,
    Reaction,
    analytic,
    kilocalories,
    water_properties,
)
from waterlint.hints import Final, NamedTuple

CATIONS: Final = ("calcium", "magnesium", "sodium", "potassium")
"""Cations that pair with anions, in the order of `Species.cation`."""

FAMILIES: Final = ("carbonate", "sulfate", "phosphate", "lactate", "citrate", "sulfite")
"""Anions that take up protons, in the order of `Species.family`."""

ZERO_LEVEL: Final = (2, 0, 2, 0, 2, 1)
"""Protons each family holds where it counts nothing in total alkalinity: H2CO3*, SO4-2, H2PO4-,
lactate-, H2 citrate-, HSO3-. The rule (bases of acids with pK above 4.5 are alkaline) is
Dickson's, Deep-Sea Research 28A, 1981, 609, from memory."""

SPECTATORS: Final = ("chloride", "nitrate")
"""Anions that neither pair nor take up protons here."""


class Species(NamedTuple):
    """One dissolved species.

    Attributes
    ----------
    name : str
    charge : int
    reactions : tuple of Reaction
        Their constants multiplied form it from free cation, bare anion and H+.
    cation, family : int or None
        What it holds one of, as places in `CATIONS` and `FAMILIES`.
    protons : int
        H+ taken up; -1 for a hydroxide.
    anions : int
        Bare anions held.
    size : float or None
        Ion size a [angstrom] of log10 gamma = -A z^2 sqrt(I)/(1 + B a sqrt(I)) + b I;
        None: Davies' equation.
    slope : float
        The b [kg/mol] of that; for neutral species log10 gamma = b I.
    diffusion : float
        At 25 degrees Celsius, infinite dilution [1e-9 m^2/s]; 0 for what is not known.
    """

    name: str
    charge: int
    reactions: tuple[Reaction, ...] = ()
    cation: int | None = None
    family: int | None = None
    protons: int = 0
    anions: int = 0
    size: float | None = None
    slope: float = 0.0
    diffusion: float = 0.0


DAVIES_SLOPE: Final = 0.3
"""The linear term of Davies' equation [kg/mol]; as in PHREEQC."""

NEUTRAL_SLOPE: Final = 0.1
"""b of uncharged species that have none of their own [kg/mol]; PHREEQC's default."""

_CA, _MG, _NA, _K = range(4)
_CARBONATE, _SULFATE, _PHOSPHATE, _LACTATE, _CITRATE, _SULFITE = range(6)

_HSO4 = analytic(-56.889, 0.006473, 2307.9, 19.8858)
_HPO4 = kilocalories(12.346, -3.53)
_H2PO4 = kilocalories(19.553, -4.52)
_MGSO4 = analytic(0.0, 9.64e-3, -136.0)


def _free(name: str, charge: int, size: float | None, slope: float, diffusion: float) -> Species:
    return Species(name, charge, size=size, slope=slope, diffusion=diffusion)


FREE_CATIONS: Final = (
    _free("Ca+2", 2, 5.0, 0.165, 0.792),
    _free("Mg+2", 2, 5.5, 0.2, 0.705),
    _free("Na+", 1, 4.08, 0.082, 1.33),
    _free("K+", 1, 3.5, 0.015, 1.96),
)
FREE_ANIONS: Final = (
    _free("CO3-2", -2, 5.4, 0.0, 0.955),
    _free("SO4-2", -2, 5.0, -0.04, 1.07),
    _free("PO4-3", -3, 4.0, 0.0, 0.612),
    _free("lactate-", -1, None, 0.0, 1.03),
    _free("citrate-3", -3, None, 0.0, 0.62),
    _free("SO3-2", -2, None, 0.0, 0.96),
)
FREE_SPECTATORS: Final = (
    _free("Cl-", -1, 3.63, 0.017, 2.033),
    _free("NO3-", -1, 3.0, 0.0, 1.9),
)
PROTON: Final = _free("H+", 1, 9.0, 0.0, 9.31)
HYDROXIDE: Final = Species("OH-", -1, (WATER,), protons=-1, size=3.5, diffusion=5.27)


def _acid(
    name: str,
    charge: int,
    family: int,
    protons: int,
    reaction: Reaction,
    size: float | None = None,
    slope: float = 0.0,
    diffusion: float = 0.0,
) -> Species:
    return Species(
        name,
        charge,
        (reaction,),
        family=family,
        protons=protons,
        anions=1,
        size=size,
        slope=slope if charge or slope else NEUTRAL_SLOPE,
        diffusion=diffusion,
    )


def _pair(
    name: str,
    charge: int,
    cation: int,
    family: int,
    protons: int,
    *reactions: Reaction,
    size: float | None = None,
    slope: float = 0.0,
    anions: int = 1,
    diffusion: float = 0.0,
) -> Species:
    slope = slope if charge or slope else NEUTRAL_SLOPE
    return Species(name, charge, reactions, cation, family, protons, anions, size, slope, diffusion)


FORMED: Final = (
    HYDROXIDE,
    Species("CaOH+", 1, (Reaction(-12.78),), cation=_CA, protons=-1),
    Species("MgOH+", 1, (kilocalories(-11.44, 15.952),), cation=_MG, protons=-1, size=6.5),
    _acid("HCO3-", -1, _CARBONATE, 1, BICARBONATE, 5.4, 0.0, 1.18),
    _acid("CO2", 0, _CARBONATE, 2, CARBON_DIOXIDE, None, 0.066, 1.92),
    _acid("HSO4-", -1, _SULFATE, 1, _HSO4, None, 0.0, 1.22),
    _acid("HPO4-2", -2, _PHOSPHATE, 1, _HPO4, 5.0, 0.0, 0.69),
    _acid("H2PO4-", -1, _PHOSPHATE, 2, _H2PO4, 5.4, 0.0, 0.846),
    _acid("H3PO4", 0, _PHOSPHATE, 3, Reaction(21.721, -10.1)),
    _acid("Hlactate", 0, _LACTATE, 1, Reaction(3.86)),
    _acid("Hcitrate-2", -2, _CITRATE, 1, Reaction(6.396, 3.3472), None, 0.0, 0.7),
    _acid("H2citrate-", -1, _CITRATE, 2, Reaction(11.157, 1.297), None, 0.0, 0.8),
    _acid("H3citrate", 0, _CITRATE, 3, Reaction(14.285, -2.7614)),
    _acid("HSO3-", -1, _SULFITE, 1, Reaction(7.2054, 9.33032), None, 0.0, 1.33),
    _acid("H2SO3", 0, _SULFITE, 2, Reaction(9.2132)),
    _pair("CaCO3", 0, _CA, _CARBONATE, 0, analytic(-1228.732, -0.29944, 35512.75, 485.818)),
    _pair(
        "CaHCO3+",
        1,
        _CA,
        _CARBONATE,
        1,
        analytic(-6.009, 3.377e-2, 2044.0),
        size=6.0,
        diffusion=0.506,
    ),
    _pair("MgCO3", 0, _MG, _CARBONATE, 0, analytic(0.991, 0.00667)),
    _pair(
        "MgHCO3+",
        1,
        _MG,
        _CARBONATE,
        1,
        analytic(48.6721, 0.03252849, -2614.335, -18.00263, 563713.9),
        size=4.0,
        diffusion=0.478,
    ),
    _pair("NaHCO3", 0, _NA, _CARBONATE, 1, Reaction(-0.06, 21.0), BICARBONATE, slope=0.2),
    _pair("KHCO3", 0, _K, _CARBONATE, 1, Reaction(-0.35, 12.0), BICARBONATE, slope=9.4e-3),
    _pair("CaSO4", 0, _CA, _SULFATE, 0, kilocalories(2.25, 1.325)),
    _pair("CaHSO4+", 1, _CA, _SULFATE, 1, Reaction(1.08), _HSO4),
    _pair("MgSO4", 0, _MG, _SULFATE, 0, _MGSO4, slope=0.2),
    _pair(
        "Mg(SO4)2-2",
        -2,
        _MG,
        _SULFATE,
        0,
        analytic(0.0, -1.51e-3, 0.0, 0.0, 8.604e4),
        _MGSO4,
        size=7.0,
        slope=0.047,
        anions=2,
        diffusion=0.845,
    ),
    _pair(
        "NaSO4-",
        -1,
        _NA,
        _SULFATE,
        0,
        analytic(255.903, 0.10057, 0.0, -111.138, -8.5983e5),
        size=5.5,
        diffusion=1.13,
    ),
    _pair(
        "KSO4-",
        -1,
        _K,
        _SULFATE,
        0,
        analytic(-3.0246, 9.986e-3, 0.0, 0.0, 1.093e5),
        size=5.4,
        slope=0.19,
        diffusion=0.9,
    ),
    _pair("CaPO4-", -1, _CA, _PHOSPHATE, 0, kilocalories(6.459, 3.1), size=5.4),
    _pair("CaHPO4", 0, _CA, _PHOSPHATE, 1, kilocalories(2.739, 3.3), _HPO4),
    _pair("CaH2PO4+", 1, _CA, _PHOSPHATE, 2, kilocalories(1.408, 3.4), _H2PO4, size=5.4),
    _pair("MgPO4-", -1, _MG, _PHOSPHATE, 0, kilocalories(6.589, 3.1), size=5.4),
    _pair("MgHPO4", 0, _MG, _PHOSPHATE, 1, kilocalories(2.87, 3.3), _HPO4),
    _pair("MgH2PO4+", 1, _MG, _PHOSPHATE, 2, kilocalories(1.513, 3.4), _H2PO4, size=5.4),
    _pair("NaHPO4-", -1, _NA, _PHOSPHATE, 1, Reaction(0.29), _HPO4, size=5.4),
    _pair("KHPO4-", -1, _K, _PHOSPHATE, 1, Reaction(0.29), _HPO4, size=5.4),
    _pair("Cacitrate-", -1, _CA, _CITRATE, 0, Reaction(4.87, -8.368)),
    _pair("CaHcitrate", 0, _CA, _CITRATE, 1, Reaction(9.26, -0.8368)),
    _pair("CaH2citrate+", 1, _CA, _CITRATE, 2, Reaction(12.257)),
    _pair("Mgcitrate-", -1, _MG, _CITRATE, 0, Reaction(4.89, 8.368)),
    _pair("MgHcitrate", 0, _MG, _CITRATE, 1, Reaction(8.91, 3.3472)),
    _pair("MgH2citrate+", 1, _MG, _CITRATE, 2, Reaction(12.2)),
    _pair("Nacitrate-2", -2, _NA, _CITRATE, 0, Reaction(1.03, -2.8033)),
    _pair("NaHcitrate-", -1, _NA, _CITRATE, 1, Reaction(6.45, -3.5982)),
    _pair("Kcitrate-2", -2, _K, _CITRATE, 0, Reaction(1.1, 5.4392)),
)
"""What forms from the free ions."""


@lru_cache(maxsize=256)
def formation_constants(celsius: float) -> tuple[float, ...]:
    """Constants K of the species in `FORMED` at a temperature [degrees Celsius], I = 0."""
    kelvin = celsius + ZERO_CELSIUS
    return tuple(
        10.0 ** sum(reaction.log_k_at(kelvin) for reaction in species.reactions)
        for species in FORMED
    )


def activity_terms(species: Species, celsius: float) -> tuple[float, float, float]:
    """Coefficients of a species' activity at a temperature.

    Parameters
    ----------
    species : Species
    celsius : float
        [degrees Celsius]

    Returns
    -------
    tuple of float
        p, q, r of log10 gamma = -p sqrt(I) / (1 + q sqrt(I)) + r I.

    Notes
    -----
    The extended Debye-Hueckel equation with the sizes and slopes of phreeqc.dat (after
    Truesdell and Jones 1974), Davies' equation where it has none, as in PHREEQC.
    """
    water = water_properties(celsius)
    strength = water.debye_hueckel_a * species.charge**2
    if species.size is None:
        davies = DAVIES_SLOPE * strength if species.charge else species.slope
        return strength, 1.0, davies
    return strength, water.debye_hueckel_b * species.size, species.slope
