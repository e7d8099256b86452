"""The linear program by itself: what it puts first, and what it refuses."""

from __future__ import annotations

from math import inf

import pytest

from waterlint.remedy.program import Near, Program, Row, Solution, Turn
from waterlint.remedy.solver import solve

pytest.importorskip("scipy.optimize")

A = Turn(0.0, 2, 100, "a")
B = Turn(0.0, 2, 100, "b")


def steps(program: Program) -> tuple[float, ...]:
    solution = solve(program)
    assert solution is not None
    return solution.steps


def test_one_additive_comes_before_fewer_steps() -> None:
    # Both by 5 would be 10 steps; a alone takes 20.
    row = Row((0.5, 0.5), 5.0, inf, 0)
    both = Row((1.0, 3.0), 20.0, inf, 0)
    assert steps(Program((A, B), (row,), (1.0,))) in ((10.0, 0.0), (0.0, 10.0))
    assert steps(Program((A, B), (both,), (1.0,))) == (0.0, 7.0)


def test_a_dose_is_none_or_at_least_what_the_scale_shows() -> None:
    assert steps(Program((A,), (Row((1.0,), 0.5, inf, 0),), (1.0,))) == (2.0,)


def test_what_is_there_and_too_small_stays_unless_that_is_to_be_cleared() -> None:
    below = Turn(1.0, 2, 100, "a")
    row = (Row((1.0,), -inf, 1.5, 0),)
    assert steps(Program((below,), row, (1.0,))) == (1.0,)
    assert steps(Program((below,), row, (1.0, 1.0), restless=((0, 1),))) == (0.0,)
    more = (Row((1.0,), 1.0, inf, 0),)
    assert steps(Program((below,), more, (1.0, 1.0), restless=((0, 1),))) == (2.0,)
    kept = (Row((1.0,), 1.0, 1.0, 0),)
    solution = solve(Program((below,), kept, (1.0, 0.5), restless=((0, 1),)))
    assert solution == Solution((1.0,), frozenset({1}))


def test_what_is_off_the_grid_stays_or_comes_onto_it() -> None:
    off = Turn(12.4, 2, 100, "a")
    assert steps(Program((off,), (Row((1.0,), 12.0, inf, 0),), (1.0,))) == (12.4,)
    assert steps(Program((off,), (Row((1.0,), 12.5, inf, 0),), (1.0,))) == (13.0,)
    assert steps(Program((off,), (Row((1.0,), -inf, 12.39, 0),), (1.0,))) == (12.0,)


def test_what_cannot_be_met_is_missed_and_named() -> None:
    rows = (Row((1.0,), 50.0, inf, 0), Row((1.0,), -inf, 40.0, 1), Row((1.0,), -inf, 45.0, 2))
    assert solve(Program((A,), rows, (1.0, 1.0, 1.0))) == Solution((0.0,), frozenset({0}))
    assert solve(Program((A,), rows, (0.0, 1.0, 1.0))) == Solution((50.0,), frozenset({1, 2}))
    assert solve(Program((A,), rows, (0.0, 0.0, 1.0))) is None


def test_a_condition_frees_a_row() -> None:
    ratio = Row((1.0, -2.0), -inf, -10.0, 0, unless=(0,))
    little = (Row((1.0, 0.0), -inf, 5.0, None),)
    few = Turn(4.0, 2, 100, "a")
    many = Turn(9.0, 2, 100, "a")
    assert steps(Program((few, B), (ratio,), (1.0,), (little,))) == (4.0, 0.0)
    assert steps(Program((many, B), (ratio,), (1.0,), (little,))) == (5.0, 0.0)
    bound = Row((1.0, -2.0), -inf, -10.0, 0)
    assert steps(Program((many, B), (bound,), (1.0,))) == (9.0, 10.0)


def test_acid_and_alkali_are_not_used_together() -> None:
    rows = (Row((1.0, 0.0), 5.0, inf, 0), Row((0.0, 1.0), 5.0, inf, 1))
    together = solve(Program((A, B), rows, (1.0, 1.0)))
    assert together == Solution((5.0, 5.0), frozenset())
    apart = solve(Program((A, B), rows, (1.0, 1.0), exclusive=(((0,), (1,)),)))
    assert apart is not None and len(apart.missed) == 1 and 0.0 in apart.steps


def test_another_answer_changes_another_additive() -> None:
    row = (Row((1.0, 0.5), 5.0, inf, 0),)
    assert steps(Program((A, B), row, (1.0,))) == (5.0, 0.0)
    other = Program((A, B), row, (1.0,), different_from=(frozenset({"a"}),))
    assert steps(other) == (0.0, 10.0)
    none = Program((A,), (Row((1.0,), 5.0, inf, None),), (), different_from=(frozenset({"a"}),))
    assert solve(none) is None


def test_what_cannot_be_met_is_come_near_to() -> None:
    rows = (Row((1.0,), 200.0, inf, 0), Row((1.0,), -inf, 60.0, 1))
    program = Program((A,), rows, (0.4, 1.0), nearest=(Near(0, (1.0,), 210.0),))
    assert solve(program) == Solution((60.0,), frozenset({0}))


def test_of_equal_sums_the_one_in_fewer_places_is_chosen() -> None:
    mash, sparge = Turn(15.0, 2, 100, "a"), Turn(90.0, 2, 100, "a")
    row = (Row((1.0, 1.0), -inf, 60.0, 0),)
    assert steps(Program((mash, sparge), row, (1.0,))) == (15.0, 45.0)
