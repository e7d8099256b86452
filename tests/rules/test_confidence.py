"""Passes by a hair: one time in three, by the normal distribution."""

from __future__ import annotations

import pytest

from waterlint.prediction.result import Figure
from waterlint.rules.confidence import chance_outside
from waterlint.rules.ranges import Bound

from .figured import case_of, house, with_ions, with_mash_ph, with_water
from .making import findings_of, levels_and_pointers

NOTE = "note"
PASS = "narrow-pass"
WATER = "/water/mash/from"


def _bound(side, value: float) -> Bound:
    return Bound(side, "warning", value, "general", "x")


@pytest.mark.parametrize(
    ("value", "bounds", "chance"),
    [
        (99.0, [_bound("high", 100.0)], 0.1587),
        (100.0, [_bound("high", 100.0)], 0.5),
        (97.0, [_bound("high", 100.0)], 0.00135),
        (11.0, [_bound("low", 10.0)], 0.1587),
        (10.0, [_bound("low", 9.0), _bound("high", 11.0)], 0.3173),
    ],
)
def test_chance(value: float, bounds: list[Bound], chance: float) -> None:
    assert chance_outside(Figure(value, 1.0), bounds) == pytest.approx(chance, abs=5e-5)


def test_without_a_spread_there_is_no_chance() -> None:
    assert chance_outside(Figure(100.0), [_bound("high", 100.0)]) == 0.0


@pytest.mark.parametrize(
    ("ph", "sd", "changes", "expected"),
    [
        # One time in three is 0.4307 standard deviations.
        pytest.param(5.65, 0.1, [], [], id="half a deviation"),
        pytest.param(5.66, 0.1, [], [(NOTE, "/grist")], id="less"),
        pytest.param(5.7, 0.1, [], [(NOTE, "/grist")], id="at the limit"),
        pytest.param(5.24, 0.1, [], [(NOTE, "/grist")], id="low"),
        pytest.param(5.71, 0.1, [], [], id="outside, which mash-ph tells"),
        pytest.param(5.45, 0.1, [], [], id="in the middle"),
        pytest.param(5.69, 0.0, [], [], id="no spread"),
        pytest.param(5.65, 0.1, ["style: best-bitter"], [], id="a note is there already"),
        pytest.param(
            5.5, 0.1, ["targets: {mash_ph: 5.4 .. 5.6}"], [], id="a target of one deviation"
        ),
        pytest.param(
            5.5,
            0.11,
            ["targets: {mash_ph: 5.4 .. 5.6}"],
            [(NOTE, "/targets/mash_ph")],
            id="a target narrower than the spread",
        ),
    ],
)
def test_mash_ph(ph: float, sd: float, changes, expected) -> None:
    found = findings_of(with_mash_ph(case_of(*changes), ph, sd), PASS)
    assert levels_and_pointers(found) == expected


@pytest.mark.parametrize(
    ("value", "sd", "changes", "expected"),
    [
        pytest.param(97, 9.0, [], [], id="a note tells it"),
        pytest.param(58, 5.0, ["targets: {sodium: .. 60 mg/L}"], [(NOTE, "/targets/sodium")]),
        pytest.param(58, 4.0, ["targets: {sodium: .. 60 mg/L}"], [], id="far enough"),
        pytest.param(61, 5.0, ["targets: {sodium: .. 60 mg/L}"], [], id="missed"),
        pytest.param(
            51, 5.0, ["targets: {sodium: 50 .. mg/L}"], [(NOTE, "/targets/sodium")], id="the nearer"
        ),
        pytest.param(74, 9.0, [], [], id="limits of a note do not count"),
    ],
)
def test_ions(value: float, sd: float, changes, expected) -> None:
    case = with_ions(case_of(*changes), sd=sd, sodium=value)
    found = [each for each in findings_of(case, PASS) if each.quantity == "sodium"]
    assert levels_and_pointers(found) == expected


def test_what_is_only_wanted_counts_too() -> None:
    case = with_ions(case_of("targets: {nitrate: .. 25 mg/L}"), sd=3.0, nitrate=24.0)
    assert levels_and_pointers(findings_of(case, PASS)) == [(NOTE, "/targets/nitrate")]
    case = with_ions(case_of(settings=house(nitrate=(None, 25))), sd=3.0, nitrate=24.0)
    assert levels_and_pointers(findings_of(case, PASS)) == [(NOTE, WATER)]


def test_a_sulfate_near_its_only_limit() -> None:
    found = findings_of(with_ions(case_of(), sd=20.0, sulfate=395.0), PASS)
    assert ("sulfate", NOTE, WATER) in [(each.quantity, each.level, each.pointer) for each in found]


def test_the_ratio_of_a_style() -> None:
    case = with_ions(case_of("style: hazy-ipa"), chloride=82, sulfate=100)
    case = with_water(case, "batch", chloride_to_sulfate=Figure(0.82, 0.1))
    found = [each for each in findings_of(case, PASS) if each.quantity == "chloride_to_sulfate"]
    assert levels_and_pointers(found) == [(NOTE, "/style")]


def test_the_sentence() -> None:
    case = with_mash_ph(case_of(), 5.66, 0.1)
    (finding,) = findings_of(case, PASS)
    assert finding.message == (
        "mash pH is 5.66, within 5.2 to 5.7, but with its stated spread, 5.56 to 5.76, it is "
        "outside in 34 % of cases"
    )
    assert (finding.low, finding.high) == (5.2, 5.7)
    assert "one standard deviation" in finding.basis and "di_ph" in finding.help


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        (["targets: {mash_ph: 5.4 .. 5.7}"], "is 5.66, within the target's 5.4 to 5.7, but"),
        (["targets: {mash_ph: .. 5.7}"], "keeps to at least 5.2 and at most the target's 5.7, but"),
        (["targets: {sodium: .. 12 mg/L}"], "which keeps to at most the target's 12 mg/L, but"),
    ],
)
def test_the_range_is_told_once_where_one_sets_both_ends(changes: list[str], told: str) -> None:
    case = with_mash_ph(with_ions(case_of(*changes), sd=1.0, sodium=11.8), 5.66, 0.1)
    assert any(told in finding.message for finding in findings_of(case, PASS))
