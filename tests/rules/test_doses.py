"""Doses that cannot be weighed, and doses that do nothing."""

from __future__ import annotations

import pytest

from waterlint.project.config import Scale, Settings
from waterlint.rules.doses import measured_doses, pure_grams, volume_of
from waterlint.rules.samples import recipe, report

from .making import findings_of, levels_and_pointers, recipe_case

NOTE, WARNING = "note", "warning"
KETTLE = "/additions/0/kettle"


def _case(addition: str, *changes: str, settings: Settings | None = None):
    text = recipe(*changes, f"additions: [{{{addition}}}]")
    return recipe_case(text, {"well.yaml": report()}, settings=settings)


@pytest.mark.parametrize(
    ("addition", "place"),
    [
        ("add: gypsum, mash: 0.2 g", None),
        ("add: gypsum, mash: 0.19 g", "mash"),
        ("add: gypsum, mash: 190 mg", "mash"),
        ("add: gypsum, mash: 0 g", None),
        # a rate counts by its water: 15 L of mash, 13.5 L of sparge, 28.5 L of liquor
        ("add: gypsum, mash: 0.0134 g/L", None),
        ("add: gypsum, mash: 0.0132 g/L", "mash"),
        ("add: gypsum, sparge: 0.0149 g/L", None),
        ("add: gypsum, sparge: 0.0147 g/L", "sparge"),
        ("add: gypsum, liquor: 0.0071 g/L", None),
        ("add: gypsum, liquor: 0.0069 g/L", "liquor"),
        ("add: gypsum, kettle: 0.15 g", "kettle"),
        # liquids by the measure, or by the scale when they are weighed
        ("add: lactic-acid, strength: 80 %, mash: 1 mL", None),
        ("add: lactic-acid, strength: 80 %, mash: 0.9 mL", "mash"),
        ("add: lactic-acid, strength: 80 %, mash: 0.06 mL/L", "mash"),
        ("add: lactic-acid, strength: 80 %, mash: 0.07 mL/L", None),
        ("add: lactic-acid, strength: 80 %, mash: 0.9 g", None),
        ("add: lactic-acid, strength: 80 %, mash: 0.1 g", "mash"),
    ],
)
def test_below_scale(addition: str, place: str | None) -> None:
    expected = [] if place is None else [(WARNING, f"/additions/0/{place}")]
    assert levels_and_pointers(findings_of(_case(addition), "below-scale")) == expected


@pytest.mark.parametrize(
    ("scale", "addition", "fires"),
    [
        (Scale(mass_g=0.01, volume_ml=0.5), "add: gypsum, mash: 0.02 g", False),
        (Scale(mass_g=0.01, volume_ml=0.5), "add: gypsum, mash: 0.019 g", True),
        (Scale(mass_g=1.0, volume_ml=0.5), "add: gypsum, mash: 1.9 g", True),
        (Scale(0.1, 0.1), "add: lactic-acid, strength: 80 %, mash: 0.2 mL", False),
        (Scale(0.1, 5.0), "add: lactic-acid, strength: 80 %, mash: 9 mL", True),
    ],
)
def test_the_house_s_scale_counts(scale: Scale, addition: str, fires: bool) -> None:
    case = _case(addition, settings=Settings(scale=scale))
    assert bool(findings_of(case, "below-scale")) == fires


def test_below_scale_carries_its_figures() -> None:
    (finding,) = findings_of(_case("add: gypsum, mash: 10 mg/L"), "below-scale")
    assert finding.message == (
        "0.15 g of gypsum is under 0.2 g, 2 times the resolution of the scale"
    )
    assert (finding.value, finding.low, finding.unit) == (pytest.approx(0.15), 0.2, "g")
    assert (finding.span.line, finding.span.column) == (11, 33)


FINE = Settings(scale=Scale(mass_g=0.001, volume_ml=0.001))


# In 28.5 L of batch 1 mg/L of sulfate is 28.5/0.55793 = 51.08 mg of gypsum; in 15 L of mash
# 26.88 mg, in 13.5 L of sparge 24.20 mg. 1 mg/L as CaCO3 of baking soda is 1.679 mg/L.
@pytest.mark.parametrize(
    ("addition", "expected"),
    [
        ("add: gypsum, kettle: 51 mg", [(NOTE, KETTLE)]),
        ("add: gypsum, kettle: 51.2 mg", []),
        ("add: gypsum, mash: 26.8 mg", [(NOTE, "/additions/0/mash")]),
        ("add: gypsum, mash: 27 mg", []),
        ("add: gypsum, sparge: 24.1 mg", [(NOTE, "/additions/0/sparge")]),
        ("add: gypsum, sparge: 24.3 mg", []),
        ("add: gypsum, liquor: 51 mg", [(NOTE, "/additions/0/liquor")]),
        ("add: gypsum, liquor: 51.2 mg", []),
        ("add: gypsum, kettle: 0 g", [(NOTE, KETTLE)]),
        # alkalis and acids: by alkalinity as CaCO3 where that is more than their ion
        ("add: pickling-lime, mash: 10.9 mg", [(NOTE, "/additions/0/mash")]),
        ("add: pickling-lime, mash: 11.3 mg", []),
        ("add: lactic-acid, strength: 80 %, mash: 15 mg", [(NOTE, "/additions/0/mash")]),
        ("add: lactic-acid, strength: 80 %, mash: 20 mg", []),
        # left to their own rules
        ("add: potassium-metabisulfite, mash: 5 mg", []),
        ("add: chalk, mash: 5 mg", []),
    ],
)
def test_negligible(addition: str, expected: list[tuple[str, str]]) -> None:
    found = findings_of(_case(addition, settings=FINE), "negligible-addition")
    assert levels_and_pointers(found) == expected


