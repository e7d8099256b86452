"""Alkali after the mash, and ions that only the kettle's additions take out of range."""

from __future__ import annotations

import re
from decimal import ROUND_CEILING, Decimal

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from waterlint.finding import Finding
from waterlint.project.config import Scale, Settings
from waterlint.rules.kettle_dose import dose_text
from waterlint.rules.samples import recipe, report
from waterlint.units import Quantity

from .figured import case_of, house, off, with_ions
from .making import findings_of, levels_and_pointers, recipe_case

NOTE, WARNING = "note", "warning"
ALKALI, EXCESS = "alkali-after-mash", "kettle-only-excess"


def _add(*lines: str) -> str:
    return "additions:\n" + "\n".join(f"  - {{{line}}}" for line in lines)


@pytest.mark.parametrize(
    ("lines", "expected"),
    [
        (["add: baking-soda, kettle: 2 g"], ["/additions/0/kettle"]),
        (["add: baking-soda, sparge: 2 g"], ["/additions/0/sparge"]),
        (["add: baking-soda, fermenter: 2 g"], ["/additions/0/fermenter"]),
        (["add: potassium-bicarbonate, kettle: 2 g"], ["/additions/0/kettle"]),
        (["add: pickling-lime, sparge: 0.05 g/L"], ["/additions/0/sparge"]),
        (["add: chalk, kettle: 2 g"], ["/additions/0/kettle"]),
        (["add: chalk, kettle: 2 g, dissolved: true"], ["/additions/0/kettle"]),
        (
            ["add: gypsum, kettle: 2 g", "add: baking-soda, mash: 1 g, sparge: 1 g, kettle: 1 g"],
            ["/additions/1/kettle", "/additions/1/sparge"],
        ),
        (["add: baking-soda, mash: 2 g"], []),
        (["add: baking-soda, liquor: 2 g"], []),
        (["add: gypsum, kettle: 2 g"], []),
        (["add: table-salt, kettle: 2 g"], []),
        (["add: baking-sod, kettle: 2 g"], []),
    ],
)
def test_alkali_after_mash(lines: list[str], expected: list[str]) -> None:
    found = findings_of(case_of(_add(*lines)), ALKALI)
    assert sorted(levels_and_pointers(found)) == [(WARNING, pointer) for pointer in expected]


@pytest.mark.parametrize(
    ("line", "told"),
    [
        # 2 g of 273.67 mg/g in 28.5 L
        (
            "add: baking-soda, kettle: 2 g",
            "in the kettle has no mash to serve any more; it leaves 19.2 mg/L of sodium",
        ),
        (
            "add: potassium-bicarbonate, sparge: 2 g",
            "for the sparge has no mash to serve any more; it leaves 27.4 mg/L of potassium",
        ),
        ("add: pickling-lime, kettle: 2 g", "it leaves 38 mg/L of calcium"),
    ],
)
def test_what_an_alkali_leaves(line: str, told: str) -> None:
    (finding,) = findings_of(case_of(_add(line)), ALKALI)
    assert told in finding.message
    assert finding.unit == "mg/L" and finding.value is not None


@pytest.mark.parametrize(
    ("line", "help"),
    [
        ("add: baking-soda, kettle: 2 g", "Move it into the mash if"),
        ("add: chalk, kettle: 2 g", "Leave it out. It would hardly dissolve in the mash either"),
        ("add: chalk, kettle: 2 g, dissolved: true", "Move it into the mash if"),
    ],
)
def test_where_it_serves(line: str, help: str) -> None:
    (finding,) = findings_of(case_of(_add(line)), ALKALI)
    assert finding.help.startswith(help)


def test_an_alkali_whose_amount_is_not_known() -> None:
    case = case_of(_add("add: baking-soda, kettle: 2 g", "add: gipsum, mash: 1 g"))
    (finding,) = findings_of(case, ALKALI)
    assert "it leaves its mineral in the whole batch" in finding.message
    assert finding.value is None


# -- the kettle's excess ----------------------------------------------------------------------

DOSE = "/additions/0/kettle"


