"""Ranges narrowed by the spread of a figure, so that keeping to them is no pass by a hair."""

from __future__ import annotations

from math import erf, inf, sqrt

from waterlint.catalog.limits import NARROW_PASS
from waterlint.hints import Final

#: Halvings of an interval; a millionth of the spread is left.
_HALVINGS: Final = 40

#: What is kept from the chance that is allowed, for the arithmetic of floats.
_HAIR: Final = 1e-6


def within_spread(
    low: float | None, high: float | None, spread: float
) -> tuple[float | None, float | None] | None:
    """Where a figure may lie to be outside a range in few cases only.

    Parameters
    ----------
    low, high : float or None
        The range.
    spread : float
        One standard deviation, in the same unit.

    Returns
    -------
    tuple or None
        The narrower range; `None` where the range is too narrow for this spread anywhere.

    Examples
    --------
    >>> low, high = within_spread(5.2, None, 0.1)
    >>> round(low, 3), high
    (5.243, None)
    >>> within_spread(5.3, 5.4, 0.1) is None
    True
    """
    if not spread > 0.0 or (low is None and high is None):
        return low, high
    floor, ceiling = -inf if low is None else low, inf if high is None else high
    reach = 8.0 * spread
    middle = 0.5 * (floor + ceiling)
    if low is None:
        middle = ceiling - reach
    elif high is None:
        middle = floor + reach
    if _outside(middle, floor, ceiling, spread) > _ALLOWED:
        return None
    return (
        None if low is None else _edge(floor, middle, floor, ceiling, spread),
        None if high is None else _edge(ceiling, middle, floor, ceiling, spread),
    )


_ALLOWED: Final = NARROW_PASS.ceiling / 100.0 - _HAIR


def _edge(bad: float, good: float, low: float, high: float, spread: float) -> float:
    """The outermost value between a bad and a good one that is still good."""
    for _ in range(_HALVINGS):
        tried = 0.5 * (bad + good)
        if _outside(tried, low, high, spread) > _ALLOWED:
            bad = tried
        else:
            good = tried
    return good


def _outside(value: float, low: float, high: float, spread: float) -> float:
    """How often a normally distributed figure around a value lies beyond either end."""
    ends = (each for each in (low, high) if abs(each) < inf)
    return sum(0.5 * (1.0 - erf(abs(end - value) / spread / sqrt(2.0))) for end in ends)
