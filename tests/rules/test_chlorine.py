"""Chlorine without treatment: vessels, treatments, and waters that say nothing of it."""

from __future__ import annotations

import pytest

from waterlint.project.config import Scale, Settings
from waterlint.rules.chlorine import chlorine_of
from waterlint.rules.samples import recipe, report

from .making import findings_of, levels_and_pointers, recipe_case

WARNING = "warning"
MASH, SPARGE = (WARNING, "/water/mash/from"), (WARNING, "/water/sparge/from")


def _found(traces: list[str], *changes: str) -> list[tuple[str, str]]:
    case = recipe_case(recipe(*changes), {"well.yaml": report(*traces)})
    return levels_and_pointers(findings_of(case, "chlorine-untreated"))


def _treated(mash: str, sparge: str) -> tuple[str, str]:
    return (
        f"  mash: {{volume: 15 L, from: ./well.yaml, treat: {mash}}}",
        f"  sparge: {{volume: 13.5 L, from: ./well.yaml, treat: {sparge}}}",
    )


@pytest.mark.parametrize(
    ("traces", "changes", "expected"),
    [
        pytest.param([], [], [], id="the report says nothing"),
        pytest.param(["chlorine: 0.1 mg/L"], [], [], id="at the limit"),
        pytest.param(["chlorine: 0.11 mg/L"], [], [MASH, SPARGE], id="beyond the limit"),
        pytest.param(["chloramine: 1 mg/L"], [], [MASH, SPARGE], id="chloramine"),
        pytest.param(
            ["chlorine: 0.06 mg/L", "chloramine: 0.06 mg/L"], [], [MASH, SPARGE], id="together"
        ),
        pytest.param(["chlorine: < 0.5 mg/L"], [], [], id="below detection"),
        pytest.param(
            ["chlorine: 2 mg/L"], _treated("carbon-filtered", "carbon-filtered"), [], id="filtered"
        ),
        pytest.param(
            ["chlorine: 2 mg/L"], _treated("carbon-filtered", "[]"), [SPARGE], id="one of two"
        ),
        pytest.param(["chlorine: 2 mg/L"], _treated("boiled", "stood"), [], id="boiled, stood"),
        pytest.param(
            ["chloramine: 2 mg/L"],
            _treated("boiled", "stood"),
            [MASH, SPARGE],
            id="chloramine outlasts boiling and standing",
        ),
        pytest.param(
            ["chlorine: 2 mg/L"],
            _treated("lime-softened", "[stood, lime-softened]"),
            [MASH],
            id="softening takes none",
        ),
        pytest.param(
            ["chlorine: 2 mg/L"],
            ["additions: [{add: potassium-metabisulfite, liquor: 0.1 g}]"],
            [],
            id="sulfite in the liquor, whatever the amount",
        ),
        pytest.param(
            ["chlorine: 2 mg/L"],
            ["additions: [{add: sodium-metabisulfite, mash: 0.2 g}]"],
            [SPARGE],
            id="sulfite in the mash alone",
        ),
        pytest.param(
            ["chlorine: 2 mg/L"],
            ["additions: [{add: gypsum, liquor: 2 g}]"],
            [MASH, SPARGE],
            id="gypsum takes none",
        ),
    ],
)
def test_vessels_and_treatments(
    traces: list[str], changes: list[str], expected: list[tuple[str, str]]
) -> None:
    assert _found(traces, *changes) == expected


def test_a_blend_dilutes_its_chlorine() -> None:
    blend = (
        "  sparge:\n    volume: 13.5 L\n"
        "    from: [{water: ./well.yaml, share: %d %%}, {water: distilled, share: %d %%}]"
    )
    traces = ["chlorine: 0.5 mg/L"]
    assert _found(traces, blend % (20, 80)) == [MASH]
    assert _found(traces, blend % (21, 79)) == [MASH, SPARGE]


def test_waters_without_a_file_hold_none() -> None:
    assert _found(["chlorine: 2 mg/L"], "  mash: {volume: 15 L, from: reverse-osmosis}") == [SPARGE]


def test_a_water_that_could_not_be_had_is_not_guessed_at() -> None:
    case = recipe_case(recipe())
    assert findings_of(case, "chlorine-untreated") == []


