"""Doses to a pH or an alkalinity: they arrive, and refuse what they cannot do."""

from __future__ import annotations

from math import nan

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from waterlint.chemistry import Water, dose_to_alkalinity, dose_to_ph
from waterlint.chemistry.acids import ACIDS
from waterlint.chemistry.speciation import speciate

TAP = Water(
    calcium=42,
    magnesium=6,
    sodium=11,
    potassium=2,
    chloride=28,
    sulfate=24,
    nitrate=4,
    alkalinity=96,
    ph=7.6,
)
few = settings(max_examples=25, deadline=None)


@few
@given(st.sampled_from(sorted(ACIDS)), st.floats(4.2, 7.4), st.floats(5.0, 400.0))
def test_the_dose_arrives(name: str, target: float, alkalinity: float) -> None:
    water = Water(calcium=60, magnesium=9, sodium=20, sulfate=30, alkalinity=alkalinity, ph=7.7)
    dose = dose_to_ph(water, name, target)
    assert water.with_acid(name, dose).ph == pytest.approx(target, abs=1e-6)


@few
@given(st.sampled_from(["sodium_hydroxide", "calcium_hydroxide"]), st.floats(7.7, 11.0))
def test_bases_arrive(name: str, target: float) -> None:
    dose = dose_to_ph(TAP, name, target)
    assert TAP.with_base(name, dose).ph == pytest.approx(target, abs=1e-6)


@pytest.mark.parametrize("name", sorted(ACIDS))
def test_open_water_arrives(name: str) -> None:
    dosed = TAP.with_acid(name, dose_to_ph(TAP, name, 6.0, pco2=4e-3))
    settled = speciate(dosed.totals, 25.0, alkalinity=dosed.alkalinity / 50043.0, pco2=4e-3)
    assert settled.ph == pytest.approx(6.0, abs=1e-5)


def test_an_open_water_takes_more_acid_than_a_closed_one() -> None:
    assert dose_to_ph(TAP, "lactic", 6.0, pco2=4e-4) > dose_to_ph(TAP, "lactic", 6.0)


def test_strong_acids_agree_by_the_proton() -> None:
    once, twice = (dose_to_ph(TAP, name, 5.6) for name in ("hydrochloric", "sulfuric"))
    assert once == pytest.approx(2.0 * twice, rel=0.01)


def test_already_there() -> None:
    assert dose_to_ph(TAP, "lactic", TAP.ph) == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize(
    "name, target, said",
    [
        ("lactic", 8.4, "lactic can only lower"),
        ("sodium_hydroxide", 6.0, "sodium_hydroxide can only raise"),
        ("lactic", 0.5, "no dose of lactic"),
        ("gypsum", 6.0, "neither an acid nor a base"),
        ("vinegar", 6.0, "unknown"),
        ("lactic", nan, "ph must lie"),
        ("lactic", 20.0, "ph must lie"),
    ],
)
def test_what_cannot_be_done_is_said(name: str, target: float, said: str) -> None:
    with pytest.raises(ValueError, match=said):
        dose_to_ph(TAP, name, target)


@pytest.mark.parametrize("pressure", [0.0, -1.0, nan])
def test_pressure_must_be_above_zero(pressure: float) -> None:
    with pytest.raises(ValueError, match="pco2"):
        dose_to_ph(TAP, "lactic", 6.0, pco2=pressure)


@pytest.mark.parametrize("name", sorted(ACIDS))
def test_dose_to_alkalinity_arrives(name: str) -> None:
    dose = dose_to_alkalinity(TAP, name, 15.0)
    assert TAP.with_acid(name, dose).alkalinity == pytest.approx(15.0)


def test_dose_to_alkalinity_by_a_base() -> None:
    dose = dose_to_alkalinity(TAP, "calcium_hydroxide", 146.0)
    assert dose == pytest.approx(50.0 / 100.086, rel=1e-4)
    assert TAP.with_base("calcium_hydroxide", dose).alkalinity == pytest.approx(146.0)


@pytest.mark.parametrize(
    "name, target", [("lactic", 200.0), ("sodium_hydroxide", 20.0), ("lactic", nan)]
)
def test_dose_to_alkalinity_refuses(name: str, target: float) -> None:
    with pytest.raises(ValueError, match=r"cannot bring|finite"):
        dose_to_alkalinity(TAP, name, target)
