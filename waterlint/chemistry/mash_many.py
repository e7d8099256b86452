"""Whole collections of mashes at once, by the same balance as a single one."""

from __future__ import annotations

from collections.abc import Sequence

from waterlint.chemistry.mash import MashInputs, mash_balance
from waterlint.chemistry.proton_balance import MashBalance, solve_many
from waterlint.hints import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


class ManyMashes(NamedTuple):
    """The pH of each mash, shape (n,), and whether it was pinned down, shape (n,)."""

    ph: NDArray[np.float64]
    converged: NDArray[np.bool_]


def predict_many(mashes: Sequence[MashInputs]) -> ManyMashes:
    """Predict the pH of many mashes.

    Parameters
    ----------
    mashes : sequence of MashInputs
        Of any length n, none included.

    Returns
    -------
    ManyMashes
        In the order of `mashes`; equal to `mash_ph` within 1e-9.

    Raises
    ------
    ValueError
        As `waterlint.chemistry.mash.mash_balance` does.

    Notes
    -----
    The mashes are reduced one by one and solved as arrays by `solve_many`, to which balances
    that are arrays already can be given directly.

    Examples
    --------
    >>> from waterlint.chemistry.malts import malt_term
    >>> pale = malt_term("pale", 4.5)
    >>> many = predict_many([MashInputs((pale,), 14.0, alkalinity=a) for a in (0.0, 2.0)])
    >>> [round(float(ph), 2) for ph in many.ph]
    [5.72, 5.84]
    """
    import numpy as np

    balances = [mash_balance(mash) for mash in mashes]
    figures = np.array([balance[:-1] for balance in balances], dtype=float).reshape(-1, 6)
    amounts = [dict(balance.acids) for balance in balances]
    names = sorted({name for each in amounts for name in each})
    acids = tuple(
        (name, np.array([each.get(name, 0.0) for each in amounts], dtype=float)) for name in names
    )
    buffer, intrinsic, thickness, alkalinity, carbon, release = figures.T
    return ManyMashes(
        *solve_many(MashBalance(buffer, intrinsic, thickness, alkalinity, carbon, release, acids))
    )
