"""Doses beyond what brewers do at all."""

from __future__ import annotations

import pytest

from waterlint.prediction.result import Contribution, Figure

from .figured import case_of, off, with_water
from .making import findings_of, levels_and_pointers

WARNING = "warning"
RULE = "dose-beyond-practice"
DOSE = "/additions/0/mash"


def _with(ion: str, value: float, own: float, *changes: str, settings=None):
    """A batch with so much of an ion, of which the waters bring `own` and a dose the rest."""
    case = case_of(
        "additions: [{add: gypsum, mash: 1 g, kettle: 2 g}]", *changes, settings=settings
    )
    brought = (
        Contribution("/water/mash/from", "mash", "well", own),
        Contribution(DOSE, "mash", "gypsum", 0.7 * (value - own)),
        Contribution("/additions/0/kettle", "kettle", "gypsum", 0.3 * (value - own)),
    )
    case = with_water(case, "batch", contributions={ion: brought})
    return with_water(case, "batch", {ion: Figure(value, 1.0)})


@pytest.mark.parametrize(
    ("ion", "value", "own", "changes", "fires"),
    [
        ("magnesium", 125.0, 10.0, [], False),
        ("magnesium", 125.1, 10.0, [], True),
        ("sulfate", 500.0, 10.0, [], False),
        ("sulfate", 500.1, 10.0, [], True),
        ("sodium", 200.0, 10.0, [], False),
        ("sodium", 200.1, 10.0, [], True),
        ("lactate", 400.0, 0.0, [], False),
        ("lactate", 400.1, 0.0, [], True),
        ("sodium", 230.0, 210.0, [], False),
        ("sodium", 260.0, 10.0, ["style: gose"], False),
        ("lactate", 900.0, 0.0, ["style: berliner-weisse"], False),
        ("lactate", 900.0, 0.0, ["style: best-bitter"], True),
        ("magnesium", 130.0, 0.0, ["targets: {magnesium: .. 200 mg/L}"], True),
    ],
)
def test_limits(ion: str, value: float, own: float, changes, fires: bool) -> None:
    found = findings_of(_with(ion, value, own, *changes), RULE)
    assert levels_and_pointers(found) == ([(WARNING, DOSE)] if fires else [])


def test_it_replaces_the_plainer_rule_of_the_ion() -> None:
    rules = [
        e.rule for e in findings_of(_with("magnesium", 130.0, 5.0)) if e.quantity == "magnesium"
    ]
    assert rules == [RULE]
    silent = _with("magnesium", 130.0, 5.0, settings=off(RULE))
    assert [each.rule for each in findings_of(silent, "batch-magnesium")] == ["batch-magnesium"]


def test_a_missed_target_is_told_besides() -> None:
    case = _with("magnesium", 130.0, 5.0, "targets: {magnesium: .. 20 mg/L}")
    rules = [each.rule for each in findings_of(case) if each.quantity == "magnesium"]
    assert sorted(rules) == ["batch-magnesium", RULE]


def test_a_water_that_is_so_by_itself_is_no_dose() -> None:
    case = case_of(water=("  sodium: 230 mg/L",))
    rules = [each.rule for each in findings_of(case) if each.quantity == "sodium"]
    assert rules == ["batch-sodium"]


def test_lactate_by_real_doses() -> None:
    # 80 % of 1.1848 g/mL, 89.07 of 90.08 g lactate: 937 mg/mL in 28.5 L
    for amount, fires in (("12 mL", False), ("12.5 mL", True)):
        line = f"additions: [{{add: lactic-acid, strength: 80 %, mash: {amount}}}]"
        found = findings_of(case_of(line), RULE)
        assert bool(found) is fires
        for finding in found:
            assert "lactic-acid in the mash brings" in finding.message
