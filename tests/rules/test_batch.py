"""The whole batch: single ions, their ratio, and much of everything."""

from __future__ import annotations

import pytest

from waterlint.prediction.result import Figure
from waterlint.rules.figures import DILUTE
from waterlint.rules.samples import recipe, report

from .figured import case_of, house, house_by_style, off, with_ions, with_water
from .making import findings_of, levels_and_pointers, recipe_case

NOTE, WARNING = "note", "warning"
WATER = "/water/mash/from"


@pytest.mark.parametrize(
    ("ion", "value", "expected"),
    [
        ("calcium", 19.9, WARNING),
        ("calcium", 20.0, NOTE),
        ("calcium", 39.9, NOTE),
        ("calcium", 40.0, None),
        ("calcium", 200.0, None),
        ("calcium", 200.1, NOTE),
        ("calcium", 250.0, NOTE),
        ("calcium", 250.1, WARNING),
        ("magnesium", 0.0, None),
        ("magnesium", 30.0, None),
        ("magnesium", 30.1, NOTE),
        ("magnesium", 50.0, NOTE),
        ("magnesium", 50.1, WARNING),
        ("sodium", 0.0, None),
        ("sodium", 75.0, None),
        ("sodium", 75.1, NOTE),
        ("sodium", 100.0, NOTE),
        ("sodium", 100.1, WARNING),
        ("potassium", 20.0, None),
        ("potassium", 20.1, NOTE),
        ("potassium", 50.0, NOTE),
        ("potassium", 50.1, WARNING),
        ("chloride", 150.0, None),
        ("chloride", 150.1, NOTE),
        ("chloride", 250.0, NOTE),
        ("chloride", 250.1, WARNING),
        ("sulfate", 400.0, None),
        ("sulfate", 400.1, WARNING),
    ],
)
def test_any_beer(ion: str, value: float, expected: str | None) -> None:
    found = findings_of(with_ions(case_of(), **{ion: value}), f"batch-{ion}")
    assert levels_and_pointers(found) == ([(expected, WATER)] if expected else [])


@pytest.mark.parametrize(
    ("ion", "value", "changes", "expected"),
    [
        pytest.param("sulfate", 200, ["style: blonde-ale"], [], id="at the style's maximum"),
        pytest.param("sulfate", 201, ["style: blonde-ale"], [(NOTE, "/style")], id="above it"),
        pytest.param("sulfate", 401, ["style: blonde-ale"], [(WARNING, WATER)], id="any beer's"),
        pytest.param("sulfate", 61, ["style: czech-pale-lager"], [(NOTE, "/style")], id="Czech"),
        pytest.param("sodium", 120, ["style: irish-stout"], [(NOTE, WATER)], id="roast bears it"),
        pytest.param("sodium", 151, ["style: irish-stout"], [(WARNING, "/style")], id="too salty"),
        pytest.param("sodium", 101, ["style: best-bitter"], [(WARNING, WATER)], id="as any beer"),
        pytest.param("sodium", 900, ["style: gose"], [], id="salt is an ingredient"),
        pytest.param("chloride", 900, ["style: gose"], [], id="both of it"),
        pytest.param("calcium", 1, ["style: czech-pale-lager"], [], id="soft water is wanted"),
        pytest.param("calcium", 1, ["style: belgian-tripel"], [], id="fairly soft too"),
        pytest.param(
            "calcium", 151, ["style: czech-pale-lager"], [(NOTE, "/style")], id="hard is not soft"
        ),
        pytest.param("calcium", 25, ["style: munich-helles"], [], id="the style's note limit"),
        pytest.param("calcium", 35, ["style: irish-stout"], [(NOTE, WATER)], id="the general one"),
        pytest.param("magnesium", 60, ["style: oud-bruin"], [], id="at home with it"),
        pytest.param(
            "sodium",
            61,
            ["targets: {sodium: .. 60 mg/L}"],
            [(WARNING, "/targets/sodium")],
            id="a target missed",
        ),
        pytest.param(
            "sodium", 130, ["targets: {sodium: .. 140 mg/L}"], [], id="a wide target kept"
        ),
        pytest.param(
            "calcium",
            45,
            ["targets: {calcium: 50 .. mg/L}"],
            [(WARNING, "/targets/calcium")],
            id="a low target",
        ),
        pytest.param(
            "calcium",
            260,
            ["targets: {calcium: 50 .. mg/L}"],
            [(WARNING, WATER)],
            id="what the target leaves open",
        ),
    ],
)
def test_styles_and_targets(ion: str, value: float, changes, expected) -> None:
    found = findings_of(with_ions(case_of(*changes), **{ion: value}), f"batch-{ion}")
    assert levels_and_pointers(found) == expected


