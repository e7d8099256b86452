"""Proposals in recipes that are written in other ways than most."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.test_check import RECIPE, WATER
from waterlint.linter import Options
from waterlint.remedy.dosing import write_doses
from waterlint.remedy.proposal import Proposal, propose
from waterlint.remedy.situation import Situation, situations
from waterlint.remedy.wishes import Wishes

pytest.importorskip("scipy.optimize")

#: Of gypsum in the mash, for more sulfate.
WANTED = "targets: {sulfate: 60 .. mg/L}\n"

BLOCK = RECIPE.replace(
    "  - {add: calcium-chloride, form: dihydrate, mash: 1.5 g, sparge: 1.5 g}\n",
    "  - add: calcium-chloride\n    form: dihydrate   # the label says so\n    mash: 1.5 g\n"
    "    sparge: 1.5 g\n",
)


@pytest.fixture(autouse=True)
def well(tmp_path: Path) -> None:
    (tmp_path / "waters").mkdir()
    (tmp_path / "waters/well.yaml").write_text(WATER)


def dosed(folder: Path, text: str) -> str:
    done = write_doses(text, folder / "a.yaml", Options(), "warning")
    assert [each for each in done.report.findings if each.level != "note"] == []
    again = write_doses(done.text, folder / "a.yaml", Options(), "warning")
    assert again.text == done.text and again.changes == ()
    return done.text


def proposed(folder: Path, text: str) -> Proposal:
    situation = next(situations(text, folder / "a.yaml", Options(), "warning"))
    assert isinstance(situation, Situation)
    return propose(situation, Wishes())[0]


@pytest.mark.parametrize("line_end", ["\n", "\r\n"])
@pytest.mark.parametrize("bom", ["", "\ufeff"])
def test_block_style_gets_a_line_in_block_style(tmp_path: Path, bom: str, line_end: str) -> None:
    text = (bom + BLOCK + WANTED).replace("\n", line_end)
    written = dosed(tmp_path, text)
    start, end = text.split("    sparge: 1.5 g" + line_end)
    assert written.startswith(start) and written.endswith(end)
    added = written.removeprefix(start).removesuffix(end)
    lines = [each for each in added.split(line_end) if each]
    assert lines[0] == "    sparge: 1.5 g"
    assert lines[1].startswith("  - add: ")
    assert all(line.startswith("    ") for line in lines[2:])


def test_a_recipe_without_additions_gets_a_list(tmp_path: Path) -> None:
    text = RECIPE[: RECIPE.index("additions:")] + WANTED
    written = dosed(tmp_path, text)
    start = text
    assert written.startswith(start)
    assert written.removeprefix(start).startswith("additions:\n  - {add: ")


def test_a_file_between_brackets(tmp_path: Path) -> None:
    text = (
        "{waterlint: recipe/1, name: Flat, batch: {volume: 18 L, evaporation: 2 L}, "
        "water: {kettle: {volume: 20 L, from: waters/well.yaml}}, "
        "grist: [{malt: pale extract, kind: extract, mass: 3 kg}], "
        "targets: {sulfate: 60 .. mg/L}}"
    )
    written = dosed(tmp_path, text)
    assert written.startswith(text[:-1] + ", additions: [{add: ")


@pytest.mark.parametrize(("comma", "added"), [(",", ","), ("", "")])
def test_a_comment_between_brackets_stays_with_its_line(
    tmp_path: Path, comma: str, added: str
) -> None:
    line = "  {add: calcium-chloride, form: dihydrate, mash: 1.5 g, sparge: 1.5 g}"
    start = RECIPE[: RECIPE.index("additions:")] + f"additions: [\n{line}"
    end = f"   # of the new bag\n  ]\n{WANTED}"
    written = dosed(tmp_path, f"{start}{comma}{end}")
    assert written.startswith(f"{start},   # of the new bag\n  {{add: ")
    assert written.endswith(f"}}{added}\n  ]\n{WANTED}")


def test_a_unit_that_is_a_decimal_part_is_kept(tmp_path: Path) -> None:
    text = RECIPE.replace("mash: 1.5 g, sparge: 1.5 g", "mash: 1500 mg, sparge: 9000 mg")
    written = dosed(tmp_path, text + "targets: {chloride: .. 90 mg/L}\n")
    assert " mg, sparge: " in written and " mg}" in written
    assert "9000 mg" not in written


def test_a_rate_becomes_a_mass_where_it_changes(tmp_path: Path) -> None:
    text = RECIPE.replace("mash: 1.5 g, sparge: 1.5 g", "mash: 0.1 g/L, sparge: 0.7 g/L")
    written = dosed(tmp_path, text + "targets: {chloride: .. 90 mg/L}\n")
    assert "mash: 0.1 g/L, sparge: " in written
    assert "0.7 g/L" not in written


def test_each_recipe_of_a_file_is_dosed(tmp_path: Path) -> None:
    soda = RECIPE + "  - {add: baking-soda, kettle: 2 g}\n"
    report = WATER
    written = dosed(tmp_path, f"{soda}---\n{report}---\n{RECIPE}---\n{soda}")
    assert written == f"{RECIPE}---\n{report}---\n{RECIPE}---\n{RECIPE}"


def test_a_recipe_with_errors_is_left_and_the_next_is_dosed(tmp_path: Path) -> None:
    soda = RECIPE + "  - {add: baking-soda, kettle: 2 g}\n"
    wrong = soda.replace("add: baking-soda", "add: pixie-dust")
    done = write_doses(f"{wrong}---\n{soda}", tmp_path / "a.yaml", Options(), "warning")
    assert done.text == f"{wrong}---\n{RECIPE}"


def test_the_only_addition_goes_with_its_list(tmp_path: Path) -> None:
    bare = RECIPE[: RECIPE.index("additions:")]
    assert dosed(tmp_path, bare + "additions:\n  - {add: baking-soda, kettle: 2 g}\n") == bare


def test_a_great_batch_is_dosed_in_steps_that_a_brewhouse_weighs(tmp_path: Path) -> None:
    text = RECIPE.replace(" L,", " hL,").replace(" L}", " hL}").replace("kg,", "0 kg,")
    text = text.replace("4.0 0 kg", "400 kg").replace("300 g", "30 kg").replace("1.5 g", "150 g")
    proposal = proposed(tmp_path, text + WANTED)
    assert proposal.changes and not proposal.after.counted
    assert all(float(lever.step) >= 1.0 for lever, _ in proposal.changes)


def test_an_excused_finding_is_not_cleared(tmp_path: Path) -> None:
    text = RECIPE + (
        "  - {add: baking-soda, kettle: 2 g}"
        "  # waterlint: accept alkali-after-mash because it primes\n"
    )
    assert proposed(tmp_path, text).changes == ()
    assert dosed(tmp_path, text) == text


def test_what_no_dose_can_clear_is_left_alone(tmp_path: Path) -> None:
    text = RECIPE.replace("batch: {volume: 20 L", "color: 80 EBC\nbatch: {volume: 20 L")
    proposal = proposed(tmp_path, text)
    assert proposal.changes == () and proposal.after.text == text
    assert [each.rule for each in proposal.left] == ["color-disagrees"]