def test_what_cannot_be_weighed_is_not_told_twice() -> None:
    names = [each.rule for each in findings_of(_case("add: gypsum, kettle: 40 mg"))]
    assert names == ["below-scale"]
    silent = Settings(levels={"below-scale": "off"})
    names = [
        each.rule for each in findings_of(_case("add: gypsum, kettle: 40 mg", settings=silent))
    ]
    assert "negligible-addition" in names


def test_negligible_says_what_changes_most() -> None:
    (finding,) = findings_of(
        _case("add: gypsum, kettle: 40 mg", settings=FINE), "negligible-addition"
    )
    assert "the most is 0.78 mg/L of sulfate" in finding.message
    assert (finding.quantity, finding.vessel, finding.low) == ("sulfate", "kettle", 1.0)


def test_a_dose_that_could_not_be_computed_is_not_called_negligible() -> None:
    case = _case("add: lactic-acid, mash: 1 mL", settings=FINE)
    assert findings_of(case, "negligible-addition") == []
    lost = recipe_case(recipe("additions: [{add: gypsum, mash: 1 mg}]"), settings=FINE)
    assert findings_of(lost, "negligible-addition") == []


def test_what_is_left_to_others_hides_no_later_dose() -> None:
    lines = "add: chalk, mash: 5 mg}, {add: gypsum, mash: 0 g}, {add: gypsum, sparge: 24.1 mg"
    found = findings_of(_case(lines, settings=FINE), "negligible-addition")
    assert levels_and_pointers(found) == [
        (NOTE, "/additions/1/mash"),
        (NOTE, "/additions/2/sparge"),
    ]


# Grams of the substance itself: 33 % of 1.32 g/mL by the table, 80 % of 1.2 g/mL as stated.
@pytest.mark.parametrize(
    ("addition", "grams"),
    [
        ("add: gypsum, mash: 2 g", 2.0),
        ("add: gypsum, strength: 95 %, mash: 2 g", 1.9),
        ("add: gypsum, sparge: 0.2 g/L", 2.7),
        ("add: gypsum, kettle: 0.2 g/L", 4.0),
        ("add: lactic-acid, strength: 80 %, density: 1.2 g/mL, mash: 10 mL", 9.6),
        ("add: lactic-acid, strength: 80 %, mash: 10 mL", 9.48),
        ("add: lactic-acid, strength: 99 %, mash: 10 mL", 0.0),
        ("add: lactic-acid, strength: 80 %, mash: 10 g", 8.0),
        ("add: calcium-chloride, form: solution, strength: 33 %, mash: 100 mL", 43.4),
    ],
)
def test_grams_of_the_substance(addition: str, grams: float) -> None:
    (item,) = measured_doses(_case(addition))
    assert pure_grams(item) == pytest.approx(grams, rel=0.01)
    assert item.unit == ("mL" if "mL" in addition.rpartition(":")[2] else "g")


@pytest.mark.parametrize(
    ("place", "volume"),
    [
        ("mash", 15.0),
        ("sparge", 13.5),
        ("liquor", 28.5),
        ("kettle", 20.0),
        ("fermenter", 20.0),
        ("nowhere", 0.0),
    ],
)
def test_what_a_dose_goes_into(place: str, volume: float) -> None:
    case = _case("add: gypsum, mash: 2 g")
    assert case.recipe is not None
    assert volume_of(case.recipe, place) == volume


def test_a_rate_in_the_fermenter_counts_by_its_own_water() -> None:
    lines = (
        "  sparge: {volume: 13.5 L, from: ./well.yaml}\n  fermenter: {volume: 4 L, from: distilled}"
    )
    (item,) = measured_doses(_case("add: gypsum, fermenter: 0.5 g/L", lines))
    assert item.amount == 2.0
    (item,) = measured_doses(_case("add: gypsum, fermenter: 0.5 g/L"))
    assert item.amount == 0.0


@pytest.mark.parametrize(
    ("addition", "tool", "instead"),
    [
        ("add: gypsum, mash: 0.1 g", "the scale", "Or dissolve a weighable amount in water"),
        (
            "add: lactic-acid, strength: 80 %, mash: 0.4 mL",
            "the measure",
            "Or measure it by mass, or in a thinner grade.",
        ),
    ],
)
def test_what_it_is_measured_with_and_how_else(addition: str, tool: str, instead: str) -> None:
    (finding,) = findings_of(_case(addition), "below-scale")
    assert finding.message.endswith(f"2 times the resolution of {tool}")
    assert instead in finding.help


@pytest.mark.parametrize(("grams", "fires"), [(0.04, True), (0.06, False), (0.14, False)])
def test_a_sulfite_is_told_only_where_the_scale_does_not_show_it(grams: float, fires: bool) -> None:
    found = findings_of(_case(f"add: potassium-metabisulfite, mash: {grams} g"), "below-scale")
    assert bool(found) is fires
