"""The equilibrium against PHREEQC itself, where its Python package is installed."""

from __future__ import annotations

import random
from collections.abc import Mapping
from typing import Any

import pytest

from waterlint.chemistry import Water, boil, dose_to_ph
from waterlint.chemistry.equilibria import water_properties

phreeqc = pytest.importorskip("phreeqc", reason="the phreeqc package is not installed")

HEADINGS = "ph alk dic strength si pco2 hco3 ec dh_a dh_b rho"
PUNCH = (
    '-LA("H+"), ALK, TOT("C"), MU, SI("Calcite"), SI("CO2(g)"), MOL("HCO3-"), SC, DH_A, DH_B, RHO_0'
)

LACTATE = """
SOLUTION_MASTER_SPECIES
 Lactate Lactate- 0 89.07 89.07
SOLUTION_SPECIES
 Lactate- = Lactate-
 Lactate- + H+ = HLactate
 log_k 3.86
"""


@pytest.fixture(scope="module")
def engine() -> Any:
    made = phreeqc.Phreeqc()
    assert made.LoadBuiltInDatabase("phreeqc.dat") == 0
    assert made.RunString(LACTATE) == 0
    return made


def run(engine: Any, water: Water, celsius: float, after: str = "") -> Mapping[str, float]:
    """PHREEQC's figures of a water as reported at a temperature, after further blocks."""
    text = f"""
SOLUTION 1
 temp {celsius}
 pH {water.ph}
 units mg/kgw
 Ca {water.calcium}
 Mg {water.magnesium}
 Na {water.sodium}
 K {water.potassium}
 Cl {water.chloride}
 S(6) {water.sulfate} as SO4
 N(5) {water.nitrate} as NO3
 Alkalinity {water.alkalinity} as CaCO3
{after}
SELECTED_OUTPUT
 -reset false
USER_PUNCH
 -headings {HEADINGS}
 10 PUNCH {PUNCH}
END
"""
    assert engine.RunString(text) == 0, engine.GetErrorString()
    return {name: values[-1] for name, values in engine.GetSelectedOutput().items()}


def random_waters(seed: int, count: int, celsius: float = 25.0) -> list[Water]:
    """Waters from soft to very hard; charges need not balance, as in reports."""
    draw = random.Random(seed)
    return [
        Water(
            calcium=draw.uniform(1, 250),
            magnesium=draw.uniform(0.2, 60),
            sodium=draw.uniform(1, 180),
            potassium=draw.uniform(0.2, 15),
            chloride=draw.uniform(2, 250),
            sulfate=draw.uniform(1, 500),
            nitrate=draw.uniform(0.5, 40),
            alkalinity=draw.uniform(5, 380),
            ph=draw.uniform(6.2, 8.7),
            temperature=celsius,
        )
        for _ in range(count)
    ]


@pytest.mark.parametrize("celsius", [5.0, 25.0, 65.0, 100.0])
def test_properties_of_water(engine: Any, celsius: float) -> None:
    found = water_properties(celsius)
    reference = run(engine, Water(sodium=10, chloride=10, alkalinity=10), celsius)
    assert found.debye_hueckel_a == pytest.approx(reference["dh_a"], rel=5e-4)
    assert found.debye_hueckel_b == pytest.approx(reference["dh_b"], rel=5e-4)
    assert found.density == pytest.approx(reference["rho"], abs=1e-4)


@pytest.mark.parametrize("celsius", [10.0, 25.0, 65.0])
def test_waters(engine: Any, celsius: float) -> None:
    for water in random_waters(int(celsius), 8, celsius):
        reference = run(engine, water, celsius)
        assert water.dic == pytest.approx(1000 * reference["dic"], rel=2e-3)
        assert water.ionic_strength == pytest.approx(reference["strength"], rel=5e-3)
        assert water.calcite_saturation_index == pytest.approx(reference["si"], abs=0.01)
        assert water.log10_pco2 == pytest.approx(reference["pco2"], abs=0.01)


