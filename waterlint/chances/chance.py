"""How often each limit of a recipe holds."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from waterlint.chances.draws import SOURCES, Draws, Streams
from waterlint.chances.figures import Evaluation, Key, sources_of
from waterlint.chances.shares import Sets, first_order_share
from waterlint.hints import TYPE_CHECKING, Final, NamedTuple, cast
from waterlint.output.chances import Chance, Chances, LimitChance
from waterlint.rules.range_findings import title_of, unit_of
from waterlint.rules.ranges import Bound, Verdict, judge
from waterlint.rules.registry import Case
from waterlint.rules.targets import NAMED, wanted_figures

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from waterlint.chances.draws import Samples

    _Set = Mapping[Key, Samples]

SAMPLES: Final = 2000
"""Draws of each set where nothing else is asked for: chances are then known within 0.01 and
shares within 0.015 (standard errors, measured over seeds)."""

LEAST_SAMPLES: Final = 100
MOST_SAMPLES: Final = 100_000
"""Bounds of what can be asked for: fewer say nothing, more ask for gigabytes."""


def chances_of(case: Case, samples: int = SAMPLES, seed: int = 1) -> Chances:
    """How often each limit that a rule judges holds, and what decides it.

    Parameters
    ----------
    case : Case
        Of a recipe, with its prediction, as `waterlint.linter.Linter.cases` gives it.
    samples : int
        How many draws each of the sets has; `LEAST_SAMPLES` to `MOST_SAMPLES`.
    seed : int
        The same seed gives the same outcome, whatever else is asked in the same run.

    Returns
    -------
    Chances
        Of the figures whose limits `waterlint.rules.ranges.judge` knows, in a fixed order.

    Raises
    ------
    ValueError
        If `samples` is out of its bounds.

    Notes
    -----
    Every input that the prediction knows a spread of is drawn from a normal distribution, with
    amounts cut off at nothing, and followed through mixing and the balance of protons as it is;
    only bicarbonate, and what boiling and lime leave, is followed to first order. Reports are
    taken to be independent of each other, ions of one report too. The masses of the grist are
    taken as weighed.
    """
    if not LEAST_SAMPLES <= samples <= MOST_SAMPLES:
        raise ValueError(f"samples must be {LEAST_SAMPLES} to {MOST_SAMPLES}, got {samples}")
    assert case.recipe is not None and case.prediction is not None
    verdicts = {(each.quantity, each.vessel): each for each in _verdicts(case)}
    drawn = _draw(Evaluation(case, verdicts), Streams(seed, samples))
    known = [verdict for key, verdict in verdicts.items() if key in drawn.first]
    return Chances(
        case.recipe.path,
        case.recipe.document,
        case.recipe.name,
        samples,
        seed,
        tuple(_chance(verdict, drawn) for verdict in known),
        _together(known, drawn),
    )


class _Drawn(NamedTuple):
    """The figures of all sets of draws: the first, and three for each source."""

    first: _Set
    by_source: Mapping[str, tuple[_Set, _Set, _Set]]

    def sets(self) -> list[_Set]:
        """Each is as good a set of draws as the first."""
        return [self.first, *(each for three in self.by_source.values() for each in three)]

    def share(self, source: str, key: Key) -> float:
        """What a source brings to the variance of a figure by itself."""
        return first_order_share(
            Sets(self.first[key], *(each[key] for each in self.by_source[source]))
        )


def _draw(evaluation: Evaluation, streams: Streams) -> _Drawn:
    draws = Draws(streams)
    first = evaluation.figures(draws)
    asked = [source for source in SOURCES if source in draws.asked]
    return _Drawn(
        first,
        {
            source: (
                evaluation.figures(Draws(streams, source, 0, mirrored=True)),
                evaluation.figures(Draws(streams, source, 1)),
                evaluation.figures(Draws(streams, source, 1, mirrored=True)),
            )
            for source in asked
        },
    )


def _verdicts(case: Case) -> Iterator[Verdict]:
    """Every figure with its bounds, as the rules see it."""
    for quantity, vessel in dict.fromkeys([*sorted(NAMED), *wanted_figures(case)]):
        verdict = judge(case, quantity, vessel)
        if verdict is not None:
            yield verdict


def _chance(verdict: Verdict, drawn: _Drawn) -> Chance:
    import numpy as np

    key = (verdict.quantity, verdict.vessel)
    every = np.concatenate([each[key] for each in drawn.sets()])
    low, high = np.quantile(every, (0.16, 0.84))
    return Chance(
        title=title_of(*key),
        quantity=verdict.quantity,
        vessel=verdict.vessel,
        unit=unit_of(verdict.quantity),
        value=verdict.figure.value,
        sd=verdict.figure.sd,
        drawn_sd=float(every.std()),
        drawn_low=float(low),
        drawn_high=float(high),
        limits=tuple(
            LimitChance(
                bound.side, bound.level, bound.value, bound.origin, bound.basis, _held(bound, every)
            )
            for bound in verdict.bounds
        ),
        holds=float(_keeps(verdict, every).mean()),
        shares={
            source: drawn.share(source, key)
            for source in sources_of(key)
            if source in drawn.by_source
        },
    )


def _held(bound: Bound, drawn: Samples) -> float:
    return 1.0 - float(_broken(bound, drawn).mean())


def _broken(bound: Bound, drawn: Samples) -> NDArray[np.bool_]:
    """Where a bound is broken, by the word of the bound itself: it compares arrays as well."""
    return cast("NDArray[np.bool_]", bound.is_broken_by(cast("float", drawn)))


def _keeps(verdict: Verdict, drawn: Samples) -> NDArray[np.bool_]:
    """Where a figure keeps to all that would be a warning, or to all there is."""
    import numpy as np

    kept = np.ones(drawn.shape, dtype=bool)
    for bound in _counted(verdict):
        kept &= ~_broken(bound, drawn)
    return kept


def _counted(verdict: Verdict) -> list[Bound]:
    grave = [bound for bound in verdict.bounds if bound.level != "note"]
    return grave or list(verdict.bounds)


def _together(verdicts: Sequence[Verdict], drawn: _Drawn) -> float | None:
    """How often no figure at all gets a warning; `None` where no limit is known."""
    import numpy as np

    grave = [
        verdict for verdict in verdicts if any(bound.level != "note" for bound in verdict.bounds)
    ]
    if not grave:
        return None
    kept = [
        np.logical_and.reduce(
            [_keeps(verdict, each[verdict.quantity, verdict.vessel]) for verdict in grave]
        )
        for each in drawn.sets()
    ]
    return float(np.concatenate(kept).mean())
