"""A water that several vessels share is one variable, whatever was drawn before."""

from __future__ import annotations

from dataclasses import replace

import pytest

from waterlint.model.recipe import Recipe
from waterlint.prediction import builtin, sources
from waterlint.prediction.predict import predict
from waterlint.prediction.vessels import Sources

from .brew import CATALOG, TAP, analysis, recipe, report, vessel

HARD = TAP | {"calcium": 108.0, "magnesium": 15.0, "sulfate": 46.0}

SHARED = {
    "as it is": recipe(vessel("mash", 15.0), vessel("sparge", 14.0, ("hard", 0.7), ("tap", 0.3))),
    "treated": recipe(
        vessel("mash", 15.0, ("tap", 0.5), ("hard", 0.5), treat=("boiled",)),
        vessel("sparge", 10.0, ("hard", 1.0)),
        vessel("kettle", 4.0, ("tap", 0.5), ("hard", 0.5), treat=("boiled",)),
    ),
    "built in": recipe(
        vessel("mash", 15.0, ("reverse-osmosis", 1.0)),
        vessel("sparge", 14.0, ("distilled", 0.5), ("reverse-osmosis", 0.5)),
    ),
}


def _figures(made: Recipe) -> dict[str, tuple[float, float]]:
    # Reports that nobody has drawn yet.
    waters = {"tap": report(analysis(ph=7.4)), "hard": report(analysis(HARD, ph=7.3))}
    batch = predict(made, waters, CATALOG).batch_water
    assert batch is not None
    figures = {**batch.ions, "alkalinity": batch.alkalinity}
    return {name: (figure.value, figure.sd) for name, figure in figures.items()}


@pytest.mark.parametrize("made", SHARED.values(), ids=SHARED)
def test_what_was_drawn_before_changes_nothing(
    made: Recipe, monkeypatch: pytest.MonkeyPatch
) -> None:
    usual = _figures(made)
    # Each water that is drawn makes the one before forgotten, as after many reports of a house.
    monkeypatch.setattr(sources, "_DRAWN", {})
    monkeypatch.setattr(sources, "_DRAWN_AT_MOST", 1)
    monkeypatch.setattr(builtin, "_MADE", {})
    monkeypatch.setattr(builtin, "_MADE_AT_MOST", 1)
    assert _figures(made) == usual


def test_however_many_reports_were_drawn_before() -> None:
    usual = _figures(SHARED["as it is"])
    for number in range(sources._DRAWN_AT_MOST + 1):
        sources.draw(report(analysis(TAP | {"calcium": 40.0 + number}, ph=7.4)))
        assert _figures(SHARED["as it is"]) == usual, number


def test_two_references_to_one_report_are_one_water() -> None:
    tap = report(analysis(ph=7.4))
    drawn = Sources({"tap": tap, "./tap": tap, "other": replace(tap, name="Other")}.get)
    assert drawn.draw("tap") is drawn.draw("./tap")
    assert drawn.draw("tap") is not drawn.draw("other")
    assert drawn.draw("none") == "the water 'none' is not known"
