"""Measured against predicted mash pH."""

from __future__ import annotations

from dataclasses import replace

import pytest

from waterlint.prediction.result import Figure, MashFigures
from waterlint.rules.registry import Case
from waterlint.rules.samples import recipe, report

from .making import findings_of, levels_and_pointers, recipe_case

DISAGREES, TEMPERATURE = "measured-ph-disagrees", "measured-ph-temperature"
POINTER = "/measured/mash_ph/value"


def _case(measured: str, ph: Figure | None = None) -> Case:
    """A recipe with a reading, predicted at 5.50 ± 0.06 unless said otherwise."""
    case = recipe_case(recipe(f"measured: {{mash_ph: {{{measured}}}}}"), {"well.yaml": report()})
    assert case.prediction is not None
    mash = MashFigures(ph or Figure(5.5, 0.06), 3.3)
    return replace(case, prediction=replace(case.prediction, mash=mash))


@pytest.mark.parametrize(
    ("measured", "fires"),
    [
        pytest.param("value: 5.50, temperature: 25 °C", False, id="the same"),
        pytest.param("value: 5.62, temperature: 25 °C", False, id="two spreads to the digit"),
        pytest.param("value: 5.63, temperature: 25 °C", True, id="just more, above"),
        pytest.param("value: 5.38, temperature: 25 °C", False, id="two spreads below"),
        pytest.param("value: 5.37, temperature: 25 °C", True, id="just more, below"),
        pytest.param(
            "value: 5.63 ± 0.05, temperature: 25 °C", False, id="the reading's own spread"
        ),
        # 65 °C: 0.22 lower than cooled, and 0.08 less certain: 5.5 ± 0.2 is 5.08 to 5.48 there
        pytest.param("value: 5.28, temperature: 65 °C", False, id="hot, and as predicted"),
        pytest.param("value: 5.10, temperature: 65 °C", False, id="hot, within"),
        pytest.param("value: 5.07, temperature: 65 °C", True, id="hot, too low"),
        pytest.param("value: 5.50, temperature: 149 °F", True, id="hot, too high"),
        pytest.param("value: 6.5", False, id="without temperature it is not judged"),
    ],
)
def test_disagreement(measured: str, fires: bool) -> None:
    found = findings_of(_case(measured), DISAGREES)
    assert levels_and_pointers(found) == ([("warning", POINTER)] if fires else [])


def test_without_a_prediction_there_is_nothing_to_compare() -> None:
    case = recipe_case(recipe("measured: {mash_ph: {value: 6.5, temperature: 25 °C}}"))
    assert findings_of(case, DISAGREES) == []


def test_disagreement_carries_its_figures() -> None:
    (finding,) = findings_of(_case("value: 5.07, temperature: 65 °C"), DISAGREES)
    assert "measured as 5.07 at 65 °C (5.29 at 25 °C), while 5.5 ± 0.1 is predicted" in (
        finding.message
    )
    assert finding.value == pytest.approx(5.29)
    assert (finding.low, finding.high) == (pytest.approx(5.3), pytest.approx(5.7))
    assert (finding.span.line, finding.span.column) == (11, 29)
    (finding,) = findings_of(_case("value: 5.8, temperature: 25 °C"), DISAGREES)
    assert "at 25 °C, while" in finding.message


@pytest.mark.parametrize(
    ("measured", "expected"),
    [
        ("value: 5.5", [("note", POINTER)]),
        ("value: 5.5, temperature: 20 °C", []),
        ("value: 5.5, temperature: 150 °F", []),
    ],
)
def test_temperature(measured: str, expected: list[tuple[str, str]]) -> None:
    assert levels_and_pointers(findings_of(_case(measured), TEMPERATURE)) == expected


def test_recipes_without_a_reading_are_silent() -> None:
    case = recipe_case(recipe(), {"well.yaml": report()})
    assert findings_of(case, DISAGREES) == findings_of(case, TEMPERATURE) == []
