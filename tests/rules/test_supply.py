"""A report's age and a softener's trace."""

from __future__ import annotations

from datetime import date

import pytest

from waterlint.project.config import Settings
from waterlint.rules.samples import report

from .making import findings_of, levels_and_pointers, report_case

WARNING = "warning"
USED = ("ales/plover.yaml",)


@pytest.mark.parametrize(
    ("sampled", "today", "fires"),
    [
        pytest.param("2026-03-14", date(2026, 9, 1), False, id="half a year"),
        pytest.param("2026-03-14", date(2027, 3, 14), False, id="twelve months to the day"),
        pytest.param("2026-03-14", date(2027, 3, 15), True, id="a day more"),
        pytest.param("2024-02-29", date(2025, 2, 28), False, id="leap day: the month's last"),
        pytest.param("2024-02-29", date(2025, 3, 1), True, id="leap day: a day more"),
        pytest.param("2026-03-14", date(2025, 3, 13), False, id="judged as of an earlier day"),
        pytest.param("2026-03-14", date(2025, 3, 12), True, id="more than a year ahead"),
        pytest.param("2062-03-14", date(2026, 3, 14), True, id="another decade"),
        pytest.param("9999-12-31", date(2026, 3, 14), True, id="the last of days"),
        pytest.param("0001-01-01", date(1, 1, 2), False, id="the first of days"),
    ],
)
def test_age(sampled: str, today: date, fires: bool) -> None:
    case = report_case(report(f"sampled: {sampled}"), used_by=USED, today=today)
    expected = [(WARNING, "/sampled")] if fires else []
    assert levels_and_pointers(findings_of(case, "report-age")) == expected


def test_a_day_that_is_long_to_come() -> None:
    case = report_case(report("sampled: 2062-03-14"), used_by=USED, today=date(2026, 3, 14))
    (finding,) = findings_of(case, "report-age")
    assert "sampled on 2062-03-14, 13149 days from now" in finding.message
    assert (finding.value, finding.high, finding.unit) == (13149.0, 366.0, "days")
    unused = report_case(report("sampled: 2062-03-14"), today=date(2026, 3, 14))
    assert findings_of(unused, "report-age") == []


@pytest.mark.parametrize(
    ("months", "today", "fires"),
    [
        (9.0, date(2026, 12, 14), False),
        (9.0, date(2026, 12, 15), True),
        (1.0, date(2026, 4, 14), False),
        (1.0, date(2026, 4, 15), True),
        (1.5, date(2026, 4, 29), False),
        (1.5, date(2026, 4, 30), True),
        (12.0 * 9000, date(2026, 4, 30), False),
    ],
)
def test_the_house_sets_the_age(months: float, today: date, fires: bool) -> None:
    settings = Settings(report_age_months=months, origin={"report_age": "waterlint.yaml:3"})
    case = report_case(report(), settings=settings, used_by=USED, today=today)
    found = findings_of(case, "report-age")
    assert bool(found) == fires
    assert all(each.basis == "`report_age` in waterlint.yaml:3" for each in found)


def test_a_report_that_no_recipe_uses_may_be_old() -> None:
    assert findings_of(report_case(report("sampled: 2009-03-14"))) == []


def test_the_newest_analysis_dates_the_report() -> None:
    newer = "seasons:\n  - {sampled: 2026-06-02, ph: 7.5}"
    assert findings_of(report_case(report("sampled: 2009-03-14", newer), used_by=USED)) == []
    older = "seasons:\n  - {sampled: 2009-06-02, ph: 7.5}\n  - {sampled: 2010-06-02, ph: 7.5}"
    (finding,) = findings_of(
        report_case(report("sampled: 2009-03-14", older), used_by=USED), "report-age"
    )
    assert finding.pointer == "/seasons/1/sampled"
    assert (finding.span.line, finding.span.column) == (14, 15)


