"""A bound on calcite's saturation that needs no equilibrium solved."""

from __future__ import annotations

from functools import lru_cache
from math import inf, log10

from waterlint.chemistry.equilibria import (
    log_k_calcite,
    log_k_carbonic_1,
    log_k_carbonic_2,
)
from waterlint.chemistry.ions import IONS
from waterlint.chemistry.speciation import ABSENT
from waterlint.hints import Final
from waterlint.prediction.rows import ALKALINITY, CARBON, INDEX, Row

_CELSIUS: Final = 25.0
_LEAST_PH: Final = 6.0
"""Below, a bound of its own holds: at this pH with all carbon as bicarbonate."""

_WEAK_ACIDS: Final = tuple(
    [
        (INDEX[name], IONS[name].molar_mass)
        for name in ("lactate", "phosphate", "citrate", "sulfite")
    ]
)
_BOUND_PROTONS: Final = 0.01
"""Of a weak acid's anion, how much can bind a proton more than alkalinity counts from, from
pH 6 on [-]: lactic acid's pK of 3.86 gives 0.007, the others less."""

_FREE_PROTONS: Final = 2e-6
"""More than the protons of pH 6 [mol/L]."""


def saturation_at_most(row: Row) -> float:
    """What the saturation index of calcite cannot exceed at 25 degrees Celsius.

    Parameters
    ----------
    row : Row
        A mixture's.

    Returns
    -------
    float
        Without end where carbonate may outweigh carbon dioxide, and nothing simple bounds it.

    Notes
    -----
    Carbonate is bicarbonate squared over carbon dioxide, times the ratio of carbonic acid's
    constants. Bicarbonate is at most the alkalinity, carbon dioxide at least what the alkalinity
    leaves of the carbon; activities of ions are at most their concentrations. Ion pairs and
    activities only lower the index further.
    """
    calcium = 1e-3 * row[INDEX["calcium"]] / IONS["calcium"].molar_mass
    carbon = 1e-3 * row[INDEX[CARBON]]
    if calcium <= 0.0 or carbon <= 0.0:
        return ABSENT
    weak = sum([row[place] / mass for place, mass in _WEAK_ACIDS])
    slack = _FREE_PROTONS + 1e-3 * _BOUND_PROTONS * weak
    bicarbonate = max(1e-3 * row[INDEX[ALKALINITY]] + slack, slack)
    dioxide = carbon - bicarbonate
    if dioxide <= 0.0:
        return inf
    k1, k2, calcite = _constants()
    carbonate = max(
        k2 - k1 + 2.0 * log10(bicarbonate) - log10(dioxide),
        k2 + _LEAST_PH + log10(carbon),
    )
    return log10(calcium) + carbonate - calcite


@lru_cache(maxsize=1)
def _constants() -> tuple[float, float, float]:
    """Of carbonic acid, both, and of calcite."""
    return log_k_carbonic_1(_CELSIUS), log_k_carbonic_2(_CELSIUS), log_k_calcite(_CELSIUS)