@pytest.mark.parametrize(
    ("changes", "ions", "expected"),
    [
        # 393.39 mg of sodium a gram in 28.5 L over the water's 11 mg/L
        pytest.param([_add("add: table-salt, kettle: 4.6 g")], {"sodium"}, [], id="inside"),
        pytest.param(
            [_add("add: table-salt, kettle: 4.7 g")], {"sodium"}, [(NOTE, DOSE)], id="note"
        ),
        pytest.param(
            [_add("add: table-salt, kettle: 7 g")], {"sodium"}, [(WARNING, DOSE)], id="over"
        ),
        pytest.param([_add("add: table-salt, mash: 7 g")], {"sodium"}, [], id="not the kettle's"),
        pytest.param([_add("add: table-salt, fermenter: 7 g")], {"sodium"}, [], id="later still"),
        pytest.param(
            [_add("add: table-salt, mash: 7 g, kettle: 1 g")],
            {"sodium"},
            [],
            id="too much without it",
        ),
        pytest.param(
            [_add("add: baking-soda, kettle: 11 g")], {"sodium"}, [(WARNING, DOSE)], id="soda"
        ),
        pytest.param(
            [_add("add: epsom-salt, kettle: 12 g")], {"magnesium"}, [(NOTE, DOSE)], id="magnesium"
        ),
        pytest.param(
            [_add("add: potassium-chloride, kettle: 3 g")],
            {"potassium"},
            [(WARNING, DOSE)],
            id="potassium",
        ),
        pytest.param(
            [_add("add: calcium-chloride, form: dihydrate, kettle: 12 g")],
            {"chloride"},
            [(WARNING, DOSE)],
            id="chloride",
        ),
        pytest.param(
            [_add("add: calcium-chloride, form: dihydrate, kettle: 16 g")],
            {"calcium"},
            [(NOTE, DOSE)],
            id="calcium",
        ),
        pytest.param(
            [_add("add: gypsum, kettle: 20 g")], {"sulfate"}, [(WARNING, DOSE)], id="sulfate"
        ),
        pytest.param(
            ["style: blonde-ale", _add("add: gypsum, kettle: 8 g")],
            {"sulfate"},
            [(NOTE, DOSE)],
            id="a style's maximum",
        ),
        pytest.param(
            ["style: irish-stout", _add("add: table-salt, kettle: 9 g")],
            {"sodium"},
            [(NOTE, DOSE)],
            id="roast bears more",
        ),
        pytest.param(
            ["style: gose", _add("add: table-salt, kettle: 20 g")], {"sodium"}, [], id="gose"
        ),
        pytest.param(
            ["targets: {sodium: .. 40 mg/L}", _add("add: table-salt, kettle: 3 g")],
            {"sodium"},
            [(WARNING, DOSE)],
            id="a target",
        ),
        pytest.param(
            ["targets: {sodium: .. 120 mg/L}", _add("add: table-salt, kettle: 7 g")],
            {"sodium"},
            [],
            id="a target kept",
        ),
        pytest.param(
            ["targets: {sodium: 50 .. 90 mg/L}", _add("add: table-salt, kettle: 1 g")],
            {"sodium"},
            [],
            id="too little is no excess",
        ),
        pytest.param(
            [
                _add(
                    "add: gypsum, mash: 2 g",
                    "add: table-salt, kettle: 1 g",
                    "add: baking-soda, kettle: 9 g",
                )
            ],
            {"sodium"},
            [(WARNING, "/additions/2/kettle")],
            id="the one that brings most",
        ),
        pytest.param(
            [_add("add: table-salt, mash: 1 g, sparge: 1 g, kettle: 6 g")],
            {"sodium"},
            [(WARNING, DOSE)],
            id="one addition in many places",
        ),
        pytest.param(
            [_add("add: table-salt, mash: 4 g, kettle: 3 g")],
            {"sodium"},
            [(WARNING, DOSE)],
            id="more of it in the mash, which alone would pass",
        ),
    ],
)
def test_kettle_only_excess(changes, ions, expected) -> None:
    found = [each for each in findings_of(case_of(*changes), EXCESS) if each.quantity in ions]
    assert levels_and_pointers(found) == expected


def test_it_replaces_the_rule_of_the_ion() -> None:
    case = case_of(_add("add: table-salt, kettle: 7 g"))
    rules = [each.rule for each in findings_of(case) if each.quantity == "sodium"]
    assert rules == [EXCESS]
    silent = case_of(_add("add: table-salt, kettle: 7 g"), settings=off(EXCESS))
    assert [each.level for each in findings_of(silent, "batch-sodium")] == [WARNING]


def test_it_is_the_batch_rule_where_the_water_is_too_much_by_itself() -> None:
    case = case_of(_add("add: table-salt, kettle: 1 g"), water=("  sodium: 120 mg/L",))
    rules = [each.rule for each in findings_of(case) if each.quantity == "sodium"]
    assert rules == ["batch-sodium"]


def test_where_the_water_alone_has_a_note() -> None:
    # 80 mg/L of the water's own is a note, what the kettle makes of it a warning.
    case = case_of(_add("add: table-salt, kettle: 3 g"), water=("  sodium: 80 mg/L",))
    (finding,) = findings_of(case, EXCESS)
    assert finding.level == WARNING
    assert "Use at most 1.4 g of table-salt in the kettle: that keeps to 100 mg/L." in finding.help
    less = case_of(_add("add: table-salt, kettle: 1.4 g"), water=("  sodium: 80 mg/L",))
    rules = [(each.rule, each.level) for each in findings_of(less) if each.quantity == "sodium"]
    assert rules == [("batch-sodium", NOTE)]


