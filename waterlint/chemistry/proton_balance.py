"""The balance of protons that decides a mash's pH, and its solution.

What malts, calcium and magnesium (by precipitating phosphate) and acids release is what the
water's alkalinity and strong bases take up; the pH at which both agree is the mash's, read in
a sample cooled to room temperature.

One formula, `released`, serves floats and arrays; only the two root finders differ.

References
----------
K. Troester, "The effect of brewing water and grist composition on the pH of the mash", 2009:
the measured mashes (CC BY-NC 3.0; figures only) behind the regressions named here.
P. Kolbach, Monatsschrift fuer Brauerei, 1953, as cited there.
"""

from __future__ import annotations

from math import log

from waterlint.chemistry.acids import dissociation
from waterlint.chemistry.number import Number
from waterlint.hints import TYPE_CHECKING, Final, Generic, NamedTuple

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

PK1: Final = 6.35
"""Carbonic acid's first pK at 25 degrees Celsius; phreeqc.dat 6.352."""

PK2: Final = 10.33
"""Carbonic acid's second pK at 25 degrees Celsius; phreeqc.dat 10.329."""

CALCIUM_RELEASE: Final = 0.57
"""Protons per equivalent of calcium, before saturation [-]; our regression on Troester 2009."""

MAGNESIUM_RELEASE: Final = 0.19
"""Protons per equivalent of magnesium, before saturation [-]; our regression on Troester 2009."""

RELEASE_SATURATION: Final = 11.0
"""Where half of the release is used up [mEq/L]; our regression on Troester 2009, borne out by
Taylor's series in Briggs et al. 2004."""

PH_BOUNDS: Final = (0.0, 14.0)
"""Where the mash's pH is sought."""

MAXIMUM_STEPS: Final = 80
"""Of either root finder; bisection alone would need about 55."""

TOLERANCE: Final = 1e-12
"""[pH]"""

BLOCK: Final = 4096
"""Mashes solved together: enough to hide Python, few enough to stay in a processor's cache."""

_AT_AN_END: Final = 1e-6
"""So near an end of the bounds the steps may have come without a balance [pH]."""

_LN10: Final = log(10.0)
_K1: Final = 10.0**-PK1
_K2: Final = 10.0**-PK2


class MashBalance(NamedTuple, Generic[Number]):
    """All that decides a mash's pH, reduced to a few figures; floats, or arrays of one shape.

    Attributes
    ----------
    buffer : Number
        Of the grist as crushed [mEq/(kg pH)].
    intrinsic_ph : Number
        Where the grist alone would settle at this thickness.
    thickness : Number
        [L/kg]
    alkalinity : Number
        Of the mash water, strong bases counted, acids not [mEq/L].
    carbon : Number
        What of it is carbonate that turns to CO2 [mmol/L].
    release : Number
        By calcium and magnesium [mEq/L]; see `hardness_release`.
    acids : tuple of (str, Number)
        Acids by the names of `waterlint.chemistry.acids` [mmol/L].
    """

    buffer: Number
    intrinsic_ph: Number
    thickness: Number
    alkalinity: Number
    carbon: Number
    release: Number
    acids: tuple[tuple[str, Number], ...] = ()


def hardness_release(calcium: Number, magnesium: Number) -> Number:
    """Protons that calcium and magnesium set free in the mash [mEq/L], both in mEq/L.

    Examples
    --------
    >>> round(hardness_release(5.0, 1.0), 2)
    2.38
    """
    full = CALCIUM_RELEASE * calcium + MAGNESIUM_RELEASE * magnesium
    return full / (1.0 + full / RELEASE_SATURATION)


def carbonate_charge(ph: Number) -> Number:
    """Alkalinity that a mole of dissolved carbon still holds at a pH [Eq/mol].

    Examples
    --------
    >>> [round(carbonate_charge(ph), 2) for ph in (4.3, 6.35, 8.3)]
    [0.01, 0.5, 1.0]
    """
    power: Number = 10.0**ph
    return _carbonate(power)[0]


def _carbonate(power: Number) -> tuple[Number, Number]:
    """Mean and variance of carbon's alkalinity [Eq/mol], from 10^pH."""
    first = power * _K1
    second = first * power * _K2
    total = 1.0 + first + second
    mean = (first + 2.0 * second) / total
    return mean, (first + 4.0 * second) / total - mean * mean


def released(balance: MashBalance[Number], ph: Number) -> Number:
    """Protons released less protons taken up at a pH [mEq/kg]; it only rises with pH.

    Examples
    --------
    >>> distilled = MashBalance(38.0, 5.75, 3.0, 0.0, 0.0, 0.0, ())
    >>> hard = distilled._replace(alkalinity=3.0, carbon=3.0)
    >>> [round(released(each, 5.75), 2) for each in (distilled, hard)]
    [0.0, -7.19]
    """
    return released_and_slope(balance, ph)[0]


def released_and_slope(balance: MashBalance[Number], ph: Number) -> tuple[Number, Number]:
    """The same, and how it rises with pH [mEq/(kg pH)]: ln 10 times the protons' variance."""
    buffer, intrinsic_ph, thickness, alkalinity, carbon, release, acids = balance
    power: Number = 10.0**ph
    mean, variance = _carbonate(power)
    water = release - alkalinity + carbon * mean
    slope = carbon * variance
    for name, amount in acids:
        mean, variance = dissociation(name, power)
        water = water + amount * mean
        slope = slope + amount * variance
    grist = buffer * (ph - intrinsic_ph)
    return grist + thickness * water, buffer + thickness * _LN10 * slope


