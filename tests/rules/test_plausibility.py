"""Ten-fold slips in recipes and reports, and large figures that are none."""

from __future__ import annotations

import pytest

from waterlint.rules.samples import recipe, report

from .making import findings_of, levels_and_pointers, recipe_case, report_case

NAME = "implausible-quantity"
WARNING = "warning"


def _found(*changes: str, without: tuple[str, ...] = (), water: tuple[str, ...] = ()) -> list[str]:
    case = recipe_case(recipe(*changes, without=without), {"well.yaml": report(*water)})
    found = findings_of(case, NAME)
    assert all(each.level == WARNING for each in found)
    return [each.pointer for each in found]


# The sound grist has 4.5 kg: 1.5 L/kg are 6.75 L, 12 L/kg 54 L.
@pytest.mark.parametrize(
    ("volume", "fires"),
    [
        ("6.75 L", False),
        ("6.7 L", True),
        ("15 L", False),
        ("36 L", False),
        ("54 L", False),
        ("54.1 L", True),
        ("150 L", True),
        ("1.5 L", True),
        ("1.5 hL", True),
    ],
)
def test_thickness(volume: str, fires: bool) -> None:
    changed = f"  mash: {{volume: {volume}, from: ./well.yaml}}"
    assert _found(changed) == (["/water/mash/volume"] if fires else [])


def test_thickness_counts_what_is_mashed() -> None:
    # 4.5 kg in the mash; sugar, extract and late grain stay out of it.
    late = (
        "  - {malt: pale malt, kind: pale, mass: 4.2 kg, color: 6 EBC}\n"
        "  - {malt: sugar, kind: sugar, mass: 9 kg}\n"
        "  - {malt: midnight malt, kind: roasted, mass: 9 kg, color: 900 EBC, late: true}"
    )
    assert _found(late, "  mash: {volume: 10 L, from: ./well.yaml}") == []


def test_no_mash_has_no_thickness() -> None:
    kettle = "water:\n  kettle: {volume: 23 L, from: ./well.yaml}"
    extract = "  - {malt: pale extract, kind: extract, mass: 3 kg, color: 8 EBC}"
    assert _found(kettle, extract, without=("mash", "sparge")) == []


def _add(*additions: str) -> str:
    return "additions:\n" + "\n".join(f"  - {{{addition}}}" for addition in additions)


# 3 g/L: 45 g in the mash, 40.5 g in the sparge, 60 g in the batch of the kettle, 85.5 g in all.
@pytest.mark.parametrize(
    ("addition", "place"),
    [
        ("add: epsom-salt, mash: 45 g", None),
        ("add: epsom-salt, mash: 45.1 g", "mash"),
        ("add: epsom-salt, sparge: 40.6 g", "sparge"),
        ("add: epsom-salt, kettle: 60 g", None),
        ("add: epsom-salt, kettle: 60.1 g", "kettle"),
        ("add: epsom-salt, fermenter: 60.1 g", "fermenter"),
        ("add: epsom-salt, liquor: 85.5 g", None),
        ("add: epsom-salt, liquor: 85.6 g", "liquor"),
        ("add: epsom-salt, mash: 3.1 g/L", "mash"),
        ("add: calcium-chloride, form: solution, strength: 33 %, mash: 100 mL", None),
        ("add: calcium-chloride, form: solution, strength: 33 %, mash: 110 mL", "mash"),
        ("add: table-salt, kettle: 16 g", None),
        ("add: baking-soda, mash: 46 g", "mash"),
        ("add: lactic-acid, strength: 80 %, mash: 25 mL", None),
        # an acid by its ion: 33 mL of 80 % are 2,080 mg/L of lactate in the mash
        ("add: lactic-acid, strength: 80 %, mash: 33 mL", "mash"),
        ("add: phosphoric-acid, strength: 10 %, mash: 300 mL", "mash"),
    ],
)
def test_doses(addition: str, place: str | None) -> None:
    expected = [] if place is None else [f"/additions/0/{place}"]
    assert _found(_add(addition)) == expected


