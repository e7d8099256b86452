"""Ion balance: what fires, at which level and place, and what must stay silent."""

from __future__ import annotations

import pytest

from waterlint.project.config import Settings
from waterlint.rules.samples import report

from .making import findings_of, levels_and_pointers, report_case

#: Cations of the sound report but calcium, and its anions [mEq/L].
_REST_CATIONS = 6 / 12.1525 + 11 / 22.990
_ANIONS = 60 / 35.45 + 61 / 48.028 + 40 / 50.043


def _calcium_for(percent: float) -> str:
    """The line of calcium that gives the sound report this difference of charges."""
    cations = _ANIONS * (100 + percent) / (100 - percent)
    return f"  calcium: {(cations - _REST_CATIONS) * 20.039:.4f} mg/L"


WARNING, NOTE = "warning", "note"


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        pytest.param([], [], id="sound"),
        pytest.param([_calcium_for(4.99)], [], id="just within the note"),
        pytest.param([_calcium_for(5.01)], [(NOTE, "/ions")], id="just beyond the note"),
        pytest.param([_calcium_for(9.99)], [(NOTE, "/ions")], id="just within the warning"),
        pytest.param([_calcium_for(10.01)], [(WARNING, "/ions")], id="just beyond the warning"),
        pytest.param([_calcium_for(-5.01)], [(NOTE, "/ions")], id="anions in excess"),
        pytest.param([_calcium_for(-10.01)], [(WARNING, "/ions")], id="many anions in excess"),
        pytest.param(
            ["  sulfate: 8 mg/L as S"], [(WARNING, "/ions")], id="sulfate short of the sound"
        ),
        pytest.param(["  sulfate: 20.36 mg/L as S"], [], id="sulfate given as sulfur and said so"),
        pytest.param(
            ["  nitrate: 40 mg/L", "  chloride: 37 mg/L"], [], id="nitrate counts as an anion"
        ),
        pytest.param(
            ["  potassium: 42 mg/L", "  chloride: 98 mg/L"], [], id="potassium counts as a cation"
        ),
        pytest.param(
            ["ammonium: 20 mg/L", "fluoride: 3 mg/L", "  chloride: 94 mg/L"],
            [],
            id="charged traces count",
        ),
        pytest.param(
            ["  bicarbonate: 48.8 mg/L"],
            [],
            id="bicarbonate beside alkalinity is not counted twice",
        ),
    ],
)
def test_levels_and_places(changes: list[str], expected: list[tuple[str, str]]) -> None:
    found = findings_of(report_case(report(*changes)), "ion-balance")
    assert levels_and_pointers(found) == expected


def test_bicarbonate_stands_for_alkalinity() -> None:
    text = report("  bicarbonate: 48.8 mg/L", without=["alkalinity"])
    assert findings_of(report_case(text)) == []


@pytest.mark.parametrize(
    ("chloride", "expected"),
    [("4.2 mg/L", []), ("3.3 mg/L", [(WARNING, "/ions")])],
)
def test_soft_water_has_a_floor(chloride: str, expected: list[tuple[str, str]]) -> None:
    # Cations 0.45 mEq/L: 0.15 and 0.18 mEq/L of anions short are far over 10 %, the first two
    # within the floor of 0.2 mEq/L.
    text = report(
        "  calcium: 5 mg/L",
        "  magnesium: 1 mg/L",
        "  sodium: 2.7 mg/L",
        f"  chloride: {chloride}",
        "  sulfate: 2 mg/L",
        "alkalinity: 4.5 mg/L as CaCO3" if expected else "alkalinity: 5 mg/L as CaCO3",
    )
    (finding, *_) = findings_of(report_case(text), "ion-balance") or [None]
    assert ([] if finding is None else [(finding.level, finding.pointer)]) == expected


