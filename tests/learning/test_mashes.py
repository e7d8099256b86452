"""What a recipe's reading has to tell: its pH at 25 °C, what is open, what is left in doubt."""

from __future__ import annotations

from collections.abc import Callable
from math import hypot
from pathlib import Path

import pytest

from tests.cli.test_check import WATER
from waterlint.chemistry.mash import mash_ph
from waterlint.learning.mashes import Label, LeftOut, Mash, measured_mash
from waterlint.linter import Linter
from waterlint.prediction.result import Figure

Tree = Callable[..., Path]

RECIPE = """\
waterlint: recipe/1
name: Pound Lock bitter
batch: {volume: 20 L}
water: {mash: {volume: 15 L, from: waters/well.yaml}}
grist:
"""
PALE = "  - {malt: Pale  MALT, kind: pale, mass: 4 kg}\n"
READ = "measured: {mash_ph: {value: 5.6, temperature: 25 °C}}\n"


def told(tree: Tree, text: str) -> tuple[Mash | LeftOut | None, Figure | None]:
    """What the only recipe of a text tells, and what is predicted for it."""
    folder = tree({"waters/well.yaml": WATER, "a.yaml": RECIPE + text})
    (case,) = Linter().cases(folder / "a.yaml")
    assert case.recipe is not None and case.prediction is not None
    waters = {name: used.report for name, used in case.waters.items() if used.report is not None}
    mash = case.prediction.mash
    found = measured_mash(case.recipe, waters, case.catalog, case.settings.scale)
    return found, None if mash is None else mash.ph


def mash_of(tree: Tree, text: str) -> tuple[Mash, Figure]:
    found, predicted = told(tree, text)
    assert isinstance(found, Mash) and predicted is not None
    return found, predicted


def test_an_open_malts_own_spread_is_not_in_the_doubt(tree: Tree) -> None:
    mash, predicted = mash_of(tree, PALE + READ)
    assert mash.labels == (Label("pale", "pale malt", "pale"),)
    result = mash_ph(mash.inputs)
    assert result.ph == pytest.approx(predicted.value)
    own = result.sensitivities.acidities[0] * mash.inputs.malts[0].acidity_sd
    # Its buffering stays in doubt: that is not learned.
    assert mash.sd**2 == pytest.approx(predicted.sd**2 - own**2, rel=1e-6)


def test_a_known_malts_spread_is(tree: Tree) -> None:
    known = PALE.replace("4 kg", "4 kg, di_ph: 5.70 ± 0.06")
    roast = "  - {malt: black, kind: roasted, mass: 300 g}\n"
    mash, predicted = mash_of(tree, known + READ)
    assert mash.labels == (None,)
    assert mash.sd == pytest.approx(predicted.sd, rel=1e-6)
    mash, predicted = mash_of(tree, known + roast + READ)
    assert mash.labels == (None, Label("roasted", "black", "roasted"))
    own = mash_ph(mash.inputs).sensitivities.acidities[1] * mash.inputs.malts[1].acidity_sd
    assert mash.sd**2 == pytest.approx(predicted.sd**2 - own**2, rel=1e-6)


def test_the_readings_own_spread_is(tree: Tree) -> None:
    bare, _ = mash_of(tree, PALE + READ)
    spread, _ = mash_of(tree, PALE + READ.replace("5.6", "5.6 ± 0.04"))
    assert spread.sd == pytest.approx(hypot(bare.sd, 0.04))


def test_a_hot_reading_is_brought_to_25_degrees(tree: Tree) -> None:
    bare, _ = mash_of(tree, PALE + READ)
    hot, _ = mash_of(tree, PALE + READ.replace("25 °C", "65 °C"))
    # 40 K at 0.0055 pH/K.
    assert (bare.ph, hot.ph) == (5.6, pytest.approx(5.82))
    assert (bare.warmer, hot.warmer) == (0.0, 40.0)
    # That this is not known well is the same in all mashes, and none of one's own doubt.
    assert hot.sd == bare.sd


def test_what_is_not_in_the_mash_has_no_part(tree: Tree) -> None:
    rest = (
        "  - {malt: candy, kind: sugar, mass: 500 g}\n"
        "  - {malt: black, kind: roasted, mass: 300 g, late: true}\n"
        "  - {malt: amber, kind: crystal, mass: 300 g, color: 90 EBC}\n"
    )
    mash, _ = mash_of(tree, PALE + rest + READ)
    assert [label and label.name for label in mash.labels] == ["pale malt", "amber"]
    assert mash.colors == (None, 90.0)
    assert [malt.mass for malt in mash.inputs.malts] == [4.0, 0.3]


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        (PALE + READ.replace(", temperature: 25 °C", ""), "its sample's temperature is not"),
        (PALE.replace("4 kg", "40 kg") + READ, "its pH is not predicted: 0.375 L/kg is outside"),
        (PALE.replace("kind: pale", "kind: crystal") + READ, "its pH is not predicted: the mash"),
    ],
)
def test_what_tells_nothing_says_why(tree: Tree, text: str, reason: str) -> None:
    found, _ = told(tree, text)
    assert isinstance(found, LeftOut)
    assert found.reason.startswith(reason)


def test_without_a_reading_there_is_nothing_to_tell(tree: Tree) -> None:
    assert told(tree, PALE)[0] is None