def test_age_says_how_old_and_who_uses_it() -> None:
    users = tuple(f"ales/{name}.yaml" for name in "abcde")
    case = report_case(report("sampled: 2024-09-01"), used_by=users)
    (finding,) = findings_of(case, "report-age")
    assert "24 months ago, on 2024-09-01; 12 months are allowed" in finding.message
    assert finding.message.endswith("ales/a.yaml, ales/b.yaml, ales/c.yaml and 2 more")
    assert finding.basis == "common practice: suppliers publish once a year"
    assert (finding.value, finding.high, finding.unit) == (
        pytest.approx(23.98, abs=0.05),
        12.0,
        "months",
    )


def test_just_too_old_is_told_apart_from_what_is_allowed() -> None:
    case = report_case(report("sampled: 2025-08-28"), used_by=USED, today=date(2026, 9, 1))
    (finding,) = findings_of(case, "report-age")
    assert "the water was sampled 12.1 months ago, on 2025-08-28; 12 months" in finding.message


# 2 mEq/L of sodium are 45.98 mg/L; hardness a quarter of that, 0.5 mEq/L, is calcium 10.02 mg/L.
@pytest.mark.parametrize(
    ("changes", "fires"),
    [
        pytest.param([], False, id="sound"),
        pytest.param(["  sodium: 82 mg/L", "  calcium: 3 mg/L", "  magnesium: 1 mg/L"], True),
        pytest.param(["  sodium: 82 mg/L"], False, id="sodium beside hardness"),
        pytest.param(
            ["  sodium: 45.9 mg/L", "  calcium: 3 mg/L", "  magnesium: 1 mg/L"],
            False,
            id="sodium just within",
        ),
        pytest.param(
            ["  sodium: 46.1 mg/L", "  calcium: 3 mg/L", "  magnesium: 1 mg/L"],
            True,
            id="sodium just beyond",
        ),
        pytest.param(
            ["  sodium: 91.96 mg/L", "  calcium: 20.04 mg/L", "  magnesium: 0 mg/L"],
            False,
            id="four times the hardness",
        ),
        pytest.param(
            ["  sodium: 92.5 mg/L", "  calcium: 20.04 mg/L", "  magnesium: 0 mg/L"],
            True,
            id="just more than four times",
        ),
        pytest.param(
            ["  sodium: 4 mg/L", "  calcium: 0.5 mg/L", "  magnesium: 0 mg/L"],
            False,
            id="a permeate has neither",
        ),
    ],
)
def test_softened(changes: list[str], fires: bool) -> None:
    found = findings_of(report_case(report(*changes)), "softened-water")
    assert levels_and_pointers(found) == ([(WARNING, "/ions/sodium")] if fires else [])


SOFT = ["  sodium: 82 mg/L", "  calcium: 3 mg/L", "  magnesium: 1 mg/L"]
SEASON = "seasons:\n  - {sampled: 2025-08-02, %s}"


@pytest.mark.parametrize(
    ("changes", "pointers"),
    [
        pytest.param([*SOFT, SEASON % "ph: 7.2"], ["/ions/sodium"], id="nothing of its own"),
        pytest.param(
            [*SOFT, SEASON % "ions: {calcium: 2 mg/L}"],
            ["/ions/sodium"],
            id="the same sodium is told once",
        ),
        pytest.param(
            [*SOFT, SEASON % "ions: {sodium: 90 mg/L}"],
            ["/ions/sodium", "/seasons/0/ions/sodium"],
            id="a sodium of its own",
        ),
        pytest.param(
            ["  sodium: 82 mg/L", SEASON % "ions: {calcium: 3 mg/L, magnesium: 1 mg/L}"],
            ["/ions/sodium"],
            id="softened in one season only",
        ),
    ],
)
def test_softened_seasons(changes: list[str], pointers: list[str]) -> None:
    found = findings_of(report_case(report(*changes)), "softened-water")
    assert [each.pointer for each in found] == pointers