def test_several_salts_of_one_ion_are_told_at_the_largest() -> None:
    text = _add("add: calcium-chloride, form: anhydrous, mash: 28 g", "add: table-salt, mash: 33 g")
    assert _found(text) == ["/additions/1/mash"]


def test_a_dose_over_the_limit_speaks_for_its_ions() -> None:
    assert _found(_add("add: table-salt, mash: 160 g")) == ["/additions/0/mash"]


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("  sodium: 2000 mg/L", []),
        ("  sodium: 2001 mg/L", [(WARNING, "/ions/sodium")]),
        ("  calcium: 5600 mg/L", [(WARNING, "/ions/calcium")]),
        ("  sulfate: 700 mg/L as S", [(WARNING, "/ions/sulfate")]),
        (
            "seasons:\n  - {sampled: 2025-08-02, ions: {chloride: 6000 mg/L}}",
            [(WARNING, "/seasons/0/ions/chloride")],
        ),
        ("  chloride: 1200 mg/L", []),
    ],
)
def test_reports(line: str, expected: list[tuple[str, str]]) -> None:
    assert levels_and_pointers(findings_of(report_case(report(line)), NAME)) == expected


def test_a_report_s_slip_is_not_told_again_in_the_recipe() -> None:
    assert _found(water=("  sodium: 4000 mg/L",)) == []


@pytest.mark.parametrize(
    ("volume", "told"), [("6.748 L", "would have 1.4996 L/kg"), ("54.002 L", "would have 12.0004")]
)
def test_a_thickness_next_to_its_limit_is_told_apart(volume: str, told: str) -> None:
    text = recipe(f"  mash: {{volume: {volume}, from: ./well.yaml}}")
    (finding,) = findings_of(recipe_case(text, {"well.yaml": report()}), NAME)
    assert told in finding.message


def test_says_figure_and_limit() -> None:
    case = recipe_case(recipe(_add("add: epsom-salt, mash: 60 g")), {"well.yaml": report()})
    (finding,) = findings_of(case, NAME)
    assert "Epsom salt would be 4 g/L in the mash (15 L); more than 3 g/L" in finding.message
    assert (finding.value, finding.high, finding.unit) == (4.0, 3.0, "g/L")
    (finding,) = findings_of(report_case(report("  sodium: 2001 mg/L")), NAME)
    assert finding.message.startswith("sodium is 2001 mg/L; more than 2000 mg/L")
    assert finding.help.endswith("or for a unit that is not mg/L.")
    lines = _add("add: lactic-acid, strength: 80 %, mash: 33 mL")
    (finding,) = findings_of(recipe_case(recipe(lines), {"well.yaml": report()}), NAME)
    assert finding.message.startswith("lactate would be 2062 mg/L in the mash water")
    assert finding.help.endswith("in the dose and in the volume.")


@pytest.mark.parametrize(
    ("ph", "fires"),
    [("3.4", True), ("3.5", False), ("5.6", False), ("11.5", False), ("11.6", True), ("0", True)],
)
def test_reported_ph(ph: str, fires: bool) -> None:
    found = findings_of(report_case(report(f"ph: {ph}")), NAME)
    assert levels_and_pointers(found) == ([(WARNING, "/ph")] if fires else [])


def test_the_ph_of_a_season() -> None:
    case = report_case(report("seasons:\n  - {sampled: 2026-06-02, ph: 0.75}"))
    (finding,) = findings_of(case, NAME)
    assert finding.pointer == "/seasons/0/ph"
    assert finding.message == (
        "a pH of 0.75 in the analysis of 2026-06-02 can hardly be meant; "
        "water to brew with has 3.5 to 11.5"
    )
    assert (finding.value, finding.low, finding.high) == (0.75, 3.5, 11.5)


def test_a_ph_that_a_season_takes_over_is_told_once() -> None:
    season = "seasons:\n  - {sampled: 2026-06-02, ions: {calcium: 57 mg/L}}"
    found = findings_of(report_case(report("ph: 0.75", season)), NAME)
    assert levels_and_pointers(found) == [(WARNING, "/ph")]
