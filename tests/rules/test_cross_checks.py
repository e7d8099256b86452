"""A report's sums against their parts: where they fire, at their limits, and what passes."""

from __future__ import annotations

import pytest

from waterlint.project.config import Settings
from waterlint.rules.agreement import conductivity_gap, solids_gap
from waterlint.rules.samples import report

from .making import findings_of, levels_and_pointers, report_case

# The sound report has a hardness of 164.555 mg/L as CaCO3 by Ca 56 and Mg 6 mg/L; rounding of
# the two may move that by 0.5 (2.4971 + 4.1178) = 3.307, and of a whole number by 0.5.
HIGHEST_HARDNESS = 164.555 * 1.05 + 3.307 + 0.5
LOWEST_HARDNESS = 164.555 * 0.95 - 3.307 - 0.5
WARNING = "warning"


def _found(name: str, *changes: str, without: tuple[str, ...] = ()) -> list[tuple[str, str]]:
    return levels_and_pointers(findings_of(report_case(report(*changes, without=without)), name))


@pytest.mark.parametrize(
    ("changes", "fires"),
    [
        pytest.param(["hardness: 165 mg/L as CaCO3"], False, id="agrees"),
        pytest.param(["hardness: 9.2 °dH"], False, id="German degrees"),
        pytest.param(["hardness: 1.64 mmol/L"], False, id="millimoles count twice"),
        pytest.param([f"hardness: {int(HIGHEST_HARDNESS)} mg/L as CaCO3"], False, id="at the top"),
        pytest.param([f"hardness: {int(HIGHEST_HARDNESS) + 1} mg/L"], True, id="over the top"),
        pytest.param([f"hardness: {int(LOWEST_HARDNESS) + 1} mg/L"], False, id="at the bottom"),
        pytest.param([f"hardness: {int(LOWEST_HARDNESS)} mg/L"], True, id="under the bottom"),
        pytest.param(["hardness: 9.2 mg/L as CaCO3"], True, id="degrees taken for mg/L"),
        pytest.param(
            ["  calcium: 1.2 mg/L", "  magnesium: < 1 mg/L", "hardness: 3 mg/L as CaCO3"],
            False,
            id="what is below detection may be nothing",
        ),
        pytest.param(
            ["  calcium: 3 mg/L", "  magnesium: 0 mg/L", "hardness: 8.6 mg/L as CaCO3"],
            False,
            id="rounding of small figures",
        ),
        pytest.param(
            ["seasons:\n  - {sampled: 2025-08-02, hardness: 300 mg/L as CaCO3}"],
            False,
            id="a season without its calcium and magnesium",
        ),
    ],
)
def test_hardness(changes: list[str], fires: bool) -> None:
    expected = [(WARNING, "/hardness")] if fires else []
    assert _found("hardness-disagrees", *changes) == expected


def test_hardness_of_a_season_with_parts_of_its_own() -> None:
    season = (
        "seasons:\n  - {sampled: 2025-08-02, hardness: 300 mg/L as CaCO3, "
        "ions: {calcium: 56 mg/L, magnesium: 6 mg/L}}"
    )
    assert _found("hardness-disagrees", season) == [(WARNING, "/seasons/0/hardness")]


@pytest.mark.parametrize(
    ("written", "help"),
    [
        ("9.2 mg/L as CaCO3", "If the hardness is given in °dH, write `9.2 °dH`."),
        ("16.5 mg/L as CaCO3", "If the hardness is given in °fH, write `16.5 °fH`."),
        ("11.5 mg/L as CaCO3", "If the hardness is given in °e, write `11.5 °e`."),
        ("9.61 mg/L as CaCO3", "If the hardness is given in gpg, write `9.61 gpg`."),
        ("1.64 mg/L as CaCO3", "If the hardness is given in mmol/L, write `1.64 mmol/L`."),
        ("3.29 mg/L as CaCO3", "If the hardness is given in mEq/L, write `3.29 mEq/L`."),
        ("62 mg/L as CaCO3", "The hardness is the plain sum of the two figures"),
        ("120 mg/L as CaCO3", "Calcium and magnesium cannot be more than the hardness"),
        ("240 mg/L as CaCO3", "Compare the three figures"),
    ],
)
def test_hardness_names_the_likely_slip(written: str, help: str) -> None:
    (finding,) = findings_of(report_case(report(f"hardness: {written}")), "hardness-disagrees")
    assert help in finding.help


