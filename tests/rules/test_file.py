"""Faults of files: what is documented, what a house requires, what a dose requires."""

from __future__ import annotations

from pathlib import Path

import pytest

from waterlint.linter import Linter, Options
from waterlint.project.config import FIXED_RULES, Settings
from waterlint.project.discovery import Found
from waterlint.rules.registry import all_rules
from waterlint.rules.samples import recipe, recipe_example, report

from .making import TODAY, findings_of, levels_and_pointers, recipe_case

NAME = "missing-key"
ERROR = "error"


def _found(*changes: str, without: tuple[str, ...] = (), require: tuple[str, ...] = ()):
    settings = Settings(require=require, origin={"require": "waterlint.yaml:4"})
    case = recipe_case(
        recipe(*changes, without=without), {"well.yaml": report()}, settings=settings
    )
    return findings_of(case, NAME)


@pytest.mark.parametrize(
    ("changes", "require", "missing"),
    [
        ([], (), []),
        ([], ("mash", "grist"), []),
        ([], ("color", "style"), ["color", "style"]),
        (["color: 8 EBC"], ("color", "style"), ["style"]),
        (["notes: ''"], ("notes",), []),
    ],
)
def test_what_the_house_requires(
    changes: list[str], require: tuple[str, ...], missing: list[str]
) -> None:
    found = _found(*changes, require=require)
    assert levels_and_pointers(found) == [(ERROR, "")] * len(missing)
    assert [each.quantity for each in found] == missing
    assert all(each.basis == "`require` in waterlint.yaml:4" for each in found)
    assert all((each.span.line, each.span.column) == (1, 1) for each in found)


KETTLE_ONLY = "water:\n  kettle: {volume: 20 L, from: ./well.yaml}"
MASH_ONLY = "water:\n  mash: {volume: 28 L, from: ./well.yaml}"


@pytest.mark.parametrize(
    ("water", "dose", "fires"),
    [
        pytest.param(MASH_ONLY, "mash: 2 g", False, id="mash"),
        pytest.param(MASH_ONLY, "sparge: 2 g", True, id="no sparge"),
        pytest.param(MASH_ONLY, "liquor: 2 g", False, id="liquor is the mash alone"),
        pytest.param(MASH_ONLY, "kettle: 2 g", False, id="the kettle has the wort"),
        pytest.param(MASH_ONLY, "fermenter: 2 g", False, id="so has the fermenter"),
        pytest.param(MASH_ONLY, "fermenter: 0.1 g/L", True, id="a rate without its water"),
        pytest.param(KETTLE_ONLY, "mash: 2 g", True, id="no mash"),
        pytest.param(KETTLE_ONLY, "liquor: 2 g", False, id="liquor is the kettle's water"),
        pytest.param(
            "water:\n  fermenter: {volume: 20 L, from: ./well.yaml}",
            "liquor: 2 g",
            True,
            id="no liquor",
        ),
        pytest.param(
            "water:\n  fermenter: {volume: 20 L, from: ./well.yaml}",
            "fermenter: 0.1 g/L",
            False,
            id="a rate with its water",
        ),
    ],
)
def test_a_dose_requires_its_water(water: str, dose: str, fires: bool) -> None:
    found = _found(water, f"additions: [{{add: gypsum, {dose}}}]", without=("mash", "sparge"))
    place = dose.partition(":")[0]
    expected = [(ERROR, f"/additions/0/{place}")] if fires else []
    assert levels_and_pointers(found) == expected


def test_one_dose_that_has_its_water_hides_no_other() -> None:
    additions = "additions: [{add: gypsum, mash: 2 g, sparge: 2 g}]"
    (finding,) = _found(MASH_ONLY, additions, without=("mash", "sparge"))
    assert (finding.rule, finding.pointer) == (NAME, "/additions/0/sparge")


def test_a_missing_water_is_told_once_however_many_doses_want_it() -> None:
    additions = "additions: [{add: gypsum, sparge: 2 g}, {add: epsom-salt, sparge: 2 g}]"
    (finding,) = _found(MASH_ONLY, additions, without=("mash", "sparge"))
    assert "the recipe has no sparge water that this gypsum could go into" in finding.message
    assert "Add `water.sparge`" in finding.help


def test_what_cannot_be_switched_off_cannot_be_excused() -> None:
    rules = all_rules()
    assert {name for name in FIXED_RULES if rules[name].excusable} == set()


def test_what_is_found_elsewhere_has_no_check() -> None:
    elsewhere = {
        rule.name for rule in all_rules().values() if rule.check is None and rule.subject == "file"
    }
    assert elsewhere >= FIXED_RULES - {NAME}


def test_the_sound_recipe_is_silent(tmp_path: Path) -> None:
    example = recipe_example()
    (tmp_path / "recipe.yaml").write_text(example.text, encoding="utf-8")
    for name, text in example.files.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    linter = Linter(Options(today=TODAY))
    found = linter.lint([Found(tmp_path / "recipe.yaml", "named", named=True)])
    assert found.findings == ()
