"""Every slip of unit that a figure allows, with its factor and what to write then."""

from __future__ import annotations

import pytest

from waterlint.rules.samples import report
from waterlint.rules.slips import candidates, has_basis
from waterlint.units import parse

from .making import report_case

# g/mol and mg/mEq: SO4 96.06, S 32.06, NO3 62.004, N 14.007; CaCO3 50.043, HCO3 61.017,
# CO3 30.004, Ca 20.039, Mg 12.1525.
BICARBONATE = 50.043 / 61.017


def _slips(figure: str, line: str, without: tuple[str, ...] = ()) -> list[tuple[float, str, str]]:
    case = report_case(report(line, without=without))
    assert case.report is not None
    return [
        (round(slip.factor, 3), slip.words, slip.remedy)
        for slip in candidates(case.report.main)
        if slip.figure == figure
    ]


@pytest.mark.parametrize(
    ("figure", "written", "factor", "words", "remedy"),
    [
        ("sulfate", "61 mg/L", 2.996, "is given as sulfur", "write `sulfate: 61 mg/L as S`"),
        ("sulfate", "20 mg/L as S", 0.334, "itself and not sulfur", "write `sulfate: 20 mg/L`"),
        ("nitrate", "9 ppm", 4.427, "is given as nitrogen", "write `nitrate: 9 ppm as N`"),
        ("nitrate", "2 mg/L as N", 0.226, "itself and not nitrogen", "write `nitrate: 2 mg/L`"),
        (
            *("calcium", "56 mg/L", 0.4, "is given as calcium carbonate"),
            "write `calcium: 56 mg/L as CaCO3`",
        ),
        (
            *("calcium", "140 mg/L as CaCO3", 2.497, "calcium itself and not calcium carbonate"),
            "write `calcium: 140 mg/L`",
        ),
        (
            *("magnesium", "6000 µg/L", 0.243, "is given as calcium carbonate"),
            "write `magnesium: 6000 µg/L as CaCO3`",
        ),
        (
            *("magnesium", "25 mg/L as CaCO3", 4.118, "magnesium itself and not calcium"),
            "write `magnesium: 25 mg/L`",
        ),
    ],
)
def test_ions(figure: str, written: str, factor: float, words: str, remedy: str) -> None:
    ((found, said, advice),) = _slips(figure, f"  {figure}: {written}")
    assert found == pytest.approx(factor, abs=0.001)
    assert words in said and advice == remedy


@pytest.mark.parametrize("unit", ["mg/L", "ppm", "\u00b5g/L", "\u03bcg/L", "ug/L"])
def test_all_that_counts_mass_may_be_mistaken(unit: str) -> None:
    assert len(_slips("calcium", f"  calcium: 56000 {unit}")) == 1
    assert not _slips("calcium", "  calcium: 2.8 mEq/L")


@pytest.mark.parametrize(
    ("written", "factor", "remedies"),
    [
        ("100 mg/L as CaCO3", BICARBONATE, ["100 mg/L as HCO3", "3.33 mEq/L"]),
        ("122 mg/L as HCO3", 1.0 / BICARBONATE, ["122 mg/L as CaCO3", "4.07 mEq/L"]),
    ],
)
def test_alkalinity(written: str, factor: float, remedies: list[str]) -> None:
    (basis, carbonate) = _slips("alkalinity", f"alkalinity: {written}")
    # As carbonate the same figure is more: by its basis over 30.004 mg a milliequivalent.
    of = 50.043 if "CaCO3" in written else 61.017
    assert (basis[0], carbonate[0]) == pytest.approx((factor, of / 30.004), abs=0.001)
    assert [basis[2], carbonate[2]] == [f"write `alkalinity: {remedy}`" for remedy in remedies]
    assert "is given as carbonate" in carbonate[1]


def test_bicarbonate_without_alkalinity() -> None:
    alkalinity, carbonate = _slips("bicarbonate", "  bicarbonate: 98.4 mg/L", ("alkalinity",))
    assert alkalinity[0] == pytest.approx(1.0 / BICARBONATE, abs=0.001)
    assert alkalinity[2] == "write `alkalinity: 98.4 mg/L as CaCO3` instead of the bicarbonate"
    assert carbonate[0] == pytest.approx(61.017 / 30.004, abs=0.001)
    assert carbonate[2] == "write `alkalinity: 3.28 mEq/L` instead"
    assert _slips("bicarbonate", "  bicarbonate: 98.4 mg/L") == [], "the alkalinity is what counts"


def test_carbonate_without_alkalinity() -> None:
    line = "  bicarbonate: 0 mg/L\n  carbonate: 9 mg/L"
    ((factor, _, remedy),) = _slips("carbonate", line, ("alkalinity",))
    assert factor == pytest.approx(30.004 / 61.017, abs=0.001)
    assert remedy == "name it `bicarbonate` under `ions`"


@pytest.mark.parametrize(
    ("figure", "line"),
    [
        ("alkalinity", "alkalinity: 2 mmol/L"),
        ("alkalinity", "alkalinity: 5 °dH"),
        ("calcium", "  calcium: 1.4 mmol/L"),
        ("sulfate", "  sulfate: 1.2 mEq/L"),
    ],
)
def test_equivalents_and_degrees_leave_nothing_to_mistake(figure: str, line: str) -> None:
    assert _slips(figure, line) == []


@pytest.mark.parametrize(
    ("text", "basis", "expected"),
    [
        ("61 mg/L as S", "S", True),
        ("61 mg/L as SO4", "S", False),
        ("61 mg/L", "S", False),
        ("61 mg/L as S", "N", False),
    ],
)
def test_basis(text: str, basis: str, expected: bool) -> None:
    assert has_basis(parse("concentration", text, "sulfate"), basis) is expected
