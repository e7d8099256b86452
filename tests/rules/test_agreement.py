"""What a reported sum should be, and how far it may be off."""

from __future__ import annotations

import pytest

from waterlint.model.water import Analysis
from waterlint.rules.agreement import (
    Gap,
    alkalinity_gap,
    conductivity_gap,
    gap,
    hardness_gap,
    solids_gap,
)
from waterlint.rules.samples import report
from waterlint.units import Quantity

from .making import report_case


def _analysis(*changes: str, without: tuple[str, ...] = (), season: bool = False) -> Analysis:
    case = report_case(report(*changes, without=without))
    assert case.report is not None
    return next(each for each in case.report.analyses if bool(each.pointer) is season)


# 5 % below 80 and above 120, 2 for rounding behind and 0.5 of the figure's own last digit.
@pytest.mark.parametrize(
    ("reported", "percent"),
    [(73.5, None), (73.4, -8.25), (100.0, None), (128.5, None), (128.6, 100.0 * (128.6 / 120 - 1))],
)
def test_what_is_allowed(reported: float, percent: float | None) -> None:
    figure = Quantity(reported, "mg/L", text="1", resolution=0.5)
    found = gap(figure, 80.0, 120.0, 5.0, 2.0)
    assert (found is None) is (percent is None)
    if found is not None:
        assert (found.low, found.high) == (80.0, 120.0)
        assert (found.allowed_low, found.allowed_high) == pytest.approx((73.5, 128.5))
        assert found.percent == pytest.approx(percent)


@pytest.mark.parametrize("reported", [105.0 * (1.0 + 1e-12), 95.0 * (1.0 - 1e-12)])
def test_exactly_at_the_limit_is_within(reported: float) -> None:
    assert gap(Quantity(reported, "mg/L"), 100.0, 100.0, 5.0, 0.0) is None
    assert gap(Quantity(reported * 1.2, "mg/L"), 100.0, 100.0, 5.0, 0.0) is not None


def test_of_nothing_there_is_no_percentage() -> None:
    assert Gap(Quantity(9.0, "mg/L"), 0.0, 0.0, 0.0, 0.0).percent == 0.0


def test_rounding_of_both_parts_counts_for_hardness() -> None:
    found = hardness_gap(_analysis("hardness: 240 mg/L as CaCO3"))
    assert found is not None
    # 56 and 6 mg/L: 2.4972 and 4.1178 mg/L as CaCO3 each, half a unit of each last digit.
    assert found.low == found.high == pytest.approx(164.55, abs=0.01)
    assert found.allowed_high == pytest.approx(164.55 * 1.05 + 3.307 + 0.5, abs=0.01)
    assert found.allowed_low == pytest.approx(164.55 * 0.95 - 3.307 - 0.5, abs=0.01)


def test_carbonate_and_hydroxide_that_the_ph_asks_for_are_allowed() -> None:
    # 1 mmol/L of bicarbonate: at pH 9 carbonate of 2 · 10^(9 − 10.329) mEq/L beside it, and
    # hydroxide of 10^(9 − 14) mol/L; 50.043 mg a milliequivalent.
    lines = ("  bicarbonate: 61.017 mg/L", "alkalinity: 200 mg/L as CaCO3")
    basic = alkalinity_gap(_analysis(*lines, "ph: 9.0"))
    neutral = alkalinity_gap(_analysis(*lines, "ph: 7.0"))
    unknown = alkalinity_gap(_analysis(*lines, without=("ph",)))
    assert basic is not None and neutral is not None and unknown is not None
    assert basic.low == unknown.low == unknown.high == pytest.approx(50.043, abs=0.003)
    assert basic.high - basic.low == pytest.approx(
        50.043 * (2.0 * 10 ** (9 - 10.329) + 0.01), abs=0.02
    )
    assert neutral.high - neutral.low == pytest.approx(0.0519, abs=0.0003)


def test_a_stated_carbonate_counts_and_the_ph_no_more() -> None:
    lines = ("  bicarbonate: 61.0 mg/L\n  carbonate: 30.0 mg/L", "ph: 9.0")
    found = alkalinity_gap(_analysis(*lines, "alkalinity: 200 mg/L as CaCO3"))
    assert found is not None
    # 61.0 / 61.017 + 30.0 / 30.004 mEq/L; half of a tenth of a mg of each, and half a unit.
    assert found.low == found.high == pytest.approx(50.030 + 50.035, abs=0.01)
    slack = 50.043 * (0.05 / 61.017 + 0.05 / 30.004) + 0.5
    assert found.allowed_high == pytest.approx(found.high * 1.03 + slack, abs=0.001)
    assert found.allowed_low == pytest.approx(found.low * 0.97 - slack, abs=0.001)


@pytest.mark.parametrize("without", [("ph",), ()])
def test_bicarbonate_conducts_as_the_alkalinity_that_it_is(without: tuple[str, ...]) -> None:
    stated = conductivity_gap(_analysis("conductivity: 900 µS/cm", without=without))
    line = "  bicarbonate: 48.77 mg/L"
    taken = conductivity_gap(
        _analysis(line, "conductivity: 900 µS/cm", without=(*without, "alkalinity"))
    )
    assert stated is not None and taken is not None
    assert stated.low == stated.high == pytest.approx(425.7, abs=0.2)
    assert taken.low == pytest.approx(stated.low, rel=1e-3)


def test_solids_dry_to_less_bicarbonate_and_hold_silica() -> None:
    plain = solids_gap(_analysis("dissolved_solids: 400 mg/L"))
    silica = solids_gap(_analysis("dissolved_solids: 400 mg/L", "silica: 20 mg/L"))
    assert plain is not None and silica is not None
    # 40 mg/L as CaCO3 lose 31.01 mg a milliequivalent when bicarbonate dries to carbonate.
    assert plain.low == pytest.approx(217.98, abs=0.02)
    assert plain.high - plain.low == pytest.approx(40.0 / 50.043 * (61.017 - 30.004), abs=0.01)
    assert silica.low - plain.low == silica.high - plain.high == pytest.approx(20.0)


SEASON = "seasons:\n  - {sampled: 2025-08-02, conductivity: 900 µS/cm, dissolved_solids: 9 mg/L"
WHOLE = (
    "ions: {calcium: 56 mg/L, magnesium: 6 mg/L, sodium: 11 mg/L, chloride: 60 mg/L, "
    "sulfate: 61 mg/L}, alkalinity: 40 mg/L as CaCO3"
)


@pytest.mark.parametrize("judge", [conductivity_gap, solids_gap])
def test_only_an_analysis_of_its_own_is_compared(judge) -> None:
    assert judge(_analysis(f"{SEASON}, {WHOLE}}}", season=True)) is not None
    assert judge(_analysis(f"{SEASON}}}", season=True)) is None
    partial = f"{SEASON}, ions: {{calcium: 56 mg/L}}}}"
    assert judge(_analysis(partial, season=True)) is None
    lines = ("conductivity: 900 µS/cm", "dissolved_solids: 9 mg/L")
    assert judge(_analysis(*lines)) is not None
    assert judge(_analysis(*lines, without=("  sulfate", "sulfate"))) is None
    assert judge(_analysis(*lines, without=("alkalinity",))) is None
