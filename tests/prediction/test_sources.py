"""A report's figures and their spread."""

from __future__ import annotations

from datetime import date
from math import hypot, sqrt

import pytest

from waterlint.model.water import Analysis, WaterReport
from waterlint.prediction.rows import ALKALINITY, CARBON, INDEX
from waterlint.prediction.sources import SourceWater, builtin_report, draw
from waterlint.units import Quantity

from .brew import CATALOG, TAP, analysis, brew, q, report, vessel

OLDER = date(2025, 8, 2)


def _draw(drawn: WaterReport) -> SourceWater:
    source = draw(drawn)
    assert isinstance(source, SourceWater)
    return source


@pytest.mark.parametrize(
    ("figure", "uncertainty", "sd"),
    [
        (Quantity(42.0, "mg/L", sd=3.0, resolution=0.5), None, 3.0),
        (Quantity(42.0, "mg/L", sd=0.0), None, 0.0),
        (Quantity(40.0, "mg/L"), 0.03, 1.2),
        (Quantity(40.0, "mg/L"), None, 2.0),
        # 5 % of 2 and half a unit of the last digit, uniform
        (Quantity(2.0, "mg/L", resolution=0.5), None, hypot(0.1, 0.5 / sqrt(3.0))),
        # below detection: half of it, spread half
        (Quantity(0.01, "mg/L", sd=0.01), None, 0.01),
    ],
)
def test_spread_is_as_written_or_a_fraction_with_rounding(
    figure: Quantity, uncertainty: float | None, sd: float
) -> None:
    source = _draw(report(analysis(TAP | {"calcium": figure}), uncertainty=uncertainty))
    place = INDEX["calcium"]
    assert source.values[place] == figure.value
    assert source.sd_report[place] == pytest.approx(sd)
    assert source.sd_seasons[place] == 0.0


def test_newest_analysis_gives_values_and_the_span_their_seasonal_spread() -> None:
    # the report in spring, 42 mg/L; in summer 51 mg/L, alkalinity from 96 to 106
    newest = analysis()
    summer = analysis(
        TAP | {"calcium": 51.0}, alkalinity=106.0, sampled=OLDER, pointer="/seasons/0"
    )
    source = _draw(report(newest, summer))
    assert source.values[INDEX["calcium"]] == 42.0
    assert source.sd_seasons[INDEX["calcium"]] == pytest.approx(4.5)
    assert source.sd_seasons[INDEX["sodium"]] == 0.0
    assert source.sd_seasons[INDEX[ALKALINITY]] == pytest.approx(5.0 / 50.043, rel=1e-5)
    predicted = brew(vessel("mash", 10.0), tap=report(newest, summer))
    assert predicted.mash_water is not None
    assert predicted.mash_water.ions["calcium"].sd == pytest.approx(hypot(4.5, 2.1))


@pytest.mark.parametrize(
    ("stated", "milliequivalents"),
    [
        (analysis(alkalinity=96.0), 96.0 / 50.043),
        (analysis(TAP | {"bicarbonate": 122.032}, alkalinity=None), 2.0),
        (analysis(TAP | {"bicarbonate": 122.032, "carbonate": 6.0008}, alkalinity=None), 2.2),
        # given both, alkalinity counts; the reports' own rules cross-check
        (analysis(TAP | {"bicarbonate": 122.032}, alkalinity=96.0), 96.0 / 50.043),
    ],
)
def test_alkalinity_from_either(stated: Analysis, milliequivalents: float) -> None:
    source = _draw(report(stated))
    assert source.values[INDEX[ALKALINITY]] == pytest.approx(milliequivalents, rel=1e-5)


def test_spread_of_alkalinity_from_bicarbonate_and_carbonate() -> None:
    stated = {
        "bicarbonate": q(122.032, "mg/L", 6.1016),
        "carbonate": q(6.0008, "mg/L", 3.0004),
    }
    source = _draw(report(analysis(TAP | stated, alkalinity=None)))
    # 6.1016 / 61.016 and 3.0004 / 30.004 mEq/L
    assert source.sd_report[INDEX[ALKALINITY]] == pytest.approx(hypot(0.1, 0.1), rel=1e-4)


def test_missing_potassium_and_nitrate_are_nothing_with_a_wide_spread() -> None:
    few = {name: value for name, value in TAP.items() if name not in ("potassium", "nitrate")}
    source = _draw(report(analysis(few)))
    assert source.values[INDEX["potassium"]] == 0.0
    assert source.sd_report[INDEX["potassium"]] == 3.0
    assert source.sd_report[INDEX["nitrate"]] == 10.0