@pytest.mark.parametrize(
    ("changes", "words", "remedy"),
    [
        pytest.param(
            ["  calcium: 107 mg/L"],
            "If the sulfate is given as sulfur (× 3), the difference is 0.12 %.",
            "write `sulfate: 61 mg/L as S`",
            id="sulfate as sulfur",
        ),
        pytest.param(
            ["  sulfate: 61 mg/L as S"],
            "If the figure is sulfate itself and not sulfur (÷ 3), the difference is 0.064 %.",
            "write `sulfate: 61 mg/L`",
            id="sulfate wrongly said to be sulfur",
        ),
        pytest.param(
            ["  nitrate: 11.3 mg/L", "  chloride: 31.4 mg/L"],
            "If the nitrate is given as nitrogen (× 4.43), the difference is",
            "write `nitrate: 11.3 mg/L as N`",
            id="nitrate as nitrogen",
        ),
        pytest.param(
            ["alkalinity: 240 mg/L as CaCO3", "  calcium: 118 mg/L"],
            "If the alkalinity is given as bicarbonate (÷ 1.22), the difference is",
            "write `alkalinity: 240 mg/L as HCO3`",
            id="bicarbonate taken for alkalinity as CaCO3",
        ),
        pytest.param(
            ["alkalinity: 197 mg/L as HCO3", "  calcium: 118 mg/L"],
            "If the alkalinity is given as calcium carbonate (× 1.22), the difference is",
            "write `alkalinity: 197 mg/L as CaCO3`",
            id="alkalinity as CaCO3 taken for bicarbonate",
        ),
        pytest.param(
            ["  calcium: 140 mg/L"],
            "If the calcium is given as calcium carbonate (÷ 2.5), the difference is",
            "write `calcium: 140 mg/L as CaCO3`",
            id="calcium as CaCO3",
        ),
    ],
)
def test_names_the_slip_that_closes_the_balance(
    changes: list[str], words: str, remedy: str
) -> None:
    (finding,) = findings_of(report_case(report(*changes)), "ion-balance")
    assert words in finding.message
    assert remedy in finding.help


def test_carbonate_given_for_bicarbonate() -> None:
    # 200 mg/L of bicarbonate are 3.278 mEq/L; the same as carbonate is 98.4 mg/L.
    text = report("  bicarbonate: 98.4 mg/L", "  calcium: 106 mg/L", without=["alkalinity"])
    (finding,) = findings_of(report_case(text), "ion-balance")
    assert "If the bicarbonate is given as carbonate (× 2.03)" in finding.message
    assert "write `alkalinity: 3.28 mEq/L` instead" in finding.help


def test_names_no_slip_where_none_closes_it() -> None:
    (finding,) = findings_of(report_case(report("  sodium: 35 mg/L")), "ion-balance")
    assert " If " not in finding.message
    assert not finding.related


def test_equivalents_and_degrees_leave_no_basis_to_mistake() -> None:
    text = report("alkalinity: 4.8 mmol/L", "  calcium: 118 mg/L")
    (finding,) = findings_of(report_case(text), "ion-balance")
    assert "alkalinity is given" not in finding.message + finding.help


def test_finding_carries_figures_basis_and_the_suspect() -> None:
    case = report_case(report("  calcium: 107 mg/L"))
    (finding,) = findings_of(case, "ion-balance")
    assert (finding.span.line, finding.span.column) == (5, 1)  # the key `ions`
    assert finding.value == pytest.approx(25.3, abs=0.1)
    assert (finding.low, finding.high, finding.unit) == (-10.0, 10.0, "%")
    assert "laboratory" in finding.basis
    assert "100 (C − A)/(C + A)" in finding.message
    (suspect,) = finding.related
    assert (suspect.span.line, suspect.span.column) == (10, 12)  # the figure of the sulfate


def test_says_where_the_stated_spread_reaches_within_the_limit() -> None:
    (finding,) = findings_of(report_case(report("  calcium: 73 ± 8 mg/L")), "ion-balance")
    assert finding.level == "warning"
    assert "and within the limit" in finding.message
    assert finding.value is not None and finding.value_low is not None
    assert finding.value_low < 10.0 < finding.value


