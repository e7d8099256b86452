"""Waters that meet."""

from __future__ import annotations

from collections.abc import Iterable
from math import isfinite

from waterlint.chemistry.water import ION_NAMES, Water


def blend(parts: Iterable[tuple[Water, float]]) -> Water:
    """Mix waters, closed to the air.

    Parameters
    ----------
    parts : iterable of (Water, float)
        Each water and its volume or share; only the proportions matter.

    Returns
    -------
    Water
        At the mean temperature.

    Raises
    ------
    ValueError
        If a share is negative or not finite, or all are 0.

    Examples
    --------
    >>> hard = Water(calcium=100, alkalinity=250, ph=7.2)
    >>> round(blend([(hard, 0.4), (Water(), 0.6)]).calcium, 6)
    40.0
    """
    listed = list(parts)
    for _, share in listed:
        if not (isfinite(share) and share >= 0.0):
            raise ValueError(f"shares must be finite and not negative, got {share}")
    whole = sum(share for _, share in listed)
    if not whole > 0.0:
        raise ValueError("the shares of a blend add up to nothing")
    return Water.from_carbon(
        {
            name: sum(getattr(water, name) * share for water, share in listed) / whole
            for name in ION_NAMES
        },
        sum(water.alkalinity * share for water, share in listed) / whole,
        sum(water.dic * share for water, share in listed) / whole,
        sum(water.temperature * share for water, share in listed) / whole,
    )