@pytest.mark.parametrize(("value", "expected"), [(60.0, []), (60.5, [(WARNING, WATER)])])
def test_the_house(value: float, expected) -> None:
    case = with_ions(case_of(settings=house(sodium=(None, 60))), sodium=value)
    found = findings_of(case, "batch-sodium")
    assert levels_and_pointers(found) == expected
    for finding in found:
        assert "above the house's 60 mg/L" in finding.message
        assert "waterlint.yaml:7" in finding.basis


def test_the_vessel_with_most_water_is_named() -> None:
    changes = (
        "  mash: {volume: 12 L, from: ./well.yaml}",
        "  sparge: {volume: 18 L, from: ./well.yaml}",
    )
    (finding,) = findings_of(case_of(*changes, water=("  sodium: 90 mg/L",)), "batch-sodium")
    assert finding.pointer == "/water/sparge/from"
    assert (finding.span.line, finding.span.column) == (6, 32)


def test_a_list_of_shares_is_named_by_its_key() -> None:
    shares = (
        "  mash:\n    volume: 15 L\n    from:\n"
        "      - {water: ./well.yaml, share: 60 %}\n      - {water: distilled, share: 40 %}"
    )
    case = case_of(
        shares, "  sparge: {volume: 13.5 L, from: distilled}", water=("  sodium: 400 mg/L",)
    )
    (finding,) = findings_of(case, "batch-sodium")
    assert (finding.pointer, finding.span.line) == (WATER, 7)


def test_a_finding_has_its_figures_and_the_report_behind() -> None:
    (finding,) = findings_of(case_of(water=("  sodium: 110 mg/L",)), "batch-sodium")
    assert finding.message.startswith("sodium of the whole batch is 110 mg/L, above 100 mg/L")
    assert (finding.quantity, finding.vessel, finding.unit) == ("sodium", "batch", "mg/L")
    assert finding.value == pytest.approx(110.0)
    assert finding.value_low is not None and finding.value_high is not None
    assert finding.value_low < 110.0 < finding.value_high
    assert (finding.low, finding.high) == (0.0, 100.0)
    assert "Taylor" in finding.basis and finding.help
    (behind,) = finding.related
    assert (behind.path, behind.span.line) == ("well.yaml", 8)
    assert behind.message == "Quarry Lane well has 110 mg/L itself"


def test_a_report_is_no_cause_where_doses_are() -> None:
    case = case_of("additions: [{add: table-salt, mash: 8 g}]")
    (finding,) = findings_of(case, "batch-sodium")
    assert finding.related == ()


@pytest.mark.parametrize(
    ("value", "sd", "told"),
    [
        (102.0, 5.0, "Its stated spread, 97 to 107 mg/L, reaches across the limit."),
        (110.0, 5.0, None),
        (96.0, 6.0, "Its stated spread, 90 to 102 mg/L, reaches the warning's 100 mg/L."),
        (85.0, 5.0, None),
        (90.0, 20.0, "It reaches the warning's 100 mg/L too."),
    ],
)
def test_a_spread_across_a_limit_is_said(value: float, sd: float, told: str | None) -> None:
    (finding,) = findings_of(with_ions(case_of(), sd=sd, sodium=value), "batch-sodium")
    assert (told or "mg/L") in finding.message
    assert ("spread" in finding.message) is (told is not None)


def test_values_next_to_the_limit_are_told_apart() -> None:
    (finding,) = findings_of(with_ions(case_of(), sodium=100.004), "batch-sodium")
    assert "is 100.004 mg/L, above 100 mg/L" in finding.message


# -- the ratio --------------------------------------------------------------------------------

