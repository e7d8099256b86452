"""The carbonate system alone: what alkalinity and pH say of bicarbonate and carbonate.

For checking a report's arithmetic. At ionic strength 0, without ion pairs; `Water` knows both.
"""

from __future__ import annotations

from waterlint.chemistry.equilibria import log_k_carbonic_1, log_k_carbonic_2, log_k_water
from waterlint.chemistry.ions import CALCIUM_CARBONATE_EQUIVALENT, IONS
from waterlint.hints import NamedTuple


class CarbonateSplit(NamedTuple):
    """Bicarbonate and carbonate [mg/L]."""

    bicarbonate: float
    carbonate: float


def split_alkalinity(alkalinity: float, ph: float, celsius: float = 25.0) -> CarbonateSplit:
    """Bicarbonate and carbonate of a water of given alkalinity and pH.

    Parameters
    ----------
    alkalinity : float
        [mg/L as CaCO3]
    ph : float
    celsius : float
        [degrees Celsius]

    Returns
    -------
    CarbonateSplit
        [mg/L]; 0 where hydroxide alone makes more alkalinity than there is.

    Notes
    -----
    No other weak acids; activity coefficients of 1.

    Examples
    --------
    >>> [round(figure, 1) for figure in split_alkalinity(100.0, 9.0)]
    [110.9, 5.1]
    """
    hydroxide = 1000.0 * 10.0 ** (log_k_water(celsius) + ph)
    proton = 1000.0 * 10.0**-ph
    left = max(0.0, alkalinity / CALCIUM_CARBONATE_EQUIVALENT - hydroxide + proton)
    ratio = 10.0 ** (log_k_carbonic_2(celsius) + ph)
    bicarbonate = left / (1.0 + 2.0 * ratio)
    return CarbonateSplit(
        bicarbonate * IONS["bicarbonate"].molar_mass,
        bicarbonate * ratio * IONS["carbonate"].molar_mass,
    )


def carbonate_fractions(ph: float, celsius: float = 25.0) -> tuple[float, float, float]:
    """Shares of carbon dioxide, bicarbonate and carbonate in dissolved inorganic carbon [-].

    Examples
    --------
    >>> [round(share, 3) for share in carbonate_fractions(6.352)]
    [0.5, 0.5, 0.0]
    """
    first = 10.0 ** (log_k_carbonic_1(celsius) + ph)
    second = first * 10.0 ** (log_k_carbonic_2(celsius) + ph)
    total = 1.0 + first + second
    return 1.0 / total, first / total, second / total
