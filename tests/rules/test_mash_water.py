"""The mash water's calcium and saturation, and chalk."""

from __future__ import annotations

import pytest

from waterlint.catalog.catalog import default_catalog
from waterlint.catalog.house import house_additive
from waterlint.rules.samples import recipe, report

from .figured import case_of, off, with_ions, with_mash_ph, with_water
from .making import findings_of, levels_and_pointers, recipe_case

NOTE, WARNING = "note", "warning"
WATER = "/water/mash/from"


@pytest.mark.parametrize(
    ("value", "changes", "expected"),
    [
        (29.9, [], [(WARNING, WATER)]),
        (30.0, [], [(NOTE, WATER)]),
        (49.9, [], [(NOTE, WATER)]),
        (50.0, [], []),
        (150.0, [], []),
        (150.1, [], [(NOTE, WATER)]),
        (200.0, [], [(NOTE, WATER)]),
        (200.1, [], [(WARNING, WATER)]),
        (45.0, ["style: best-bitter"], []),
        (15.0, ["style: munich-helles"], [(WARNING, WATER)]),
        (25.0, ["style: munich-helles"], [(WARNING, WATER)]),
        (35.0, ["style: munich-helles"], []),
        (190.0, ["style: american-ipa"], []),
        (6.0, ["style: czech-pale-lager"], []),
        (4.0, ["style: czech-pale-lager"], [(NOTE, "/style")]),
        (300.0, ["style: czech-pale-lager"], [(NOTE, WATER)]),
        (70.0, ["targets: {mash: {calcium: 80 .. 90 mg/L}}"], [(WARNING, "/targets/mash/calcium")]),
        (95.0, ["targets: {mash: {calcium: 80 .. 90 mg/L}}"], [(WARNING, "/targets/mash/calcium")]),
        (240.0, ["targets: {mash: {calcium: 80 .. 250 mg/L}}"], []),
        (45.0, ["targets: {calcium: 40 .. 60 mg/L}"], [(NOTE, WATER)]),
    ],
)
def test_calcium(value: float, changes, expected) -> None:
    found = findings_of(with_ions(case_of(*changes), "mash", calcium=value), "mash-calcium")
    assert levels_and_pointers(found) == expected
    for finding in found:
        assert finding.vessel == "mash" and "calcium of the mash water is" in finding.message


def test_a_soft_supply_is_named_in_its_report() -> None:
    case = case_of(water=("  calcium: 12 mg/L",))
    (finding,) = findings_of(case, "mash-calcium")
    (behind,) = finding.related
    assert (finding.level, behind.path, behind.span.line) == (WARNING, "well.yaml", 6)


def test_chalk_by_whatever_name_is_not_moved_to_the_kettle() -> None:
    own = house_additive("quarry-chalk", "chalk", "the label")
    catalog = default_catalog().extended(additives={own.name: own})
    for name in ("chalk", own.name):
        text = recipe(f"additions: [{{add: {name}, dissolved: true, mash: 12 g}}]")
        case = recipe_case(text, {"well.yaml": report()}, catalog=catalog)
        (finding,) = findings_of(case, "mash-calcium")
        assert finding.help == (
            f"Use less {name}, or dilute with distilled or reverse-osmosis water."
        )


@pytest.mark.parametrize(
    ("additions", "first"),
    [("[]", "Acidify or dilute"), ("[{add: pickling-lime, mash: 1 g}]", "Stir the pickling-lime")],
)
def test_what_keeps_scale_away(additions: str, first: str) -> None:
    case = with_water(case_of(f"additions: {additions}"), "mash", calcite_saturation_index=1.4)
    (finding,) = findings_of(case, "mash-scale")
    assert finding.help.startswith(first)


def test_lime_in_a_hard_water_is_no_salt_to_move_to_the_kettle() -> None:
    case = case_of("additions: [{add: pickling-lime, mash: 1.5 g}]", water=("  calcium: 128 mg/L",))
    (finding,) = findings_of(case, "mash-calcium")
    assert finding.help.startswith("Use less pickling-lime")


