"""Cautions: once a file, at the strongest acid or the first lime."""

from __future__ import annotations

import pytest

from waterlint.catalog.catalog import default_catalog
from waterlint.catalog.house import house_additive
from waterlint.rules.samples import recipe, report

from .making import findings_of, levels_and_pointers, recipe_case

NOTE = "note"
SHELF = house_additive("shelf-lactic", "lactic-acid", "the label", strength=80)
HOUSE = default_catalog().extended(additives={SHELF.name: SHELF})


def _case(*additions: str):
    lines = "additions:\n" + "\n".join(f"  - {{{addition}}}" for addition in additions)
    return recipe_case(recipe(lines), {"well.yaml": report()}, catalog=HOUSE)


@pytest.mark.parametrize(
    ("additions", "expected"),
    [
        (["add: lactic-acid, strength: 80 %, sparge: 1 mL"], ["/additions/0/strength"]),
        (["add: lactic-acid, strength: 30 %, sparge: 1 mL"], ["/additions/0/strength"]),
        (["add: lactic-acid, strength: 29.9 %, sparge: 1 mL"], []),
        (["add: phosphoric-acid, strength: 10 %, sparge: 6 mL"], []),
        (["add: shelf-lactic, sparge: 1 mL"], ["/additions/0/add"]),
        (["add: citric-acid, form: monohydrate, sparge: 1 g"], []),
        (
            ["add: citric-acid, form: solution, strength: 50 %, sparge: 1 g"],
            ["/additions/0/strength"],
        ),
        # the strongest, once
        (
            [
                "add: lactic-acid, strength: 80 %, sparge: 1 mL",
                "add: sulfuric-acid, strength: 93 %, mash: 0.5 mL",
                "add: phosphoric-acid, strength: 75 %, mash: 1 mL",
            ],
            ["/additions/1/strength"],
        ),
        # not dosed, or without a strength
        (["add: lactic-acid, strength: 80 %"], []),
        (["add: lactic-acid, mash: 1 mL"], []),
        (["add: calcium-chloride, form: solution, strength: 33 %, mash: 5 mL"], []),
    ],
)
def test_acids(additions: list[str], expected: list[str]) -> None:
    found = findings_of(_case(*additions), "acid-handling")
    assert levels_and_pointers(found) == [(NOTE, pointer) for pointer in expected]


def test_acids_defer_to_the_maker_and_to_local_rules() -> None:
    (finding,) = findings_of(
        _case("add: sulfuric-acid, strength: 93 %, mash: 0.5 mL"), "acid-handling"
    )
    assert "sulfuric acid of 93 %" in finding.message
    assert "safety data sheet" in finding.help and "local rules" in finding.help
    assert "heats violently" in finding.help


@pytest.mark.parametrize(
    ("additions", "expected"),
    [
        (["add: pickling-lime, mash: 1 g"], ["/additions/0/add"]),
        (["add: gypsum, mash: 1 g", "add: pickling-lime, mash: 1 g"], ["/additions/1/add"]),
        (
            ["add: pickling-lime, mash: 1 g", "add: pickling-lime, sparge: 1 g"],
            ["/additions/0/add"],
        ),
        (["add: pickling-lime"], []),
        (["add: baking-soda, mash: 1 g", "add: chalk, mash: 1 g"], []),
    ],
)
def test_lime(additions: list[str], expected: list[str]) -> None:
    found = findings_of(_case(*additions), "caustic-handling")
    assert levels_and_pointers(found) == [(NOTE, pointer) for pointer in expected]
    assert all("eyes" in each.help for each in found)