def test_both_high_is_told_once_where_the_kettle_is_the_cause() -> None:
    case = case_of(
        _add("add: gypsum, mash: 7 g", "add: calcium-chloride, form: dihydrate, kettle: 6 g")
    )
    rules = [each.rule for each in findings_of(case) if each.quantity != "calcium"]
    assert rules.count(EXCESS) == 1 and "minerals-high" not in rules
    assert "batch-chloride" not in rules


def test_the_sentence() -> None:
    (finding,) = [
        each
        for each in findings_of(case_of(_add("add: table-salt, kettle: 7 g")), EXCESS)
        if each.quantity == "sodium"
    ]
    # 7 g of 393.39 mg/g in 28.5 L are 96.6 mg/L
    assert finding.message == (
        "sodium of the whole batch is 108 mg/L, above 100 mg/L. Without the kettle's additions "
        "sodium would be 11 mg/L; table-salt there brings 96.6 mg/L of it."
    )
    assert finding.help == (
        "Use at most 4.6 g of table-salt in the kettle: that keeps to 75 mg/L. Up to 6.4 g of "
        "table-salt keeps to 100 mg/L and leaves a note."
    )
    assert (finding.low, finding.high, finding.vessel) == (0.0, 100.0, "batch")
    assert (finding.span.line, finding.span.column, finding.span.end_column) == (12, 31, 34)
    assert "Taylor" in finding.basis


def test_other_doses_stay_as_they_are() -> None:
    lines = ("add: table-salt, kettle: 3 g", "add: baking-soda, kettle: 9 g")
    (finding,) = [
        each for each in findings_of(case_of(_add(*lines)), EXCESS) if each.quantity == "sodium"
    ]
    # 11 + 41.4 of the table salt leave 22.6 mg/L for the soda: 2.35 g
    assert "baking-soda there brings most of it" in finding.message
    assert finding.help.startswith("Use at most 2.3 g of baking-soda in the kettle")


def test_where_no_dose_passes() -> None:
    # 2 g of each in a small batch: one alone is too much for the target.
    lines = ("add: table-salt, kettle: 2 g", "add: baking-soda, kettle: 2 g")
    case = case_of(_add(*lines), "targets: {sodium: .. 20 mg/L}")
    (finding,) = findings_of(case, EXCESS)
    assert finding.help.startswith(
        "Leave table-salt out of the kettle, and use less of baking-soda there"
    )


def test_where_only_nothing_passes() -> None:
    case = case_of(_add("add: table-salt, kettle: 2 g"), "targets: {sodium: .. 11.5 mg/L}")
    (finding,) = findings_of(case, EXCESS)
    assert finding.help == (
        "Leave table-salt out of the kettle: no dose that can be measured keeps to the target's "
        "11.5 mg/L."
    )


def test_levels_follow_the_house() -> None:
    case = case_of(_add("add: table-salt, kettle: 4 g"), settings=house(sodium=(None, 60)))
    (finding,) = findings_of(case, EXCESS)
    assert finding.level == WARNING and "above the house's 60 mg/L" in finding.message


def test_a_spread_across_the_limit_is_said() -> None:
    case = with_ions(case_of(_add("add: table-salt, kettle: 7 g")), sd=9.0, sodium=105.0)
    (finding,) = [each for each in findings_of(case, EXCESS) if each.quantity == "sodium"]
    assert "reaches across the limit" in finding.message


# -- the largest dose -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("amount", "value", "unit", "text", "expected"),
    [
        ("1.2", 2.0, "g", "2 g", "1.2 g"),
        ("1.20", 2.0, "g", "2.0g", "1.2 g"),
        ("3", 5.0, "g", "5 ± 0.1 g", "3 g"),
        ("10", 20.0, "g", "20 g", "10 g"),
        ("1.2", 2.0, "g", "2000 mg", "1200 mg"),
        ("1.2", 2.0, "g", "0.002 kg", "0.0012 kg"),
        ("2.5", 5.0, "mL", "5 mL", "2.5 mL"),
        ("2.5", 5.0, "mL", "5 ml", "2.5 ml"),
        ("2.5", 5.0, "mL", "0.005 L", "0.0025 L"),
        ("1.2", 28.349523125, "g", "1 oz", "0.04232 oz (1.2 g)"),
        ("1.2", 2.0, "g", "", "1.2 g"),
    ],
)
def test_doses_in_the_unit_written(
    amount: str, value: float, unit: str, text: str, expected: str
) -> None:
    assert dose_text(Decimal(amount), Quantity(value, unit, text=text)) == expected


