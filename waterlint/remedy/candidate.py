"""A change of doses that was proven, and how good it is."""

from __future__ import annotations

from collections import Counter
from math import inf

from waterlint.finding import Finding
from waterlint.linter import Report
from waterlint.prediction.result import Prediction
from waterlint.records import Record
from waterlint.remedy.levers import Lever, Steps
from waterlint.remedy.requirement import Requirement, value_of


class Candidate(Record):
    """A change that was proven by a fresh lint of the changed text.

    Attributes
    ----------
    levers, steps : tuple
        What is turned, and how far.
    text : str
    report : Report
    prediction : Prediction
    counted : tuple of Finding
        What is left at or above the level asked for.
    missed_aims : tuple of Requirement
    """

    levers: tuple[Lever, ...]
    steps: Steps
    text: str
    report: Report
    prediction: Prediction
    counted: tuple[Finding, ...]
    missed_aims: tuple[Requirement, ...]

    @property
    def changed(self) -> frozenset[str]:
        """The additives and waters that change."""
        return frozenset(
            group_of(lever)
            for lever, count in zip(self.levers, self.steps, strict=True)
            if count != lever.start
        )

    @property
    def size(self) -> float:
        """The sum of changes in steps."""
        pairs = zip(self.levers, self.steps, strict=True)
        return sum(abs(count - lever.start) for lever, count in pairs)

    @property
    def rank(self) -> tuple[float, ...]:
        """Less is better: findings, errors and warnings among them, aims and by how much,
        additives, steps."""
        levels = Counter(finding.level for finding in self.counted)
        return (
            len(self.counted),
            10 * levels["error"] + levels["warning"],
            len(self.missed_aims),
            round(sum(_distance(self.prediction, each) for each in self.missed_aims), 6),
            len(self.changed),
            self.size,
        )


def _distance(prediction: Prediction, each: Requirement) -> float:
    value = value_of(prediction, *each.key)
    return inf if value is None or each.aim is None else abs(value - each.aim.middle)


def group_of(lever: Lever) -> str:
    """What counts as one additive: it in all places; all blending with one water."""
    return lever.name
