"""Whether an addition is a dose at all: substance, form, strength, density."""

from __future__ import annotations

import pytest

from waterlint.catalog.catalog import default_catalog
from waterlint.catalog.house import house_additive
from waterlint.rules.additions import meant_additive
from waterlint.rules.samples import recipe, report

from .making import findings_of, levels_and_pointers, recipe_case

ERROR = "error"
HOUSE = default_catalog().extended(
    additives={
        each.name: each
        for each in (
            house_additive(
                "cellar-calcium",
                "calcium-chloride",
                "the maker's sheet",
                form="solution",
                strength=33,
                density=1.31,
            ),
            house_additive("shelf-lactic", "lactic-acid", "the label", strength=80),
        )
    }
)


def _case(*additions: str):
    lines = "additions:\n" + "\n".join(f"  - {{{addition}}}" for addition in additions)
    return recipe_case(recipe(lines), {"well.yaml": report()}, catalog=HOUSE)


def _found(name: str, *additions: str) -> list[tuple[str, str]]:
    return levels_and_pointers(findings_of(_case(*additions), name))


@pytest.mark.parametrize(
    ("addition", "fires"),
    [
        ("add: gypsum, mash: 2 g", False),
        ("add: cellar-calcium, mash: 2 mL", False),
        ("add: gipsum, mash: 2 g", True),
        ("add: Gypsum, mash: 2 g", True),
        ("add: plaster, mash: 2 g", True),
    ],
)
def test_unknown(addition: str, fires: bool) -> None:
    expected = [(ERROR, "/additions/1/add")] if fires else []
    assert _found("unknown-additive", "add: epsom-salt, mash: 1 g", addition) == expected


@pytest.mark.parametrize(
    ("word", "meant"),
    [
        ("gipsum", "gypsum"),
        ("Gypsum", "gypsum"),
        ("calcium chloride", "calcium-chloride"),
        ("lactic acid", "lactic-acid"),
        ("CaCl2", "calcium-chloride"),
        ("CaSO4", "gypsum"),
        ("CaSO4.2H2O", "gypsum"),
        ("MgSO4", "epsom-salt"),
        ("NaCl", "table-salt"),
        ("NaHCO3", "baking-soda"),
        ("Ca(OH)2", "pickling-lime"),
        ("K2S2O5", "potassium-metabisulfite"),
        ("H3PO4", "phosphoric-acid"),
        ("bakingsoda", "baking-soda"),
        ("cellar-calcum", "cellar-calcium"),
        ("hops", None),
        ("x" * 5000, None),
        ("", None),
    ],
)
def test_guesses_what_was_meant(word: str, meant: str | None) -> None:
    assert meant_additive(word, HOUSE) == meant


def test_unknown_is_told_once_and_says_what_is_known() -> None:
    (finding,) = findings_of(_case("add: CaCl2, mash: 2 mL"))
    assert (finding.rule, finding.span.line, finding.span.column) == ("unknown-additive", 12, 11)
    assert finding.help.startswith("Did you mean `calcium-chloride`? Known are baking-soda, ")


@pytest.mark.parametrize(
    ("addition", "expected"),
    [
        # a form that must be stated
        ("add: calcium-chloride, mash: 2 g", [(ERROR, "/additions/0")]),
        ("add: calcium-chloride, form: dihydrate, mash: 2 g", []),
        ("add: calcium-chloride, form: anhydrous, mash: 2 g", []),
        ("add: citric-acid, mash: 2 g", [(ERROR, "/additions/0")]),
        ("add: citric-acid, form: monohydrate, mash: 2 g", []),
        # forms that are understood
        ("add: gypsum, mash: 2 g", []),
        ("add: epsom-salt, mash: 2 g", []),
        ("add: lactic-acid, strength: 80 %, mash: 2 mL", []),
        # a form that there is not
        ("add: gypsum, form: heptahydrate, mash: 2 g", [(ERROR, "/additions/0/form")]),
        (
            "add: table-salt, form: solution, strength: 20 %, mash: 2 g",
            [(ERROR, "/additions/0/form")],
        ),
        ("add: cellar-calcium, form: dihydrate, mash: 2 g", [(ERROR, "/additions/0/form")]),
        # a volume of a solid
        ("add: gypsum, mash: 2 mL", [(ERROR, "/additions/0/mash")]),
        ("add: gypsum, sparge: 1 mL/L", [(ERROR, "/additions/0/sparge")]),
        (
            "add: calcium-chloride, form: dihydrate, mash: 5 mL, kettle: 2 g",
            [(ERROR, "/additions/0/mash")],
        ),
        (
            "add: calcium-chloride, form: solution, strength: 33 %, mash: 5 mL, sparge: 5 g",
            [],
        ),
        ("add: gypsum, mash: 0.1 g/L", []),
    ],
)
def test_form(addition: str, expected: list[tuple[str, str]]) -> None:
    assert _found("form-unstated", addition) == expected