def test_where_no_calcium_is_there_is_no_calcite_index() -> None:
    water = brew(vessel("mash", 10.0, ("distilled", 1.0))).mash_water
    assert water is not None and water.ph is not None
    assert water.calcite_saturation_index is None


def test_without_ph_only_the_figures_that_hang_on_it_are_missing() -> None:
    predicted = brew(vessel("mash", 10.0), tap=report(analysis(ph=None)))
    water = predicted.mash_water
    assert water is not None
    assert water.ph is None
    assert water.calcite_saturation_index is None
    assert water.ions["bicarbonate"].value == pytest.approx(96.0 * 1.219, rel=0.01)
    gaps = {gap.figure: gap for gap in predicted.gaps if gap.figure.endswith(".ph")}
    assert set(gaps) == {"mash_water.ph", "batch_water.ph"}
    assert "Mill Leat supply" in gaps["mash_water.ph"].reason
    assert gaps["mash_water.ph"].pointer == "/water/mash"
    assert (
        predicted.mash_water == brew(vessel("mash", 10.0), tap=report(analysis(ph=None))).mash_water
    )


def test_a_water_without_ph_that_takes_no_part_takes_none_away() -> None:
    predicted = brew(
        vessel("mash", 10.0, ("tap", 1.0), ("unknown", 0.0)),
        vessel("sparge", 10.0),
        waters={"unknown": report(analysis(ph=None))},
    )
    assert predicted.mash_water is not None
    assert predicted.mash_water.ph is not None
    mixed = brew(
        vessel("mash", 10.0, ("unknown", 1.0)),
        vessel("sparge", 10.0),
        waters={"unknown": report(analysis(ph=None))},
    )
    pointers = {gap.figure: gap.pointer for gap in mixed.gaps if gap.figure.endswith(".ph")}
    assert pointers == {"mash_water.ph": "/water/mash", "batch_water.ph": "/water"}


def test_without_ph_carbon_is_wider() -> None:
    known = _draw(report(analysis(ph=7.5)))
    unknown = _draw(report(analysis(ph=None)))
    place = INDEX[CARBON]
    assert unknown.values[place] == pytest.approx(known.values[place], rel=1e-9)
    assert unknown.sd_report[place] == pytest.approx(5.0 * known.sd_report[place])
    assert unknown.ph_unknown and not known.ph_unknown


def test_carbon_follows_ph_and_alkalinity() -> None:
    base = _draw(report(analysis(ph=q(7.6, "", 0.1))))
    place = INDEX[CARBON]
    step = 0.01
    lower = _draw(report(analysis(ph=7.6 - step)))
    more = _draw(report(analysis(alkalinity=97.0)))
    slope = (lower.values[place] - base.values[place]) / step
    assert base.sd_report[place] == pytest.approx(0.1 * slope, rel=0.05)
    rise = (more.values[place] - base.values[place]) * 50.043
    assert base.carbon_per_alkalinity == pytest.approx(rise, rel=0.02)


@pytest.mark.parametrize(
    ("incomplete", "word"),
    [
        (analysis({"calcium": 40.0}), "magnesium"),
        (analysis(alkalinity=None), "alkalinity"),
    ],
)
def test_a_report_without_the_main_ions_makes_no_water(incomplete: Analysis, word: str) -> None:
    said = draw(report(incomplete))
    assert isinstance(said, str) and word in said
    predicted = brew(vessel("mash", 10.0), tap=report(incomplete))
    assert predicted.mash_water is None
    assert {gap.figure for gap in predicted.gaps} >= {"mash_water", "batch_water"}


def test_built_in_waters() -> None:
    assert builtin_report("no-such-water", CATALOG) is None
    distilled = builtin_report("distilled", CATALOG)
    assert distilled is not None
    assert builtin_report("distilled", CATALOG) is distilled
    assert set(_draw(distilled).values) == {0.0}
    permeate = builtin_report("reverse-osmosis", CATALOG)
    assert permeate is not None
    source = _draw(permeate)
    # 2 calcium, 0.5 magnesium, 6 sodium, 0.5 potassium against 5 chloride, 2 sulfate [mEq/L]:
    # 0.0998 + 0.0411 + 0.2610 + 0.0128 - 0.1410 - 0.0416
    assert source.values[INDEX[ALKALINITY]] == pytest.approx(0.2320, abs=2e-4)
    assert source.sd_report[INDEX["sodium"]] == pytest.approx(3.0)
