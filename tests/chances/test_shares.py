"""Shares of variance against functions whose shares are known by hand."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from waterlint.chances.shares import Sets, first_order_share

Function = Callable[..., np.ndarray]

#: Of three standard normal inputs: the function and each input's share. The variances of a, b² - 1
#: and a·c are 1, 2 and 1, and a·c belongs to no input by itself.
KNOWN: list[tuple[Function, tuple[float, float, float]]] = [
    (lambda a, b, c: 5.0 + 3.0 * a - b, (0.9, 0.1, 0.0)),
    (lambda a, b, c: a + b**2 + 2.0 * a * c, (1 / 7, 2 / 7, 0.0)),
    (lambda a, b, c: 1e6 + 1e-3 * (a + b + c), (1 / 3, 1 / 3, 1 / 3)),
    (lambda a, b, c: a * b * c, (0.0, 0.0, 0.0)),
]


def sets(function: Function, place: int, seed: int, samples: int) -> Sets:
    first, again = np.random.default_rng(seed).standard_normal((2, 3, samples))

    def of(others: np.ndarray) -> np.ndarray:
        inputs = others.copy()
        inputs[place] = first[place]
        return function(*inputs)

    return Sets(of(first), of(-first), of(again), of(-again))


@pytest.mark.parametrize(("function", "shares"), KNOWN)
@pytest.mark.parametrize("place", [0, 1, 2])
def test_known_shares(function: Function, shares: tuple[float, ...], place: int) -> None:
    found = first_order_share(sets(function, place, 11, 40_000))
    assert found == pytest.approx(shares[place], abs=0.02)


def test_what_others_add_by_chance_goes_where_they_are_linear() -> None:
    # With 200 draws the covariance of two independent inputs is some 0.07 by chance.
    found = [first_order_share(sets(KNOWN[0][0], 2, seed, 200)) for seed in range(20)]
    assert max(found) < 1e-12


def test_what_does_not_vary_has_no_share() -> None:
    flat = np.full(100, 3.0)
    assert first_order_share(Sets(flat, flat, flat, flat)) == 0.0