RATIO = "chloride-sulfate-ratio"


@pytest.mark.parametrize(
    ("chloride", "sulfate", "changes", "expected"),
    [
        pytest.param(80, 100, ["style: hazy-ipa"], [], id="at the low end"),
        pytest.param(79, 100, ["style: hazy-ipa"], [(WARNING, "/style")], id="below it"),
        pytest.param(240, 60, ["style: hazy-ipa"], [], id="at the high end"),
        pytest.param(241, 60, ["style: hazy-ipa"], [(WARNING, "/style")], id="above it"),
        pytest.param(0, 100, ["style: hazy-ipa"], [(WARNING, "/style")], id="no chloride"),
        pytest.param(140, 0, ["style: hazy-ipa"], [(WARNING, "/style")], id="no sulfate"),
        pytest.param(40, 2, ["style: hazy-ipa"], [], id="too little of both to matter"),
        pytest.param(40, 0, ["style: hazy-ipa"], [], id="little, and none"),
        pytest.param(100, 1, ["style: berliner-weisse"], [], id="not judged in a sour beer"),
        pytest.param(100, 1, ["style: czech-pale-lager"], [], id="nor in a Czech one"),
        pytest.param(300, 1, [], [], id="nor without a style"),
        pytest.param(
            100,
            60,
            ["targets: {chloride_to_sulfate: 0.8 .. 1.3}"],
            [(WARNING, "/targets/chloride_to_sulfate")],
            id="a target missed",
        ),
        pytest.param(129, 19, ["style: munich-helles"], [(NOTE, "/style")], id="chloride alone"),
        pytest.param(129, 0, ["style: munich-helles"], [(NOTE, "/style")], id="and no sulfate"),
        pytest.param(130, 19, ["style: munich-helles"], [(WARNING, "/style")], id="much chloride"),
        pytest.param(129, 20, ["style: munich-helles"], [(WARNING, "/style")], id="some sulfate"),
        pytest.param(129, 19, ["style: american-ipa"], [(WARNING, "/style")], id="in a bitter one"),
        pytest.param(19, 129, ["style: hazy-ipa"], [(WARNING, "/style")], id="sulfate alone"),
        pytest.param(
            100,
            60,
            ["style: irish-stout", "targets: {chloride_to_sulfate: 0.1 .. 1.7}"],
            [],
            id="a target kept",
        ),
        pytest.param(
            100,
            0,
            ["targets: {chloride_to_sulfate: 0.8 .. 1.3}"],
            [(WARNING, "/targets/chloride_to_sulfate")],
            id="a target without sulfate",
        ),
        pytest.param(
            100, 0, ["targets: {chloride_to_sulfate: 0.8 .. }"], [], id="which has no upper end"
        ),
        pytest.param(
            20,
            5,
            ["targets: {chloride_to_sulfate: 0.8 .. 1.3}"],
            [(WARNING, "/targets/chloride_to_sulfate")],
            id="a target with little of both",
        ),
    ],
)
def test_ratio(chloride: float, sulfate: float, changes, expected) -> None:
    case = with_ions(case_of(*changes), chloride=chloride, sulfate=sulfate)
    found = findings_of(case, RATIO)
    assert levels_and_pointers(found) == expected
    for finding in found:
        assert finding.basis and finding.help


def test_a_meaningless_ratio_is_said_to_be() -> None:
    target = "targets: {chloride_to_sulfate: 0.8 .. 1.3}"
    (little,) = findings_of(with_ions(case_of(target), chloride=20, sulfate=5), RATIO)
    assert "both under 50 mg/L, the ratio means little" in little.message
    (much,) = findings_of(with_ions(case_of(target), chloride=200, sulfate=50), RATIO)
    assert "the ratio means little" not in much.message
    assert "200 mg/L of chloride and 50 mg/L of sulfate" in much.message


def test_a_ratio_that_rests_on_a_slip_is_not_told() -> None:
    case = case_of("style: hazy-ipa", "additions: [{add: table-salt, mash: 160 g}]")
    assert findings_of(case, RATIO) == []


