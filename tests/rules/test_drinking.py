"""Drinking water limits and metals: level, place, authority; and what is left to other rules."""

from __future__ import annotations

import pytest

from waterlint.catalog.limits import DRINKING_WATER, NITRATE_NITRITE_SUM
from waterlint.project.config import Settings
from waterlint.rules.samples import report

from .making import findings_of, levels_and_pointers, report_case

NOTE, WARNING = "note", "warning"
DRINKING, METALS = "drinking-water-limit", "metals-in-brewing"


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        # health: the lowest authority warns
        ("  nitrate: 44.26 mg/L", []),
        ("  nitrate: 44.28 mg/L", [(WARNING, "/ions/nitrate")]),
        ("  nitrate: 9.9 mg/L as N", []),
        ("  nitrate: 10.1 mg/L as N", [(WARNING, "/ions/nitrate")]),
        ("nitrite: 0.5 mg/L", []),
        ("nitrite: 0.51 mg/L", [(WARNING, "/nitrite")]),
        ("fluoride: 1.5 mg/L", []),
        ("fluoride: 1.6 mg/L", [(WARNING, "/fluoride")]),
        ("copper: 1.0 mg/L", []),
        ("copper: 1.1 mg/L", [(NOTE, "/copper")]),
        ("copper: 1.3 mg/L", [(NOTE, "/copper")]),
        ("copper: 1.4 mg/L", [(WARNING, "/copper")]),
        # taste: a note
        ("  sodium: 200 mg/L", []),
        ("  sodium: 201 mg/L", [(NOTE, "/ions/sodium")]),
        ("  chloride: 250 mg/L", []),
        ("  chloride: 251 mg/L", [(NOTE, "/ions/chloride")]),
        ("  sulfate: 250 mg/L", []),
        ("  sulfate: 251 mg/L", [(NOTE, "/ions/sulfate")]),
        ("  sulfate: 501 mg/L", [(WARNING, "/ions/sulfate")]),
        # the EPA's advice on sodium never speaks
        ("  sodium: 25 mg/L", []),
        # only bounded
        ("nitrite: < 2 mg/L", []),
        ("  nitrate: < 120 mg/L", []),
        # not looked at
        ("  potassium: 60 mg/L", []),
    ],
)
def test_levels_and_places(line: str, expected: list[tuple[str, str]]) -> None:
    found = findings_of(report_case(report(line)), DRINKING)
    assert levels_and_pointers(found) == expected


def test_sulfate_has_no_limit_for_health() -> None:
    (finding,) = findings_of(report_case(report("  sulfate: 680 mg/L")), DRINKING)
    assert finding.message == (
        "sulfate is 680 mg/L, of which health authorities want to be told above 500 mg/L (WHO)."
    )
    assert "no health value" in finding.basis


def test_names_the_authorities_and_those_that_would_pass() -> None:
    (finding,) = findings_of(report_case(report("  nitrate: 46 mg/L")), DRINKING)
    assert finding.message.startswith(
        "nitrate is 46 mg/L, over the drinking water limits for health of 44.3 mg/L (EPA), within "
        "50 mg/L (EU, WHO)"
    )
    assert "local authority" in finding.help
    assert finding.basis.startswith("EPA, 10 as N")
    assert (finding.value, finding.high) == (46.0, pytest.approx(44.27, abs=0.01))


def test_every_limit_begins_with_its_authority() -> None:
    words = {limit.basis.partition(" ")[0].rstrip(",") for limit in DRINKING_WATER}
    assert words == {"EPA", "EU", "WHO"}


def test_taste_defers_to_local_rules_and_tells_the_advice_on_sodium() -> None:
    (finding,) = findings_of(report_case(report("  sodium: 230 mg/L")), DRINKING)
    assert "Local rules decide" in finding.help
    assert "restricted diet" in finding.help and "20 mg/L" in finding.help


def test_spread_across_the_limit_is_said() -> None:
    (finding,) = findings_of(report_case(report("fluoride: 1.6 ± 0.2 mg/L")), DRINKING)
    assert "1.4 to 1.8 mg/L, reaches across the limit" in finding.message
    (finding,) = findings_of(report_case(report("fluoride: 1.9 ± 0.2 mg/L")), DRINKING)
    assert "reaches" not in finding.message