def test_conductivity(engine: Any) -> None:
    for water in random_waters(7, 12):
        reference = run(engine, water, 25.0)
        assert water.conductivity == pytest.approx(reference["ec"], rel=0.06)


REACTIONS = {
    "lactic": "HLactate",
    "hydrochloric": "HCl",
    "sulfuric": "H2SO4",
    "phosphoric": "H3PO4",
}


@pytest.mark.parametrize("name", sorted(REACTIONS))
def test_acids(engine: Any, name: str) -> None:
    for water in random_waters(11, 6):
        dose = 0.7 * water.alkalinity / 50.0 / (2.0 if name == "sulfuric" else 1.0)
        after = f"REACTION 1\n {REACTIONS[name]} 1\n {dose / 1000.0} moles"
        assert water.with_acid(name, dose).ph == pytest.approx(
            run(engine, water, 25.0, after)["ph"], abs=0.003
        )


@pytest.mark.parametrize(
    "formula, name", [("NaOH", "sodium_hydroxide"), ("Ca(OH)2", "calcium_hydroxide")]
)
def test_bases(engine: Any, formula: str, name: str) -> None:
    for water in random_waters(13, 6):
        after = f"REACTION 1\n {formula} 1\n 0.0012 moles"
        assert water.with_base(name, 1.2).ph == pytest.approx(
            run(engine, water, 25.0, after)["ph"], abs=0.005
        )


def test_phosphate_pairs(engine: Any) -> None:
    """At pH 8 half of the phosphate is bound to calcium and magnesium."""
    hard = Water(calcium=120, magnesium=40, sodium=20, chloride=100, alkalinity=200, ph=7.5)
    after = "REACTION 1\n H3PO4 1\n NaOH 3\n 0.0008 moles"
    found = hard.with_acid("phosphoric", 0.8).with_base("sodium_hydroxide", 2.4)
    assert found.ph == pytest.approx(run(engine, hard, 25.0, after)["ph"], abs=0.003)


def test_open_to_gas(engine: Any) -> None:
    for water in random_waters(17, 4):
        dose = dose_to_ph(water, "hydrochloric", 6.4, pco2=0.01)
        after = f"REACTION 1\n HCl 1\n {dose / 1000.0} moles\nEQUILIBRIUM_PHASES 1\n CO2(g) -2.0 10"
        assert run(engine, water, 25.0, after)["ph"] == pytest.approx(6.4, abs=0.003)


def test_boiling(engine: Any) -> None:
    for water in random_waters(19, 4):
        after = "REACTION_TEMPERATURE 1\n 100\nEQUILIBRIUM_PHASES 1\n Calcite 0 0\n CO2(g) -4.5 0"
        reference = run(engine, water, 25.0, after)
        found = boil(water, pco2=10.0**-4.5).water
        assert found.alkalinity == pytest.approx(
            1000 * 50.043 * reference["alk"], rel=0.01, abs=0.5
        )


def test_citric_acid(engine: Any) -> None:
    """Against minteq.v4.dat itself: its carbonate is nearly the same, its citrate ours."""
    other = phreeqc.Phreeqc()
    assert other.LoadBuiltInDatabase("minteq.v4.dat") == 0
    for water in random_waters(23, 6):
        dose = 0.25 * water.alkalinity / 50.0
        text = f"""
SOLUTION 1
 pH {water.ph}
 units mg/kgw
 Ca {water.calcium}
 Mg {water.magnesium}
 Na {water.sodium}
 K {water.potassium}
 Cl {water.chloride}
 S(6) {water.sulfate} as SO4
 C(4) {water.dic} mmol/kgw
REACTION 1
 H3(Citrate) 1
 {dose / 1000.0} moles
SELECTED_OUTPUT
 -reset false
USER_PUNCH
 -headings ph
 10 PUNCH -LA("H+")
END
"""
        assert other.RunString(text) == 0, other.GetErrorString()
        reference = other.GetSelectedOutput()["ph"][-1]
        assert water.with_acid("citric", dose).ph == pytest.approx(reference, abs=0.04)
