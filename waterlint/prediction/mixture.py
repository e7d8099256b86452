"""Mixing: what waters and doses come to in a volume, and how uncertain the sum is.

First order: every independent input (a report's figure, a weighing, a volume read off a scale)
moves each conserved quantity in proportion, and the squares of these moves add up.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import sqrt

from waterlint.chemistry.ions import CALCIUM_CARBONATE_EQUIVALENT
from waterlint.hints import Final
from waterlint.prediction.compounds import largest_of
from waterlint.prediction.contents import Contents, DosePart
from waterlint.prediction.result import Contribution, Figure
from waterlint.prediction.rows import (
    ALKALINITY,
    CARBON,
    EMPTY,
    INDEX,
    IONS_OF_ROWS,
    REPORTED,
    ROWS,
    Row,
    Sparse,
    Weights,
    combination,
    weighed,
)
from waterlint.prediction.sources import SourceWater
from waterlint.records import Record

_ALKALINITY = INDEX[ALKALINITY]
_CARBON = INDEX[CARBON]
_IONS: Final = tuple(enumerate(ROWS[:IONS_OF_ROWS]))

UNCERTAIN: Final = ("report", "seasons", "treatment", "weighing", "chalk", "volume")
"""The kinds of inputs that are uncertain."""


_Weighing = tuple[str, Sparse, float, float]


class Mixture(Record, frozen=False):
    """A volume of mixed waters and doses.

    Attributes
    ----------
    volume : float
        [L]
    row : Row
        Per litre.
    sources : tuple of (SourceWater, float)
        Litres of each source per litre.
    weighings : tuple of (str, Sparse, float, float)
        Of each ``weighing`` and each ``chalk``: one standard deviation changes `row` by what a unit
        brings, times the units, times that.
    volumes : tuple of list of (Row, float)
        What one standard deviation of each volume changes `row` by, as the parts of a sum.
    ph_unknown : str
        Why the pH cannot be known; empty where it can.
    """

    volume: float
    row: Row
    sources: tuple[tuple[SourceWater, float], ...]
    weighings: tuple[_Weighing, ...]
    volumes: tuple[list[tuple[Row, float]], ...]
    ph_unknown: str

    def figure(self, weights: Weights) -> Figure:
        """A weighed sum of rows and its standard deviation."""
        return Figure(weighed(self.row, weights), self.sd(weights))

    def sd(self, weights: Weights) -> float:
        """Standard deviation of a weighed sum of rows."""
        return sqrt(sum(self.variances(weights).values()))

    def ion(self, name: str) -> Figure:
        """The figure of one of its ions [mg/L], where no other is asked for."""
        place = INDEX[name]
        variance = 0.0
        for source, litres in self.sources:
            square = litres * litres
            variance += square * source.variances[place]
            for _, move in source.joint:
                variance += square * move[place] * move[place]
        for _, unit, units, change in self.weighings:
            if place in unit:
                moved = unit[place] * units * change
                variance += moved * moved
        for parts in self.volumes:
            moved = _moved(parts, place)
            variance += moved * moved
        return Figure(self.row[place], sqrt(variance))

    def ion_figures(self) -> dict[str, Figure]:
        """The figures of all its ions [mg/L]: as of `ion`, in a third of the time."""
        variances = [0.0] * IONS_OF_ROWS
        for source, litres in self.sources:
            square = litres * litres
            pairs = zip(variances, source.variances, strict=False)
            variances = [v + square * s for v, s in pairs]
            for _, move in source.joint:
                pairs = zip(variances, move, strict=False)
                variances = [v + square * m * m for v, m in pairs]
        for _, unit, units, change in self.weighings:
            for place, amount in unit.items():
                if place < IONS_OF_ROWS:
                    moved = amount * units * change
                    variances[place] += moved * moved
        for parts in self.volumes:
            if len(parts) == 2:  # without doses to the liquor: added up on the way
                (mixed, lost), (water, more) = parts
                rows = zip(variances, mixed, water, strict=False)
                variances = [v + (m := a * lost + b * more) * m for v, a, b in rows]
            else:
                moves = zip(variances, combination(parts), strict=False)
                variances = [v + m * m for v, m in moves]
        row, always = self.row, len(REPORTED)
        return {
            name: Figure(row[place], sqrt(variances[place]))
            for place, name in _IONS
            if place < always or row[place]
        }

    def variances(self, weights: Weights) -> dict[str, float]:
        """Variance of a weighed sum by the kind of input that brings it."""
        found = dict.fromkeys(UNCERTAIN, 0.0)
        carbon = 0.0
        for place, factor in weights:
            if place == _CARBON:
                carbon = factor
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
        for kind, unit, units, change in self.weighings:
            moved = 0.0
            for place, factor in weights:
                if place in unit:
                    moved += unit[place] * units * change * factor
            if moved:
                found[kind] += moved**2
        for parts in self.volumes:
            moved = 0.0
            for place, factor in weights:
                moved += _moved(parts, place) * factor
            found["volume"] += moved**2
        return found


def _moved(parts: list[tuple[Row, float]], place: int) -> float:
    """One entry of a sum of rows, each times its factor."""
    total = 0.0
    for values, factor in parts:
        total += values[place] * factor
    return total


class Taken(Record, frozen=False):
    """How much of a vessel's contents reaches a mixture.

    Attributes
    ----------
    contents : Contents
    fraction : float
        Of all that is in the vessel [-].
    """

    contents: Contents
    fraction: float = 1.0


class Reading(Record, frozen=False):
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
    of_liquor : bool
        Whether that water is part of the liquor.
    """

    fraction_changes: tuple[float, ...]
    volume_change: float
    vessel: str = ""
    sd: float = 0.0
    of_liquor: bool = False


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
    mixed = combination([(part.contents.total, part.fraction / volume) for part in taken])
    return Mixture(
        volume,
        mixed,
        _sources(taken, volume),
        _weighings([(part.contents.doses, part.fraction / volume) for part in taken]),
        tuple([_moves(taken, volume, mixed, reading) for reading in readings]),
        next(filter(None, [part.contents.ph_unknown for part in taken]), ""),
    )


