"""Metabisulfite against chlorine, and the sulfur dioxide that may remain."""

from __future__ import annotations

import pytest

from waterlint.project.config import Settings
from waterlint.rules.samples import recipe, report

from .making import findings_of, levels_and_pointers, recipe_case

WARNING = "warning"
DOSE, LABEL = "sulfite-dose", "sulfite-label"

# 28.5 L of liquor with 2 mg/L as Cl2 use up 57 mg times 1.5678 of the potassium salt, 89.36 mg;
# of the sodium salt 76.41 mg.
CHLORINE = ["chlorine: 2 mg/L"]


def _case(traces: list[str], *changes: str, settings: Settings | None = None):
    return recipe_case(recipe(*changes), {"well.yaml": report(*traces)}, settings=settings)


def _add(*lines: str) -> str:
    return "additions:\n" + "\n".join(f"  - {{{line}}}" for line in lines)


def _found(name: str, traces: list[str], *changes: str) -> list[tuple[str, str]]:
    return levels_and_pointers(findings_of(_case(traces, *changes), name))


LIQUOR = [(WARNING, "/additions/0/liquor")]
MASH = [(WARNING, "/additions/0/mash")]


@pytest.mark.parametrize(
    ("traces", "additions", "expected"),
    [
        pytest.param(CHLORINE, ["liquor: 88 mg"], LIQUOR, id="just under the need"),
        pytest.param(CHLORINE, ["liquor: 90 mg"], [], id="just above the need"),
        pytest.param(CHLORINE, ["liquor: 267 mg"], [], id="just within three times"),
        pytest.param(CHLORINE, ["liquor: 269 mg"], LIQUOR, id="just over three times"),
        pytest.param(CHLORINE, ["liquor: 3.2 mg/L"], [], id="by rate"),
        pytest.param(CHLORINE, ["liquor: 2.9 mg/L"], LIQUOR, id="by rate, too little"),
        pytest.param(["chloramine: 2 mg/L"], ["liquor: 90 mg"], [], id="chloramine needs as much"),
        pytest.param(
            ["chlorine: 1 mg/L", "chloramine: 1 mg/L"], ["liquor: 88 mg"], LIQUOR, id="both count"
        ),
        pytest.param(CHLORINE, ["strength: 90 %, liquor: 95 mg"], LIQUOR, id="purity counts"),
        pytest.param(CHLORINE, ["strength: 90 %, liquor: 105 mg"], [], id="of which there is more"),
        pytest.param(CHLORINE, ["mash: 46 mg"], MASH, id="the mash's own water: too little"),
        pytest.param(CHLORINE, ["mash: 48 mg"], [], id="the mash's own water"),
        pytest.param([], ["liquor: 200 mg"], [], id="the report says nothing"),
        pytest.param(
            ["chlorine: < 0.1 mg/L"], ["liquor: 200 mg"], LIQUOR, id="nothing to take out"
        ),
        pytest.param(CHLORINE, ["kettle: 0.2 g"], [], id="the wort is no water of its own"),
        pytest.param(CHLORINE, ["fermenter: 0.2 g"], [], id="nor is the beer"),
    ],
)
def test_dose(traces: list[str], additions: list[str], expected: list[tuple[str, str]]) -> None:
    lines = [f"add: potassium-metabisulfite, {line}" for line in additions]
    assert _found(DOSE, traces, _add(*lines)) == expected


@pytest.mark.parametrize(
    ("milligrams", "fires"), [(76, True), (77, False), (229, False), (230, True)]
)
def test_the_sodium_salt_needs_less(milligrams: int, fires: bool) -> None:
    addition = _add(f"add: sodium-metabisulfite, liquor: {milligrams} mg")
    assert bool(_found(DOSE, CHLORINE, addition)) == fires


def test_doses_of_one_water_add_up() -> None:
    both = _add(
        "add: potassium-metabisulfite, liquor: 50 mg", "add: sodium-metabisulfite, liquor: 40 mg"
    )
    assert _found(DOSE, CHLORINE, both) == []
    short = _add(
        "add: potassium-metabisulfite, liquor: 30 mg", "add: sodium-metabisulfite, liquor: 40 mg"
    )
    assert _found(DOSE, CHLORINE, short) == [(WARNING, "/additions/1/liquor")]


