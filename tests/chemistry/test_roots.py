"""The root finder: finds, is bounded, says when it did not."""

from __future__ import annotations

from math import exp

import pytest

from waterlint.chemistry.roots import MAXIMUM_STEPS, find_root, root_value


@pytest.mark.parametrize(
    "function, low, high, root",
    [
        (lambda x: x * x - 2.0, 0.0, 2.0, 2.0**0.5),
        (lambda x: 2.0**0.5 - x, 5.0, -5.0, 2.0**0.5),
        (lambda x: exp(20.0 * x) - 2.0, -5.0, 5.0, 0.0346573590),
        (lambda x: (x - 1.0) ** 9, 0.0, 3.0, 1.0),
        (lambda x: 1.0 if x > 0.3 else -1.0, 0.0, 1.0, 0.3),
        (lambda x: x, 0.0, 1.0, 0.0),
    ],
)
def test_finds(function, low, high, root) -> None:  # type: ignore[no-untyped-def]
    calls = 0

    def counted(x: float) -> float:
        nonlocal calls
        calls += 1
        return function(x)

    found = find_root(counted, low, high)
    assert found.converged
    assert found.value == pytest.approx(root, abs=1e-9)
    assert calls < MAXIMUM_STEPS


def test_says_when_there_is_none() -> None:
    found = find_root(lambda x: x * x + 1.0 + x, 0.0, 2.0)
    assert found == (0.0, False)
    with pytest.raises(ArithmeticError, match="no root between"):
        root_value(lambda x: x * x + 1.0, 0.0, 2.0)


def test_the_better_end_is_told_where_there_is_none() -> None:
    assert find_root(lambda x: 5.0 - x, 0.0, 2.0) == (2.0, False)
    assert find_root(lambda x: 5.0 + x, 0.0, 2.0) == (0.0, False)


@pytest.mark.parametrize(
    ("function", "high"), [(lambda x: x * x - 2.0, 2.0), (lambda x: 3.0 - exp(x), 4.0)]
)
def test_smooth_functions_take_few_steps(function, high: float) -> None:  # type: ignore[no-untyped-def]
    """Halving alone would take more than forty."""
    calls: list[float] = []
    found = find_root(lambda x: calls.append(x) or function(x), 0.0, high)
    assert found.converged
    assert len(calls) <= (12 if high == 2.0 else 17)
