"""A program in the columns and rows that a solver takes."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf, isfinite

from waterlint.records import Record, field
from waterlint.remedy.program import Program, Row, Turn


class Table(Record, frozen=False):
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
        """Add a column; its number."""
        self.lower.append(lower)
        self.upper.append(upper)
        self.whole.append(int(whole))
        return len(self.lower) - 1

    def row(self, entries: dict[int, float], low: float, high: float) -> None:
        """Add a row `low ≤ Σ entries ≤ high`."""
        self.entries.append(entries)
        self.lows.append(low)
        self.highs.append(high)


def table_of(program: Program) -> Table:
    """The table of a program."""
    table = Table(program)
    for turn in program.turns:
        _add_turn(table, turn)
    table.missed = [
        table.column(0.0, 1.0 if weight > 0.0 else 0.0, whole=True) for weight in program.weights
    ]
    table.conditions = [table.column(0.0, 1.0, whole=True) for _ in program.conditions]
    for row in program.rows:
        payers = [] if row.name is None else [table.missed[row.name]]
        payers += [table.conditions[number] for number in row.unless]
        _add_row(table, row, payers, counts_when=0)
    for column, rows in zip(table.conditions, program.conditions, strict=True):
        for row in rows:
            _add_row(table, row, [column], counts_when=1)
    for ones, others in program.exclusive:
        for one in ones:
            for other in others:
                table.row({table.used[one]: 1.0, table.used[other]: 1.0}, -inf, 1.0)
    for number, name in program.restless:
        table.row({table.moved[number]: 1.0, table.missed[name]: 1.0}, 1.0, inf)
    for groups in program.different_from:
        known = {table.groups[group]: 1.0 for group in groups if group in table.groups}
        table.row(known, -inf, len(known) - 1.0)
    return table


def _add_turn(table: Table, turn: Turn) -> None:
    most = float(turn.most)
    on_grid = turn.start == round(turn.start)
    step = table.column(0.0, most, whole=on_grid)
    used = table.column(0.0, 1.0, whole=True)
    change = table.column(0.0, inf, whole=False)
    table.steps.append(step)
    table.used.append(used)
    table.changes.append(change)
    table.row({step: 1.0, used: -most}, -inf, 0.0)
    table.row({step: 1.0, change: -1.0}, -inf, turn.start)
    table.row({step: 1.0, change: 1.0}, turn.start, inf)
    if turn.group not in table.groups:
        table.groups[turn.group] = table.column(0.0, 1.0, whole=True)
    reach = max(turn.start, most - turn.start, 1.0)
    table.row({change: 1.0, table.groups[turn.group]: -reach}, -inf, 0.0)
    moved = table.column(0.0, 1.0, whole=True)
    table.moved.append(moved)
    table.row({change: 1.0, moved: -reach}, -inf, 0.0)
    # What stays as it is may be less than what is proposed anew.
    least = float(turn.least)
    slack = least if 0.0 < turn.start < least else 0.0
    table.row({step: 1.0, used: -least, moved: -slack}, -slack, inf)
    if not on_grid:
        # As it is, or on the grid.
        grid = table.column(0.0, most, whole=True)
        table.row({step: 1.0, grid: -1.0, moved: most}, -inf, most)
        table.row({step: 1.0, grid: -1.0, moved: -most}, -most, inf)


def _add_row(table: Table, row: Row, payers: Sequence[int], *, counts_when: int) -> None:
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
    table: Table,
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