def test_kettle_and_fermenter_water_count_too() -> None:
    text = recipe(
        "water:\n"
        "  kettle: {volume: 10 L, from: ./well.yaml}\n"
        "  fermenter: {volume: 13 L, from: ./well.yaml}",
        without=["mash", "sparge"],
    )
    case = recipe_case(text, {"well.yaml": report("chlorine: 1 mg/L")})
    assert levels_and_pointers(findings_of(case, "chlorine-untreated")) == [
        (WARNING, "/water/kettle/from"),
        (WARNING, "/water/fermenter/from"),
    ]


def test_says_how_much_where_and_what_to_do() -> None:
    case = recipe_case(recipe(), {"well.yaml": report("chloramine: 2 mg/L")})
    finding = findings_of(case, "chlorine-untreated")[0]
    assert (finding.span.line, finding.span.column) == (5, 30)
    assert "the mash water holds 2 mg/L of chloramine as Cl2" in finding.message
    # 2 mg/L in 15 L need 30 mg times 1.568 (potassium) or 1.341 (sodium)
    assert "0.048 g of potassium metabisulfite or 0.041 g of sodium metabisulfite" in finding.help
    (related,) = finding.related
    assert (related.path, related.span.line, related.span.column) == ("well.yaml", 12, 13)


@pytest.mark.parametrize(
    ("scale", "told"), [(0.1, True), (0.021, True), (0.02, False), (0.001, False)]
)
def test_what_the_scale_cannot_weigh_is_measured(scale: float, told: bool) -> None:
    """40 mg of the sodium salt are twice what a scale of 20 mg tells apart."""
    case = recipe_case(
        recipe(),
        {"well.yaml": report("chloramine: 2 mg/L")},
        settings=Settings(scale=Scale(scale, 0.5)),
    )
    help = findings_of(case, "chlorine-untreated")[0].help
    assert help.endswith("of 1 g in 1 L of water, made fresh, take 48 mL or 41 mL.") == told


def test_the_dose_that_is_told_is_enough() -> None:
    """0.8 mg/L in 28 L take 35.12 mg: 35 mg would be too little."""
    water = {"well.yaml": report("chlorine: 0.8 mg/L")}
    lines = ("  mash: {volume: 28 L, from: ./well.yaml}",)
    (told,) = findings_of(
        recipe_case(recipe(*lines, without=["sparge"]), water), "chlorine-untreated"
    )
    assert "0.036 g of potassium metabisulfite" in told.help
    dosed = "additions: [{add: potassium-metabisulfite, mash: 0.036 g}]"
    case = recipe_case(recipe(*lines, dosed, without=["sparge"]), water)
    assert not [
        each for each in findings_of(case) if each.rule in ("chlorine-untreated", "sulfite-dose")
    ]


def test_says_which_treatment_falls_short() -> None:
    case = recipe_case(
        recipe(*_treated("boiled", "boiled")), {"well.yaml": report("chloramine: 2 mg/L")}
    )
    finding = findings_of(case, "chlorine-untreated")[0]
    assert "Chloramine stays through `boiled`" in finding.message
    case = recipe_case(recipe(), {"well.yaml": report("chloramine: 2 mg/L")})
    assert "does not take" not in findings_of(case, "chlorine-untreated")[0].message


def test_one_water_that_could_not_be_had_hides_no_other() -> None:
    blend = (
        "  mash:\n    volume: 15 L\n    from:\n      - {water: ./gone.yaml, share: 40 %}\n"
        "      - {water: ./well.yaml, share: 60 %}"
    )
    case = recipe_case(recipe(blend), {"well.yaml": report("chlorine: 2 mg/L")})
    finding = findings_of(case, "chlorine-untreated")[0]
    assert "the mash water holds 1.2 mg/L of chlorine" in finding.message


@pytest.mark.parametrize(
    ("source", "traces", "known"),
    [
        ("./well.yaml", ["chlorine: 1 mg/L"], True),
        ("./well.yaml", ["chloramine: < 0.1 mg/L"], True),
        ("./well.yaml", [], False),
        ("./gone.yaml", ["chlorine: 1 mg/L"], False),
        ("distilled", [], True),
    ],
)
def test_which_waters_say_what_they_hold(source: str, traces: list[str], known: bool) -> None:
    text = recipe(f"  mash: {{volume: 15 L, from: {source}}}")
    case = recipe_case(text, {"well.yaml": report(*traces)})
    assert case.recipe is not None
    assert chlorine_of(case, case.recipe.vessels["mash"]).known is known