def _sodium(text: str, water: str, scale: Scale) -> list[Finding]:
    case = recipe_case(text, {"well.yaml": water}, settings=Settings(scale=scale))
    return [each for each in findings_of(case, EXCESS) if each.quantity == "sodium"]


@settings(
    max_examples=60,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.too_slow],
)
@given(
    sodium=st.decimals(0, 70, places=1),
    volume=st.decimals(5, 60, places=1),
    grams=st.decimals(1, 60, places=2),
    additive=st.sampled_from(["table-salt", "baking-soda", "sodium-sulfate"]),
    scale=st.sampled_from([0.01, 0.1, 0.5, 1.0]),
    unit=st.sampled_from(["g", "mg", "oz"]),
    target=st.sampled_from(["", "targets: {sodium: .. 72.5 mg/L}\n"]),
)
def test_the_dose_named_passes_and_a_step_more_does_not(
    sodium, volume, grams, additive, scale, unit, target
) -> None:
    factor = {"g": 1.0, "mg": 0.001, "oz": 28.349523125}[unit]
    written = f"{float(grams) / factor:.4f}"

    def text(amount: str) -> str:
        return (
            recipe(f"  mash: {{volume: {volume} L, from: ./well.yaml}}")
            + target
            + f"additions:\n  - {{add: {additive}, kettle: {amount} {unit}}}\n"
        )

    water = report(f"  sodium: {sodium} mg/L")
    steps = Scale(scale, 0.5)
    found = _sodium(text(written), water, steps)
    if not found:
        return
    named = re.match(rf"Use at most ([\d.]+) {unit}(?: \(([\d.]+) g\))?", found[0].help)
    if named is None:
        assert found[0].help.startswith(f"Leave {additive} out")
        assert _sodium(text(_written(Decimal(str(scale)), factor)), water, steps)
        return
    assert not _sodium(text(named[1]), water, steps)
    # In another unit the dose is rounded down; a step more is one of the scale's, in grams.
    grams_named = Decimal(named[2]) if named[2] else Decimal(named[1]) * Decimal(str(factor))
    more = grams_named + Decimal(str(scale))
    assert _sodium(text(_written(more, factor)), water, steps)


def _written(grams: Decimal, factor: float) -> str:
    """Grams in a unit of `factor` grams, rounded up, in the digits that a quantity may have."""
    amount = grams / Decimal(str(factor))
    return f"{amount.quantize(Decimal('0.000001'), ROUND_CEILING):f}"


def test_a_dose_exactly_at_the_limit_passes() -> None:
    # 28.5 L at 11 mg/L; the target is where 4 g of table salt lead to the last bit or just above.
    brought = 4.0 * 1000.0 * 22.990 / 58.440 / 28.5
    text = recipe(
        f"targets: {{sodium: .. {11.0 + brought:.9f} mg/L}}",
        "additions:\n  - {add: table-salt, kettle: 9 g}",
    )
    (finding,) = _sodium(text, report(), Scale())
    assert finding.help.startswith("Use at most 4 g of table-salt")


def test_liquids_go_by_the_measure() -> None:
    line = "add: calcium-chloride, form: solution, strength: 33 %, kettle: 30 mL"
    case = case_of(_add(line), settings=Settings(scale=Scale(0.1, 0.5)))
    (finding,) = [each for each in findings_of(case, EXCESS) if each.quantity == "chloride"]
    named = re.match(r"Use at most ([\d.]+) mL", finding.help)
    assert named is not None and float(named[1]) % 0.5 == 0.0
    for amount, passes in ((float(named[1]), True), (float(named[1]) + 0.5, False)):
        other = case_of(_add(line.replace("30 mL", f"{amount} mL")))
        found = [each for each in findings_of(other, EXCESS) if each.quantity == "chloride"]
        assert (not found) is passes


def test_chalk_beyond_its_cap_is_no_straight_line() -> None:
    # 500 mg/L of the kettle's 20 L is as much as counts: 10 g. Half of it is calcium carbonate.
    text = recipe("targets: {calcium: .. 110 mg/L}", "additions:\n  - {add: chalk, kettle: 30 g}")
    case = recipe_case(text, {"well.yaml": report()})
    (finding,) = findings_of(case, EXCESS)
    named = re.match(r"Use at most ([\d.]+) g", finding.help)
    assert named is not None
    for amount, passes in ((float(named[1]), True), (float(named[1]) + 0.1, False)):
        other = text.replace("30 g", f"{amount:.1f} g")
        found = findings_of(recipe_case(other, {"well.yaml": report()}), EXCESS)
        assert (not found) is passes


def test_only_the_late_alkali_itself_is_counted() -> None:
    case = case_of(_add("add: table-salt, mash: 9 g", "add: baking-soda, kettle: 2 g"))
    (finding,) = findings_of(case, ALKALI)
    assert "it leaves 19.2 mg/L of sodium" in finding.message
