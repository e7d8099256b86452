"""The sparge water's alkalinity, too much and less than none."""

from __future__ import annotations

import pytest

from waterlint.chemistry.ions import CALCIUM_CARBONATE_EQUIVALENT
from waterlint.prediction.result import Figure

from .figured import case_of, off, with_water
from .making import findings_of, levels_and_pointers

NOTE, WARNING = "note", "warning"
WATER, TARGET = "/water/sparge/from", "/targets/sparge/alkalinity"
LIMIT = -0.3 * CALCIUM_CARBONATE_EQUIVALENT


def _with(alkalinity: float, *changes: str, sd: float = 0.0):
    return with_water(case_of(*changes), "sparge", alkalinity=Figure(alkalinity, sd))


@pytest.mark.parametrize(
    ("alkalinity", "changes", "expected"),
    [
        (-40.0, [], []),
        (0.0, [], []),
        (50.0, [], []),
        (50.1, [], [(NOTE, WATER)]),
        (100.0, [], [(NOTE, WATER)]),
        (100.1, [], [(WARNING, WATER)]),
        (300.0, ["style: historical-beer-london-brown-ale"], []),
        (30.0, ["targets: {sparge: {alkalinity: .. 25 mg/L as CaCO3}}"], [(WARNING, TARGET)]),
        (110.0, ["targets: {sparge: {alkalinity: .. 120 mg/L as CaCO3}}"], []),
        (5.0, ["targets: {sparge: {alkalinity: 10 .. 40 mg/L as CaCO3}}"], [(WARNING, TARGET)]),
    ],
)
def test_alkalinity(alkalinity: float, changes, expected) -> None:
    found = findings_of(_with(alkalinity, *changes), "sparge-alkalinity")
    assert levels_and_pointers(found) == expected
    for finding in found:
        assert (finding.quantity, finding.vessel, finding.unit) == (
            "alkalinity",
            "sparge",
            "mg/L as CaCO3",
        )
        assert finding.help.startswith("Use less acid" if alkalinity < 10.0 else "Add some acid")


LIME = "additions: [{add: pickling-lime, sparge: 2 g}]"
HARD = ("alkalinity: 120 mg/L as CaCO3", "  calcium: 88 mg/L")


@pytest.mark.parametrize(
    ("changes", "keys", "expected"),
    [
        pytest.param([LIME], {}, [], id="a dose of alkali tells it"),
        pytest.param([LIME], {"settings": off("alkali-after-mash")}, [(WARNING, WATER)], id="off"),
        pytest.param([LIME], {"water": HARD}, [(WARNING, WATER)], id="the water is hard itself"),
        pytest.param(
            [LIME, "targets: {sparge: {alkalinity: .. 60 mg/L as CaCO3}}"],
            {},
            [(WARNING, TARGET)],
            id="a target is missed all the same",
        ),
        pytest.param(
            ["additions: [{add: pickling-lime, mash: 2 g}]"],
            {"water": HARD},
            [(WARNING, WATER)],
            id="in the mash",
        ),
    ],
)
def test_alkalinity_of_a_dose(changes, keys, expected) -> None:
    found = findings_of(case_of(*changes, **keys), "sparge-alkalinity")
    assert levels_and_pointers(found) == expected


@pytest.mark.parametrize(
    ("water", "told"),
    [
        ((), "Use less baking-soda, or dose it into the mash alone."),
        (HARD, "Add some acid to the sparge water"),
    ],
)
def test_an_alkali_in_the_liquor_is_met_by_less_of_it(water: tuple[str, ...], told: str) -> None:
    case = case_of("additions: [{add: baking-soda, liquor: 0.2 g/L}]", water=water)
    (finding,) = findings_of(case, "sparge-alkalinity")
    assert finding.help.startswith(told)


def test_the_report_is_named_where_it_is_the_cause() -> None:
    hard = ("alkalinity: 120 mg/L as CaCO3", "  calcium: 88 mg/L")
    (finding,) = findings_of(case_of(water=hard), "sparge-alkalinity")
    (behind,) = finding.related
    assert (behind.path, behind.span.line) == ("well.yaml", 11)
    assert (finding.span.line, finding.span.column) == (6, 34)


def test_a_report_with_bicarbonate_is_named_by_it() -> None:
    hard = ("  bicarbonate: 146 mg/L", "  calcium: 88 mg/L")
    from waterlint.rules.samples import recipe, report

    from .making import recipe_case

    case = recipe_case(recipe(), {"well.yaml": report(*hard, without=["alkalinity"])})
    (finding,) = findings_of(case, "sparge-alkalinity")
    assert [behind.span.line for behind in finding.related] == [11]
    assert "120 mg/L as CaCO3 itself" in finding.related[0].message


@pytest.mark.parametrize(
    ("alkalinity", "changes", "fires"),
    [
        (40.0, [], False),
        (LIMIT, [], False),
        (LIMIT - 0.01, [], True),
        (-60.0, [], True),
        (-60.0, ["targets: {sparge: {alkalinity: 0 .. 10 mg/L as CaCO3}}"], False),
        (-60.0, ["targets: {sparge: {alkalinity: .. 10 mg/L as CaCO3}}"], True),
    ],
)
def test_overacid(alkalinity: float, changes, fires: bool) -> None:
    found = findings_of(_with(alkalinity, *changes), "sparge-overacid")
    assert levels_and_pointers(found) == ([(WARNING, WATER)] if fires else [])
    for finding in found:
        assert finding.message.startswith(f"the sparge water has {-alkalinity:.4g} mg/L as CaCO3")


def test_acid_below_a_target_is_told_by_the_target() -> None:
    target = "targets: {sparge: {alkalinity: 0 .. 10 mg/L as CaCO3}}"
    rules = [finding.rule for finding in findings_of(_with(-60.0, target))]
    assert "sparge-alkalinity" in rules and "sparge-overacid" not in rules


def test_the_acid_is_named_beside_the_water() -> None:
    acid = "additions: [{add: lactic-acid, strength: 80 %, sparge: 3 mL}]"
    (finding,) = findings_of(case_of(acid), "sparge-overacid")
    (dose,) = finding.related
    assert (dose.path, dose.span.line) == ("recipe.yaml", 11)
    assert dose.message.startswith("lactic-acid takes ")
    assert dose.message.endswith(" mg/L as CaCO3 of alkalinity")
    assert finding.message.endswith(
        " mg/L as CaCO3 more acid than alkalinity; 15 (0.3 mEq/L) would pass"
    )


def test_a_spread_across_the_limit_is_said() -> None:
    (near,) = findings_of(_with(-20.0, sd=8.0), "sparge-overacid")
    assert "−28 to −12 mg/L as CaCO3, reaches across the limit" in near.message
    (far,) = findings_of(_with(-60.0, sd=8.0), "sparge-overacid")
    assert "spread" not in far.message


def test_no_sparge_no_finding() -> None:
    from waterlint.rules.samples import recipe, report

    from .making import recipe_case

    hard = ("alkalinity: 240 mg/L as CaCO3", "  calcium: 136 mg/L")
    case = recipe_case(recipe(without=["sparge"]), {"well.yaml": report(*hard)})
    assert not [each for each in findings_of(case) if each.rule.startswith("sparge")]
