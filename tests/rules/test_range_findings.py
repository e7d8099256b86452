"""How a figure beyond its range is told: words, units, limits, places, the report behind."""

from __future__ import annotations

import pytest

from waterlint.prediction.result import Figure
from waterlint.rules.range_findings import (
    limit_text,
    main_vessel,
    range_at,
    report_behind,
    sentence,
    source_pointer,
    spread,
    title_of,
    unit_of,
    with_unit,
)
from waterlint.rules.ranges import Bound, Verdict
from waterlint.rules.samples import recipe, report

from .figured import case_of
from .making import recipe_case, report_case

LOW = Bound("low", "note", 40.0, "general", "a")
HIGH = Bound("high", "note", 75.0, "general", "b")
HIGHER = Bound("high", "warning", 100.0, "general", "c")
LOWER = Bound("low", "warning", 20.0, "general", "d")
ALL = (LOW, HIGH, LOWER, HIGHER)


@pytest.mark.parametrize(
    ("quantity", "vessel", "title", "unit"),
    [
        ("sodium", "batch", "sodium of the whole batch", "mg/L"),
        ("calcium", "mash", "calcium of the mash water", "mg/L"),
        ("alkalinity", "sparge", "alkalinity of the sparge water", "mg/L as CaCO3"),
        ("residual_alkalinity", "mash", "residual alkalinity of the mash water", "mg/L as CaCO3"),
        ("chloride_to_sulfate", "batch", "chloride to sulfate of the whole batch", ""),
        ("mash_ph", "mash", "mash pH", ""),
        ("color", "batch", "colour", "SRM"),
    ],
)
def test_titles_and_units(quantity: str, vessel: str, title: str, unit: str) -> None:
    assert title_of(quantity, vessel) == title
    assert unit_of(quantity) == unit
    assert with_unit("5", quantity) == (f"5 {unit}" if unit else "5")


@pytest.mark.parametrize(
    ("origin", "name", "text"),
    [
        ("target", "", "the target's 75 mg/L"),
        ("house", "", "the house's 75 mg/L"),
        ("style", "best-bitter", "the 75 mg/L of best-bitter"),
        ("general", "", "75 mg/L"),
    ],
)
def test_limits_in_words(origin, name: str, text: str) -> None:
    bound = Bound("high", "note", 75.0, origin, "x", name=name)
    assert limit_text(bound, "sodium") == text
    verdict = Verdict("sodium", "batch", Figure(80.0), (bound,))
    assert sentence(verdict, bound) == f"sodium of the whole batch is 80 mg/L, above {text}"


def test_below_is_said_of_the_low_side() -> None:
    verdict = Verdict("color", "batch", Figure(39.9996), (LOW,))
    assert sentence(verdict, LOW) == "colour is 39.9996 SRM, below 40 SRM"


ACROSS = "Its stated spread, {}, reaches across the limit."


@pytest.mark.parametrize(
    ("value", "sd", "bound", "told"),
    [
        (80.0, 4.0, HIGH, ""),
        (80.0, 6.0, HIGH, ACROSS.format("74 to 86 mg/L")),
        (90.0, 12.0, HIGH, "Its stated spread, 78 to 102 mg/L, reaches the warning's 100 mg/L."),
        (
            90.0,
            20.0,
            HIGH,
            f"{ACROSS.format('70 to 110 mg/L')} It reaches the warning's 100 mg/L too.",
        ),
        (90.0, 10.0, HIGH, ""),
        (110.0, 15.0, HIGHER, ACROSS.format("95 to 125 mg/L")),
        (110.0, 40.0, HIGHER, ACROSS.format("70 to 150 mg/L")),
        (
            30.0,
            11.0,
            LOW,
            f"{ACROSS.format('19 to 41 mg/L')} It reaches the warning's 20 mg/L too.",
        ),
        (25.0, 6.0, LOW, "Its stated spread, 19 to 31 mg/L, reaches the warning's 20 mg/L."),
        (2.0, 3.0, LOWER, ""),
        (15.0, 18.0, LOWER, ACROSS.format("0 to 33 mg/L")),
    ],
)
def test_spread(value: float, sd: float, bound: Bound, told: str) -> None:
    verdict = Verdict("sodium", "batch", Figure(value, sd), ALL)
    assert spread(verdict, bound) == (f" {told}" if told else "")