@pytest.mark.parametrize(("ph", "first"), [(5.5, "Use baking soda"), (5.8, "Leave it out")])
def test_no_other_alkali_for_chalk_where_the_mash_wants_none(ph: float, first: str) -> None:
    case = with_mash_ph(case_of("additions: [{add: chalk, mash: 3 g}]"), ph)
    (finding,) = findings_of(case, "undissolved-chalk")
    assert finding.help.startswith(first)


@pytest.mark.parametrize(("batch", "first"), [(190.0, "Move some"), (210.0, "Use less of")])
def test_what_the_batch_has_too_much_of_goes_into_no_kettle(batch: float, first: str) -> None:
    case = case_of("additions: [{add: calcium-chloride, form: dihydrate, mash: 12 g}]")
    case = with_ions(with_ions(case, "mash", calcium=240.0), calcium=batch)
    (finding,) = findings_of(case, "mash-calcium")
    assert finding.help.startswith(first)


@pytest.mark.parametrize(("index", "fires"), [(None, False), (1.0, False), (1.01, True)])
def test_scale(index: float | None, fires: bool) -> None:
    case = with_water(case_of(), "mash", calcite_saturation_index=index)
    expected = [(NOTE, WATER)] if fires else []
    assert levels_and_pointers(findings_of(case, "mash-scale")) == expected


# -- chalk ------------------------------------------------------------------------------------

CHALK = "undissolved-chalk"


@pytest.mark.parametrize(
    ("addition", "expected"),
    [
        ("add: chalk, mash: 2 g", [(WARNING, "/additions/0/mash")]),
        ("add: chalk, mash: 0.2 g/L", [(WARNING, "/additions/0/mash")]),
        ("add: chalk, liquor: 3 g", [(WARNING, "/additions/0/liquor")]),
        ("add: chalk, mash: 2 g, dissolved: true", []),
        ("add: chalk, kettle: 2 g", []),
        ("add: chalk, sparge: 2 g", []),
        ("add: baking-soda, mash: 2 g", []),
        ("add: gypsum, mash: 2 g", []),
        ("add: calk, mash: 2 g", []),
    ],
)
def test_chalk(addition: str, expected) -> None:
    found = findings_of(case_of(f"additions: [{{{addition}}}]"), CHALK)
    assert levels_and_pointers(found) == expected


@pytest.mark.parametrize(
    ("grams", "told"), [(3, "100 of its 200 mg/L"), (15, "250 of its 1000 mg/L")]
)
def test_the_credit_is_told(grams: int, told: str) -> None:
    (finding,) = findings_of(case_of(f"additions: [{{add: chalk, mash: {grams} g}}]"), CHALK)
    assert f"{told} is counted" in finding.message
    assert "Troester 2009" in finding.basis


def test_all_chalk_of_a_vessel_shares_the_credit() -> None:
    # In 15 L of mash and 13.5 L of sparge water: 1400 mg/L in the mash, where 250 count.
    case = case_of("additions: [{add: chalk, mash: 15 g}, {add: chalk, liquor: 11.4 g}]")
    first, second = findings_of(case, CHALK)
    assert "; 179 of its 1000 mg/L is counted" in first.message
    # 250 · 0.4 / 1.4 in the mash, half of 400 in the sparge: 132 of all.
    assert "; 132 of its 400 mg/L is counted" in second.message


def test_late_chalk_is_told_here_where_its_own_rule_is_off() -> None:
    addition = "additions: [{add: chalk, kettle: 2 g}]"
    found = findings_of(case_of(addition, settings=off("alkali-after-mash")), CHALK)
    assert levels_and_pointers(found) == [(WARNING, "/additions/0/kettle")]


@pytest.mark.parametrize(
    ("addition", "told"),
    [
        ("add: chalk, liquor: 3 g", "chalk in all brewing water hardly dissolves"),
        ("add: chalk, mash: 3 g", "chalk in the mash hardly dissolves"),
        ("add: chalk, mash: 0 g", None),
    ],
)
def test_where_the_chalk_lies(addition: str, told: str | None) -> None:
    found = findings_of(case_of(f"additions: [{{{addition}}}]"), CHALK)
    assert [each.message.startswith(told) for each in found] == ([True] if told else [])
