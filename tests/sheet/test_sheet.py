"""The sheet: vessels in order, what goes in first, what to mind, what to write down."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.sheet.sheets import FILES, RECIPE, line, sheet_of, situation_of, step
from waterlint.catalog.cautions import DEFERS
from waterlint.sheet.build import make_sheet
from waterlint.units import parse

Tree = Callable[..., Path]


def test_vessels_in_the_order_of_use(tree: Tree) -> None:
    tree(FILES)
    text = RECIPE.replace(
        "mash: {mill", "  fermenter: {volume: 2 L, from: distilled}\nmash: {mill"
    ) + (
        "  - {add: gypsum, kettle: 1 g, sparge: 1 g, mash: 1 g, fermenter: 1 g, liquor: 2 g}\n"
        "  - {add: pickling-lime, mash: 1 g}\n"
    )
    sheet = sheet_of(text)
    assert [each.place for each in sheet.steps] == [
        "grist",
        "liquor",
        "mash-water",
        "mash",
        "sparge",
        "kettle",
        "fermenter",
    ]
    assert step(sheet, "liquor").aim == "28 L"
    assert [each.pointer for each in step(sheet, "mash").lines] == ["/additions/1/mash"]
    assert step(sheet, "mash").remarks[0].startswith("Lime after doughing in: half of it")


def test_waters_with_their_volumes_and_treatment(tree: Tree) -> None:
    tree(FILES)
    sheet = sheet_of(RECIPE.replace("additions:\n", ""))
    assert step(sheet, "mash-water").waters == ("Lock Cottage well, carbon-filtered",)
    assert step(sheet, "sparge").waters == ("10.5 L Lock Cottage well", "3.5 L distilled water")
    assert (step(sheet, "mash-water").aim, step(sheet, "mash").aim) == ("14 L", "at 66 °C")


def test_sulfite_first_and_acid_last(tree: Tree) -> None:
    tree(FILES)
    text = RECIPE + (
        "  - {add: phosphoric-acid, strength: 10 %, mash: 3 mL}\n"
        "  - {add: gypsum, mash: 2 g}\n"
        "  - {add: potassium-metabisulfite, mash: 0.3 g}\n"
        "  - {add: calcium-chloride, form: dihydrate, mash: 2 g}\n"
    )
    mash = step(sheet_of(text), "mash-water")
    assert [each.name for each in mash.lines] == [
        "potassium metabisulfite",
        "gypsum",
        "calcium chloride, dihydrate",
        "phosphoric acid 10 %",
    ]
    assert mash.remarks[0].startswith("Sulfite first")
    assert mash.remarks[-1] == "Acid last: slowly into the water, never water into acid, and stir."


def test_gypsum_of_the_house_is_stirred_as_long(tree: Tree) -> None:
    config = "waterlint: config/1\nadditives: {own-gypsum: {like: gypsum, basis: the label}}\n"
    tree(FILES | {"waterlint.yaml": config})
    sheet = sheet_of(RECIPE + "  - {add: own-gypsum, mash: 2 g}\n")
    (told,) = step(sheet, "mash-water").remarks
    assert told.startswith("Gypsum dissolves slowly")


@pytest.mark.parametrize(
    ("dissolved", "place"), [("", "mash"), (", dissolved: true", "mash-water")]
)
def test_chalk_is_stirred_into_the_mash(tree: Tree, dissolved: str, place: str) -> None:
    tree(FILES)
    sheet = sheet_of(RECIPE + f"  - {{add: chalk, mash: 2 g{dissolved}}}\n")
    assert [each.name for each in step(sheet, place).lines] == ["chalk"]
    told = [each for each in step(sheet, place).remarks if each.startswith("Chalk")]
    assert len(told) == (place == "mash")


def test_what_is_for_the_mash_is_said_of_no_other_vessel(tree: Tree) -> None:
    tree(FILES)
    doses = "  - {add: pickling-lime, sparge: 1 g}\n  - {add: chalk, kettle: 2 g}\n"
    sheet = sheet_of(RECIPE + doses)
    assert not step(sheet, "sparge").remarks
    assert step(sheet, "kettle").remarks == (
        "Chalk does not dissolve in water; the figures count half of it.",
    )


def test_what_to_expect_of_the_mash_and_how_to_measure_it(tree: Tree) -> None:
    tree(FILES)
    text = RECIPE.replace("additions:\n", "targets: {mash_ph: 5.3 .. 5.6}\n")
    sheet = sheet_of(text)
    assert sheet.mash is not None and sheet.mash.aim == "5.3 .. 5.6"
    assert sheet.mash.low < sheet.mash.value < sheet.mash.high
    assert sheet.mash.sentence.startswith(f"Expect pH {sheet.mash.value:.2f} in a sample cooled")
    assert sheet.mash.sentence.endswith("The recipe aims at 5.3 .. 5.6.")
    remarks = sheet.measuring
    assert remarks[0].startswith("When: 15 minutes after doughing in.")
    # 5 K × 0.0055, and 41 K × 0.0055 ± 0.002.
    assert "At 20 °C it reads 0.03 higher than at 25 °C." in remarks[0]
    assert "reads about 0.23 ± 0.08 lower (Palmer and Kaminski, as cited by Hosom" in remarks[1]
    assert remarks[2].startswith("A predicted pH is no measurement")


def test_a_mash_without_a_pH_says_why(tree: Tree) -> None:
    tree(FILES)
    sheet = sheet_of(RECIPE.replace("kind: pale", "kind: crystal").replace("additions:\n", ""))
    assert sheet.mash is None
    assert step(sheet, "mash").remarks[0] == ("No pH is predicted: the mash holds no base malt.")


def test_late_malt_says_so(tree: Tree) -> None:
    tree(FILES)
    text = RECIPE.replace("color: 900 EBC", "color: 900 EBC, late: true").replace(
        "additions:\n", ""
    )
    sheet = sheet_of(text)
    assert line(sheet, "/grist/1").note == "late: joins when the mash is done"
    assert line(sheet, "/grist/0").note == ""


def test_a_dose_that_the_scale_does_not_show(tree: Tree) -> None:
    tree(FILES)
    found = line(sheet_of(RECIPE + "  - {add: gypsum, mash: 0.04 g}\n"), "/additions/0/mash")
    assert (found.amount, found.value) == ("none", 0.0)
    assert found.note == "the recipe asks for 0.04 g, less than the scale shows"


def test_a_dose_moved_by_the_grid_says_what_was_asked_for(tree: Tree) -> None:
    tree(FILES)
    found = line(sheet_of(RECIPE + "  - {add: gypsum, mash: 0.34 g}\n"), "/additions/0/mash")
    assert (found.amount, found.note) == ("0.3 g", "the recipe asks for 0.34 g")


def test_a_measure_finer_than_the_scale_is_used_for_acids(tree: Tree) -> None:
    tree({**FILES, "waterlint.yaml": "waterlint: config/1\nscale: {mass: 1 g, volume: 0.1 mL}\n"})
    acid = "  - {add: lactic-acid, strength: 80 %, sparge: 2.04 mL}\n"
    found = line(sheet_of(RECIPE + acid), "/additions/0/sparge")
    assert (found.amount, found.note, found.name) == ("2.0 mL", "", "lactic acid 80 %")


def test_cautions_are_said_once_and_the_label_last(tree: Tree) -> None:
    tree(FILES)
    text = RECIPE + (
        "  - {add: lactic-acid, strength: 80 %, sparge: 1 mL}\n"
        "  - {add: sulfuric-acid, strength: 93 %, mash: 1 mL}\n"
        "  - {add: phosphoric-acid, strength: 10 %, mash: 3 mL}\n"
        "  - {add: pickling-lime, mash: 1 g}\n"
    )
    found = sheet_of(text).cautions
    assert [each.split()[0] for each in found] == ["Acid", "Sulfuric", "Lime", "The"]
    assert found[-1] == DEFERS
    assert sum(each.count("goggles") for each in found) == 1
    weak = sheet_of(RECIPE + "  - {add: phosphoric-acid, strength: 10 %, mash: 3 mL}\n")
    assert [each.split()[1] for each in weak.cautions] == ["diluted", "maker's"]
    strong = sheet_of(RECIPE + "  - {add: phosphoric-acid, strength: 30 %, mash: 3 mL}\n")
    assert [each.split()[1] for each in strong.cautions] == ["of", "maker's"]
    powder = sheet_of(RECIPE + "  - {add: citric-acid, form: monohydrate, mash: 1 g}\n")
    assert powder.cautions == ()


def test_what_to_write_down(tree: Tree) -> None:
    tree(FILES)
    blanks = sheet_of(RECIPE.replace("additions:\n", "")).blanks
    assert {each.label: each.aim for each in blanks} == {
        "mash water": "14 L",
        "mash temperature": "66 °C",
        "mash pH": "",
        "… of a sample at": "",
        "… taken after": "",
        "sparge water": "14 L",
        "before the boil": "",
        "after the boil": "",
        "in the fermenter": "20 L",
    }


def test_a_scaled_sheet_says_what_was_decided(tree: Tree) -> None:
    tree(FILES)
    text = RECIPE.replace("additions:\n", "")
    assert sheet_of(text).scaled_from is None
    assert sheet_of(text, "20").scaled_from is None
    told = sheet_of(text, "40").scaled_from
    assert told is not None
    assert told.startswith("From the recipe for 20 L. Water, grist and doses are in proportion")
    assert "So are evaporation (6 L) and losses (2 L); but those are your kettle's own" in told


def test_volumes_in_the_brewers_own_unit(tree: Tree) -> None:
    tree(FILES)
    text = RECIPE.replace("additions:\n", "").replace(
        "{volume: 14 L, from: waters/well.yaml, treat",
        "{volume: 4 US gal, from: waters/well.yaml, treat",
    )
    text = text.replace("66 °C", "152 °F")
    sheet = sheet_of(text, "10")
    assert step(sheet, "mash-water").aim == "2 US gal"
    assert step(sheet, "mash").aim == "at 152 °F"
    assert "Hot, at 152 °F, the same mash reads about 0.23" in sheet.measuring[1]
    units = {each.label: each.unit for each in sheet.blanks}
    assert (units["mash water"], units["mash temperature"]) == ("US gal", "°F")
    assert step(sheet, "sparge").aim == "7 L"


def test_a_scaled_amount_is_rounded_in_the_brewers_own_unit(tree: Tree) -> None:
    tree(FILES)
    text = RECIPE.replace("additions:\n", "").replace("volume: 14 L", "volume: 3 US gal")
    text = text.replace("volume: 20 L", "volume: 5 US gal").replace(
        "losses: 1 L", "losses: 1 US qt"
    )
    text = text.replace("mass: 4.0 kg", "mass: 2 lb").replace("mass: 300 g", "mass: 9 oz")
    sheet = make_sheet(situation_of(text), parse("volume", "2.5 US gal"))
    assert step(sheet, "mash-water").aim == "1.5 US gal"
    assert [each.amount for each in step(sheet, "grist").lines] == ["1 lb", "4.5 oz"]
    assert sheet.scaled_from is not None and "losses (0.5 US qt)" in sheet.scaled_from


def test_a_dose_of_nothing_is_no_line(tree: Tree) -> None:
    tree(FILES)
    sheet = sheet_of(RECIPE + "  - {add: gypsum, mash: 0 g, sparge: 1 g}\n")
    assert step(sheet, "mash-water").lines == ()
    assert line(sheet, "/additions/0/sparge").amount == "1.0 g"


def test_an_extract_beer_has_no_mash(tree: Tree) -> None:
    tree(FILES)
    sheet = sheet_of(
        "waterlint: recipe/1\nname: Sack ale\nbatch: {volume: 10 L, boil: 30 min}\n"
        "water: {kettle: {volume: 11 L, from: distilled}}\n"
        "grist: [{malt: pale extract, kind: extract, mass: 1.4 kg}]\n"
        "additions: [{add: gypsum, kettle: 1 g}]\n"
    )
    assert [each.place for each in sheet.steps] == ["grist", "kettle"]
    assert sheet.mash is None and sheet.measuring == ()
    assert sheet.blanks[0].label == "kettle water"
