"""What an analysis states, where, and the sum of its charges."""

from __future__ import annotations

import pytest

from waterlint.model.water import Analysis
from waterlint.rules import analyses
from waterlint.rules.samples import report

from .making import report_case

SEASON = "seasons:\n  - {sampled: 2025-08-02, %s}"


def _analysis(*changes: str, without: tuple[str, ...] = (), season: bool = False) -> Analysis:
    case = report_case(report(*changes, without=without))
    assert case.report is not None
    return next(each for each in case.report.analyses if bool(each.pointer) is season)


def test_charges_of_the_sound_report() -> None:
    charges = analyses.charges(_analysis(), None)
    cations = 56 / 20.039 + 6 / 12.1525 + 11 / 22.990
    anions = 60 / 35.45 + 61 / 48.028 + 40 / 50.043
    assert charges.difference == pytest.approx(cations - anions, abs=0.001)
    assert charges.total == pytest.approx(cations + anions, abs=0.001)
    assert (charges.alkalinity, charges.sd, charges.percent_sd) == (40.0, 0.0, 0.0)


@pytest.mark.parametrize(
    ("trace", "equivalents"),
    [
        ("iron", 2 * 10 / 55.845),
        ("manganese", 2 * 10 / 54.938),
        ("copper", 2 * 10 / 63.546),
        ("ammonium", 10 / 18.039),
        ("nitrite", -10 / 46.005),
        ("fluoride", -10 / 18.998),
        ("phosphate", None),
    ],
)
def test_charged_traces_count(trace: str, equivalents: float | None) -> None:
    bare = analyses.charges(_analysis(), None).difference
    found = analyses.charges(_analysis(f"{trace}: 10 mg/L"), None).difference - bare
    if equivalents is None:
        assert found < -0.1, "more than one anion's worth, by the pH of drinking water"
    else:
        assert found == pytest.approx(equivalents, abs=0.001)


def test_the_spread_of_the_sum_is_that_of_its_parts() -> None:
    charges = analyses.charges(_analysis("  calcium: 56 ± 4 mg/L"), 0.05)
    parts = (
        *(4 / 20.039, 0.05 * 6 / 12.1525, 0.05 * 11 / 22.990),
        *(0.05 * 60 / 35.45, 0.05 * 61 / 48.028, 0.05 * 40 / 50.043),
    )
    assert charges.sd == pytest.approx(sum(part**2 for part in parts) ** 0.5, rel=1e-3)
    assert charges.percent_sd == pytest.approx(100 * charges.sd / charges.total)


def test_a_figure_multiplied() -> None:
    charges = analyses.charges(_analysis(), None)
    twice = charges.with_factor("sulfate", 2.0)
    assert twice.anions - charges.balance.anions == pytest.approx(61 / 48.028, abs=0.001)
    half = charges.with_factor("alkalinity", 0.5)
    assert half.anions - charges.balance.anions == pytest.approx(-20 / 50.043, abs=0.001)


def test_places_are_the_season_s_own_or_the_main_one_s() -> None:
    season = _analysis(SEASON % "ions: {calcium: 60 mg/L}", season=True)
    assert analyses.place(season, "ions/calcium") == "/seasons/0/ions/calcium"
    assert analyses.place(season, "ions/sodium") == "/ions/sodium"
    assert analyses.title(season) == " in the analysis of 2025-08-02"
    assert analyses.title(_analysis()) == ""


@pytest.mark.parametrize(
    ("without", "line", "missing"),
    [
        ((), "", []),
        (("  sodium",), "", ["sodium"]),
        (("alkalinity",), "", ["alkalinity"]),
        (("alkalinity",), "  bicarbonate: 48 mg/L", []),
    ],
)
def test_missing(without: tuple[str, ...], line: str, missing: list[str]) -> None:
    kept = tuple(key.strip() for key in without)
    analysis = _analysis(*filter(None, [line]), without=kept)
    assert analyses.missing_ions(analysis) == missing
    assert analyses.states_whole(analysis) is (not missing)


@pytest.mark.parametrize(
    ("text", "sd", "rounding"),
    [("11 mg/L", 0.55, 0.5), ("11.0 ± 2 mg/L", 2.0, 0.05), ("< 4 mg/L", None, 2.0)],
)
def test_spread_and_rounding_of_a_figure(text: str, sd: float | None, rounding: float) -> None:
    figure = _analysis(f"  sodium: {text}").ions["sodium"]
    assert analyses.rounding(figure) == pytest.approx(rounding)
    if sd is not None:
        assert analyses.stated_sd(figure, 0.05) == pytest.approx(sd)
        assert analyses.stated_sd(figure, None) == (2.0 if "±" in text else 0.0)


def test_the_main_analysis_comes_first_and_then_the_file_s_order() -> None:
    seasons = "seasons:\n" + "\n".join(
        f"  - {{sampled: 20{year:02}-08-02, ph: 7.2}}" for year in (25, 24, 26, *range(10, 20))
    )
    case = report_case(report(seasons))
    assert case.report is not None
    found = [each.pointer for each in analyses.main_first(case.report)]
    assert found == ["", *(f"/seasons/{place}" for place in range(13))]