def test_a_spread_without_a_unit() -> None:
    bound = Bound("high", "warning", 5.7, "general", "x")
    verdict = Verdict("mash_ph", "mash", Figure(5.75, 0.1), (bound,))
    assert spread(verdict, bound) == f" {ACROSS.format('5.65 to 5.85')}"


@pytest.mark.parametrize(
    ("quantity", "bounds", "level", "expected"),
    [
        ("sodium", ALL, "note", (40.0, 75.0)),
        ("sodium", ALL, "warning", (20.0, 100.0)),
        ("sodium", (HIGH,), "note", (0.0, 75.0)),
        ("sodium", (LOW,), "note", (40.0, None)),
        ("alkalinity", (HIGH,), "note", (None, 75.0)),
    ],
)
def test_the_range_at_a_level(quantity: str, bounds, level, expected) -> None:
    assert range_at(Verdict(quantity, "batch", Figure(1.0), bounds), level) == expected


@pytest.mark.parametrize(
    ("mash", "sparge", "vessel", "pointer"),
    [
        (15, 13, "batch", "/water/mash/from"),
        (13, 15, "batch", "/water/sparge/from"),
        (14, 14, "batch", "/water/mash/from"),
        (13, 15, "mash", "/water/mash/from"),
        (15, 13, "sparge", "/water/sparge/from"),
    ],
)
def test_the_water_that_is_named(mash: int, sparge: int, vessel: str, pointer: str) -> None:
    case = case_of(
        f"  mash: {{volume: {mash} L, from: ./well.yaml}}",
        f"  sparge: {{volume: {sparge} L, from: ./well.yaml}}",
    )
    assert source_pointer(case, vessel) == pointer


def test_a_report_has_no_vessel() -> None:
    case = report_case(report())
    assert main_vessel(case, "batch") is None and source_pointer(case, "mash") == "/water"


BICARBONATE = "  bicarbonate: 146 mg/L"
HARDER = "seasons:\n  - {sampled: 2026-06-02, ions: {bicarbonate: 146 mg/L}}"
SEASON = (
    "seasons:\n  - {sampled: 2026-06-02, ions: {sodium: 90 mg/L}, alkalinity: 70 mg/L as CaCO3}"
)


@pytest.mark.parametrize(
    ("lines", "without", "quantity", "line", "told"),
    [
        (["  sodium: 90 mg/L"], (), "sodium", 8, "90 mg/L"),
        (["  sodium: 75 mg/L"], (), "sodium", None, ""),
        (["alkalinity: 120 mg/L as CaCO3"], (), "alkalinity", 11, "120 mg/L as CaCO3"),
        ([BICARBONATE], ("alkalinity",), "alkalinity", 11, "120 mg/L as CaCO3"),
        ([SEASON], (), "sodium", 13, "90 mg/L"),
        (["alkalinity: 90 mg/L as CaCO3", SEASON], (), "alkalinity", None, ""),
        ([HARDER], (), "alkalinity", 13, "120 mg/L as CaCO3"),
        ([], (), "lactate", None, ""),
    ],
)
def test_the_report_behind(lines, without, quantity: str, line: int | None, told: str) -> None:
    case = recipe_case(recipe(), {"well.yaml": report(*lines, without=without)})
    verdict = Verdict(quantity, "batch", Figure(200.0), (HIGH,))
    found = report_behind(case, verdict, HIGH)
    assert [each.span.line for each in found] == ([] if line is None else [line])
    assert [each.message for each in found] == (
        [f"Quarry Lane well has {told} itself"] if told else []
    )


def test_the_report_of_the_largest_share_is_behind() -> None:
    shares = (
        "  mash:\n    volume: 15 L\n    from:\n      - {water: ./pond.yaml, share: 40 %}\n"
        "      - {water: ./well.yaml, share: 60 %}"
    )
    files = {"well.yaml": report("  sodium: 90 mg/L"), "pond.yaml": report("  sodium: 99 mg/L")}
    case = recipe_case(recipe(shares), files)
    (behind,) = report_behind(case, Verdict("sodium", "mash", Figure(93.6), (HIGH,)), HIGH)
    assert behind.path == "well.yaml"


@pytest.mark.parametrize("source", ["distilled", "./lost.yaml"])
def test_waters_without_a_report_are_not_behind(source: str) -> None:
    case = recipe_case(recipe(f"  mash: {{volume: 15 L, from: {source}}}"), {"well.yaml": report()})
    assert report_behind(case, Verdict("sodium", "mash", Figure(93.6), (HIGH,)), HIGH) == ()
