"""Sheets of texts, for the tests."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from tests.cli.test_check import WATER
from waterlint.linter import Options
from waterlint.output.sheet import Line, Sheet, Step
from waterlint.remedy.situation import Situation, situations
from waterlint.sheet.build import make_sheet
from waterlint.units import Quantity

OPTIONS = Options(today=date(2026, 10, 1))

RECIPE = """\
waterlint: recipe/1
name: Weir House porter
batch: {volume: 20 L, boil: 60 min, evaporation: 3 L, losses: 1 L}
water:
  mash:   {volume: 14 L, from: waters/well.yaml, treat: carbon-filtered}
  sparge:
    volume: 14 L
    from: [{water: waters/well.yaml, share: 75 %}, {water: distilled, share: 25 %}]
mash: {mill_gap: 1.1 mm, temperature: 66 °C}
grist:
  - {malt: pale malt, kind: pale,    mass: 4.0 kg, color: 5 EBC}
  - {malt: chocolate, kind: roasted, mass: 300 g,  color: 900 EBC}
additions:
"""

FILES = {"waters/well.yaml": WATER}


def situation_of(text: str, path: str = "a.yaml") -> Situation:
    """The only recipe of a text that stands in a made tree."""
    (found,) = situations(text, Path(path), OPTIONS, "warning")
    assert isinstance(found, Situation)
    return found


def sheet_of(text: str, batch: str | None = None) -> Sheet:
    """The sheet of a text's only recipe, for its own batch or for so many litres."""
    size = None if batch is None else Quantity(float(batch), "L", text=f"{batch} L")
    return make_sheet(situation_of(text), size)


def step(sheet: Sheet, place: str) -> Step:
    (found,) = (each for each in sheet.steps if each.place == place)
    return found


def line(sheet: Sheet, pointer: str) -> Line:
    (found,) = (each for step in sheet.steps for each in step.lines if each.pointer == pointer)
    return found
