"""The search for the smallest change as a mixed-integer linear program.

The only place that asks for the solver, which is an extra of the package.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from math import inf, isfinite
from typing import Final

#: What is given away of the nearness to an aim for fewer additives and steps [the figure's unit]:
#: of a pH, less than any meter shows.
CLOSE: Final = 1e-3

#: What a dose that changes costs beside its steps; a tie is all that it decides.
PLACE: Final = 0.01

#: How long one program may take [s]; a bound, seldom met.
TIME_LIMIT: Final = 2.0


class SolverMissing(RuntimeError):
    """The solver is not installed, or does not work; the text says what to do, on one line."""


def need_solver() -> None:
    """Make sure that the solver is there.

    Raises
    ------
    SolverMissing
    """
    try:
        import scipy.optimize  # noqa: F401
    except ImportError as error:
        raise SolverMissing(
            'the solver is not installed: python -m pip install "waterlint[solve]"'
        ) from error


@dataclass(frozen=True, slots=True)
class Turn:
    """A lever as the program sees it: steps from `least` to `most` or none, `start` now."""

    start: float
    least: int
    most: int
    group: str


@dataclass(frozen=True, slots=True)
class Row:
    """`low ≤ Σ factors · steps ≤ high`, unless `free` pays for missing it.

    `name` is the requirement's number; rows of one name are missed together. `unless` is the
    number of a condition under which the row does not count.
    """

    factors: tuple[float, ...]
    low: float
    high: float
    name: int | None
    unless: int | None = None


@dataclass(frozen=True, slots=True)
class Program:
    """What is to be solved.

    Attributes
    ----------
    turns : tuple of Turn
    rows : tuple of Row
    weights : tuple of float
        By requirement: what missing it costs; 0 where it must not be missed.
    conditions : tuple of tuple of Row
        Rows that hold where a condition is used.
    exclusive : tuple of tuple
        Pairs of groups of turns of which only one may be used.
    different_from : tuple of frozenset of str
        Sets of groups that must not all change again.
    nearest : tuple
        A requirement, and the factors and value that a sum should come near to where it is
        missed, before steps are counted.
    """

    turns: tuple[Turn, ...]
    rows: tuple[Row, ...]
    weights: tuple[float, ...]
    conditions: tuple[tuple[Row, ...], ...] = ()
    exclusive: tuple[tuple[tuple[int, ...], tuple[int, ...]], ...] = ()
    different_from: tuple[frozenset[str], ...] = ()
    nearest: tuple[int, tuple[float, ...], float] | None = None


@dataclass(frozen=True, slots=True)
class Solution:
    """Steps by turn, and the requirements that are missed."""

    steps: tuple[float, ...]
    missed: frozenset[int]


@dataclass(slots=True)
class _Table:
    """The program in columns: steps, used, changes, moved, groups, missed, conditions."""

    program: Program
    lower: list[float] = field(default_factory=list)
    upper: list[float] = field(default_factory=list)
    whole: list[int] = field(default_factory=list)
    entries: list[dict[int, float]] = field(default_factory=list)
    lows: list[float] = field(default_factory=list)
    highs: list[float] = field(default_factory=list)
    steps: list[int] = field(default_factory=list)
    changes: list[int] = field(default_factory=list)
    moved: list[int] = field(default_factory=list)
    used: list[int] = field(default_factory=list)
    groups: dict[str, int] = field(default_factory=dict)
    missed: list[int] = field(default_factory=list)
    conditions: list[int] = field(default_factory=list)

    def column(self, lower: float, upper: float, *, whole: bool) -> int:
        self.lower.append(lower)
        self.upper.append(upper)
        self.whole.append(int(whole))
        return len(self.lower) - 1

    def row(self, entries: dict[int, float], low: float, high: float) -> None:
        self.entries.append(entries)
        self.lows.append(low)
        self.highs.append(high)


def solve(program: Program) -> Solution | None:
    """The steps that miss least, then change the fewest groups, then by the fewest steps.

    Returns
    -------
    Solution or None
        `None` where nothing keeps what must be kept, or the solver gave up.

    Raises
    ------
    SolverMissing
        If there is no solver, or it breaks down.
    """
    need_solver()
    table = _table(program)
    missing = dict(zip(table.missed, program.weights, strict=True))
    # A missed requirement outweighs any number of additives.
    heavy = 3.0 * (len(table.groups) + 1)
    first = {column: heavy * weight for column, weight in missing.items()}
    first |= dict.fromkeys(table.groups.values(), 1.0)
    values = _optimum(table, first)
    if values is None:
        return None
    if program.nearest is not None and values[table.missed[program.nearest[0]]] > 0.5:
        # What cannot be met is come near to, with as many additives as that takes.
        missed_only = {column: first[column] for column in table.missed}
        table.row(missed_only, -inf, _worth(missed_only, values) + 1e-6)
        values = _come_near(table, *program.nearest[1:]) or values
        first = dict.fromkeys(table.groups.values(), 1.0)
        values = _optimum(table, first) or values
    table.row(first, -inf, _worth(first, values) + 1e-6)
    # Of equal sums, the one in the fewest places, and new ones last.
    second = dict.fromkeys(table.changes, 1.0)
    for turn, column in zip(program.turns, table.moved, strict=True):
        second[column] = PLACE if turn.start > 0.0 else 2.0 * PLACE
    values = _optimum(table, second) or values
    missed = {number for number, column in enumerate(table.missed) if values[column] > 0.5}
    return Solution(
        tuple(_on_grid(turn, values[column]) for turn, column in _steps(program, table)),
        frozenset(missed),
    )


def _steps(program: Program, table: _Table) -> Iterator[tuple[Turn, int]]:
    yield from zip(program.turns, table.steps, strict=True)


def _on_grid(turn: Turn, value: float) -> float:
    return turn.start if abs(value - turn.start) < 1e-4 else float(round(value))


def _worth(objective: dict[int, float], values: Sequence[float]) -> float:
    return sum(weight * values[column] for column, weight in objective.items())


def _come_near(table: _Table, factors: tuple[float, ...], value: float) -> Sequence[float] | None:
    distance = table.column(0.0, inf, whole=False)
    entries = dict(zip(table.steps, factors, strict=True))
    table.row(entries | {distance: 1.0}, value, inf)
    table.row(entries | {distance: -1.0}, -inf, value)
    values = _optimum(table, {distance: 1.0})
    if values is not None:
        table.upper[distance] = values[distance] + CLOSE
    return values


def _table(program: Program) -> _Table:
    table = _Table(program)
    for turn in program.turns:
        _add_turn(table, turn)
    table.missed = [
        table.column(0.0, 1.0 if weight > 0.0 else 0.0, whole=True) for weight in program.weights
    ]
    table.conditions = [table.column(0.0, 1.0, whole=True) for _ in program.conditions]
    for row in program.rows:
        payers = [] if row.name is None else [table.missed[row.name]]
        payers += [] if row.unless is None else [table.conditions[row.unless]]
        _add_row(table, row, payers, counts_when=0)
    for column, rows in zip(table.conditions, program.conditions, strict=True):
        for row in rows:
            _add_row(table, row, [column], counts_when=1)
    for ones, others in program.exclusive:
        for one in ones:
            for other in others:
                table.row({table.used[one]: 1.0, table.used[other]: 1.0}, -inf, 1.0)
    for groups in program.different_from:
        known = {table.groups[group]: 1.0 for group in groups if group in table.groups}
        table.row(known, -inf, len(known) - 1.0)
    return table


def _add_turn(table: _Table, turn: Turn) -> None:
    most = float(turn.most)
    on_grid = turn.start == round(turn.start)
    step = table.column(0.0, most, whole=on_grid)
    used = table.column(0.0, 1.0, whole=True)
    change = table.column(0.0, inf, whole=False)
    table.steps.append(step)
    table.used.append(used)
    table.changes.append(change)
    table.row({step: 1.0, used: -most}, -inf, 0.0)
    table.row({step: 1.0, used: -float(turn.least)}, 0.0, inf)
    table.row({step: 1.0, change: -1.0}, -inf, turn.start)
    table.row({step: 1.0, change: 1.0}, turn.start, inf)
    if turn.group not in table.groups:
        table.groups[turn.group] = table.column(0.0, 1.0, whole=True)
    reach = max(turn.start, most - turn.start, 1.0)
    table.row({change: 1.0, table.groups[turn.group]: -reach}, -inf, 0.0)
    moved = table.column(0.0, 1.0, whole=True)
    table.moved.append(moved)
    table.row({change: 1.0, moved: -reach}, -inf, 0.0)
    if not on_grid:
        # As it is, or on the grid.
        grid = table.column(0.0, most, whole=True)
        table.row({step: 1.0, grid: -1.0, moved: most}, -inf, most)
        table.row({step: 1.0, grid: -1.0, moved: -most}, -most, inf)


def _add_row(table: _Table, row: Row, payers: Sequence[int], *, counts_when: int) -> None:
    turns = table.program.turns
    reach_high = sum(
        f * (t.most if f > 0.0 else 0) for f, t in zip(row.factors, turns, strict=True)
    )
    reach_low = sum(f * (t.most if f < 0.0 else 0) for f, t in zip(row.factors, turns, strict=True))
    scale = 1.0 / max(1e-9, max((abs(factor) for factor in row.factors), default=1.0))
    steps = {
        column: scale * factor
        for column, factor in zip(table.steps, row.factors, strict=True)
        if factor != 0.0
    }
    if isfinite(row.high):
        room = scale * max(0.0, reach_high - row.high)
        _add_side(table, steps, -inf, scale * row.high, -room, payers, counts_when)
    if isfinite(row.low):
        room = scale * max(0.0, row.low - reach_low)
        _add_side(table, steps, scale * row.low, inf, room, payers, counts_when)


def _add_side(
    table: _Table,
    steps: dict[int, float],
    low: float,
    high: float,
    room: float,
    payers: Sequence[int],
    counts_when: int,
) -> None:
    if counts_when:
        # Relaxed while the condition is 0.
        entries = steps | dict.fromkeys(payers, -room)
        table.row(entries, low - room if isfinite(low) else low, high - room)
        return
    table.row(steps | dict.fromkeys(payers, room), low, high)


def _optimum(table: _Table, objective: dict[int, float]) -> Sequence[float] | None:
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import csr_array

    cost = np.zeros(len(table.lower))
    for column, weight in objective.items():
        cost[column] = weight
    rows = [number for number, entries in enumerate(table.entries) for _ in entries]
    columns = [column for entries in table.entries for column in entries]
    factors = [factor for entries in table.entries for factor in entries.values()]
    matrix = csr_array((factors, (rows, columns)), shape=(len(table.entries), len(table.lower)))
    try:
        outcome = milp(
            cost,
            integrality=np.array(table.whole),
            bounds=Bounds(np.array(table.lower), np.array(table.upper)),
            constraints=LinearConstraint(matrix, np.array(table.lows), np.array(table.highs)),
            options={"time_limit": TIME_LIMIT, "mip_rel_gap": 0.0},
        )
    except (ValueError, RuntimeError) as error:
        raise SolverMissing(f"the solver failed: {str(error).splitlines()[0]}") from error
    return None if outcome.x is None else [float(value) for value in outcome.x]
