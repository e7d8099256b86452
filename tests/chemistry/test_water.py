"""What must hold for any water: balances kept, pH where it belongs, nothing ever NaN."""

from __future__ import annotations

from dataclasses import FrozenInstanceError
from math import inf, isfinite, nan

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from waterlint.chemistry import Water, blend
from waterlint.chemistry.acids import ACIDS
from waterlint.chemistry.ions import IONS
from waterlint.chemistry.salts import SALTS
from waterlint.chemistry.water import ION_NAMES

SOFT = Water(
    calcium=4, magnesium=1, sodium=5, potassium=1, chloride=5, sulfate=4, alkalinity=14, ph=6.8
)
HARD = Water(
    calcium=118,
    magnesium=19,
    sodium=14,
    potassium=2,
    chloride=31,
    sulfate=42,
    alkalinity=318,
    ph=7.2,
)
NEUTRAL = sorted(name for name, salt in SALTS.items() if not salt.alkalinity)

amounts = st.one_of(st.just(0.0), st.floats(0.01, 400.0))
waters = st.builds(
    Water,
    calcium=amounts,
    magnesium=amounts,
    sodium=amounts,
    potassium=amounts,
    chloride=amounts,
    sulfate=amounts,
    nitrate=amounts,
    alkalinity=st.floats(1.0, 500.0),
    ph=st.floats(5.5, 9.5),
)
few = settings(max_examples=40, deadline=None)


def same(left: Water, right: Water) -> None:
    for name in ION_NAMES:
        assert getattr(left, name) == pytest.approx(getattr(right, name), rel=1e-9, abs=1e-9)
    assert left.alkalinity == pytest.approx(right.alkalinity, rel=1e-9, abs=1e-9)
    assert left.dic == pytest.approx(right.dic, rel=1e-9, abs=1e-12)
    assert left.ph == pytest.approx(right.ph, abs=1e-6)


@few
@given(waters)
def test_ph_given_is_ph_found(water: Water) -> None:
    again = Water.from_carbon(water.ions, water.alkalinity, water.dic)
    assert again.converged
    assert again.ph == pytest.approx(water.ph, abs=1e-6)
    found = 50043.0 * again.speciation.alkalinity
    assert found == pytest.approx(water.alkalinity, rel=1e-7, abs=1e-7)


@few
@given(waters, st.sampled_from(NEUTRAL), st.floats(0.0, 1500.0))
def test_neutral_salts_leave_alkalinity_and_carbon(water: Water, name: str, dose: float) -> None:
    dosed = water.with_salts({name: dose})
    assert dosed.alkalinity == water.alkalinity
    assert dosed.dic == water.dic


@few
@given(waters, st.sampled_from(sorted(SALTS)), st.floats(0.0, 1500.0))
def test_salts_keep_the_charges(water: Water, name: str, dose: float) -> None:
    dosed = water.with_salts({name: dose})
    before, after = water.ion_balance, dosed.ion_balance
    assert after.cations - after.anions == pytest.approx(before.cations - before.anions, abs=1e-9)


@few
@given(waters, st.sampled_from(sorted(SALTS)), st.floats(0.0, 1500.0))
def test_salts_weigh_what_they_bring(water: Water, name: str, dose: float) -> None:
    dosed, salt = water.with_salts({name: dose}), SALTS[name]
    for ion, count in salt.ions.items():
        gain = getattr(dosed, ion) - getattr(water, ion)
        expected = dose / salt.molar_mass * count * IONS[ion].molar_mass
        assert gain == pytest.approx(expected, abs=1e-9)
    assert dosed.dic - water.dic == pytest.approx(dose / salt.molar_mass * salt.inorganic_carbon)


@few
@given(waters, waters, waters, st.tuples(*[st.floats(0.1, 50.0)] * 3))
def test_blending_in_any_order(a: Water, b: Water, c: Water, parts: tuple[float, ...]) -> None:
    at_once = blend(list(zip((a, b, c), parts, strict=True)))
    same(at_once, blend([(c, parts[2]), (a, parts[0]), (b, parts[1])]))
    first = blend([(a, parts[0]), (b, parts[1])])
    same(at_once, blend([(first, parts[0] + parts[1]), (c, parts[2])]))


@few
@given(waters, st.sampled_from(sorted(ACIDS)), st.floats(0.01, 3.0), st.floats(0.0, 1.0))
def test_a_dose_may_be_split(water: Water, name: str, dose: float, share: float) -> None:
    split = water.with_acid(name, dose * share).with_acid(name, dose * (1.0 - share))
    same(water.with_acid(name, dose), split)