SEASON = "seasons:\n  - {sampled: 2025-08-02, %s}"
WHOLE = (
    "ions: {calcium: %s, magnesium: 6 mg/L, sodium: 11 mg/L, chloride: 60 mg/L, "
    "sulfate: 61 mg/L}, alkalinity: 40 mg/L as CaCO3"
)


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        pytest.param([SEASON % (WHOLE % "56 mg/L")], [], id="whole and sound"),
        pytest.param(
            [SEASON % (WHOLE % "64 mg/L")], [(NOTE, "/seasons/0/ions")], id="whole and off"
        ),
        pytest.param(
            [SEASON % "ions: {calcium: 64 mg/L}"], [], id="partial: a few percent say nothing"
        ),
        pytest.param(
            [SEASON % "ions: {calcium: 80 mg/L}"],
            [(WARNING, "/seasons/0/ions")],
            id="partial: a gross difference is told",
        ),
        pytest.param(
            [SEASON % "alkalinity: 90 mg/L as CaCO3"],
            [(WARNING, "/seasons/0")],
            id="partial, without ions of its own",
        ),
        pytest.param([SEASON % "ph: 7.9"], [], id="no ion of its own"),
        pytest.param(
            ["  calcium: 80 mg/L", SEASON % "ions: {sodium: 12 mg/L}"],
            [(WARNING, "/ions")],
            id="the main one's fault is not told twice",
        ),
        pytest.param(
            ["  calcium: 80 mg/L", SEASON % (WHOLE % "80 mg/L")],
            [(WARNING, "/ions"), (WARNING, "/seasons/0/ions")],
            id="each whole analysis answers for itself",
        ),
    ],
)
def test_seasons(changes: list[str], expected: list[tuple[str, str]]) -> None:
    found = findings_of(report_case(report(*changes)), "ion-balance")
    assert levels_and_pointers(found) == expected


@pytest.mark.parametrize(
    ("changes", "instead"),
    [
        pytest.param(
            ["  calcium: 24 mg/L", "hardness: 165 mg/L as CaCO3"],
            "hardness-disagrees",
            id="the hardness names calcium or magnesium",
        ),
        pytest.param(
            ["alkalinity: 140 mg/L as CaCO3", "  bicarbonate: 48.8 mg/L"],
            "alkalinity-disagrees",
            id="the bicarbonate names the alkalinity",
        ),
        pytest.param(
            ["  calcium: 5600 mg/L"], "implausible-quantity", id="a ten-fold slip is told as such"
        ),
    ],
)
def test_stands_aside_where_another_rule_names_the_figure(changes: list[str], instead: str) -> None:
    text = report(*changes)
    assert [finding.rule for finding in findings_of(report_case(text))] == [instead]
    silent = Settings(levels={instead: "off"})
    assert len(findings_of(report_case(text, settings=silent), "ion-balance")) == 1


def test_speaks_beside_a_hardness_that_explains_nothing() -> None:
    text = report("  sodium: 70 mg/L", "hardness: 200 mg/L as CaCO3")
    names = [finding.rule for finding in findings_of(report_case(text))]
    assert names == ["ion-balance", "hardness-disagrees"]


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        pytest.param(["  sodium: < 50 mg/L"], [(NOTE, "/ions")], id="sodium only bounded"),
        pytest.param(
            ["  sodium: < 4 mg/L", "  calcium: 63 mg/L"], [], id="bound that counts little"
        ),
        pytest.param(["  chloride: 60 ± 35 mg/L"], [(NOTE, "/ions")], id="a wide spread"),
        pytest.param(["uncertainty: 5 %"], [], id="usual uncertainty"),
        pytest.param(["uncertainty: 15 %"], [], id="uncertainty that still tells"),
        pytest.param(["uncertainty: 30 %"], [(NOTE, "/ions")], id="uncertainty that tells nothing"),
        pytest.param(
            [SEASON % (WHOLE % "< 70 mg/L")], [(NOTE, "/seasons/0/ions")], id="a season's own"
        ),
    ],
)
def test_untestable(changes: list[str], expected: list[tuple[str, str]]) -> None:
    found = findings_of(report_case(report(*changes)))
    assert [finding.rule for finding in found] == ["ion-balance-untestable"] * len(expected)
    assert levels_and_pointers(found) == expected


def test_gross_difference_speaks_through_a_wide_spread() -> None:
    text = report("  chloride: 20 ± 18 mg/L", "  calcium: 160 mg/L")
    assert [finding.rule for finding in findings_of(report_case(text))] == ["ion-balance"]
