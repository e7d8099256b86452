"""Equivalents, hardness, balances."""

from __future__ import annotations

import pytest

from waterlint.chemistry.ions import (
    IONS,
    as_calcium_carbonate,
    from_calcium_carbonate,
    from_milliequivalents,
    from_millimoles,
    hardness,
    ion_balance,
    reported_as,
    residual_alkalinity,
    to_milliequivalents,
    to_millimoles,
)


@pytest.mark.parametrize(
    "name, expected",
    [
        ("calcium", 20.039),
        ("magnesium", 12.1525),
        ("sodium", 22.990),
        ("potassium", 39.098),
        ("chloride", 35.45),
        ("sulfate", 48.028),
        ("bicarbonate", 61.016),
        ("carbonate", 30.004),
        ("nitrate", 62.004),
        ("lactate", 89.070),
    ],
)
def test_equivalent_weight(name: str, expected: float) -> None:
    assert IONS[name].equivalent_weight == pytest.approx(expected, abs=0.002)


@pytest.mark.parametrize("name", sorted(IONS))
def test_conversions_go_back_and_forth(name: str) -> None:
    assert from_milliequivalents(name, to_milliequivalents(name, 7.3)) == pytest.approx(7.3)
    assert from_millimoles(name, to_millimoles(name, 7.3)) == pytest.approx(7.3)
    assert from_calcium_carbonate(name, as_calcium_carbonate(name, 7.3)) == pytest.approx(7.3)
    charge = abs(IONS[name].charge)
    assert to_milliequivalents(name, 7.3) == pytest.approx(charge * to_millimoles(name, 7.3))


@pytest.mark.parametrize(
    "formula, part, factor",
    [("SO4", "S", 2.9961), ("NO3", "N", 4.4266), ("NO2", "N", 3.2844), ("PO4", "P", 3.0661)],
)
def test_reported_as(formula: str, part: str, factor: float) -> None:
    assert reported_as(formula, part, 1.0) == pytest.approx(factor, abs=1e-4)


def test_reported_as_refuses_what_is_not_in_it() -> None:
    with pytest.raises(ValueError, match="cannot be reported"):
        reported_as("SO4", "N", 1.0)


def test_hardness_is_additive() -> None:
    assert hardness(40.0, 10.0) == pytest.approx(40.0 * 2.4973 + 10.0 * 4.1179, abs=0.01)


def test_residual_alkalinity_by_the_milligram() -> None:
    assert residual_alkalinity(0.0, 1.0, 0.0) == pytest.approx(-0.7135, abs=1e-4)
    assert residual_alkalinity(0.0, 0.0, 1.0) == pytest.approx(-0.5883, abs=1e-4)


def test_balance_of_nothing() -> None:
    assert ion_balance({}) == (0.0, 0.0, 0.0)


def test_alkalinity_counts_as_bicarbonate_does() -> None:
    assert ion_balance({"calcium": 40.0}, alkalinity=100.0).anions == pytest.approx(
        ion_balance({"bicarbonate": 121.925}).anions, rel=1e-4
    )
