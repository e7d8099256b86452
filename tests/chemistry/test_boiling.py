"""Boiling and chalk: mass kept, equilibrium reached, nothing done where nothing can happen."""

from __future__ import annotations

from math import nan

import pytest

from waterlint.chemistry import Water, boil, dissolve_chalk

HARD = Water(
    calcium=118,
    magnesium=19,
    sodium=14,
    potassium=2,
    chloride=31.3,
    sulfate=42,
    alkalinity=318,
    ph=7.2,
)
SOFT = Water(
    calcium=5, magnesium=1.5, sodium=9, potassium=1, chloride=5.2, sulfate=5, alkalinity=27, ph=6.5
)
PERMANENT = HARD.with_acid("hydrochloric", 6.5)


@pytest.mark.parametrize("index", [0.0, 0.5, 1.0])
def test_boiling_ends_at_its_saturation(index: float) -> None:
    boiled, fallen = boil(HARD, saturation_index=index)
    assert boiled.at_temperature(100.0).calcite_saturation_index == pytest.approx(index, abs=1e-6)
    assert boiled.temperature == HARD.temperature
    assert fallen > 200.0


def test_chalk_takes_calcium_and_alkalinity_with_it() -> None:
    boiled, fallen = boil(HARD)
    assert HARD.calcium - boiled.calcium == pytest.approx(fallen * 40.078 / 100.086)
    assert HARD.alkalinity - boiled.alkalinity == pytest.approx(fallen)
    for name in ("magnesium", "sodium", "potassium", "chloride", "sulfate"):
        assert getattr(boiled, name) == getattr(HARD, name)


def test_a_little_chalk_falls_too() -> None:
    """Less than a millimole: 100 mg/L of alkalinity, most of which a boil takes."""
    boiled, fallen = boil(Water(calcium=40, alkalinity=100, ph=7.8))
    assert 20.0 < fallen < 95.0
    assert boiled.at_temperature(100.0).calcite_saturation_index == pytest.approx(0.0, abs=1e-6)


def test_soda_sheds_the_last_of_its_calcium() -> None:
    soda = Water(calcium=0.5, sodium=460, alkalinity=1000, ph=10.2)
    water, left = dissolve_chalk(soda, 0.0)
    assert water.calcite_saturation_index == pytest.approx(0.0, abs=1e-6)
    assert soda.calcium - water.calcium == pytest.approx(left * 40.078 / 100.086)
    assert left > 0.1


def test_a_higher_pressure_of_gas_leaves_more() -> None:
    alkalinities = [boil(HARD, pco2=p).water.alkalinity for p in (1e-4, 1e-3, 1e-2, 1e-1)]
    assert alkalinities[1:] == sorted(alkalinities[1:])


@pytest.mark.parametrize("water", [SOFT, PERMANENT, Water(), Water(calcium=50, ph=6.0)], ids=repr)
def test_nothing_falls_where_nothing_can(water: Water) -> None:
    boiled, fallen = boil(water)
    if water is not SOFT:
        assert fallen == 0.0
    assert 0.0 <= fallen < 10.0
    assert boiled.calcium <= water.calcium
    assert boiled.converged


def test_carbon_dioxide_is_only_lost() -> None:
    assert boil(SOFT, pco2=0.5).water.dic <= SOFT.dic


def test_chalk_dissolves_to_equilibrium() -> None:
    water, left = dissolve_chalk(SOFT, 500.0)
    assert water.calcite_saturation_index == pytest.approx(0.0, abs=1e-6)
    assert water.calcium - SOFT.calcium == pytest.approx((500.0 - left) * 40.078 / 100.086)
    assert water.alkalinity - SOFT.alkalinity == pytest.approx(500.0 - left)
    assert water.dic - SOFT.dic == pytest.approx((500.0 - left) / 100.086)


def test_a_little_chalk_dissolves_wholly() -> None:
    assert dissolve_chalk(SOFT, 5.0).undissolved == pytest.approx(0.0, abs=1e-9)
    assert dissolve_chalk(SOFT, 0.0).water.calcium == SOFT.calcium


def test_carbonated_water_dissolves_more() -> None:
    left = [dissolve_chalk(SOFT, 700.0, pco2=p).undissolved for p in (None, 4e-3, 0.1, 1.0)]
    assert left == sorted(left, reverse=True)
    assert left[-1] == pytest.approx(0.0, abs=1e-9)


def test_oversaturated_water_sheds_chalk_onto_it() -> None:
    water, left = dissolve_chalk(HARD, 100.0, pco2=4e-4)
    assert left > 100.0
    assert water.calcite_saturation_index == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize("dose", [nan, -1.0])
def test_chalk_dose_is_checked(dose: float) -> None:
    with pytest.raises(ValueError, match="dose"):
        dissolve_chalk(SOFT, dose)


def test_pressures_and_index_are_checked() -> None:
    for call in (lambda: boil(SOFT, pco2=0.0), lambda: dissolve_chalk(SOFT, 1.0, pco2=nan)):
        with pytest.raises(ValueError, match="pco2"):
            call()
    with pytest.raises(ValueError, match="saturation_index"):
        boil(SOFT, saturation_index=nan)
    with pytest.raises(ValueError, match="temperature"):
        boil(SOFT, temperature=120.0)
