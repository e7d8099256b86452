"""Malt extract, whose minerals no figure counts: where it is told, and where it would be noise."""

from __future__ import annotations

from dataclasses import replace

import pytest

from waterlint.catalog.catalog import Catalog, default_catalog
from waterlint.catalog.house import house_malt
from waterlint.finding import Finding
from waterlint.rules.samples import recipe, report

from .figured import house, with_ions
from .making import findings_of, levels_and_pointers, recipe_case

NAME = "extract-minerals"

EXTRACT = "{malt: pale extract, kind: extract, mass: %s}"
GRAIN = "{malt: pale malt, kind: pale, mass: %s}"
SUGAR = "{malt: candy, kind: sugar, mass: %s}"


def _text(*grist: str, water: str = "./well.yaml", additions: str = "[]") -> str:
    return recipe(
        "water:\n"
        f"  kettle: {{volume: 12 L, from: {water}}}\n"
        f"  fermenter: {{volume: 12 L, from: {water}}}",
        "\n".join(["grist:", *(f"  - {line}" for line in grist)]),
        f"additions: {additions}",
        without=("mash", "sparge", "- {malt"),
    )


def _found(text: str, catalog: Catalog | None = None, *, water: str = "") -> list[Finding]:
    waters = {"well.yaml": water or report()}
    return findings_of(recipe_case(text, waters, catalog=catalog), NAME)


@pytest.mark.parametrize(
    ("grist", "pointer"),
    [
        pytest.param([EXTRACT % "2.8 kg"], "/grist/0", id="extract alone"),
        pytest.param([GRAIN % "400 g", EXTRACT % "2.5 kg"], "/grist/1", id="after steeped grain"),
        pytest.param([EXTRACT % "2 kg", EXTRACT % "1 kg"], "/grist/0", id="once for two"),
        pytest.param(
            [GRAIN % "2.9 kg", EXTRACT % "2 kg", EXTRACT % "1 kg"], "/grist/1", id="both count"
        ),
        pytest.param([GRAIN % "2 kg", EXTRACT % "2001 g"], "/grist/1", id="just more than grain"),
        pytest.param([SUGAR % "3 kg", EXTRACT % "2 kg"], "/grist/1", id="sugar is no grain"),
        pytest.param([GRAIN % "2 kg", EXTRACT % "2 kg"], None, id="as much as grain"),
        pytest.param([GRAIN % "4 kg", EXTRACT % "300 g"], None, id="only lifts the gravity"),
        pytest.param(
            ["{malt: flakes, kind: unmalted, mass: 3 kg, late: true}", EXTRACT % "2 kg"],
            None,
            id="late grain is grain",
        ),
        pytest.param([GRAIN % "4 kg"], None, id="no extract"),
        pytest.param([SUGAR % "1 kg"], None, id="sugar is no extract"),
        pytest.param([], None, id="no grist"),
    ],
)
def test_grists(grist: list[str], pointer: str | None) -> None:
    expected = [] if pointer is None else [("note", pointer)]
    assert levels_and_pointers(_found(_text(*grist))) == expected


# 24 L of water. A gram of gypsum brings 557.9 mg of sulfate, 23.2 mg/L, over the permeate's 2;
# a gram of table salt 606.6 mg of chloride, 25.3 mg/L, over its 5.
@pytest.mark.parametrize(
    ("water", "additions", "fires"),
    [
        pytest.param("./well.yaml", "[]", True, id="hard water, no salts"),
        pytest.param("reverse-osmosis", "[]", False, id="permeate, no salts"),
        pytest.param("distilled", "[]", False, id="distilled, no salts"),
        pytest.param("reverse-osmosis", "[{add: gypsum, kettle: 2 g}]", False, id="a pinch"),
        pytest.param("reverse-osmosis", "[{add: gypsum, kettle: 2.1 g}]", True, id="sulfate"),
        pytest.param("reverse-osmosis", "[{add: table-salt, kettle: 1.7 g}]", False, id="salt"),
        pytest.param("reverse-osmosis", "[{add: table-salt, kettle: 1.8 g}]", True, id="chloride"),
        pytest.param("./lost.yaml", "[{add: gypsum, kettle: 4 g}]", False, id="no figures"),
    ],
)
def test_waters(water: str, additions: str, fires: bool) -> None:
    found = _found(_text(EXTRACT % "2.8 kg", water=water, additions=additions))
    assert levels_and_pointers(found) == [("note", "/grist/0")] * fires