def _sources(taken: Sequence[Taken], volume: float) -> tuple[tuple[SourceWater, float], ...]:
    """Litres of each source per litre of a volume."""
    found: dict[int, tuple[SourceWater, float]] = {}
    for part in taken:
        poured = part.fraction * part.contents.volume
        for water in part.contents.waters:
            source, litres = water.source, poured * water.share / volume
            if id(source) in found:
                litres += found[id(source)][1]
            found[id(source)] = (source, litres)
    return tuple(found.values())


def _weighings(
    parts: Iterable[tuple[Iterable[DosePart], float]],
) -> tuple[_Weighing, ...]:
    """What one standard deviation of each dose does; a dose is weighed once for all vessels.

    Each vessel's doses come with what of them is in a litre.
    """
    found: list[_Weighing] = []
    shared: dict[tuple[str, str], dict[int, float]] = {}
    for doses, factor in parts:
        for dose in doses:
            if dose.place == "liquor":
                for kind, sd in (("weighing", dose.weighing_sd), ("chalk", dose.chalk_sd)):
                    key = (kind, dose.pointer)
                    if sd and key not in shared:
                        shared[key] = {}
                        found.append((kind, shared[key], 1.0, 1.0))
                    if sd:
                        _add(shared[key], dose, sd * factor)
                continue
            if dose.weighing_sd:
                found.append(("weighing", dose.unit, dose.units, dose.weighing_sd * factor))
            if dose.chalk_sd:
                found.append(("chalk", dose.unit, dose.units, dose.chalk_sd * factor))
    return tuple(found)


def _add(moves: dict[int, float], dose: DosePart, change: float) -> None:
    for place, amount in dose.unit.items():
        moves[place] = moves.get(place, 0.0) + amount * dose.units * change


def _moves(
    taken: Sequence[Taken], volume: float, mixed: Row, reading: Reading
) -> list[tuple[Row, float]]:
    """What one standard deviation of a volume does, as the parts of a sum."""
    moves = [(mixed, -reading.volume_change / volume)]
    for part, change in zip(taken, reading.fraction_changes, strict=True):
        contents = part.contents
        own = contents.name == reading.vessel
        if change:
            moves.append((contents.total, change / volume))
        if own:
            moves.append((contents.water_row, part.fraction * reading.sd / volume))
        if reading.of_liquor and contents.from_liquor is not EMPTY:
            # The vessel's part of the liquor follows its volume, and all are parts of one whole.
            more = (1.0 / contents.volume if own else 0.0) - 1.0 / contents.liquor_volume
            moves.append((contents.from_liquor, part.fraction * more * reading.sd / volume))
    return moves


