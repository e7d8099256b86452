"""How a constant changes with temperature, worked by hand."""

from __future__ import annotations

import pytest

from waterlint.chemistry.equilibria import Reaction, analytic, kilocalories


@pytest.mark.parametrize(
    ("kelvin", "expected"), [(298.15, -1.5), (373.15, -1.147878), (278.15, -1.625970)]
)
def test_van_t_hoff(kelvin: float, expected: float) -> None:
    """10 kJ/mol over 8.3144626 J/(mol K) and ln 10 are 522.336 K, times the reciprocals' gap."""
    assert Reaction(-1.5, 10.0).log_k_at(kelvin) == pytest.approx(expected, abs=2e-6)
    assert kilocalories(-1.5, 10.0 / 4.184).log_k_at(kelvin) == pytest.approx(expected, abs=2e-6)


def test_coefficients_by_powers_of_ten() -> None:
    """At 100 K: A1 + 100 A2 + A3/100 + 2 A4 + A5/10000 + 10000 A6."""
    assert analytic(1.0, 0.02, 300.0, 4.0, 5e4, 6e-4).log_k_at(100.0) == pytest.approx(25.0)
    assert analytic(1.0, 0.02).log_k_at(100.0) == pytest.approx(3.0)
    assert analytic(1.0, 0.02).log_k == pytest.approx(1.0 + 0.02 * 298.15)
