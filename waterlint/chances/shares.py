"""Which share of a figure's variance a group of inputs brings by itself.

References
----------
I. M. Sobol', "Sensitivity estimates for nonlinear mathematical models", Mathematical Modelling
and Computational Experiments 1 (1993) 407: the index, and drawing all other inputs anew.
A. Janon, T. Klein, A. Lagnoux, M. Nodet and C. Prieur, "Asymptotic normality and efficiency of
two Sobol index estimators", ESAIM: Probability and Statistics 18 (2014) 342: mean and variance
from all sets together.
J. M. Hammersley and K. W. Morton, "A new Monte Carlo technique: antithetic variates",
Proceedings of the Cambridge Philosophical Society 52 (1956) 449: the mirrored sets.
(All from memory.)
"""

from __future__ import annotations

from waterlint.hints import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Samples = NDArray[np.float64]


class Sets(NamedTuple):
    """A figure with one group of inputs as it is and all others in four ways, each shape (n,).

    Attributes
    ----------
    once, mirrored : array
        With the others as first drawn, and on the opposite side of their middle.
    anew, anew_mirrored : array
        With the others drawn again, independently, and mirrored.
    """

    once: Samples
    mirrored: Samples
    anew: Samples
    anew_mirrored: Samples


def first_order_share(sets: Sets) -> float:
    """Sobol's closed index of a group of inputs.

    Parameters
    ----------
    sets : Sets

    Returns
    -------
    float
        0 to 1; 0 where the figure does not vary.

    Notes
    -----
    The group's share is the covariance of two sets that share the group alone. What the others
    add to it by chance goes when each is averaged with its mirror image, all of it where they
    act linearly; of what acts otherwise it stays without bias, since the two pairs are
    independent. Inputs must be distributed symmetrically.

    Examples
    --------
    >>> import numpy as np
    >>> a, b, other = np.random.default_rng(1).standard_normal((3, 4000))
    >>> round(first_order_share(Sets(3 * a + b, 3 * a - b, 3 * a + other, 3 * a - other)), 2)
    0.9
    """
    mean = sum(float(each.mean()) for each in sets) / 4.0
    variance = sum(float(((each - mean) ** 2).mean()) for each in sets) / 4.0
    if not variance > 0.0:
        return 0.0
    first = 0.5 * (sets.once + sets.mirrored) - mean
    second = 0.5 * (sets.anew + sets.anew_mirrored) - mean
    return min(1.0, max(0.0, float((first * second).mean()) / variance))
