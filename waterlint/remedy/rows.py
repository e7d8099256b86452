"""Requirements as rows of the linear program."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import inf

from waterlint.hints import Final
from waterlint.records import Record, field
from waterlint.remedy.linear import Key, Lines
from waterlint.remedy.program import Near, Row
from waterlint.remedy.requirement import BOTH, ION_PAIR, RATIO, Little, Requirement

#: What a line keeps from a limit, relative: the solver takes a millionth for nothing, a limit
#: does not.
MARGIN: Final = 2e-6


class Rows(Record, frozen=False):
    """Rows, the conditions under which some do not count, and what is to be come near to."""

    rows: list[Row] = field(default_factory=list)
    conditions: list[tuple[Row, ...]] = field(default_factory=list)
    nearest: list[Near] = field(default_factory=list)


def rows_of(found: Sequence[Requirement], lines: Lines, margins: dict[Key, float]) -> Rows:
    """The rows of all requirements, by their numbers."""
    made = Rows()
    for number, each in enumerate(found):
        margin = margins.get(each.key, MARGIN)
        if each.quantity == RATIO:
            _add_ratio(made, lines, each, number, margin)
        elif each.quantity == BOTH:
            _add_both(made, lines, each, number, margin)
        elif each.key in lines.base:
            made.rows.append(_limit_row(lines, each.key, each, number, margin))
            if each.aim is not None:
                made.nearest.append(near_of(lines, each, number))
    return made


def near_of(lines: Lines, each: Requirement, number: int) -> Near:
    """The sum that comes near to a requirement; of a ratio, by what it makes of the chloride."""
    if each.quantity == RATIO:
        chloride, sulfate = (lines.now((ion, each.vessel)) for ion in ION_PAIR)
        wanted = each.nearest_to(chloride / sulfate if sulfate > 0.0 else inf)
        factors, constant = _of_ratio(lines, each.vessel, wanted)
        return Near(number, factors, -constant, 10.0)
    wanted = each.nearest_to(lines.now(each.key))
    return Near(number, lines.slopes[each.key], wanted - lines.intercept(each.key), _scale(each))


def _scale(each: Requirement) -> float:
    """What counts as far [the figure's unit]; it only weighs several aims against each other."""
    return 0.1 if each.quantity == "mash_ph" else 10.0


def _limit_row(lines: Lines, key: Key, each: Requirement, number: int, margin: float) -> Row:
    constant = lines.intercept(key)
    low = -inf if each.low is None else each.low + margin * max(1.0, abs(each.low)) - constant
    high = inf if each.high is None else each.high - margin * max(1.0, abs(each.high)) - constant
    return Row(lines.slopes[key], low, high, number)


def _add_ratio(made: Rows, lines: Lines, each: Requirement, number: int, margin: float) -> None:
    """``chloride − ratio · sulfate`` above or below nothing, or so little of both that it does not
    count."""
    if any((ion, each.vessel) not in lines.base for ion in ION_PAIR):
        return
    unless_low: list[int] = []
    unless_high: list[int] = []
    for little in each.little:
        unless_high.append(len(made.conditions))
        unless_low += [] if little.only_high else unless_high[-1:]
        made.conditions.append(tuple(_little_rows(lines, each.vessel, little)))
    for ratio, is_low in ((each.low, True), (each.high, False)):
        if ratio is None:
            continue
        factors, constant = _of_ratio(lines, each.vessel, ratio)
        room = margin * 100.0
        low = room - constant if is_low else -inf
        high = inf if is_low else -room - constant
        unless = tuple(unless_low if is_low else unless_high)
        made.rows.append(Row(factors, low, high, number, unless))
    if each.aim is not None:
        made.nearest.append(near_of(lines, each, number))


def _of_ratio(lines: Lines, vessel: str, ratio: float) -> tuple[tuple[float, ...], float]:
    chloride, sulfate = ((ion, vessel) for ion in ION_PAIR)
    factors = tuple(
        one - ratio * other
        for one, other in zip(lines.slopes[chloride], lines.slopes[sulfate], strict=True)
    )
    return factors, lines.intercept(chloride) - ratio * lines.intercept(sulfate)


def _little_rows(lines: Lines, vessel: str, little: Little) -> Iterator[Row]:
    for ion, limit in zip(ION_PAIR, (little.chloride, little.sulfate), strict=True):
        key = (ion, vessel)
        yield Row(lines.slopes[key], -inf, limit - 0.01 - lines.intercept(key), None)


def _add_both(made: Rows, lines: Lines, each: Requirement, number: int, margin: float) -> None:
    """Chloride within the limit, or sulfate."""
    chloride, sulfate = ((ion, each.vessel) for ion in ION_PAIR)
    if chloride not in lines.base or sulfate not in lines.base:
        return
    made.conditions.append((_limit_row(lines, sulfate, each, number, margin),))
    row = _limit_row(lines, chloride, each, number, margin)
    made.rows.append(Row(row.factors, row.low, row.high, number, (len(made.conditions) - 1,)))
