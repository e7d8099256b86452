"""Targets that no rule of their own speaks for."""

from __future__ import annotations

import pytest

from waterlint.prediction.result import Figure

from .figured import case_of, house, with_color, with_ions, with_mash_ph, with_water
from .making import findings_of, levels_and_pointers

WARNING = "warning"
MISSED = "target-missed"


@pytest.mark.parametrize(
    ("target", "expected"),
    [
        ("nitrate: .. 25 mg/L", []),
        ("nitrate: 1 .. 25 mg/L", ["/targets/nitrate"]),
        ("bicarbonate: .. 40 mg/L", ["/targets/bicarbonate"]),
        ("alkalinity: .. 40 mg/L as CaCO3", []),
        ("alkalinity: .. 39.9 mg/L as CaCO3", ["/targets/alkalinity"]),
        ("alkalinity: 40.1 .. 60 mg/L as CaCO3", ["/targets/alkalinity"]),
        ("residual_alkalinity: 0 .. 40 mg/L as CaCO3", ["/targets/residual_alkalinity"]),
        ("residual_alkalinity: -20 .. 0 mg/L as CaCO3", []),
        ("color: 5 .. 7 SRM", []),
        ("color: 8 .. 12 SRM", ["/targets/color"]),
        ("mash: {sodium: .. 5 mg/L}", ["/targets/mash/sodium"]),
        ("mash: {alkalinity: .. 20 mg/L as CaCO3}", ["/targets/mash/alkalinity"]),
        ("sparge: {calcium: .. 20 mg/L}", ["/targets/sparge/calcium"]),
        ("mash: {sodium: .. 20 mg/L}", []),
    ],
)
def test_targets(target: str, expected: list[str]) -> None:
    found = findings_of(case_of(f"targets: {{{target}}}"), MISSED)
    assert levels_and_pointers(found) == [(WARNING, pointer) for pointer in expected]
    for finding in found:
        assert finding.basis.startswith("the recipe's own target")
        assert finding.value is not None


@pytest.mark.parametrize(
    ("target", "named"),
    [
        ("mash_ph: 5.0 .. 5.1", "mash-ph"),
        ("calcium: 1 .. 2 mg/L", "batch-calcium"),
        ("magnesium: 1 .. 2 mg/L", "batch-magnesium"),
        ("sodium: 1 .. 2 mg/L", "batch-sodium"),
        ("potassium: 1 .. 2 mg/L", "batch-potassium"),
        ("chloride: 1 .. 2 mg/L", "batch-chloride"),
        ("sulfate: 1 .. 2 mg/L", "batch-sulfate"),
        ("chloride_to_sulfate: 0.1 .. 0.2", "chloride-sulfate-ratio"),
        ("mash: {calcium: 1 .. 2 mg/L}", "mash-calcium"),
        ("sparge: {alkalinity: 1 .. 2 mg/L as CaCO3}", "sparge-alkalinity"),
    ],
)
def test_a_named_rule_speaks_for_its_target(target: str, named: str) -> None:
    found = findings_of(case_of(f"targets: {{{target}}}"))
    assert [finding.rule for finding in found if finding.level == WARNING] == [named]


def test_a_target_for_a_water_that_is_not_there() -> None:
    from waterlint.rules.samples import recipe, report

    from .making import recipe_case

    text = recipe("targets: {sparge: {alkalinity: .. 30 mg/L as CaCO3}}", without=["sparge"])
    found = findings_of(recipe_case(text, {"well.yaml": report()}), MISSED)
    assert levels_and_pointers(found) == [(WARNING, "/targets/sparge/alkalinity")]
    assert "has no sparge water" in found[0].message


def test_a_figure_that_is_not_known_misses_nothing() -> None:
    case = case_of("additions: [{add: gipsum, mash: 1 g}]", "targets: {nitrate: 1 .. 2 mg/L}")
    assert findings_of(case, MISSED) == []


@pytest.mark.parametrize(
    ("ranges", "changes", "expected"),
    [
        ({"nitrate": (None, 25)}, [], []),
        ({"nitrate": (5, 25)}, [], ["/water/mash/from"]),
        ({"nitrate": (5, 25)}, ["targets: {nitrate: .. 25 mg/L}"], ["/water/mash/from"]),
        ({"nitrate": (5, 25)}, ["targets: {nitrate: 0 .. 25 mg/L}"], []),
        ({"alkalinity": (None, 30)}, [], ["/water/mash/from"]),
        ({"color": (8, 12)}, [], ["/grist"]),
        ({"color": (8, 12)}, ["color: 6 SRM"], ["/color"]),
        ({"sodium": (None, 1)}, [], []),
        ({"mash_ph": (5.0, 5.1)}, [], []),
    ],
)
def test_ranges_of_the_house(ranges, changes, expected: list[str]) -> None:
    found = findings_of(case_of(*changes, settings=house(**ranges)), MISSED)
    assert levels_and_pointers(found) == [(WARNING, pointer) for pointer in expected]
    assert all(each.help.endswith("or the range in waterlint.yaml.") for each in found)


def test_the_sentence() -> None:
    case = with_ions(case_of("targets: {nitrate: .. 25 mg/L}"), nitrate=31.0)
    (finding,) = findings_of(case, MISSED)
    assert finding.message == "nitrate of the whole batch is 31 mg/L, above the target's 25 mg/L"
    assert finding.help == (
        "Change the doses or the share of distilled or reverse-osmosis water, or the target."
    )
    assert (finding.low, finding.high, finding.unit) == (0.0, 25.0, "mg/L")
    (finding,) = findings_of(with_color(case_of("targets: {color: 5 .. 7 SRM}"), 8.0), MISSED)
    assert finding.help == "Change the dark malts, or the target."


def test_negative_figures_and_spreads() -> None:
    target = "targets: {mash: {residual_alkalinity: -30 .. 0 mg/L as CaCO3}}"
    case = with_water(case_of(target), "mash", residual_alkalinity=Figure(-34.0, 6.0))
    (finding,) = findings_of(case, MISSED)
    assert "is −34 mg/L as CaCO3, below the target's −30 mg/L as CaCO3" in finding.message
    assert "−40 to −28 mg/L as CaCO3, reaches across the limit" in finding.message


def test_colour_and_mash_ph_are_not_confused() -> None:
    case = with_mash_ph(with_color(case_of("targets: {color: 5 .. 7 SRM}"), 6.0), 6.5)
    assert findings_of(case, MISSED) == []