def test_hardness_carries_figures_and_places() -> None:
    (finding,) = findings_of(
        report_case(report("hardness: 240 mg/L as CaCO3")), "hardness-disagrees"
    )
    assert (finding.span.line, finding.span.column) == (12, 11)
    assert [(each.span.line, each.span.column) for each in finding.related] == [(6, 12), (7, 14)]
    assert finding.value == 240.0
    assert finding.high == pytest.approx(HIGHEST_HARDNESS, abs=0.01)
    assert "45.8 % more, where 5 % is allowed" in finding.message


@pytest.mark.parametrize(
    ("changes", "without", "fires"),
    [
        pytest.param(["  bicarbonate: 48.8 mg/L"], (), False, id="agrees"),
        pytest.param(["  bicarbonate: 40 mg/L"], (), True, id="one number for both"),
        pytest.param(["  bicarbonate: 24 mg/L"], (), True, id="given as carbonate"),
        # 3 % of 41.834 mg/L as CaCO3, and 0.541 for rounding: 40 is allowed, 39 is not.
        pytest.param(["  bicarbonate: 51 mg/L"], (), False, id="within the limit"),
        pytest.param(
            ["  bicarbonate: 51 mg/L", "alkalinity: 39 mg/L as CaCO3"], (), True, id="beyond it"
        ),
        pytest.param(
            ["  bicarbonate: 110.9 mg/L", "ph: 9.0", "alkalinity: 100 mg/L as CaCO3"],
            (),
            False,
            id="carbonate that the pH asks for",
        ),
        pytest.param(
            ["  bicarbonate: 110.9 mg/L", "ph: 7.0", "alkalinity: 100 mg/L as CaCO3"],
            (),
            True,
            id="carbonate that the pH has no room for",
        ),
        pytest.param(
            ["  bicarbonate: 110.9 mg/L\n  carbonate: 5.1 mg/L", "alkalinity: 100 mg/L as CaCO3"],
            (),
            False,
            id="carbonate stated",
        ),
        pytest.param(["  bicarbonate: 90 mg/L"], ("alkalinity",), False, id="only one of the two"),
    ],
)
def test_alkalinity(changes: list[str], without: tuple[str, ...], fires: bool) -> None:
    expected = [(WARNING, "/alkalinity")] if fires else []
    assert _found("alkalinity-disagrees", *changes, without=without) == expected


@pytest.mark.parametrize(
    ("bicarbonate", "help"),
    [
        ("40 mg/L", "The two figures are the same number"),
        ("24 mg/L", "fits if it is given as carbonate (CO3)"),
        ("70 mg/L", "Write the one that the laboratory measured"),
    ],
)
def test_alkalinity_names_the_likely_slip(bicarbonate: str, help: str) -> None:
    text = report(f"  bicarbonate: {bicarbonate}")
    (finding,) = findings_of(report_case(text), "alkalinity-disagrees")
    assert help in finding.help


def test_a_season_takes_no_bicarbonate_beside_its_own_alkalinity() -> None:
    season = "seasons:\n  - {sampled: 2025-08-02, alkalinity: 44 mg/L as CaCO3}"
    assert _found("alkalinity-disagrees", "  bicarbonate: 48.8 mg/L", season) == []


# The sound report conducts 425.71 µS/cm and dries to 217.98 mg/L, 242.77 with all bicarbonate.
@pytest.mark.parametrize(
    ("changes", "fires"),
    [
        pytest.param(["conductivity: 426 µS/cm"], False, id="agrees"),
        pytest.param(["conductivity: 0.43 mS/cm"], False, id="millisiemens"),
        pytest.param(["conductivity: 489.5 µS/cm"], False, id="just within"),
        pytest.param(["conductivity: 489.7 µS/cm"], True, id="just beyond"),
        pytest.param(["conductivity: 361.5 µS/cm"], True, id="just below"),
        pytest.param(["conductivity: 383 µS/cm at 20 °C"], False, id="at 20 °C"),
        pytest.param(["conductivity: 426 µS/cm", "silica: 30 mg/L"], False, id="silica is none"),
        pytest.param(
            ["seasons:\n  - {sampled: 2025-08-02, conductivity: 900 µS/cm}"],
            False,
            id="a season without its ions",
        ),
    ],
)
def test_conductivity(changes: list[str], fires: bool) -> None:
    expected = [(WARNING, "/conductivity")] if fires else []
    assert _found("conductivity-disagrees", *changes) == expected


@pytest.mark.parametrize(
    ("changes", "fires"),
    [
        pytest.param(["dissolved_solids: 218 mg/L"], False, id="a dried residue"),
        pytest.param(["dissolved_solids: 243 mg/L"], False, id="a sum of ions"),
        pytest.param(["dissolved_solids: 279 mg/L"], False, id="just within"),
        pytest.param(["dissolved_solids: 280 mg/L"], True, id="just beyond"),
        pytest.param(["dissolved_solids: 184 mg/L"], True, id="just below"),
        pytest.param(
            ["dissolved_solids: 280 mg/L", "silica: 20 mg/L"], False, id="silica is in the residue"
        ),
    ],
)
def test_solids(changes: list[str], fires: bool) -> None:
    expected = [(WARNING, "/dissolved_solids")] if fires else []
    assert _found("solids-disagree", *changes) == expected