@few
@given(waters, st.sampled_from(sorted(ACIDS)), st.floats(0.01, 5.0), st.floats(0.01, 1.0))
def test_more_acid_means_lower_ph(water: Water, name: str, dose: float, more: float) -> None:
    assert water.with_acid(name, dose + more).ph < water.with_acid(name, dose).ph < water.ph


@few
@given(waters, st.floats(0.01, 5.0))
def test_more_base_means_higher_ph(water: Water, dose: float) -> None:
    assert water.with_base("sodium_hydroxide", dose).ph > water.ph


@few
@given(waters)
def test_solved_species_add_up(water: Water) -> None:
    """Calcium, sulfate and carbon are all found again, and the alkalinity is theirs."""
    solved = water.speciation
    totals = {"calcium": 0, "sulfate": 1, "carbonate": 0}
    calcium = solved.free_cations[totals["calcium"]] + sum(
        amount for species, amount in solved.formed if species.cation == 0
    )
    sulfate = solved.free_anions[totals["sulfate"]] + sum(
        species.anions * amount for species, amount in solved.formed if species.family == 1
    )
    carbon = sum(solved.inorganic_carbon(protons) for protons in (0, 1, 2))
    assert calcium == pytest.approx(water.calcium / 40078.0, rel=1e-6, abs=1e-12)
    assert sulfate == pytest.approx(water.sulfate / 96056.0, rel=1e-6, abs=1e-12)
    assert carbon == pytest.approx(water.dic / 1000.0, rel=1e-6)


@few
@given(waters, st.floats(0.1, 0.9))
def test_dilution_is_in_proportion(water: Water, share: float) -> None:
    thin = blend([(water, share), (Water(), 1.0 - share)])
    assert thin.residual_alkalinity == pytest.approx(share * water.residual_alkalinity, abs=1e-9)
    assert thin.hardness == pytest.approx(share * water.hardness, abs=1e-9)


@pytest.mark.parametrize("ph", [5.0, 7.5, 10.2])
def test_carbon_is_told_in_three_parts(ph: float) -> None:
    """By the weights of HCO3, CO3 and CO2: 61.017, 60.009 and 44.009."""
    water = Water(calcium=40, sodium=90, alkalinity=120, ph=ph)
    told = water.bicarbonate / 61.017 + water.carbonate / 60.009 + water.carbon_dioxide / 44.009
    assert told == pytest.approx(water.dic, rel=1e-4)


def test_ions_that_are_not_named_are_not_there() -> None:
    water = Water.from_carbon({"calcium": 40.0}, 50.0, 1.0)
    assert water.ions == {**dict.fromkeys(ION_NAMES, 0.0), "calcium": 40.0}
    assert (water.alkalinity, water.dic, water.temperature) == (50.0, 1.0, 25.0)


EXTREMES = {
    "nothing": Water(),
    "sour nothing": Water(ph=3.0),
    "alkaline nothing": Water(ph=11.0),
    "no alkalinity": Water(calcium=50, sulfate=120, alkalinity=0, ph=4.4),
    "mineral acid": Water(calcium=50, sulfate=200, alkalinity=-80, ph=3.2),
    "lime": Water(calcium=60, alkalinity=150, ph=11.4),
    "lime stone": HARD.with_salts({"calcium_hydroxide": 1600.0, "calcium_carbonate": 5000.0}),
    "brine": SOFT.with_salts({"sodium_chloride": 300_000.0, "epsom": 100_000.0}),
    "salt mine": SOFT.with_salts({"sodium_chloride": 4e6, "gypsum": 2e6}),
    "acid by the bottle": HARD.with_acid("phosphoric", 9000.0).with_acid("citric", 2000.0),
    "lye": SOFT.with_base("sodium_hydroxide", 3000.0),
    "hot": HARD.at_temperature(100.0),
    "cold": HARD.at_temperature(0.0),
    "soda": SOFT.with_salts({"sodium_bicarbonate": 60_000.0}),
}


@pytest.mark.parametrize("water", EXTREMES.values(), ids=EXTREMES.keys())
def test_extremes_stay_finite(water: Water) -> None:
    figures = (
        water.ph,
        water.dic,
        water.bicarbonate,
        water.carbonate,
        water.carbon_dioxide,
        water.ionic_strength,
        water.conductivity,
        water.calcite_saturation_index,
        water.log10_pco2,
        water.dissolved_solids,
    )
    assert water.converged
    assert all(isfinite(figure) for figure in figures)
    assert min(figures[1:7]) >= 0.0
    assert -1.0 < water.ph < 15.0


def test_distilled_water() -> None:
    assert Water().ph == pytest.approx(6.997, abs=0.002)
    assert Water().conductivity == pytest.approx(0.055, abs=0.001)
    assert Water().calcite_saturation_index == Water().log10_pco2 == -99.0


