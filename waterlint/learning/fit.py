"""The malts' own pH from measured mashes: the mash model, fitted with the defaults as the prior."""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt

from waterlint.hints import Final
from waterlint.learning.mashes import Mash
from waterlint.learning.system import Held, MaltFit, System
from waterlint.records import Record, replace

FEWEST: Final = 5
"""Mashes below which nothing is fitted; common practice: leaving one out still leaves some."""

OUTLIER: Final = 3.5
"""How many of its own standard deviations a reading may be off what the others predict; common
practice: one mash in two thousand."""

MOST_OUTLIERS: Final = 0.2
"""Share of the mashes that may be set aside [-]; common practice: beyond it the model is wrong and
not the readings."""


class Fit(Record):
    """A house's malts.

    Attributes
    ----------
    malts : tuple of MaltFit
        By kind and name; after the names of a kind with several, the kind's others.
    held : tuple of Held
        Each mash that was used, left out in turn.
    outliers : tuple of Held
        Those that were set aside.
    widened : float
        By how much the spreads were widened, since the readings scatter more than they explain.
    converged : bool
    """

    malts: tuple[MaltFit, ...]
    held: tuple[Held, ...]
    outliers: tuple[Held, ...]
    widened: float
    converged: bool

    @property
    def rms_default(self) -> float:
        """Root mean square error of the defaults [pH]."""
        return _rms([each.mash.ph - each.default for each in self.held])

    @property
    def rms_learned(self) -> float:
        """Of what was learned, each mash left out in turn [pH]."""
        return _rms([each.mash.ph - each.learned for each in self.held])

    @property
    def nearer(self) -> int:
        """In how many mashes what was learned is nearer than the default."""
        return sum(
            abs(each.mash.ph - each.learned) < abs(each.mash.ph - each.default)
            for each in self.held
        )

    @property
    def gain(self) -> tuple[float, float]:
        """Mean of the paired differences of squared errors, and its standard error [pH2]."""
        gains = [
            (each.mash.ph - each.default) ** 2 - (each.mash.ph - each.learned) ** 2
            for each in self.held
        ]
        mean = sum(gains) / len(gains)
        squares = sum((gain - mean) ** 2 for gain in gains)
        return mean, sqrt(squares / (len(gains) * (len(gains) - 1)))


def _rms(errors: Sequence[float]) -> float:
    return sqrt(sum(error * error for error in errors) / len(errors))


class TooFew(ValueError):
    """There are not enough mashes to learn from."""


def learn(mashes: Sequence[Mash]) -> Fit:
    """Fit the open malts of a house to its measured mashes.

    Parameters
    ----------
    mashes : sequence of Mash
        Of one house: what is learned holds for its malts, its mill and its meter alike.

    Returns
    -------
    Fit

    Raises
    ------
    TooFew
        If there are fewer than `FEWEST`, or none has an open malt.

    Notes
    -----
    Errors of different mashes are taken as independent. What all mashes of a house have in common
    (the meter, the crush, one water report) goes into the malts, which then serve this house
    alone. Readings that the others rule out are set aside, the worst first.
    """
    used = [mash for mash in mashes if any(label is not None for label in mash.labels)]
    aside: list[Held] = []
    while True:
        if len(used) < FEWEST:
            raise TooFew(
                f"{len(used)} measured mashes with malts of unknown pH are too few to learn from; "
                f"{FEWEST} are the least"
            )
        system = System(used)
        held = system.held_out()
        worst = max(held, key=lambda each: abs(each.off))
        if abs(worst.off) <= OUTLIER or len(aside) + 1 > MOST_OUTLIERS * (len(used) + len(aside)):
            break
        aside.append(worst)
        used.remove(worst.mash)
    widened = _widening(held)
    if widened > 1.0:
        system = System([replace(mash, sd=mash.sd * widened) for mash in used])
        held = system.held_out()
    return Fit(system.malts(), held, tuple(aside), widened, system.converged)


def _widening(held: Sequence[Held]) -> float:
    """How much wider the spreads must be for the readings' scatter; 1 where chance explains it.

    Held-out errors over their deviations have a mean square of 1, give or take sqrt(2/n).
    """
    square = sum(each.off**2 for each in held) / len(held)
    return sqrt(square) if square > 1.0 + 2.0 * sqrt(2.0 / len(held)) else 1.0
