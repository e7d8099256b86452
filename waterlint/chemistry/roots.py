"""One bounded root finder for the functions of one unknown that chemistry asks for."""

from __future__ import annotations

from collections.abc import Callable

from waterlint.hints import Final, NamedTuple

MAXIMUM_STEPS: Final = 200
"""Bisection alone would need about 60 for a float's resolution."""


class Root(NamedTuple):
    """Where a function crosses zero, and whether it was pinned down."""

    value: float
    converged: bool


def root_value(
    function: Callable[[float], float], low: float, high: float, tolerance: float = 1e-12
) -> float:
    """`find_root` where there must be one.

    Raises
    ------
    ArithmeticError
        If it was not pinned down.

    Examples
    --------
    >>> round(root_value(lambda x: x * x - 2.0, 0.0, 2.0), 6)
    1.414214
    """
    root = find_root(function, low, high, tolerance)
    if not root.converged:
        raise ArithmeticError(f"no root between {low} and {high}")
    return root.value


def find_root(
    function: Callable[[float], float], low: float, high: float, tolerance: float = 1e-12
) -> Root:
    """Find a zero between two places where a function differs in sign.

    Parameters
    ----------
    function : callable
        Continuous between `low` and `high`.
    low, high : float
        The bracket, in any order.
    tolerance : float
        Width of the last bracket, relative to the value, or absolute below 1.

    Returns
    -------
    Root
        Not converged where the signs do not differ; the value is then the better end.

    Notes
    -----
    Regula falsi in the Illinois variant, with a bisection whenever a bracket has not halved in
    three steps: never slower than a third of bisection, mostly far faster.

    Examples
    --------
    >>> find_root(lambda x: x * x - 2.0, 0.0, 2.0).converged
    True
    """
    at_low, at_high = function(low), function(high)
    if at_low == 0.0:
        return Root(low, True)
    if at_high == 0.0:
        return Root(high, True)
    if (at_low > 0.0) == (at_high > 0.0):
        return Root(low if abs(at_low) < abs(at_high) else high, False)
    kept, widths = 0, [abs(high - low)]
    for _ in range(MAXIMUM_STEPS):
        slow = len(widths) > 3 and widths[-1] > 0.5 * widths[-4]
        middle = 0.5 * (low + high) if slow else high - at_high * (high - low) / (at_high - at_low)
        value = function(middle)
        if value == 0.0:
            return Root(middle, True)
        if (value > 0.0) == (at_high > 0.0):
            high, at_high = middle, value
            at_low = 0.5 * at_low if kept == 1 else at_low
            kept = 1
        else:
            low, at_low = middle, value
            at_high = 0.5 * at_high if kept == -1 else at_high
            kept = -1
        widths.append(abs(high - low))
        if widths[-1] <= tolerance * max(1.0, abs(middle)):
            return Root(middle, True)
    return Root(0.5 * (low + high), False)