def alkalinity_over(balance: MashBalance[Number], ph: Number) -> Number:
    """Strong acid that brings a mash to a pH [mEq per L of its water]; below 0 a strong base.

    Examples
    --------
    >>> hard = MashBalance(38.0, 5.75, 3.0, 3.0, 3.0, 0.0, ())
    >>> acid = alkalinity_over(hard, 5.6)
    >>> softer = hard._replace(alkalinity=hard.alkalinity - acid)
    >>> round(acid, 2), round(solve(softer).ph, 2)
    (4.45, 5.6)
    """
    return -released(balance, ph) / balance.thickness


class Solution(NamedTuple):
    """A mash's pH, and whether it was pinned down within `PH_BOUNDS`."""

    ph: float
    converged: bool


def solve(balance: MashBalance[float]) -> Solution:
    """Find the pH at which nothing is left over: Newton's steps, held by a bracket.

    Parameters
    ----------
    balance : MashBalance of float

    Returns
    -------
    Solution

    Examples
    --------
    >>> distilled = MashBalance(38.0, 5.75, 3.0, 0.0, 0.0, 0.0, ())
    >>> hard = distilled._replace(alkalinity=3.0, carbon=3.0)
    >>> [round(solve(each).ph, 2) for each in (distilled, hard)]
    [5.75, 5.92]
    """
    low, high = PH_BOUNDS
    ph, converged = _newton(balance)
    # What is released only rises with pH: with a balance well inside, neither end need be asked.
    if not (converged and low + _AT_AN_END < ph < high - _AT_AN_END):
        if released(balance, low) > 0.0:
            return Solution(low, False)
        if released(balance, high) < 0.0:
            return Solution(high, False)
    return Solution(ph, converged)


def _newton(balance: MashBalance[float]) -> tuple[float, bool]:
    """Where the steps end, and whether they grew small; at an end of the bounds that may be all."""
    low, high = PH_BOUNDS
    ph = min(high, max(low, balance.intrinsic_ph))
    for _ in range(MAXIMUM_STEPS):
        rest, slope = released_and_slope(balance, ph)
        if rest < 0.0:
            low = ph
        else:
            high = ph
        step = ph - rest / slope
        # A step of next to nothing may end on the bracket itself: that is no reason to halve it.
        inside = low < step < high or abs(step - ph) <= TOLERANCE
        following = step if inside else 0.5 * (low + high)
        if abs(following - ph) <= TOLERANCE:
            return following, True
        ph = following
    return ph, False


def solve_many(
    balance: MashBalance[NDArray[np.float64]],
) -> tuple[NDArray[np.float64], NDArray[np.bool_]]:
    """Find the pH of many mashes at once.

    Parameters
    ----------
    balance : MashBalance of arrays
        All of one shape, or of shapes that broadcast to one.

    Returns
    -------
    tuple of arrays
        pH, and whether it was pinned down; equal to `solve` within 1e-9.

    Examples
    --------
    >>> import numpy as np
    >>> alkalinity = np.array([0.0, 3.0])
    >>> ph, converged = solve_many(
    ...     MashBalance(38.0, 5.75, 3.0, alkalinity, alkalinity, 0.0, ())
    ... )
    >>> [round(float(each), 2) for each in ph], bool(converged.all())
    ([5.75, 5.92], True)
    """
    import numpy as np

    names = [name for name, _ in balance.acids]
    parts = np.broadcast_arrays(*balance[:-1], *(amount for _, amount in balance.acids))
    shape = parts[0].shape
    flat = [np.ravel(part) for part in parts]
    ph = np.empty(flat[0].size)
    converged = np.empty(flat[0].size, dtype=bool)
    for start in range(0, ph.size, BLOCK):
        block = slice(start, start + BLOCK)
        buffer, intrinsic, thickness, alkalinity, carbon, release, *doses = (
            part[block] for part in flat
        )
        acids = tuple(zip(names, doses, strict=True))
        ph[block], converged[block] = _solve_block(
            MashBalance(buffer, intrinsic, thickness, alkalinity, carbon, release, acids)
        )
    return ph.reshape(shape), converged.reshape(shape)


def _solve_block(
    balance: MashBalance[NDArray[np.float64]],
) -> tuple[NDArray[np.float64], NDArray[np.bool_]]:
    """`solve` for arrays of one dimension."""
    import numpy as np

    low = np.full(balance.buffer.shape, PH_BOUNDS[0])
    high = np.full(balance.buffer.shape, PH_BOUNDS[1])
    below = released(balance, low) > 0.0
    above = released(balance, high) < 0.0
    ph = np.clip(balance.intrinsic_ph, *PH_BOUNDS)
    moved = np.ones(ph.shape, dtype=bool)
    for _ in range(MAXIMUM_STEPS):
        rest, slope = released_and_slope(balance, ph)
        low = np.where(rest < 0.0, ph, low)
        high = np.where(rest < 0.0, high, ph)
        step = ph - rest / slope
        inside = ((low < step) & (step < high)) | (np.abs(step - ph) <= TOLERANCE)
        following = np.where(moved, np.where(inside, step, 0.5 * (low + high)), ph)
        moved = np.abs(following - ph) > TOLERANCE
        ph = following
        if not moved.any():
            break
    ph = np.where(below, PH_BOUNDS[0], np.where(above, PH_BOUNDS[1], ph))
    return ph, ~(moved | below | above)