def test_balance_speaks_for_conductivity_and_solids() -> None:
    # Sulfate given as sulfur: the conductivity and solids of the real water disagree with it too.
    text = report("  calcium: 107 mg/L", "conductivity: 640 µS/cm", "dissolved_solids: 390 mg/L")
    assert [each.rule for each in findings_of(report_case(text))] == ["ion-balance"]
    silent = Settings(levels={"ion-balance": "off"})
    assert {each.rule for each in findings_of(report_case(text, settings=silent))} >= {
        "conductivity-disagrees"
    }


def test_conductivity_that_the_balance_does_not_explain_is_told_beside_it() -> None:
    text = report("  calcium: 76 mg/L", "conductivity: 1900 µS/cm")
    names = [each.rule for each in findings_of(report_case(text))]
    assert names == ["ion-balance", "conductivity-disagrees"]


def test_conductivity_speaks_for_solids_off_to_the_same_side() -> None:
    text = report("conductivity: 700 µS/cm", "dissolved_solids: 450 mg/L")
    assert [each.rule for each in findings_of(report_case(text))] == ["conductivity-disagrees"]
    text = report("conductivity: 700 µS/cm", "dissolved_solids: 120 mg/L")
    assert len(findings_of(report_case(text))) == 2


def test_a_ten_fold_slip_is_told_once() -> None:
    text = report(
        "  chloride: 6000 mg/L",
        "  bicarbonate: 30 mg/L",
        "hardness: 16.5 mg/L as CaCO3",
        "conductivity: 426 µS/cm",
        "dissolved_solids: 218 mg/L",
    )
    assert [each.rule for each in findings_of(report_case(text))] == ["implausible-quantity"]


def test_a_hardness_of_nothing_has_no_percentage() -> None:
    text = report("  calcium: 0 mg/L", "  magnesium: 0 mg/L", "hardness: 90 mg/L as CaCO3")
    (finding,) = findings_of(report_case(text), "hardness-disagrees")
    assert "make 0" in finding.message and "%" not in finding.message


# With calcium at 107 mg/L the charges are 6.312 and 3.763 mEq/L, 1.2530 and 0.7470 of their mean.
# A sum that fits either of them within 15 % is explained; beyond, it is told besides.
@pytest.mark.parametrize(
    ("name", "key", "judge"),
    [
        ("conductivity-disagrees", "conductivity: {:.2f} µS/cm", conductivity_gap),
        ("solids-disagree", "dissolved_solids: {:.2f} mg/L", solids_gap),
    ],
)
def test_what_the_balance_explains(name: str, key: str, judge) -> None:
    def found(value: float) -> bool:
        text = report("  calcium: 107 mg/L", key.format(value))
        return bool(_told(text, name))

    case = report_case(report("  calcium: 107 mg/L", key.format(9.0)))
    assert case.report is not None
    gap = judge(case.report.main)
    for bound, sign in ((0.7470 * 0.85 * gap.low, 1), (1.2530 * 1.15 * gap.high, -1)):
        assert not found(bound * (1.0 + 0.001 * sign))
        assert found(bound * (1.0 - 0.001 * sign))


def _told(text: str, name: str, silent: str = "") -> list[str]:
    settings = Settings(levels={silent: "off"} if silent else {})
    return [each.message for each in findings_of(report_case(text, settings=settings), name)]


def test_conductivity_that_is_off_tells_nothing_for_solids() -> None:
    text = report("conductivity: 700 µS/cm", "dissolved_solids: 450 mg/L")
    assert not _told(text, "solids-disagree")
    assert _told(text, "solids-disagree", silent="conductivity-disagrees")


def test_a_ten_fold_slip_that_is_not_told_hides_no_sum() -> None:
    text = report("  calcium: 5600 mg/L", "hardness: 165 mg/L as CaCO3")
    assert not _told(text, "hardness-disagrees")
    assert _told(text, "hardness-disagrees", silent="implausible-quantity")


def test_which_way_a_sum_is_off() -> None:
    (less,) = _told(report("conductivity: 300 µS/cm"), "conductivity-disagrees")
    (more,) = _told(report("conductivity: 620 µS/cm"), "conductivity-disagrees")
    assert "29.5 % less, where 15 % is allowed" in less
    assert "45.6 % more, where 15 % is allowed" in more