def test_a_contradiction_is_settled_for_the_alkalinity() -> None:
    assert Water(alkalinity=0.0, ph=9.0).dic == 0.0
    assert Water(alkalinity=0.0, ph=9.0).ph == pytest.approx(7.0, abs=0.01)


def test_sour_distilled_water_holds_carbon_dioxide() -> None:
    water = Water(ph=5.6)
    assert water.alkalinity == 0.0
    assert water.log10_pco2 == pytest.approx(-3.4, abs=0.1)


@pytest.mark.parametrize(
    "wrong",
    [
        {"calcium": nan},
        {"sodium": inf},
        {"magnesium": -0.1},
        {"alkalinity": nan},
        {"ph": nan},
        {"ph": -2.0},
        {"ph": 15.0},
        {"temperature": nan},
        {"temperature": -1.0},
        {"temperature": 101.0},
    ],
    ids=str,
)
def test_refused_at_the_door(wrong: dict[str, float]) -> None:
    with pytest.raises(ValueError, match=next(iter(wrong))):
        Water(**wrong)


@pytest.mark.parametrize("dose", [nan, inf, -1.0])
def test_doses_are_refused_too(dose: float) -> None:
    for add in (
        lambda: HARD.with_acid("lactic", dose),
        lambda: HARD.with_base("sodium_hydroxide", dose),
        lambda: HARD.with_salts({"gypsum": dose}),
        lambda: blend([(HARD, dose), (SOFT, 1.0)]),
    ):
        with pytest.raises(ValueError, match="finite"):
            add()


def test_unknown_names() -> None:
    with pytest.raises(ValueError, match="unknown acid 'acetic'"):
        HARD.with_acid("acetic", 1.0)
    with pytest.raises(ValueError, match="unknown salt 'salt'"):
        HARD.with_salts({"salt": 1.0})
    with pytest.raises(ValueError, match="gypsum is no base"):
        HARD.with_base("gypsum", 1.0)
    with pytest.raises(ValueError, match="unknown ions: gold"):
        Water.from_carbon({"gold": 1.0}, 0.0, 0.0)
    with pytest.raises(ValueError, match="nothing"):
        blend([(HARD, 0.0)])


def test_water_is_frozen_and_compares_by_what_it_carries() -> None:
    with pytest.raises(FrozenInstanceError):
        HARD.calcium = 1.0  # type: ignore[misc]
    again = Water(**{**HARD.ions, "alkalinity": 318, "ph": 7.2})
    assert again == HARD
    assert hash(again) == hash(HARD)
    assert again != HARD.with_salts({"gypsum": 1.0})
    assert repr(SOFT).startswith("Water(calcium=4, ")
    assert repr(SOFT).endswith(", sulfate=4, alkalinity=14, ph=6.8, temperature=25)")
    assert repr(Water(temperature=20)).startswith("Water(alkalinity=0, ph=7")


def test_conductivity_of_standards() -> None:
    """Potassium chloride, 0.001, 0.01 and 0.1 mol/L at 25 C; the usual calibration standards."""
    for molar, expected in ((0.001, 146.9), (0.01, 1412.0), (0.1, 12850.0)):
        standard = Water().with_salts({"potassium_chloride": molar * 74548.0})
        assert standard.conductivity == pytest.approx(expected, rel=0.005)


def test_temperature_changes_ph_but_not_what_is_carried() -> None:
    warm = HARD.at_temperature(65.0)
    assert (warm.alkalinity, warm.dic, warm.ions) == (HARD.alkalinity, HARD.dic, HARD.ions)
    assert warm.ph != HARD.ph
    assert warm.calcite_saturation_index > HARD.calcite_saturation_index
    assert warm.conductivity == pytest.approx(HARD.conductivity)


def test_dissolved_solids() -> None:
    """Alkalinity dries to carbonate, 0.6 mg each mg of CaCO3; acid dries to nothing."""
    assert HARD.dissolved_solids == pytest.approx(
        118 + 19 + 14 + 2 + 31 + 42 + 0.5996 * 318, rel=1e-4
    )
    assert Water(calcium=10, alkalinity=-20, ph=3.5).dissolved_solids == 10.0


def test_zero_levels() -> None:
    """One mole of each acid takes the alkalinity that its anion's zero level leaves."""
    for name, equivalents in (
        ("lactic", 1),
        ("phosphoric", 1),
        ("hydrochloric", 1),
        ("sulfuric", 2),
        ("citric", 1),
    ):
        loss = HARD.alkalinity - HARD.with_acid(name, 1.0).alkalinity
        assert loss == pytest.approx(equivalents * 50.043)