def test_ratio_of_the_house() -> None:
    settings = house_by_style("chloride_to_sulfate", "best-bitter", 0.3, 0.9)
    bitter = with_ions(case_of("style: best-bitter", settings=settings), chloride=90, sulfate=90)
    assert levels_and_pointers(findings_of(bitter, RATIO)) == [(WARNING, WATER)]
    stout = with_ions(case_of("style: irish-stout", settings=settings), chloride=90, sulfate=90)
    assert findings_of(stout, RATIO) == []
    little = with_ions(case_of("style: best-bitter", settings=settings), chloride=9, sulfate=9)
    assert findings_of(little, RATIO) == []


# -- much of everything -----------------------------------------------------------------------

HIGH = "minerals-high"


@pytest.mark.parametrize(
    ("chloride", "sulfate", "changes", "expected"),
    [
        (150, 300, [], []),
        (151, 150, [], []),
        (150.5, 150.5, [], [(NOTE, WATER)]),
        (160, 160, ["style: best-bitter"], [(NOTE, WATER)]),
        (160, 160, ["style: german-helles-exportbier"], []),
        (160, 160, ["targets: {chloride: .. 200 mg/L, sulfate: .. 200 mg/L}"], []),
        (160, 160, ["targets: {chloride: .. 200 mg/L}"], [(NOTE, WATER)]),
        (160, 160, ["targets: {chloride: 90 .. mg/L, sulfate: 90 .. mg/L}"], [(NOTE, WATER)]),
        (160, 160, ["style: gose", "targets: {sulfate: .. 200 mg/L}"], [(NOTE, WATER)]),
    ],
)
def test_both_high(chloride: float, sulfate: float, changes, expected) -> None:
    case = with_ions(case_of(*changes), chloride=chloride, sulfate=sulfate)
    assert levels_and_pointers(findings_of(case, HIGH)) == expected


def test_both_high_replaces_the_notes_on_either() -> None:
    case = with_ions(case_of("style: blonde-ale"), chloride=160, sulfate=210)
    assert [finding.rule for finding in findings_of(case) if finding.vessel == "batch"] == [HIGH]
    alone = with_ions(case_of("style: blonde-ale", settings=off(HIGH)), chloride=160, sulfate=210)
    rules = {finding.rule for finding in findings_of(alone) if finding.level == NOTE}
    assert {"batch-chloride", "batch-sulfate"} <= rules


@pytest.mark.parametrize(
    ("target", "silenced", "told"),
    [
        pytest.param("", "", False, id="to the note's limit"),
        pytest.param("targets: {chloride: .. 100 mg/L}", "", False, id="to less than that"),
        pytest.param("targets: {chloride: .. 170 mg/L}", "", True, id="to more than that"),
        pytest.param("", "kettle-only-excess", True, id="nothing, when it is off"),
    ],
)
def test_what_the_kettle_is_asked_to_clear_is_not_told_as_both(target, silenced, told) -> None:
    # 60 mg/L of the well and 101.6 of the kettle's 6 g; 198 mg/L of sulfate by the mash's gypsum.
    lines = (
        "additions:\n  - {add: gypsum, mash: 7 g}\n"
        "  - {add: calcium-chloride, form: dihydrate, kettle: %s g}"
    ) % (8 if "170" in target else 6)
    changes = [line for line in (target, lines) if line]
    case = case_of(*changes, settings=off(silenced) if silenced else None)
    assert bool(findings_of(case, HIGH)) is told


def test_without_figures_nothing_is_high() -> None:
    for line in ("additions: [{add: gipsum, mash: 2 g}]", "style: gose"):
        case = case_of(line, "  mash: {volume: 15 L, from: ./lost.yaml}")
        assert not findings_of(case, HIGH)


def test_both_high_replaces_no_warning() -> None:
    case = with_ions(case_of(), chloride=260, sulfate=410)
    rules = {(each.rule, each.level) for each in findings_of(case) if each.vessel == "batch"}
    assert rules >= {("batch-chloride", WARNING), ("batch-sulfate", WARNING), (HIGH, NOTE)}