def test_the_ratio_s_limit_is_inside() -> None:
    case = recipe_case(_text(EXTRACT % "2.8 kg", water="reverse-osmosis"))
    assert not findings_of(with_ions(case, chloride=49.9, sulfate=49.9), NAME)
    assert findings_of(with_ions(case, chloride=50.0, sulfate=0.0), NAME)


@pytest.mark.parametrize(
    ("water", "told"),
    [
        ("./well.yaml", "Brew with a low-mineral water such as reverse-osmosis, ask the "),
        ("reverse-osmosis", "Keep to this water, which holds few minerals; ask the "),
    ],
)
def test_what_to_do(water: str, told: str) -> None:
    additions = "[{add: gypsum, kettle: 4 g}]"
    (finding,) = _found(_text(EXTRACT % "2.8 kg", water=water, additions=additions))
    assert finding.help.startswith(told)
    assert "extract's maker for an analysis" in finding.help
    assert "add salts by taste" in finding.help
    assert finding.basis == "common practice"


def test_a_chalk_water_is_no_water_of_few_minerals() -> None:
    chalk = report("  calcium: 120 mg/L", "alkalinity: 290 mg/L as CaCO3")
    text = _text(EXTRACT % "2.8 kg", additions="[{add: gypsum, kettle: 4 g}]")
    (finding,) = _found(text, water=chalk)
    assert finding.help.startswith("Brew with a low-mineral water")


def test_what_is_said_and_where() -> None:
    (finding,) = _found(_text(GRAIN % "400 g", EXTRACT % "2 kg", EXTRACT % "500 g"))
    assert finding.message.startswith(
        "the whole batch's 56 mg/L of calcium, 11 mg/L of sodium, 60 mg/L of chloride and "
        "61 mg/L of sulfate are those of water and additions only; 2.5 kg of malt extract bring"
    )
    assert (finding.span.line, finding.span.column) == (9, 5)


@pytest.mark.parametrize(
    ("grist", "calcium", "settings", "expected"),
    [
        pytest.param([EXTRACT % "2.8 kg"], 2.0, None, [], id="extract brings calcium"),
        pytest.param(
            [EXTRACT % "1 kg", GRAIN % "1.1 kg"],
            2.0,
            None,
            [("warning", "/water/kettle/from")],
            id="more grain",
        ),
        pytest.param(
            [EXTRACT % "2.8 kg"], 260.0, None, [("warning", "/water/kettle/from")], id="too much"
        ),
        pytest.param(
            [EXTRACT % "2.8 kg"],
            2.0,
            house(calcium=(30.0, None)),
            [("warning", "/water/kettle/from")],
            id="the house asks for more",
        ),
    ],
)
def test_too_little_calcium(grist, calcium: float, settings, expected) -> None:
    case = with_ions(recipe_case(_text(*grist, water="reverse-osmosis")), calcium=calcium)
    if settings is not None:
        case = replace(case, settings=settings)
    assert levels_and_pointers(findings_of(case, "batch-calcium")) == expected


@pytest.mark.parametrize(
    ("grist", "ranges", "fires"),
    [
        pytest.param([EXTRACT % "2.8 kg"], {}, False, id="extract brings both"),
        pytest.param([EXTRACT % "1 kg", GRAIN % "1.1 kg"], {}, True, id="more grain"),
        pytest.param(
            [EXTRACT % "2.8 kg"], {"chloride_to_sulfate": (1.0, 2.0)}, True, id="the house asks"
        ),
    ],
)
@pytest.mark.parametrize(("chloride", "sulfate"), [(20.0, 150.0), (150.0, 20.0)])
def test_the_ratio(grist, ranges, fires: bool, chloride: float, sulfate: float) -> None:
    """Of water and additions alone it says nothing of a beer that extract brings more of both."""
    text = _text(*grist, water="reverse-osmosis").replace("name:", "style: munich-helles\nname:")
    case = with_ions(recipe_case(text), chloride=chloride, sulfate=sulfate)
    if ranges:
        case = replace(case, settings=house(**ranges))
    assert bool(findings_of(case, "chloride-sulfate-ratio")) == fires


def test_an_extract_of_the_house() -> None:
    house = house_malt("our-syrup", "extract", "the maker's sheet")
    catalog = default_catalog().extended(malts={house.name: house})
    text = _text("{malt: syrup, kind: our-syrup, mass: 2 kg}")
    assert levels_and_pointers(_found(text, catalog)) == [("note", "/grist/0")]