@pytest.mark.parametrize(
    ("nitrate", "nitrite", "expected"),
    [
        # 40/50 + 0.6/3 would be 1.0, but 0.6 of nitrite is too much for the EU by itself
        ("40 mg/L", "0.5 mg/L", []),
        ("44 mg/L", "0.4 mg/L", [(WARNING, "/ions/nitrate")]),
        ("40 mg/L", "0.6 mg/L", [(WARNING, "/nitrite")]),
        ("44 mg/L", "< 0.8 mg/L", []),
    ],
)
def test_nitrate_and_nitrite_together(
    nitrate: str, nitrite: str, expected: list[tuple[str, str]]
) -> None:
    text = report(f"  nitrate: {nitrate}", f"nitrite: {nitrite}")
    found = findings_of(report_case(text), DRINKING)
    assert levels_and_pointers(found) == expected


def test_the_sum_says_how_it_is_made() -> None:
    text = report("  nitrate: 44 mg/L", "nitrite: 0.4 mg/L")
    (finding,) = findings_of(report_case(text), DRINKING)
    assert "come to 1.01 together, over 1" in finding.message
    assert finding.basis == NITRATE_NITRITE_SUM.basis


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("iron: 0.2 mg/L", []),
        ("iron: 0.21 mg/L", [(WARNING, "/iron")]),
        ("iron: 210 µg/L", [(WARNING, "/iron")]),
        ("iron: < 0.9 mg/L", []),
        ("manganese: 0.05 mg/L", []),
        ("manganese: 0.06 mg/L", [(WARNING, "/manganese")]),
        ("manganese: < 0.2 mg/L", []),
        ("copper: 0.9 mg/L", []),
    ],
)
def test_metals(line: str, expected: list[tuple[str, str]]) -> None:
    found = findings_of(report_case(report(line)))
    assert [each.rule for each in found] == [METALS] * len(expected)
    assert levels_and_pointers(found) == expected


def test_metals_tell_the_drinking_water_limits_with_them() -> None:
    (finding,) = findings_of(report_case(report("manganese: 0.1 mg/L")))
    assert "over the 0.05 mg/L that beer tolerates" in finding.message
    assert "limits of 0.05 mg/L (EPA, EU) and 0.08 mg/L (WHO)" in finding.message


def test_drinking_water_speaks_of_metals_where_brewing_does_not() -> None:
    settings = Settings(levels={METALS: "off"})
    found = findings_of(report_case(report("manganese: 0.1 mg/L"), settings=settings), DRINKING)
    assert levels_and_pointers(found) == [(WARNING, "/manganese")]


def test_a_softener_s_sodium_is_told_as_such() -> None:
    text = report("  sodium: 230 mg/L", "  calcium: 3 mg/L", "  magnesium: 1 mg/L")
    names = {each.rule for each in findings_of(report_case(text))}
    assert "softened-water" in names and DRINKING not in names


def test_seasons_answer_for_their_own_figures_only() -> None:
    text = report(
        "iron: 0.4 mg/L",
        "fluoride: 2.5 mg/L",
        "seasons:\n  - {sampled: 2025-08-02, ph: 7.1}\n"
        "  - {sampled: 2025-02-02, iron: 0.5 mg/L, fluoride: 1.7 mg/L}",
    )
    found = findings_of(report_case(text))
    assert [each.pointer for each in found] == [
        "/iron",
        "/fluoride",
        "/seasons/1/iron",
        "/seasons/1/fluoride",
    ]
    assert "in the analysis of 2025-02-02" in found[2].message


SEASON = "seasons:\n  - {sampled: 2025-08-02, %s}"


@pytest.mark.parametrize(
    ("season", "pointers"),
    [
        # 44 mg/L of nitrate and 0.45 of nitrite are 0.88 + 0.15 of the WHO's two limits.
        ("ions: {nitrate: 44 mg/L}", ["/seasons/0/ions/nitrate"]),
        ("ions: {nitrate: 42 mg/L}", []),
        ("nitrite: 0.49 mg/L", []),
        ("ph: 7.2", []),
    ],
)
def test_a_season_adds_to_what_it_takes_over(season: str, pointers: list[str]) -> None:
    text = report("  nitrate: 5 mg/L", "nitrite: 0.45 mg/L", SEASON % season)
    found = findings_of(report_case(text), DRINKING)
    assert [each.pointer for each in found] == pointers


def test_a_ten_fold_slip_is_left_to_its_own_rule() -> None:
    text = report("  chloride: 3000 mg/L")
    assert findings_of(report_case(text), DRINKING) == []
    silent = Settings(levels={"implausible-quantity": "off"})
    found = findings_of(report_case(text, settings=silent), DRINKING)
    assert [each.pointer for each in found] == ["/ions/chloride"]