@pytest.mark.parametrize(
    ("style", "told"),
    [("berliner-weisse", None), ("munich-helles", "the whole batch add up to 1")],
)
def test_the_sum_is_without_what_the_style_is_made_of(style: str, told: str | None) -> None:
    ions = {"lactate": 900.0, "calcium": 60.0, "chloride": 80.0, "bicarbonate": 60.0}
    case = with_water(
        case_of(f"style: {style}"), "batch", {name: Figure(each) for name, each in ions.items()}
    )
    found = [each.message for each in findings_of(case, HIGH)]
    assert bool(found) == (told is not None)
    assert all(told is not None and told in message for message in found)


def test_what_is_left_out_of_the_sum_is_said() -> None:
    ions = {"lactate": 900.0, "calcium": 160.0, "bicarbonate": 900.0}
    case = with_water(
        case_of("style: berliner-weisse"), "batch", {name: Figure(v) for name, v in ions.items()}
    )
    (finding,) = findings_of(case, HIGH)
    assert "the ions of the whole batch but lactate add up to" in finding.message


@pytest.mark.parametrize(("bicarbonate", "expected"), [(660.0, []), (670.0, [(NOTE, WATER)])])
def test_the_sum(bicarbonate: float, expected) -> None:
    ions = {
        "calcium": 150.0,
        "magnesium": 0.0,
        "sodium": 40.0,
        "potassium": 0.0,
        "chloride": 50.0,
        "sulfate": 100.0,
        "nitrate": 0.0,
        "bicarbonate": bicarbonate,
    }
    case = with_water(case_of(), "batch", {name: Figure(value) for name, value in ions.items()})
    found = findings_of(case, HIGH)
    assert levels_and_pointers(found) == expected
    for finding in found:
        assert "add up to 1010 mg/L, above 1000 mg/L" in finding.message


# The water's chloride is 60, its sulfate 61.
@pytest.mark.parametrize(
    ("addition", "target", "help"),
    [
        ("calcium-chloride, form: dihydrate, mash: 6 g", ".. 1.3", "Move salts from chloride to s"),
        ("gypsum, mash: 6 g", "0.8 ..", "Move salts from sulfate to chloride"),
        (
            "hydrochloric-acid, strength: 10 %, liquor: 2 mL/L",
            ".. 1.3",
            "Use less hydrochloric-acid, or add gypsum.",
        ),
        ("baking-soda, mash: 0.2 g", ".. 0.8", "Add gypsum. No addition brings chloride: less"),
        ("baking-soda, mash: 0.2 g", "1.3 ..", "Add calcium chloride. No addition brings sulf"),
    ],
)
def test_the_ratio_s_help_says_which_way(addition: str, target: str, help: str) -> None:
    case = case_of(
        f"additions: [{{add: {addition}}}]", f"targets: {{chloride_to_sulfate: {target}}}"
    )
    (finding,) = findings_of(case, RATIO)
    assert finding.help.startswith(help)


@pytest.mark.parametrize(
    ("ion", "salt"),
    [
        ("calcium", "calcium-chloride, form: dihydrate"),
        ("magnesium", "epsom-salt"),
        ("sodium", "table-salt"),
        ("chloride", "table-salt"),
        ("sulfate", "gypsum"),
    ],
)
def test_what_no_addition_brings_is_not_to_be_used_less(ion: str, salt: str) -> None:
    target = f"targets: {{{ion}: 0 .. 4 mg/L}}"
    (water,) = findings_of(case_of(target), f"batch-{ion}")
    assert water.help == DILUTE
    (still,) = findings_of(
        case_of(f"additions: [{{add: {salt}, mash: 0.02 g}}]", target), f"batch-{ion}"
    )
    assert still.help == DILUTE
    (both,) = findings_of(
        case_of(f"additions: [{{add: {salt}, mash: 9 g}}]", target), f"batch-{ion}"
    )
    assert both.help.startswith("Use less ")
    soft = case_of(f"additions: [{{add: {salt}, mash: 1 g}}]", target, water=(f"  {ion}: 3 mg/L",))
    (dosed,) = findings_of(soft, f"batch-{ion}")
    assert dosed.help.startswith("Use less ")