def test_a_dose_to_one_vessel_does_nothing_for_another() -> None:
    """Of the liquor's dose each vessel gets the part that its water is: 15 and 13.5 of 28.5 L."""
    both = _add("add: potassium-metabisulfite, liquor: 50 mg, mash: 60 mg")
    assert _found(DOSE, CHLORINE, both) == [(WARNING, "/additions/0/liquor")]
    enough = _add("add: potassium-metabisulfite, liquor: 50 mg, mash: 30 mg, sparge: 30 mg")
    assert _found(DOSE, CHLORINE, enough) == []


def test_each_water_is_judged_by_itself_without_liquor_doses() -> None:
    text = _add("add: potassium-metabisulfite, mash: 30 mg, sparge: 200 mg")
    assert _found(DOSE, CHLORINE, text) == [
        (WARNING, "/additions/0/mash"),
        (WARNING, "/additions/0/sparge"),
    ]


def test_a_filter_leaves_nothing_to_fall_short_of() -> None:
    filtered = [
        "  mash: {volume: 15 L, from: ./well.yaml, treat: carbon-filtered}",
        "  sparge: {volume: 13.5 L, from: ./well.yaml, treat: carbon-filtered}",
    ]
    few = _add("add: potassium-metabisulfite, liquor: 20 mg")
    assert _found(DOSE, CHLORINE, few, *filtered) == []
    many = _add("add: potassium-metabisulfite, liquor: 300 mg")
    assert _found(DOSE, CHLORINE, many, *filtered) == LIQUOR
    (finding,) = findings_of(_case(CHLORINE, many, *filtered), DOSE)
    assert finding.value == pytest.approx(300 / 89.36, rel=1e-3), "by what the report has"


def test_boiling_leaves_the_chloramine_to_sulfite() -> None:
    boiled = [
        "  mash: {volume: 15 L, from: ./well.yaml, treat: boiled}",
        "  sparge: {volume: 13.5 L, from: ./well.yaml, treat: boiled}",
    ]
    traces = ["chlorine: 1 mg/L", "chloramine: 1 mg/L"]
    addition = "add: potassium-metabisulfite, liquor: {} mg"
    assert _found(DOSE, traces, _add(addition.format(46)), *boiled) == []
    assert _found(DOSE, traces, _add(addition.format(43)), *boiled) == LIQUOR


def test_too_much_is_not_told_where_a_water_says_nothing() -> None:
    case = recipe_case(
        recipe(
            "  sparge: {volume: 13.5 L, from: ./pond.yaml}",
            _add("add: potassium-metabisulfite, liquor: 250 mg"),
        ),
        {"well.yaml": report(*CHLORINE), "pond.yaml": report()},
    )
    assert findings_of(case, DOSE) == []


def test_dose_says_what_it_takes() -> None:
    case = _case(CHLORINE, _add("add: potassium-metabisulfite, liquor: 0.05 g"))
    (finding,) = findings_of(case, DOSE)
    assert "is 0.56 times what its chlorine uses up; 1 to 3 times is right" in finding.message
    assert "takes 0.09 g of potassium metabisulfite; up to 3 times" in finding.help
    assert finding.value == pytest.approx(0.5595, abs=1e-3)
    assert (finding.low, finding.high, finding.unit) == (1.0, 3.0, "× need")
    assert (finding.span.line, finding.span.column) == (12, 44)


# Without chlorine a gram of the potassium salt leaves 576.3 mg of sulfur dioxide. Of 28.5 L the
# grain keeps 4.5, the vessels 1 of the 21 that are left: 20 L hold 1000/24*20/21 of the liquor's
# mass in all, so that 10 mg/L are met by 0.433 g.
@pytest.mark.parametrize(
    ("addition", "expected"),
    [
        ("add: potassium-metabisulfite, liquor: 0.42 g", []),
        ("add: potassium-metabisulfite, liquor: 0.45 g", LIQUOR),
        ("add: sodium-metabisulfite, liquor: 0.36 g", []),
        ("add: sodium-metabisulfite, liquor: 0.39 g", LIQUOR),
        ("add: potassium-metabisulfite, fermenter: 0.34 g", []),
        ("add: potassium-metabisulfite, fermenter: 0.36 g", [(WARNING, "/additions/0/fermenter")]),
        ("add: gypsum, liquor: 4 g", []),
    ],
)
def test_label(addition: str, expected: list[tuple[str, str]]) -> None:
    assert _found(LABEL, [], _add(addition)) == expected


