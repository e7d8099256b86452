"""The verdict on an ion balance: where it says nothing, and whose fault it is."""

from __future__ import annotations

import pytest

from waterlint.rules.balance import implausible_ions, verdicts
from waterlint.rules.samples import report

from .making import findings_of, report_case

SOFT = ("  magnesium: 0 mg/L", "  sodium: 0 mg/L", "  sulfate: 0 mg/L", "alkalinity: 0 mmol/L")


def _rules(*changes: str) -> list[str]:
    return [each.rule for each in findings_of(report_case(report(*changes)))]


# Chloride of 10 ± 9 mg/L alone leaves 0.254 mEq/L open: twice that is 0.508 mEq/L. The anions are
# 0.282 mEq/L; 15 mg/L of calcium are 0.749 mEq/L, 16 mg/L are 0.798.
@pytest.mark.parametrize(
    ("calcium", "rule"),
    [("15 mg/L", "ion-balance-untestable"), ("16 mg/L", "ion-balance"), ("20 mg/L", "ion-balance")],
)
def test_a_wide_spread_hides_twice_itself(calcium: str, rule: str) -> None:
    assert _rules(*SOFT, f"  calcium: {calcium}", "  chloride: 10 ± 9 mg/L") == [rule]


def test_a_spread_within_the_floor_hides_nothing() -> None:
    # 0.198 mEq/L of spread are no 0.2; the difference of 0.30 mEq/L is told.
    assert _rules(*SOFT, "  calcium: 8 mg/L", "  chloride: 3.5 ± 7 mg/L") == ["ion-balance"]


# The hardness alone says what cations there are beside 0.478 mEq/L of sodium; the anions of
# 3.763 mEq/L are within 5 % of cations from 3.404 to 4.159 mEq/L: a hardness of 146.4 to 184.2.
@pytest.mark.parametrize(
    ("hardness", "told"), [(145, True), (148, False), (183, False), (186, True)]
)
def test_hardness_explains_what_balances_with_it(hardness: int, told: bool) -> None:
    rules = _rules("  calcium: 24 mg/L", f"hardness: {hardness} mg/L as CaCO3")
    assert rules == [*(["ion-balance"] if told else []), "hardness-disagrees"]


# Cations are 3.767 mEq/L, chloride and sulfate 2.963. With bicarbonate and carbonate for the
# alkalinity the charges balance within 5 % from 0.445 to 1.200 mEq/L.
@pytest.mark.parametrize(
    ("bicarbonate", "carbonate", "told"),
    [(24.4, 0, True), (24.4, 12, False), (61, 5.5, False), (61, 6.5, True), (30.5, 0, False)],
)
def test_bicarbonate_and_carbonate_explain_together(
    bicarbonate: float, carbonate: float, told: bool
) -> None:
    ions = f"  bicarbonate: {bicarbonate} mg/L\n  carbonate: {carbonate} mg/L"
    rules = _rules("alkalinity: 140 mg/L as CaCO3", ions)
    assert rules == [*(["ion-balance"] if told else []), "alkalinity-disagrees"]


def test_why_a_balance_cannot_be_judged() -> None:
    case = report_case(report(without=("sodium", "sulfate")))
    assert case.report is not None
    (verdict,) = verdicts(case.report)
    assert verdict.untestable == "the analysis states no sodium, no sulfate"
    assert verdict.level is None and verdict.closures == ()


@pytest.mark.parametrize(("sodium", "expected"), [("2000 mg/L", []), ("2000.5 mg/L", ["sodium"])])
def test_implausible_ions_are_the_analysis_s_own(sodium: str, expected: list[str]) -> None:
    season = "seasons:\n  - {sampled: 2025-08-02, ph: 7.2}"
    case = report_case(report(f"  sodium: {sodium}", season))
    assert case.report is not None
    assert implausible_ions(case.report.main) == expected
    assert (
        implausible_ions(case.report.analyses[-1 if case.report.newest.pointer == "" else 0]) == []
    )
