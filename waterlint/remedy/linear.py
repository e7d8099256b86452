"""The figures as straight lines of the steps, drawn through the full model."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from waterlint.hints import Final
from waterlint.prediction.result import Prediction
from waterlint.records import Record
from waterlint.remedy.levers import Lever, Steps
from waterlint.remedy.requirement import (
    BOTH,
    ION_PAIR,
    RATIO,
    SCALE,
    Requirement,
    value_of,
)
from waterlint.remedy.situation import Situation
from waterlint.remedy.turned import recipe_with

Key = tuple[str, str]

#: How far a lever is turned to see what it does, as a part of its range: small against the
#: bends of the mash pH, large against rounding.
_PROBE = 0.04

#: Figures of the mash that bend: their lines are drawn anew where the search has come to, once
#: they are off by more than this. Of a pH, less than a step of most scales moves.
BENT: Final[dict[Key, float]] = {("mash_ph", "mash"): 0.0015, (SCALE, "mash"): 0.005}

#: Places whose doses get into the mash.
_INTO_MASH = frozenset({"mash", "liquor"})


class Lines(Record, frozen=False):
    """Each figure as `base + Σ slope · (steps − at)`.

    Ions and alkalinity are straight lines by mass balance, but for what treatment and chalk do;
    the mash pH and the saturation with calcite bend.
    """

    base: dict[Key, float]
    slopes: dict[Key, tuple[float, ...]]
    at: dict[Key, Steps]

    def value(self, key: Key, steps: Sequence[float]) -> float:
        """A figure by its line."""
        return self.base[key] + sum(
            slope * (step - at)
            for slope, step, at in zip(self.slopes[key], steps, self.at[key], strict=True)
        )

    def now(self, key: Key) -> float:
        """A figure where its line was drawn."""
        return self.base[key]

    def bent(self) -> Lines:
        """The lines of the figures that bend, as they are now."""
        keys = [key for key in BENT if key in self.base]
        return Lines(
            {key: self.base[key] for key in keys},
            {key: self.slopes[key] for key in keys},
            {key: self.at[key] for key in keys},
        )

    def intercept(self, key: Key) -> float:
        """A figure by its line where every step is 0."""
        return self.value(key, (0.0,) * len(self.slopes[key]))


def keys_of(found: Iterable[Requirement]) -> list[Key]:
    """The figures that have lines: of a ratio, its two ions."""
    keys: dict[Key, None] = {}
    for each in found:
        if each.quantity in (RATIO, BOTH):
            keys.update({(ion, each.vessel): None for ion in ION_PAIR})
        else:
            keys[each.key] = None
    return list(keys)


def figures(prediction: Prediction, keys: Iterable[Key]) -> dict[Key, float]:
    """The figures that are known."""
    values = {key: value_of(prediction, *key) for key in keys}
    return {key: value for key, value in values.items() if value is not None}


def draw(
    situation: Situation,
    levers: Sequence[Lever],
    at: Steps,
    keys: Sequence[Key],
    *,
    only_mash: bool = False,
) -> Lines:
    """The lines at a point.

    Parameters
    ----------
    situation : Situation
    levers : sequence of Lever
    at : Steps
    keys : sequence of Key
    only_mash : bool
        Turn only the levers that reach the mash; the slopes of the others are 0.
    """
    recipe = situation.recipe
    base = figures(situation.predict(recipe_with(recipe, levers, at)), keys)
    slopes: dict[Key, list[float]] = {key: [0.0] * len(levers) for key in base}
    for number, lever in enumerate(levers):
        if lever.most <= 0 and at[number] <= 0.0:
            continue
        if only_mash and lever.place not in _INTO_MASH:
            continue
        turned = _probe(lever, at[number])
        moved = (*at[:number], turned, *at[number + 1 :])
        there = figures(situation.predict(recipe_with(recipe, levers, moved)), keys)
        for key, value in base.items():
            slopes[key][number] = (there.get(key, value) - value) / (turned - at[number])
    return Lines(
        base, {key: tuple(slope) for key, slope in slopes.items()}, dict.fromkeys(base, at)
    )


def _probe(lever: Lever, at: float) -> float:
    far = max(1.0, _PROBE * lever.most)
    if at + far <= lever.most or at <= 0.0:
        return at + far
    return max(0.0, at - far)
