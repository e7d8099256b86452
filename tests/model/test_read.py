"""From a checked tree to the model: canonical units, pointers, and what a season inherits."""

from __future__ import annotations

from datetime import date

import pytest

from waterlint.model.read import read_recipe, read_water
from waterlint.model.recipe import Recipe
from waterlint.model.water import WaterReport
from waterlint.source.document import read_text

RECIPE = """\
waterlint: recipe/1
name: 1999
style: oatmeal-stout
color: 56 EBC
batch: {volume: 21 L, boil: 1 h, evaporation: 3 L, losses: 1 L}
water:
  sparge: {volume: 16 L, from: [{water: w.yaml, share: 60 %}, {water: distilled, share: 40 %}]}
  mash:   {volume: 4 US gal, from: w.yaml, treat: [boiled, carbon-filtered]}
mash: {mill_gap: 1.1 mm, temperature: 66 °C, decoctions: 1}
grist:
  - {malt: pale, kind: pale, mass: 4.2 kg, color: 6 EBC, di_ph: 5.72 ± 0.03}
  - {malt: chocolate, kind: roasted, mass: 1 lb, color: 400 °L, acidity: 40 mEq/kg, late: true}
additions:
  - {add: calcium-chloride, form: dihydrate, mash: 0.12 g/L, kettle: 1.4 g}
  - {add: phosphoric-acid, strength: 10 %, sparge: 6 mL}
  - {add: chalk, dissolved: true, mash: 1 g}
targets:
  mash_ph: 5.4 .. 5.6
  calcium: 50 .. mg/L
  mash: {calcium: .. 110 mg/L}
measured:
  mash_ph: {value: 5.51, temperature: 68 °F}
"""

WATER = """\
waterlint: water/1
name: Leat
sampled: 2025-08-02
ph: 7.6
ions:
  calcium: 42 ± 3 mg/L
  magnesium: 6 mg/L
  sodium: 11 mg/L
  chloride: 28 mg/L
  sulfate: 8 mg/L as S
alkalinity: 96 mg/L as CaCO3
hardness: 130 mg/L as CaCO3
chlorine: 0.3 mg/L
seasons:
  - {sampled: 2026-03-14, ions: {calcium: 51 mg/L}}
  - {sampled: 2024-01-10, ions: {bicarbonate: 90 mg/L}}
uncertainty: 5 %
"""


def recipe(text: str = RECIPE) -> Recipe:
    (document,) = read_text(text, "a.yaml").documents
    return read_recipe(document, "a.yaml")


def report(text: str = WATER) -> WaterReport:
    (document,) = read_text(text, "w.yaml").documents
    return read_water(document, "w.yaml")


def test_text_is_what_was_written() -> None:
    assert recipe().name == "1999"


def test_quantities_are_canonical() -> None:
    made = recipe()
    assert made.batch.boil is not None and made.batch.boil.value == 60.0
    assert made.color is not None and made.color.value == pytest.approx(56 / 1.97)
    assert made.vessels["mash"].volume.value == pytest.approx(15.141647)
    assert made.grist[1].mass.value == pytest.approx(453.59237)
    assert made.grist[1].color is not None
    assert made.grist[1].color.value == pytest.approx(2.65 * 400 - 1.2)
    assert made.grist[0].di_ph is not None and made.grist[0].di_ph.sd == 0.03
    assert made.measured_ph is not None and made.measured_ph.temperature is not None
    assert made.measured_ph.temperature.value == pytest.approx(20.0)


def test_vessels_come_in_the_order_of_a_brew_day() -> None:
    assert list(recipe().vessels) == ["mash", "sparge"]


def test_one_source_is_a_share_of_the_whole() -> None:
    (share,) = recipe().vessels["mash"].shares
    assert (share.water, share.share, share.pointer) == ("w.yaml", 1.0, "/water/mash/from")


def test_shares_keep_their_places() -> None:
    shares = recipe().vessels["sparge"].shares
    assert [(each.water, each.share, each.pointer) for each in shares] == [
        ("w.yaml", 0.6, "/water/sparge/from/0"),
        ("distilled", 0.4, "/water/sparge/from/1"),
    ]


def test_treatments_one_or_many() -> None:
    assert recipe().vessels["mash"].treatments == ("boiled", "carbon-filtered")
    assert recipe().vessels["sparge"].treatments == ()


def test_doses_by_place_with_their_units() -> None:
    made = recipe()
    doses = [
        (dose.place, dose.amount.value, dose.amount.unit, dose.pointer)
        for addition in made.additions
        for dose in addition.doses
    ]
    assert doses == [
        ("mash", 0.12, "g/L", "/additions/0/mash"),
        ("kettle", 1.4, "g", "/additions/0/kettle"),
        ("sparge", 6.0, "mL", "/additions/1/sparge"),
        ("mash", 1.0, "g", "/additions/2/mash"),
    ]
    assert made.additions[2].dissolved and not made.additions[0].dissolved
    assert made.additions[1].strength is not None and made.additions[1].strength.value == 10.0


def test_targets_of_the_batch_and_of_one_vessel() -> None:
    made = recipe()
    mash_ph = made.target("mash_ph", "mash")
    assert mash_ph is not None and (mash_ph.range.low, mash_ph.range.high) == (5.4, 5.6)
    calcium = made.target("calcium")
    assert calcium is not None and (calcium.range.low, calcium.range.high) == (50.0, None)
    in_mash = made.target("calcium", "mash")
    assert in_mash is not None and in_mash.pointer == "/targets/mash/calcium"
    assert made.target("sodium") is None


def test_late_grain_and_settings() -> None:
    made = recipe()
    assert made.grist[1].late and not made.grist[0].late
    assert made.mash.decoctions == 1
    assert made.mash.mill_gap is not None and made.mash.mill_gap.value == 1.1


def test_the_newest_analysis_comes_first() -> None:
    made = report()
    assert made.newest.sampled == date(2026, 3, 14)
    assert [each.pointer for each in made.analyses] == ["/seasons/0", "", "/seasons/1"]
    assert made.main.sampled == date(2025, 8, 2)
    assert made.uncertainty == 0.05


def test_a_season_takes_what_it_leaves_out() -> None:
    newest = report().newest
    assert newest.ions["calcium"].value == 51.0
    assert newest.ions["magnesium"].value == 6.0
    assert newest.ions["sulfate"].value == pytest.approx(8 * 96.056 / 32.06)
    assert newest.alkalinity is not None and newest.alkalinity.value == 96.0
    assert newest.traces["chlorine"].value == 0.3
    # The main sample's hardness would contradict the season's calcium.
    assert newest.hardness is None
    assert newest.own == {"sampled", "ions", "ions/calcium"}


def test_a_season_with_bicarbonate_does_not_take_the_alkalinity() -> None:
    oldest = report().analyses[2]
    assert oldest.alkalinity is None
    assert oldest.ions["bicarbonate"].value == 90.0
