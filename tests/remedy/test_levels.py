"""What is cleared at the level of notes and of errors, beside warnings."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.test_check import RECIPE, WATER
from waterlint.finding import Level
from waterlint.linter import Options
from waterlint.remedy.proposal import Proposal, propose
from waterlint.remedy.situation import Situation, situations
from waterlint.remedy.wishes import Wishes
from waterlint.remedy.writing import amount_text

pytest.importorskip("scipy.optimize")

BREWHOUSE = (
    RECIPE.replace("volume: 20 L", "volume: 20 hL")
    .replace("3 L", "3 hL")
    .replace("losses: 1 L", "losses: 1 hL")
    .replace("14 L", "14 hL")
    .replace("4.0 kg", "400 kg")
    .replace("300 g", "30 kg")
    .replace("1.5 g", "150 g")
)


def proposed(
    folder: Path, text: str, level: Level = "warning", water: str = WATER, config: str = ""
) -> Proposal:
    (folder / "waters").mkdir(exist_ok=True)
    (folder / "waters/well.yaml").write_text(water)
    if config:
        (folder / "waterlint.yaml").write_text(f"waterlint: config/1\n{config}")
    options = Options(config=folder / "waterlint.yaml") if config else Options()
    situation = next(situations(text, folder / "a.yaml", options, level))
    assert isinstance(situation, Situation)
    return propose(situation, Wishes())[0]


def doses(proposal: Proposal) -> dict[str, str]:
    return {f"{lever.name} {lever.place}": amount_text(lever, n) for lever, n in proposal.changes}


#: Lines that bring notes, the rules of those notes, and what changes.
NOTES = [
    ("  - {add: lactic-acid, strength: 80 %, mash: 2 mL}\n", {"acid-handling"}, "lactic-acid mash"),
    ("  - {add: pickling-lime, mash: 1 g}\n", {"caustic-handling", "mash-scale", "mash-ph"}, ""),
    ("  - {add: gypsum, mash: 5 g, sparge: 8 g}\n", {"mash-calcium"}, ""),
    ("targets: {sodium: .. 9.5 mg/L}\n", {"narrow-pass"}, ""),
    (
        "  - {add: gypsum, mash: 1 g, sparge: 8 g}\n  - {add: table-salt, sparge: 5 g}\n",
        {"minerals-high"},
        "",
    ),
]


@pytest.mark.parametrize(("lines", "rules", "changed"), NOTES)
def test_notes_are_cleared_where_that_is_asked_for(
    tmp_path: Path, lines: str, rules: set[str], changed: str
) -> None:
    proposal = proposed(tmp_path, RECIPE + lines, "note")
    assert {each.rule for each in proposal.before.counted} >= rules
    assert proposal.after.counted == ()
    assert changed == "" or set(doses(proposal)) == {changed}


def test_a_dose_that_does_nothing_goes_only_where_that_is_asked_for(tmp_path: Path) -> None:
    little = BREWHOUSE + "  - {add: epsom-salt, kettle: 2 g}\ntargets: {sulfate: 60 .. mg/L}\n"
    assert "epsom-salt kettle" not in doses(proposed(tmp_path, little))
    alone = little.replace("targets: {sulfate: 60 .. mg/L}\n", "")
    assert doses(proposed(tmp_path, alone)) == {}
    assert doses(proposed(tmp_path, alone, "note")) == {"epsom-salt kettle": "0 g"}


def test_an_error_is_cleared_before_warnings_are(tmp_path: Path) -> None:
    soda = RECIPE + "  - {add: baking-soda, mash: 30 g}\n"
    proposal = proposed(tmp_path, soda, "error")
    assert [each.rule for each in proposal.cleared] == ["mash-ph"]
    assert proposal.after.prediction.mash is not None
    ph = proposal.after.prediction.mash.ph
    assert ph is not None and ph.low <= 6.0 < ph.high
    assert doses(proposal).keys() == {"baking-soda mash"}


@pytest.mark.parametrize(
    ("dose", "config", "after"),
    [
        # 14 L of 2 mg/L as Cl2 take 14 × 2 × 1.568 = 43.9 mg of the potassium salt (deLange).
        ("0.01 g", "scale: {mass: 0.01 g}\n", "0.05 g"),
        # … and may have three times that: 132 mg.
        ("1 g", "", "0.1 g"),
        ("1 g", "scale: {mass: 0.01 g}\n", "0.13 g"),
    ],
)
def test_sulfites_are_dosed_by_the_chlorine(
    tmp_path: Path, dose: str, config: str, after: str
) -> None:
    water = WATER + "chlorine: 1.5 mg/L\nchloramine: 0.5 mg/L\n"
    line = f"  - {{add: potassium-metabisulfite, mash: {dose}}}\n"
    proposal = proposed(tmp_path, RECIPE + line, water=water, config=config)
    assert proposal.after.counted == ()
    assert doses(proposal) == {"potassium-metabisulfite mash": after}


def test_chlorine_is_taken_out_by_what_is_in_stock(tmp_path: Path) -> None:
    water = WATER + "chlorine: 1.5 mg/L\nchloramine: 0.5 mg/L\n"
    assert [each.rule for each in proposed(tmp_path, RECIPE, water=water).left] == [
        "chlorine-untreated"
    ]
    stock = "scale: {mass: 0.01 g}\nstock: [potassium-metabisulfite, gypsum]\n"
    proposal = proposed(tmp_path, RECIPE, water=water, config=stock)
    assert doses(proposal) == {"potassium-metabisulfite mash": "0.05 g"}
    assert proposal.after.counted == () and "asthma" in proposal.cautions[0]


def test_chlorine_of_the_fermenter_s_water_is_taken_out_there(tmp_path: Path) -> None:
    """4 L of 2 mg/L as Cl2 take 4 × 2 × 1.568 = 12.5 mg of the potassium salt."""
    water = WATER + "chlorine: 1.5 mg/L\nchloramine: 0.5 mg/L\n"
    top_up = "  fermenter: {volume: 4 L, from: waters/well.yaml}\nmash: {mill"
    text = RECIPE.replace("mash: {mill", top_up)
    stock = "scale: {mass: 0.01 g}\nstock: [potassium-metabisulfite]\n"
    proposal = proposed(tmp_path, text, water=water, config=stock)
    assert doses(proposal) == {
        "potassium-metabisulfite mash": "0.05 g",
        "potassium-metabisulfite fermenter": "0.02 g",
    }
    assert [each.rule for each in proposal.left] == ["volume-balance"]


def test_what_was_measured_is_no_matter_of_doses(tmp_path: Path) -> None:
    text = RECIPE + "measured: {mash_ph: {value: 5.1, temperature: 20 °C}}\n"
    proposal = proposed(tmp_path, text)
    assert proposal.changes == ()
    assert [each.rule for each in proposal.left] == ["measured-ph-disagrees"]
    assert "as it was brewed" in proposal.remarks[0]
    soda = text.replace("measured", "  - {add: baking-soda, kettle: 2 g}\nmeasured")
    assert set(doses(proposed(tmp_path, soda))) == {"baking-soda kettle"}


TWO_WATERS = RECIPE.replace(
    "from: waters/well.yaml}",
    "from: [{water: waters/well.yaml, share: 60 %}, {water: waters/rain.yaml, share: 40 %}]}",
)
BLOCK = TWO_WATERS.replace(
    "mash:   {volume: 14 L, from: [{water: waters/well.yaml, share: 60 %}, "
    "{water: waters/rain.yaml, share: 40 %}]}",
    "mash:\n    volume: 14 L\n    from:\n"
    "      - {water: waters/well.yaml, share: 60 %}   # by the meter\n"
    "      - {water: waters/rain.yaml, share: 40 %}",
)


@pytest.mark.parametrize("text", [TWO_WATERS, BLOCK])
def test_mixed_waters_are_diluted_in_proportion(tmp_path: Path, text: str) -> None:
    (tmp_path / "waters").mkdir()
    (tmp_path / "waters/rain.yaml").write_text(WATER.replace("sodium: 12", "sodium: 14"))
    # 14 L of 12.8 mg/L and 14 L of 6: for 7.5 the first may have 9 mg/L, which is 3.8 of 6.8
    # above the soft water's: 55.9 %, in steps of 5 % then 60 %.
    proposal = proposed(tmp_path, text + "targets: {sodium: .. 7.5 mg/L}\n")
    assert doses(proposal) == {"reverse-osmosis mash": "60 %"}
    written = proposal.after.text
    assert "{water: waters/well.yaml, share: 24 %}" in written
    assert "{water: waters/rain.yaml, share: 16 %}" in written
    assert "{water: reverse-osmosis, share: 60 %}" in written
    assert ("# by the meter" in written) == (text is BLOCK)
    assert proposal.after.counted == ()


def test_a_search_that_goes_in_circles_comes_out_of_them(tmp_path: Path) -> None:
    """Much soda and much calcium chloride: the line of either end points back to the other."""
    text = RECIPE.replace("kind: roasted, mass: 300 g", "kind: roasted, mass: 60 g").replace(
        "mash: 1.5 g, sparge: 1.5 g", "mash: 1.2 g, sparge: 18 g"
    )
    proposal = proposed(tmp_path, text + "  - {add: baking-soda, mash: 7.4 g}\n")
    assert proposal.before.counted and proposal.after.counted == ()