@pytest.mark.parametrize(
    ("ion", "addition", "help"),
    [
        ("sodium", "sodium-sulfate, mash: 8 g", "Use less sodium-sulfate, or dilute"),
        ("sulfate", "sodium-sulfate, mash: 8 g", "Use less sodium-sulfate, or dilute"),
        ("chloride", "hydrochloric-acid, strength: 10 %, mash: 60 mL", "Use less hydro"),
        ("sodium", "baking-soda, mash: 8 g", "Use less table salt or baking soda"),
        ("calcium", "pickling-lime, mash: 6 g", "Use less of the calcium salts"),
        ("sodium", "sodium-sulfate, mash: 0.5 g", "Use less table salt or baking soda"),
    ],
)
def test_what_brings_most_is_to_be_used_less(ion: str, addition: str, help: str) -> None:
    case = case_of(f"additions: [{{add: {addition}}}]", f"targets: {{{ion}: .. 12 mg/L}}")
    (finding,) = findings_of(case, f"batch-{ion}")
    assert finding.help.startswith(help)


@pytest.mark.parametrize(
    ("sodium", "additions", "told"),
    [
        pytest.param(110, "", "above 100 mg/L. It comes with Quarry Lane well.", id="water"),
        pytest.param(
            40,
            "additions: [{add: table-salt, mash: 4 g, sparge: 3 g}]",
            "Most of it, 96.6 mg/L, comes with table-salt.",
            id="doses of one salt together",
        ),
    ],
)
def test_what_brings_most_is_named(sodium: float, additions: str, told: str) -> None:
    case = recipe_case(recipe(additions), {"well.yaml": report(f"  sodium: {sodium} mg/L")})
    (finding,) = findings_of(case, "batch-sodium")
    assert finding.message.endswith(told)


def test_of_several_that_bring_some_the_largest_part_is_named() -> None:
    # Of 120 mg/L the well brings 40, the soda 38.4 and the table salt 41.4.
    lines = "additions: [{add: baking-soda, mash: 4 g}, {add: table-salt, sparge: 3 g}]"
    case = recipe_case(recipe(lines), {"well.yaml": report("  sodium: 40 mg/L")})
    (finding,) = findings_of(case, "batch-sodium")
    assert finding.message.endswith("The largest part of it, 41.4 mg/L, comes with table-salt.")


def test_what_the_kettle_is_the_cause_of_is_told_there() -> None:
    lines = "additions: [{add: table-salt, kettle: 7 g}]"
    assert not findings_of(case_of(lines), "batch-sodium")
    silent = case_of(lines, settings=off("kettle-only-excess"))
    assert levels_and_pointers(findings_of(silent, "batch-sodium")) == [(WARNING, WATER)]


def test_what_doses_lead_beyond_practice_is_told_there() -> None:
    lines = "additions: [{add: epsom-salt, mash: 40 g}]"
    assert not findings_of(case_of(lines), "batch-magnesium")
    silent = case_of(lines, settings=off("dose-beyond-practice"))
    assert levels_and_pointers(findings_of(silent, "batch-magnesium")) == [(WARNING, WATER)]


def test_too_little_comes_from_nowhere() -> None:
    (finding,) = findings_of(with_ions(case_of(), calcium=10.0), "batch-calcium")
    assert "comes with" not in finding.message


@pytest.mark.parametrize(
    ("rule", "water"),
    [
        ("mash-calcium", ("  calcium: 220 mg/L",)),
        ("minerals-high", ("  chloride: 180 mg/L", "  sulfate: 190 mg/L")),
        ("minerals-high", ("  sulfate: 700 mg/L", "  calcium: 280 mg/L")),
    ],
)
def test_where_no_addition_is_the_cause_only_another_water_helps(rule: str, water) -> None:
    for salt in ("baking-soda, mash: 0.1 g", "calcium-chloride, form: dihydrate, mash: 0.5 g"):
        (finding,) = findings_of(case_of(f"additions: [{{add: {salt}}}]", water=water), rule)
        assert finding.help == DILUTE
    much = "additions:\n  - {add: gypsum, mash: 9 g}\n  - {add: table-salt, mash: 5 g}"
    assert all(each.help != DILUTE for each in findings_of(case_of(much), rule))
    assert findings_of(case_of(much), rule)
