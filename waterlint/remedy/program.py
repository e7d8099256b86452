"""The search for the smallest change as a mixed-integer linear program: what is to be solved."""

from __future__ import annotations

from waterlint.records import Record


class SolverMissing(RuntimeError):
    """The solver is not installed, or does not work; the text says what to do, on one line."""


class Turn(Record):
    """A lever as the program sees it: steps from `least` to `most` or none, `start` now."""

    start: float
    least: int
    most: int
    group: str


class Row(Record):
    """`low ≤ Σ factors · steps ≤ high`, unless `free` pays for missing it.

    `name` is the requirement's number; rows of one name are missed together. `unless` are
    the numbers of conditions under each of which the row does not count.
    """

    factors: tuple[float, ...]
    low: float
    high: float
    name: int | None
    unless: tuple[int, ...] = ()


class Near(Record):
    """A sum that should come near to a value where the requirement `name` is missed.

    `scale` makes distances of several sums comparable.
    """

    name: int
    factors: tuple[float, ...]
    value: float
    scale: float = 1.0


class Program(Record):
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
    nearest : tuple of Near
        Sums that should come near to values where they are missed, before additives are counted.
    restless : tuple of tuple of int
        Turns that must not stay where they are, each with the requirement that this is.
    """

    turns: tuple[Turn, ...]
    rows: tuple[Row, ...]
    weights: tuple[float, ...]
    conditions: tuple[tuple[Row, ...], ...] = ()
    exclusive: tuple[tuple[tuple[int, ...], tuple[int, ...]], ...] = ()
    different_from: tuple[frozenset[str], ...] = ()
    nearest: tuple[Near, ...] = ()
    restless: tuple[tuple[int, int], ...] = ()


class Solution(Record):
    """Steps by turn, and the requirements that are missed."""

    steps: tuple[float, ...]
    missed: frozenset[int]