def test_exactly_ten_is_declared() -> None:
    # 20 L with 10 mg/L of sulfur dioxide hold 200 mg, from 347.03 mg of the potassium salt.
    milligrams = 200.0 * 222.311 / 2.0 / 64.058
    dose = _add(f"add: potassium-metabisulfite, fermenter: {milligrams * 1.000001:.6f} mg")
    assert _found(LABEL, [], dose) == [(WARNING, "/additions/0/fermenter")]
    dose = _add(f"add: potassium-metabisulfite, fermenter: {milligrams * 0.9999:.6f} mg")
    assert _found(LABEL, [], dose) == []


def test_chlorine_has_its_share_first() -> None:
    dose = _add("add: potassium-metabisulfite, liquor: 0.48 g")
    assert _found(LABEL, [], dose) == LIQUOR
    assert _found(LABEL, ["chlorine: 2 mg/L"], dose) == []


def test_label_points_at_the_largest_dose_and_speaks_for_the_overdose() -> None:
    text = _add(
        "add: potassium-metabisulfite, liquor: 0.1 g", "add: sodium-metabisulfite, mash: 1 g"
    )
    found = [
        (each.rule, each.pointer)
        for each in findings_of(_case(CHLORINE, text))
        if each.rule in (DOSE, LABEL)
    ]
    assert found == [(LABEL, "/additions/1/mash")]
    silent = Settings(levels={LABEL: "off"})
    found = [each.rule for each in findings_of(_case(CHLORINE, text, settings=silent), DOSE)]
    assert found == [DOSE]


def test_label_names_both_laws_and_the_caution() -> None:
    case = _case([], _add("add: potassium-metabisulfite, liquor: 1 g"))
    (finding,) = findings_of(case, LABEL)
    assert "US: 10 or more" in finding.basis and "EU: more than 10" in finding.basis.replace(
        "\n", " "
    )
    assert "asthma" in finding.help and "safety data sheet" in finding.help


def test_a_label_that_speaks_for_one_water_hides_no_other() -> None:
    # The mash's overdose is told by the label; the sparge's shortage is told for itself.
    text = _add("add: potassium-metabisulfite, mash: 1.2 g, sparge: 30 mg")
    rules = [
        (each.rule, each.pointer)
        for each in findings_of(_case(CHLORINE, text))
        if each.rule in (DOSE, LABEL)
    ]
    assert sorted(rules) == [(DOSE, "/additions/0/sparge"), (LABEL, "/additions/0/mash")]


def test_a_dose_next_to_its_limit_is_told_apart() -> None:
    # 47.03 mg are what the mash's 30 mg of chlorine use up.
    dose = _add("add: potassium-metabisulfite, mash: 47.02 mg")
    (finding,) = findings_of(_case(CHLORINE, dose), DOSE)
    assert "is 0.9997 times what its chlorine uses up" in finding.message


def test_the_fermenter_s_own_water_is_a_water_too() -> None:
    lines = "  sparge: {volume: 13.5 L, from: ./well.yaml}\n  fermenter: {volume: 4 L, from: %s}"
    dose = _add("add: potassium-metabisulfite, fermenter: 2 mg")
    assert _found(DOSE, CHLORINE, lines % "./well.yaml", dose) == [
        (WARNING, "/additions/0/fermenter")
    ]


@pytest.mark.parametrize("short", [89.0, 60.0, 88.1])
def test_what_is_said_to_be_needed_is_enough(short: float) -> None:
    """Rounded down, the amount that is told would be told again."""
    case = recipe_case(
        recipe(_add(f"add: potassium-metabisulfite, liquor: {short} mg")),
        {"well.yaml": report(*CHLORINE)},
    )
    (finding,) = findings_of(case, DOSE)
    grams = finding.help.split("takes ")[1].split(" g")[0]
    assert _found(DOSE, CHLORINE, _add(f"add: potassium-metabisulfite, liquor: {grams} g")) == []
