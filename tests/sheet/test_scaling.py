"""Another batch size: the chemistry stays, doses land on the grid of the scale."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from functools import lru_cache
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.sheet.sheets import FILES, OPTIONS, RECIPE, line, sheet_of, situation_of, step
from waterlint.prediction.result import Prediction, WaterFigures
from waterlint.project.config import Scale
from waterlint.remedy.situation import Situation, situations
from waterlint.sheet.build import make_sheet
from waterlint.sheet.scaling import on_grid, portions, round_figures, scale_recipe, with_portions
from waterlint.units import Quantity

Tree = Callable[..., Path]

ROOT = Path(__file__).resolve().parent.parent.parent
NAMES = (
    "example-recipes/ales/tidewrack-oatmeal-stout.yaml",  # a rate, an acid, the kettle
    "example-recipes/ales/sluice-gate-bitter.yaml",  # into the liquor, by rate
    "example-recipes/ales/first-kettle-blonde.yaml",  # no mash
    "example-recipes/ales/pilot-light-tripel.yaml",  # sugar, late
    "tests/collections/sound/american-pale-ale.yaml",  # sulfite
)
FACTORS = st.floats(0.05, 200.0)


@lru_cache
def situation(name: str) -> Situation:
    path = ROOT / name
    (found,) = situations(path.read_text(), path, OPTIONS, "warning")
    assert isinstance(found, Situation)
    return found


def figures(prediction: Prediction) -> dict[str, float]:
    """All concentrations and the mash pH."""
    found: dict[str, float] = {}
    waters: dict[str, WaterFigures | None] = {
        "mash": prediction.mash_water,
        "sparge": prediction.sparge_water,
        "batch": prediction.batch_water,
    }
    for name, water in waters.items():
        if water is not None:
            found |= {f"{name} {ion}": figure.value for ion, figure in water.ions.items()}
            found[f"{name} alkalinity"] = water.alkalinity.value
    if prediction.wort is not None:
        found |= {f"wort {ion}": each.value for ion, each in prediction.wort.ions.items()}
    if prediction.mash is not None and prediction.mash.ph is not None:
        found["mash pH"] = prediction.mash.ph.value
    return found


@settings(max_examples=25, deadline=None)
@given(name=st.sampled_from(NAMES), factor=FACTORS)
def test_every_concentration_stays(name: str, factor: float) -> None:
    here = situation(name)
    scaled = here.predict(scale_recipe(here.recipe, factor))
    before = figures(here.prediction)
    assert figures(scaled) == pytest.approx(before, rel=1e-9, abs=1e-9)
    assert len(before) > 8
    assert scaled.batch_water is not None and here.prediction.batch_water is not None
    assert scaled.batch_water.volume_l == pytest.approx(
        factor * here.prediction.batch_water.volume_l
    )


@settings(max_examples=25, deadline=None)
@given(name=st.sampled_from(NAMES), factor=FACTORS, mass=st.sampled_from([0.01, 0.1, 1.0, 5.0]))
def test_doses_are_on_the_grid_and_nearest(name: str, factor: float, mass: float) -> None:
    here = situation(name)
    scale = Scale(mass, 0.5)
    recipe = round_figures(scale_recipe(here.recipe, factor))
    measured = portions(recipe, here.case.catalog, scale)
    assert measured
    for portion in measured:
        assert portion.amount % portion.step == 0
        assert abs(float(portion.amount) - portion.exact) <= float(portion.step) * 0.500001
    # Each dose is as far from what the recipe asks for as its rounding, and no further.
    before = figures(here.predict(with_portions(recipe, measured, rounded=False)))
    slack = sum(float(each.step) for each in measured) * 1000.0 / recipe.batch.volume.value
    after = figures(here.predict(with_portions(recipe, measured)))
    for key, value in before.items():
        if key.startswith("batch"):
            assert after.get(key, 0.0) == pytest.approx(value, abs=slack), key


@settings(max_examples=25, deadline=None)
@given(name=st.sampled_from(NAMES), factor=FACTORS)
def test_rounded_volumes_are_half_a_percent_off_at_most(name: str, factor: float) -> None:
    exact = scale_recipe(situation(name).recipe, factor)
    rounded = round_figures(exact)
    for vessel, water in exact.vessels.items():
        assert rounded.vessels[vessel].volume.value == pytest.approx(water.volume.value, rel=0.0051)
    for old, new in zip(exact.grist, rounded.grist, strict=True):
        assert new.mass.value == pytest.approx(old.mass.value, rel=0.0051)


def test_the_recipe_itself_is_not_touched() -> None:
    here = situation(NAMES[0])
    before = figures(here.prediction)
    make_sheet(here, Quantity(63.0, "L", text="63 L"))
    assert figures(here.predict(here.recipe)) == before
    assert here.recipe.batch.volume.value == 21.0


def test_a_pilot_batch_of_a_brewery_s_recipe_is_measured_in_litres(tree: Tree) -> None:
    tree(FILES)
    big = RECIPE.replace("additions:\n", "")
    for litres, barrels in (("volume: 20 L", "volume: 20 US bbl"), ("14 L", "14 US bbl")):
        big = big.replace(litres, barrels)
    sheet = sheet_of(big, "5")
    assert step(sheet, "mash-water").aim == "3.5 L"
    assert {each.unit for each in sheet.blanks if "water" in each.label} == {"L"}
    assert step(sheet_of(big), "mash-water").aim == "14 US bbl"


def test_amounts_of_a_doubled_batch(tree: Tree) -> None:
    tree(FILES)
    text = RECIPE + (
        "  - {add: gypsum, mash: 1.23 g, sparge: 0.1 g/L}\n"
        "  - {add: lactic-acid, strength: 80 %, sparge: 2 mL}\n"
    )
    sheet = sheet_of(text, "40")
    assert sheet.batch == "40 L"
    # 2.46 on a scale of 0.1; a rate by twice the water; 4 mL of 1.185 g/mL.
    assert line(sheet, "/additions/0/mash").amount == "2.5 g"
    assert line(sheet, "/additions/0/sparge").amount == "2.8 g"
    acid = line(sheet, "/additions/1/sparge")
    assert (acid.amount, acid.note) == ("4.7 g", "or 4 mL, which is coarser")
    assert line(sheet, "/grist/0").amount == "8 kg"
    assert line(sheet, "/grist/1").amount == "600 g"


def test_the_pH_shown_is_that_of_the_rounded_doses(tree: Tree) -> None:
    tree({**FILES, "waterlint.yaml": "waterlint: config/1\nscale: {mass: 5 g, volume: 5 mL}\n"})
    text = RECIPE + "  - {add: baking-soda, mash: 2.4 g}\n"
    here = situation_of(text)
    assert here.prediction.mash is not None and here.prediction.mash.ph is not None
    without = sheet_of(RECIPE.replace("additions:\n", ""))
    sheet = make_sheet(here)
    assert sheet.mash is not None and without.mash is not None
    # 2.4 g on a scale of 5 g are none, and that is what the mash gets.
    assert line(sheet, "/additions/0/mash").amount == "none"
    assert sheet.mash.value == pytest.approx(without.mash.value)
    assert here.prediction.mash.ph.value - sheet.mash.value > 0.05


def test_what_only_the_scaled_recipe_gets_is_told(tree: Tree) -> None:
    tree(FILES)
    text = RECIPE + "  - {add: gypsum, mash: 1.5 g, sparge: 3 g}\n"
    assert sheet_of(text).findings == ()
    (small,) = sheet_of(text, "2").findings
    assert (small.rule, small.pointer) == ("below-scale", "/additions/0/mash")
    assert small.message.startswith("0.15 g of gypsum is under 0.2 g")
    # An acid that is weighed is judged by the scale.
    acid = RECIPE + "  - {add: lactic-acid, strength: 80 %, sparge: 2 mL}\n"
    assert sheet_of(acid, "4").findings == ()


def test_what_larger_doses_mend_is_not_told(tree: Tree) -> None:
    tree(FILES)
    text = RECIPE + "  - {add: gypsum, mash: 0.15 g}\n"
    assert [each.rule for each in sheet_of(text).findings] == ["below-scale"]
    assert sheet_of(text, "40").findings == ()


@pytest.mark.parametrize(
    ("value", "step", "expected"),
    [
        (0.05, "0.1", "0.1"),
        (0.15, "0.1", "0.2"),
        (2.675, "0.01", "2.68"),
        (0.0499, "0.1", "0"),
        (12.5, "5", "15"),
    ],
)
def test_halves_go_up(value: float, step: str, expected: str) -> None:
    assert on_grid(value, Decimal(step)) == Decimal(expected)


def test_what_the_file_accepts_stays_accepted(tree: Tree) -> None:
    tree(FILES)
    accepted = "   # waterlint: accept below-scale because it is a trial\n"
    text = RECIPE + "  - {add: gypsum, mash: 0.15 g}" + accepted
    assert sheet_of(text).findings == ()
    assert sheet_of(text, "10").findings == ()
