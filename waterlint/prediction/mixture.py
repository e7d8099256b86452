"""Mixing: what waters and doses come to in a volume, and how uncertain the sum is.

First order: every independent input (a report's figure, a weighing, a volume read off a scale)
moves each conserved quantity in proportion, and the squares of these moves add up.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt
from typing import Final

from waterlint.prediction.compounds import Compound
from waterlint.prediction.result import Contribution, Figure
from waterlint.prediction.rows import (
    ALKALINITY,
    CARBON,
    EMPTY,
    INDEX,
    Row,
    Weights,
    combination,
    weighed,
)
from waterlint.prediction.sources import SourceWater

_ALKALINITY = INDEX[ALKALINITY]
_CARBON = INDEX[CARBON]


UNCERTAIN: Final = ("report", "seasons", "treatment", "weighing", "chalk", "volume")
"""The kinds of inputs that are uncertain."""


@dataclass(frozen=True, slots=True)
class WaterPart:
    """A source's share in a vessel's water.

    Attributes
    ----------
    source : SourceWater
    share : float
        Of the vessel's water [-].
    pointer : str
        Where the recipe names it.
    """

    source: SourceWater
    share: float
    pointer: str


@dataclass(frozen=True, slots=True)
class DosePart:
    """What a dose, or its part in one vessel, dissolves.

    Attributes
    ----------
    pointer, place, label : str
        The dose, its place as written, and the additive's name.
    compound : Compound
    amount : float
        Of the pure compound, dissolved or not [mmol].
    amounts : Row
        In all [mg, mEq, mmol].
    weighing_sd, chalk_sd : float
        Of `amounts`, by weighing and by how much chalk dissolves [-].
    dissolved : bool
        Of chalk: by carbon dioxide.
    """

    pointer: str
    place: str
    label: str
    compound: Compound
    amount: float
    amounts: Row
    weighing_sd: float
    chalk_sd: float = 0.0
    dissolved: bool = False

    @property
    def undissolved(self) -> bool:
        """Whether it is chalk that no carbon dioxide dissolved."""
        return self.compound.kind == "chalk" and not self.dissolved


@dataclass(frozen=True, slots=True)
class Contents:
    """A vessel's own water and doses; the volume is 0 where only doses go in.

    Attributes
    ----------
    name : str
    volume, volume_sd : float
        [L]
    waters : tuple of WaterPart
    doses : tuple of DosePart
    chalk : str
        Why chalk in it leaves its pH unknown; empty where there is none.
    """

    name: str
    volume: float
    volume_sd: float
    waters: tuple[WaterPart, ...] = ()
    doses: tuple[DosePart, ...] = ()
    chalk: str = ""

    @property
    def water_row(self) -> Row:
        """The water alone, per litre."""
        return combination((part.source.values, part.share) for part in self.waters)

    @property
    def ph_unknown(self) -> str:
        """Why the pH cannot be known; empty where it can."""
        reasons = (part.source.ph_unknown for part in self.waters if part.share > 0.0)
        return next((reason for reason in (*reasons, self.chalk) if reason), "")


@dataclass(frozen=True, slots=True)
class Mixture:
    """A volume of mixed waters and doses.

    Attributes
    ----------
    volume : float
        [L]
    row : Row
        Per litre.
    sources : tuple of (SourceWater, float)
        Litres of each source per litre.
    effects : tuple of (str, Row)
        What one standard deviation of each ``weighing``, ``chalk`` dose and ``volume`` does to
        `row`.
    ph_unknown : str
        Why the pH cannot be known; empty where it can.
    """

    volume: float
    row: Row
    sources: tuple[tuple[SourceWater, float], ...]
    effects: tuple[tuple[str, Row], ...]
    ph_unknown: str

    def figure(self, weights: Weights) -> Figure:
        """A weighed sum of rows and its standard deviation."""
        return Figure(weighed(self.row, weights), self.sd(weights))

    def sd(self, weights: Weights) -> float:
        """Standard deviation of a weighed sum of rows."""
        return sqrt(sum(self.variances(weights).values()))

    def variances(self, weights: Weights) -> dict[str, float]:
        """Variance of a weighed sum by the kind of input that brings it."""
        found = dict.fromkeys(UNCERTAIN, 0.0)
        carbon = next((factor for place, factor in weights if place == _CARBON), 0.0)
        for source, litres in self.sources:
            report = seasons = 0.0
            for place, factor in weights:
                if place == _ALKALINITY:
                    factor += carbon * source.carbon_per_alkalinity
                report += (factor * source.sd_report[place]) ** 2
                seasons += (factor * source.sd_seasons[place]) ** 2
            square = litres * litres
            found["report"] += square * report
            found["seasons"] += square * seasons
            for kind, move in source.joint:
                found[kind] += square * weighed(move, weights) ** 2
        for kind, effect in self.effects:
            found[kind] += weighed(effect, weights) ** 2
        return found


@dataclass(frozen=True, slots=True)
class Taken:
    """How much of a vessel's contents reaches a mixture.

    Attributes
    ----------
    contents : Contents
    fraction : float
        Of all that is in the vessel [-].
    """

    contents: Contents
    fraction: float = 1.0


@dataclass(frozen=True, slots=True)
class Reading:
    """An uncertain volume, and what one standard deviation of it does.

    Attributes
    ----------
    fraction_changes : tuple of float
        To the fractions taken of each vessel [-].
    volume_change : float
        To the mixture's volume [L].
    vessel : str
        The vessel whose own water it measures; empty for any other volume.
    sd : float
        More of that water [L].
    """

    fraction_changes: tuple[float, ...]
    volume_change: float
    vessel: str = ""
    sd: float = 0.0


def mix(taken: Sequence[Taken], volume: float, readings: Sequence[Reading]) -> Mixture:
    """Mix what is taken from vessels into a volume.

    Parameters
    ----------
    taken : sequence of Taken
    volume : float
        [L], above 0.
    readings : sequence of Reading

    Returns
    -------
    Mixture
    """
    totals = [_total(part.contents) for part in taken]
    fractions = [part.fraction for part in taken]
    mixed = combination(
        (total, fraction / volume) for total, fraction in zip(totals, fractions, strict=True)
    )
    sources: dict[int, tuple[SourceWater, float]] = {}
    doses: dict[tuple[str, str], Row] = {}
    for part in taken:
        factor = part.fraction / volume
        for water in part.contents.waters:
            litres = factor * part.contents.volume * water.share
            _, before = sources.get(id(water.source), (water.source, 0.0))
            sources[id(water.source)] = (water.source, before + litres)
        for dose in part.contents.doses:
            for kind, sd in (("weighing", dose.weighing_sd), ("chalk", dose.chalk_sd)):
                if sd:
                    effect = doses.get((kind, dose.pointer), EMPTY)
                    moved = combination(((effect, 1.0), (dose.amounts, sd * factor)))
                    doses[(kind, dose.pointer)] = moved
    effects = [(kind, effect) for (kind, _), effect in doses.items()]
    for reading in readings:
        moves = [
            (total, change / volume)
            for total, change in zip(totals, reading.fraction_changes, strict=True)
            if change
        ]
        moves.append((mixed, -reading.volume_change / volume))
        moves.extend(
            (part.contents.water_row, part.fraction * reading.sd / volume)
            for part in taken
            if part.contents.name == reading.vessel
        )
        effects.append(("volume", combination(moves)))
    return Mixture(
        volume,
        mixed,
        tuple(sources.values()),
        tuple(effects),
        next((part.contents.ph_unknown for part in taken if part.contents.ph_unknown), ""),
    )


def _total(contents: Contents) -> Row:
    """All that is in a vessel."""
    return combination(
        [(contents.water_row, contents.volume), *((dose.amounts, 1.0) for dose in contents.doses)]
    )


def mix_whole(vessels: Sequence[Contents]) -> Mixture:
    """Mix vessels as they are; together they hold some water."""
    none = (0.0,) * len(vessels)
    return mix(
        [Taken(contents) for contents in vessels],
        sum(contents.volume for contents in vessels),
        [
            Reading(none, contents.volume_sd, contents.name, contents.volume_sd)
            for contents in vessels
            if contents.volume_sd
        ],
    )


def contributions(
    vessels: Sequence[Contents], place: int, unit: float = 1.0
) -> tuple[Contribution, ...]:
    """What each water and each dose brings to one row of mixed vessels [per litre].

    Parameters
    ----------
    vessels : sequence of Contents
        Together they hold some water.
    place : int
        Of the row in `ROWS`.
    unit : float
        Factor to the unit shown.
    """
    volume = sum(contents.volume for contents in vessels)
    found: dict[str, Contribution] = {}
    for contents in vessels:
        for part in contents.waters:
            amount = part.source.values[place] * part.share * contents.volume * unit / volume
            found[part.pointer] = Contribution(
                part.pointer, contents.name, part.source.label, amount
            )
        for dose in contents.doses:
            amount = dose.amounts[place] * unit / volume
            before = found.get(dose.pointer)
            found[dose.pointer] = Contribution(
                dose.pointer,
                dose.place,
                dose.label,
                amount + (0.0 if before is None else before.amount),
            )
    return tuple(contribution for contribution in found.values() if contribution.amount)
