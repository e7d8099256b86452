"""Every stored PHREEQC case, within its own tolerance."""

from __future__ import annotations

from typing import Any

import pytest

from waterlint.chemistry import Water, blend, boil, dissolve_chalk, dose_to_ph
from waterlint.chemistry.acids import ACIDS
from waterlint.chemistry.equilibria import (
    log_k_calcite,
    log_k_carbonic_1,
    log_k_carbonic_2,
    log_k_henry,
    log_k_water,
)
from waterlint.chemistry.ions import CALCIUM_CARBONATE_EQUIVALENT, IONS
from waterlint.chemistry.salts import SALTS

from .reference import assert_within, case_id, cases, water_of


def carbonate_alkalinity(water: Water) -> float:
    """HCO3 + 2 CO3 + OH - H, ion pairs included [mg/L as CaCO3]."""
    solved = water.speciation
    hydroxides = sum(amount for species, amount in solved.formed if species.protons == -1)
    carbonates = solved.inorganic_carbon(1) + 2.0 * solved.inorganic_carbon(0)
    return 1000.0 * CALCIUM_CARBONATE_EQUIVALENT * (carbonates + hydroxides - solved.proton)


def figures(water: Water) -> dict[str, float]:
    """A water's figures under the cases' names."""
    solved = water.speciation
    free = next((amount for species, amount in solved.formed if species.name == "HCO3-"), 0.0)
    return {
        "Ca": water.calcium,
        "Mg": water.magnesium,
        "Na": water.sodium,
        "K": water.potassium,
        "Cl": water.chloride,
        "SO4": water.sulfate,
        "NO3": water.nitrate,
        "alk_caco3": water.alkalinity,
        "ra_caco3": water.residual_alkalinity,
        "carbonate_alk_caco3": carbonate_alkalinity(water),
        "pH": water.ph,
        "HCO3": water.bicarbonate,
        "HCO3_free": 1000.0 * IONS["bicarbonate"].molar_mass * free,
        "CO3": water.carbonate,
        "CO2": water.carbon_dioxide,
        "dic_mmol": water.dic,
        "ionic_strength_mmol": 1000.0 * water.ionic_strength,
        "ec_us_cm": water.conductivity,
        "si_calcite": water.calcite_saturation_index,
        "log10_pco2_atm": water.log10_pco2,
    }


def pressure(system: str) -> float | None:
    """The CO2 pressure that a case's system speaks of [atm]."""
    if "4.2e-3 atm" in system:
        return 4.2e-3
    return 0.1 if "0.1 atm" in system else None


@pytest.mark.parametrize("case", cases("phreeqc", "source_water"), ids=case_id)
def test_source_water(case: Any) -> None:
    assert_within(case, figures(water_of(case["inputs"]["water"])))


@pytest.mark.parametrize("case", cases("phreeqc", "salt_addition"), ids=case_id)
def test_salt_addition(case: Any) -> None:
    given = case["inputs"]
    doses = {name: 1000.0 * grams / given["volume_l"] for name, grams in given["salts_g"].items()}
    assert_within(case, figures(water_of(given["water"]).with_salts(doses)))


@pytest.mark.parametrize("case", cases("phreeqc", "blend"), ids=case_id)
def test_blend(case: Any) -> None:
    given = case["inputs"]
    first, share = water_of(given["water_1"]), given["fraction_1"]
    mixed = blend([(first, share), (water_of(given["water_2"]), 1.0 - share)])
    assert_within(case, figures(mixed))


@pytest.mark.parametrize("case", cases("phreeqc", "acid_dose"), ids=case_id)
def test_acid_dose(case: Any) -> None:
    given = case["inputs"]
    dose = given["dose_mmol_per_l"]
    assert_within(case, figures(water_of(given["water"]).with_acid(given["acid"], dose)))
    grams = dose * ACIDS[given["acid"]].molar_mass / 1000.0
    assert grams == pytest.approx(given["dose_g_per_l"], rel=1e-3)


@pytest.mark.parametrize("case", cases("phreeqc", "acid_to_ph", "base_to_ph"), ids=case_id)
def test_dose_to_ph(case: Any) -> None:
    given = case["inputs"]
    name = given.get("acid") or given["base"]
    dose = dose_to_ph(
        water_of(given["water"]), name, given["target_ph"], pco2=pressure(given["system"])
    )
    mass = ACIDS[name].molar_mass if name in ACIDS else SALTS[name].molar_mass
    assert_within(case, {"dose_mmol_per_l": dose, "dose_g_per_l": dose * mass / 1000.0})


@pytest.mark.parametrize("case", cases("phreeqc", "boil_decarbonation"), ids=case_id)
def test_boil(case: Any) -> None:
    given = case["inputs"]
    boiled, fallen = boil(
        water_of(given["water"]),
        pco2=10.0 ** given["log10_pco2_atm"],
        saturation_index=given["saturation_index"],
        temperature=given["temp_c"],
    )
    assert_within(case, {**figures(boiled), "precipitated_caco3_mg_per_l": fallen})


@pytest.mark.parametrize("case", cases("phreeqc", "chalk_dissolution"), ids=case_id)
def test_chalk(case: Any) -> None:
    given = case["inputs"]
    dose = 1000.0 * given["calcium_carbonate_g"] / given["volume_l"]
    water, left = dissolve_chalk(water_of(given["water"]), dose, pco2=pressure(given["system"]))
    assert_within(case, {**figures(water), "dissolved_fraction": 1.0 - left / dose})


@pytest.mark.parametrize("case", cases("phreeqc", "equilibrium_constants"), ids=case_id)
def test_constants(case: Any) -> None:
    celsius = case["inputs"]["temp_c"]
    found = {
        "pk1": -log_k_carbonic_1(celsius),
        "pk2": -log_k_carbonic_2(celsius),
        "pkw": -log_k_water(celsius),
        "log_k_calcite": log_k_calcite(celsius),
        "log_k_co2_gas": log_k_henry(celsius),
    }
    assert_within(case, found)


def test_every_case_is_used() -> None:
    tested = {
        "source_water",
        "salt_addition",
        "blend",
        "acid_dose",
        "acid_to_ph",
        "base_to_ph",
        "boil_decarbonation",
        "chalk_dissolution",
        "equilibrium_constants",
    }
    assert {case["kind"] for case in cases("phreeqc")} == tested
    assert len(cases("phreeqc")) == 89
