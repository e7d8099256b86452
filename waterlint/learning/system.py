"""The equations of a fit: malts' strays from their defaults against measured mashes.

Each open malt's own pH (`ph_di`) is its default plus what its kind strays from it in this house
plus what the malt strays from its kind. Both strays are drawn toward 0 as strongly as the default
is certain, so few mashes change little (ridge regression, which is the same as a normal prior).
How a pH answers to the warmth of its sample is fitted beside them: it is the same in all mashes.
The model is linearised around its own solution again and again until nothing moves.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt

from waterlint.chemistry.mash import MashInputs, mash_ph
from waterlint.chemistry.mash_uncertainty import PH_PER_KELVIN_SD
from waterlint.hints import TYPE_CHECKING, Final
from waterlint.learning.mashes import Label, Mash
from waterlint.records import Record, replace

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

SHARED: Final = 0.5
"""Of a default's variance that all malts of the kind have in common in one house [-]; common
practice: half is the maltster's and the harvest's, half the single malt's."""

_MOST_STEPS: Final = 50
_SETTLED: Final = 1e-9


class MaltFit(Record):
    """What was learned of a malt, or of a kind's other malts where `label.name` is empty.

    Attributes
    ----------
    label : Label
    mashes : int
        That it is in.
    offset, sd : float
        Of its own pH from the default, and its standard deviation [pH].
    prior_sd : float
        The default's [pH].
    """

    label: Label
    mashes: int
    offset: float
    sd: float
    prior_sd: float


class Held(Record):
    """A mash against predictions that did not know it.

    Attributes
    ----------
    mash : Mash
    default : float
        What the defaults predict [pH].
    learned, sd : float
        What the others predict, and the standard deviation of the reading from it [pH].
    """

    mash: Mash
    default: float
    learned: float
    sd: float

    @property
    def off(self) -> float:
        """How many standard deviations the reading is off."""
        return (self.mash.ph - self.learned) / self.sd


class System:
    """The equations of a fit, linearised at its solution.

    Parameters
    ----------
    mashes : sequence of Mash
        At least one, each with an open malt.

    Attributes
    ----------
    converged : bool
    """

    def __init__(self, mashes: Sequence[Mash]) -> None:
        import numpy as np

        self.mashes = mashes
        self.names = sorted(
            {label for mash in mashes for label in mash.labels if label is not None},
            key=lambda label: (label.like, label.name, label.kind),
        )
        self.kinds = sorted({label.like for label in self.names})
        self._prior = self._prior_sds()
        self.sds = np.array(
            [sqrt(SHARED) * max(self._of_kind(kind)) for kind in self.kinds]
            + [sqrt(1.0 - SHARED) * self._prior[label] for label in self.names]
            + [PH_PER_KELVIN_SD]
        )
        self.solution = np.zeros(len(self.sds))
        self.converged = False
        self._solve()

    def _prior_sds(self) -> dict[Label, float]:
        """Of each malt's own pH by default."""
        found: dict[Label, float] = {}
        for mash in self.mashes:
            for label, term in zip(mash.labels, mash.inputs.malts, strict=True):
                if label is not None:
                    found[label] = max(found.get(label, 0.0), term.acidity_sd / term.buffer)
        return found

    def _of_kind(self, kind: str) -> list[float]:
        return [self._prior[label] for label in self.names if label.like == kind]

    def _columns(self, label: Label) -> tuple[int, int]:
        return self.kinds.index(label.like), len(self.kinds) + self.names.index(label)

    def _solve(self) -> None:
        import numpy as np

        for _ in range(_MOST_STEPS):
            model, slopes = self._linearised(self.solution)
            weights = np.array([1.0 / mash.sd for mash in self.mashes])
            design = slopes * self.sds * weights[:, None]
            measured = np.array([mash.ph for mash in self.mashes])
            wanted = weights * (measured - model + slopes @ self.solution)
            inverse = np.linalg.inv(design.T @ design + np.eye(len(self.sds)))
            solution = self.sds * (inverse @ (design.T @ wanted))
            moved = float(np.max(np.abs(solution - self.solution)))
            self.solution = solution
            self._design, self._wanted, self._inverse = design, wanted, inverse
            if moved < _SETTLED:
                self.converged = True
                break

    def _linearised(self, solution: Array) -> tuple[Array, Array]:
        """The model's pH of each mash, and how it answers to each stray."""
        import numpy as np

        model = np.zeros(len(self.mashes))
        slopes = np.zeros((len(self.mashes), len(self.sds)))
        for row, mash in enumerate(self.mashes):
            inputs = self._with(mash, solution)
            result = mash_ph(inputs)
            model[row] = result.ph + mash.warmer * solution[-1]
            slopes[row, -1] = mash.warmer
            for label, term, acidity in zip(
                mash.labels, inputs.malts, result.sensitivities.acidities, strict=True
            ):
                if label is not None:
                    # A malt whose own pH is higher releases that much less.
                    for column in self._columns(label):
                        slopes[row, column] -= acidity * term.buffer
        return model, slopes

    def _with(self, mash: Mash, solution: Array) -> MashInputs:
        """The mash's inputs with the malts as a solution has them."""
        malts = tuple(
            term
            if label is None
            else replace(
                term,
                ph_di=term.ph_di + float(sum(solution[each] for each in self._columns(label))),
            )
            for label, term in zip(mash.labels, mash.inputs.malts, strict=True)
        )
        return replace(mash.inputs, malts=malts)

    def held_out(self) -> tuple[Held, ...]:
        """Each mash against what the others say of it: the linear fit without it, in the model."""
        import numpy as np

        found = []
        for row, mash in enumerate(self.mashes):
            own = self._design[row]
            # The inverse without this row, by Sherman and Morrison.
            reach = self._inverse @ own
            leverage = float(own @ reach)
            without = self._inverse + np.outer(reach, reach) / (1.0 - leverage)
            rest = self._design.T @ self._wanted - own * self._wanted[row]
            solution = self.sds * (without @ rest)
            learned = mash_ph(self._with(mash, solution)).ph + mash.warmer * float(solution[-1])
            default = mash_ph(mash.inputs).ph
            spread = mash.sd * sqrt(1.0 + float(own @ without @ own))
            found.append(Held(mash, default, learned, spread))
        return tuple(found)

    def malts(self) -> tuple[MaltFit, ...]:
        """Every malt, and the others of each kind that has several."""
        found = []
        for kind in self.kinds:
            labels = [label for label in self.names if label.like == kind]
            for label in labels:
                columns = self._columns(label)
                counts = sum(label in mash.labels for mash in self.mashes)
                found.append(self._malt(label, counts, columns, self._prior[label], 0.0))
            if len(labels) > 1:
                prior = max(self._of_kind(kind))
                counts = sum(
                    any(label is not None and label.like == kind for label in mash.labels)
                    for mash in self.mashes
                )
                # A malt that no mash holds strays from its kind as the default lets it.
                other = (1.0 - SHARED) * prior * prior
                column = (self.kinds.index(kind),)
                found.append(self._malt(Label(kind, "", kind), counts, column, prior, other))
        return tuple(found)

    def _malt(
        self, label: Label, mashes: int, columns: tuple[int, ...], prior: float, other: float
    ) -> MaltFit:
        import numpy as np

        pick = np.zeros(len(self.sds))
        pick[list(columns)] = self.sds[list(columns)]
        variance = float(pick @ self._inverse @ pick) + other
        offset = float(sum(self.solution[each] for each in columns))
        return MaltFit(label, mashes, offset, sqrt(variance), prior)