def mix_some(contents: Contents, doses: Sequence[DosePart]) -> Mixture:
    """A vessel's water with some of its doses, its volume taken as certain.

    Parameters
    ----------
    contents : Contents
        With water.
    doses : sequence of DosePart
        Of that vessel.

    Returns
    -------
    Mixture
        Whether its pH is known, is not looked at.
    """
    volume = contents.volume
    per_litre = 1.0 / volume
    return Mixture(
        volume,
        tuple([amount * per_litre for amount in contents.total_with(doses)]),
        _sources([Taken(contents)], volume),
        _weighings([(doses, per_litre)]),
        (),
        "",
    )


def mix_whole(vessels: Sequence[Contents], beside: Sequence[Contents] = ()) -> Mixture:
    """Mix vessels as they are.

    Parameters
    ----------
    vessels : sequence of Contents
        Together they hold some water.
    beside : sequence of Contents
        Vessels whose volume matters only for how the liquor is split.

    Returns
    -------
    Mixture
    """
    if all(contents.from_liquor is EMPTY for contents in vessels):
        beside = ()
    none = (0.0,) * len(vessels)
    readings: list[Reading] = []
    for group in (vessels, beside):
        for contents in group:
            sd = contents.volume_sd
            if sd:
                change = sd if group is vessels else 0.0
                liquor = contents.liquor_volume > 0.0
                readings.append(Reading(none, change, contents.name, sd, liquor))
    volume = sum([contents.volume for contents in vessels])
    return mix([Taken(contents) for contents in vessels], volume, readings)


def contributions(vessels: Sequence[Contents]) -> dict[str, tuple[Contribution, ...]]:
    """What each water and each dose brings to mixed vessels.

    Parameters
    ----------
    vessels : sequence of Contents
        Together they hold some water.

    Returns
    -------
    dict of str to tuple of Contribution
        By ion [mg/L], and of alkalinity [mg/L as CaCO3]; bicarbonate is no sum.
    """
    volume = sum(contents.volume for contents in vessels)
    brought: dict[str, tuple[str, str, list[tuple[Row, float]]]] = {}
    for contents in vessels:
        for part in contents.waters:
            entry = brought.setdefault(part.pointer, (contents.name, part.source.label, []))
            entry[2].append((part.source.values, part.share * contents.volume / volume))
        for dose in contents.doses:
            entry = brought.setdefault(dose.pointer, (dose.place, dose.label, []))
            entry[2].append((dose.amounts, 1.0 / volume))
    found: dict[str, list[Contribution]] = {name: [] for name in (*REPORTED, ALKALINITY)}
    for origin, (place, label, moves) in brought.items():
        amounts = combination(moves)
        for at in range(len(ROWS)):
            # A salt brings two ions of fifteen; what is not there is passed over first.
            if not amounts[at] or at == _CARBON:
                continue
            amount = amounts[at]
            shown = amount * CALCIUM_CARBONATE_EQUIVALENT if at == _ALKALINITY else amount
            found.setdefault(ROWS[at], []).append(Contribution(origin, place, label, shown))
    return {name: tuple(listed) for name, listed in found.items()}


def largest_changes(vessels: Sequence[Contents]) -> dict[str, float]:
    """The largest change that each dose makes to mixed vessels, up or down.

    What is the largest is the same in each vessel that a dose goes into, but for a sulfite that
    meets chlorine; its change may be less than told.

    Parameters
    ----------
    vessels : sequence of Contents
        Together they hold some water.

    Returns
    -------
    dict of str to float
        By the dose's pointer, over ions [mg/L] and alkalinity [mg/L as CaCO3].
    """
    per_volume = 1.0 / sum([contents.volume for contents in vessels])
    found: dict[str, float] = {}
    for contents in vessels:
        for dose in contents.doses:
            largest = dose.compound.largest
            if dose.unit is not dose.compound.per_millimole:
                largest = largest_of(dose.unit)
            found[dose.pointer] = found.get(dose.pointer, 0.0) + largest * dose.units
    return {pointer: per_volume * largest for pointer, largest in found.items()}