def test_form_says_what_hangs_on_it() -> None:
    (finding,) = findings_of(_case("add: calcium-chloride, mash: 2 g"))
    assert (finding.span.line, finding.span.column) == (12, 5)
    assert "183 mg of calcium as hexahydrate, 361 mg as anhydrous" in finding.message
    assert "`dihydrate`" in finding.help and "`solution`" in finding.help


def test_volume_of_a_solid_offers_the_solution_where_there_is_one() -> None:
    (finding,) = findings_of(
        _case("add: calcium-chloride, form: dihydrate, mash: 5 mL"), "form-unstated"
    )
    assert "say `form: solution` and its `strength`" in finding.help
    (finding,) = findings_of(_case("add: gypsum, mash: 5 mL"), "form-unstated")
    assert finding.help == "Weigh it and write the mass."
    assert "`5 mL` is no dose of gypsum" in finding.message


@pytest.mark.parametrize(
    ("addition", "expected"),
    [
        ("add: lactic-acid, mash: 2 mL", [(ERROR, "/additions/0")]),
        ("add: lactic-acid, mash: 2 g", [(ERROR, "/additions/0")]),
        ("add: lactic-acid, strength: 80 %, mash: 2 mL", []),
        ("add: shelf-lactic, mash: 2 mL", []),
        ("add: calcium-chloride, form: solution, mash: 2 mL", [(ERROR, "/additions/0")]),
        ("add: cellar-calcium, mash: 2 mL", []),
        ("add: citric-acid, form: solution, mash: 2 mL", [(ERROR, "/additions/0")]),
        # purity of a solid is optional
        ("add: gypsum, mash: 2 g", []),
        ("add: gypsum, strength: 97 %, mash: 2 g", []),
        ("add: citric-acid, form: monohydrate, mash: 2 g", []),
        # a density that no table has
        (
            "add: citric-acid, form: solution, strength: 50 %, mash: 2 mL",
            [(ERROR, "/additions/0/strength")],
        ),
        ("add: citric-acid, form: solution, strength: 50 %, mash: 2 g", []),
        ("add: citric-acid, form: solution, strength: 50 %, density: 1.24 g/mL, mash: 2 mL", []),
        ("add: phosphoric-acid, strength: 90 %, mash: 2 mL", [(ERROR, "/additions/0/strength")]),
        ("add: phosphoric-acid, strength: 85 %, mash: 2 mL", []),
        (
            "add: magnesium-chloride, form: solution, strength: 30 %, mash: 0.1 mL/L",
            [(ERROR, "/additions/0/strength")],
        ),
        # the form comes first
        ("add: citric-acid, mash: 2 mL", []),
    ],
)
def test_strength(addition: str, expected: list[tuple[str, str]]) -> None:
    assert _found("strength-unstated", addition) == expected


def test_strength_names_the_product() -> None:
    (finding,) = findings_of(_case("add: lactic-acid, mash: 2 mL"))
    assert "the strength of the lactic acid is not stated" in finding.message
    (finding,) = findings_of(_case("add: calcium-chloride, form: solution, mash: 2 mL"))
    assert "the strength of the calcium chloride solution" in finding.message
    (finding,) = findings_of(
        _case("add: magnesium-chloride, form: solution, strength: 30 %, mash: 5 mL"),
        "strength-unstated",
    )
    assert "the density of magnesium chloride solution of 30 % is not known" in finding.message
