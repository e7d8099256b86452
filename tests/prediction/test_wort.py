"""What reaches the fermenter."""

from __future__ import annotations

import pytest

from waterlint.catalog.house import house_malt
from waterlint.model.recipe import Batch
from waterlint.prediction.result import Prediction, WortFigures

from .brew import CATALOG, add, brew, malt, q, vessel

GRIST = (malt(0, "pale", 4.5, color=6.0), malt(1, "roasted", 0.5, color=1000.0, late=True))


def _batch(liters: float, evaporation: float | None = None, losses: float | None = None) -> Batch:
    return Batch(
        q(liters, "L"),
        evaporation=None if evaporation is None else q(evaporation, "L"),
        losses=None if losses is None else q(losses, "L"),
    )


def _wort(predicted: Prediction) -> WortFigures:
    assert predicted.wort is not None, predicted.gaps
    return predicted.wort


def test_the_way_of_the_sodium() -> None:
    # 15 + 15 L of distilled water, 2 g of table salt in the mash, 1 g in the sparge and 1 g in the
    # kettle: 786.79, 393.39 and 393.39 mg sodium. 5 kg of grain (late grain too) keep 5 of 30 L:
    # 5/6 of the first 1180.18 reach the kettle, 983.48. 25 L before the boil, 22 after it: 1376.87
    # / 22 = 62.58 mg/L. 1 L stays behind: 21 L with 1314.27 mg. 4 L of distilled water and 0.5 g
    # join them: (1314.27 + 196.70) / 25 = 60.44.
    predicted = brew(
        vessel("mash", 15.0, ("distilled", 1.0)),
        vessel("sparge", 15.0, ("distilled", 1.0)),
        vessel("fermenter", 4.0, ("distilled", 1.0)),
        additions=(add(0, "table-salt", mash=(3.0, "g"), kettle=(1.0, "g"), fermenter=(0.5, "g")),),
        grist=GRIST,
        batch=_batch(25.0, evaporation=3.0, losses=1.0),
    )
    wort = _wort(predicted)
    assert wort.volume_l == pytest.approx(25.0)
    assert wort.ions["sodium"].value == pytest.approx(60.44, abs=0.01)


def test_kettle_water_joins_before_the_boil() -> None:
    # 20 L less 5 L, and 10 L in the kettle: 25 L, boiled to 20. Nothing but tap water, of which
    # 15 + 10 of 25 L come along: concentrated by 25/20.
    predicted = brew(
        vessel("mash", 20.0),
        vessel("kettle", 10.0),
        grist=GRIST,
        batch=_batch(20.0, evaporation=5.0, losses=0.0),
    )
    wort = _wort(predicted)
    assert wort.volume_l == pytest.approx(20.0)
    assert wort.ions["calcium"].value == pytest.approx(42.0 * 25.0 / 20.0)


def test_without_evaporation_the_batch_says_how_much_is_left() -> None:
    # 30 L less 5: 25 before the boil; 20 L of beer and 2 L lost leave 22 after it
    predicted = brew(vessel("mash", 30.0), grist=GRIST, batch=_batch(20.0, losses=2.0))
    wort = _wort(predicted)
    assert wort.volume_l == pytest.approx(20.0)
    assert wort.ions["calcium"].value == pytest.approx(42.0 * 25.0 / 22.0)


def test_losses_that_are_not_stated_follow_from_the_batch() -> None:
    predicted = brew(vessel("mash", 30.0), grist=GRIST, batch=_batch(20.0, evaporation=3.0))
    wort = _wort(predicted)
    assert wort.volume_l == pytest.approx(20.0)
    assert wort.ions["calcium"].value == pytest.approx(42.0 * 25.0 / 22.0)


@pytest.mark.parametrize("kind", ["sugar", "extract"])
def test_what_dissolves_leaves_no_grain_by_whatever_name(kind: str) -> None:
    own = house_malt("own-product", kind, "the maker's sheet")
    worts = []
    for name in (kind, own.name):
        predicted = brew(
            vessel("mash", 30.0),
            grist=(*GRIST, malt(2, name, 1.0, color=10.0)),
            batch=_batch(20.0, evaporation=3.0),
            additions=(add(0, "table-salt", kettle=(1.0, "g")),),
            catalog=CATALOG.extended(malts={own.name: own}),
        )
        worts.append(_wort(predicted))
    assert worts[0] == worts[1]


def test_extract_leaves_no_grain() -> None:
    predicted = brew(
        vessel("kettle", 24.0),
        grist=(malt(0, "extract", 3.0, color=10.0),),
        batch=_batch(20.0, evaporation=4.0),
    )
    wort = _wort(predicted)
    assert wort.ions["calcium"].value == pytest.approx(42.0 * 24.0 / 20.0)
    assert predicted.mash is None


@pytest.mark.parametrize(
    ("mash", "batch", "word", "pointer"),
    [
        (20.0, _batch(19.0), "leaves 15 L", "/batch/volume"),
        (20.0, _batch(10.0, evaporation=20.0), "no wort", "/batch"),
        (20.0, _batch(10.0, evaporation=4.0, losses=11.0), "no wort", "/batch"),
        (4.0, _batch(10.0), "grain", "/water"),
        (5.0, _batch(10.0), "grain", "/water"),
    ],
)
def test_volumes_that_cannot_be(mash: float, batch: Batch, word: str, pointer: str) -> None:
    predicted = brew(vessel("mash", mash), grist=GRIST, batch=batch)
    assert predicted.wort is None
    (gap,) = (gap for gap in predicted.gaps if gap.figure == "wort")
    assert word in gap.reason
    assert gap.pointer == pointer


def test_a_small_contradiction_is_taken_as_no_evaporation() -> None:
    # 25 L are there, 25.5 L are asked for
    predicted = brew(vessel("mash", 30.0), grist=GRIST, batch=_batch(25.5))
    assert _wort(predicted).ions["calcium"].value == pytest.approx(42.0)


def test_the_grain_makes_the_wort_less_certain() -> None:
    # all variances but the grain's are 0: dc/c = dA x evaporation / (kept x after the boil)
    distilled = vessel("mash", 30.0, ("distilled", 1.0), sd=0.0)
    exact = Batch(q(22.0, "L"), evaporation=q(3.0, "L", 0.0), losses=q(0.0, "L"))
    predicted = brew(
        distilled,
        additions=(add(0, "table-salt", mash=q(3.0, "g", 0.0)),),
        grist=GRIST,
        batch=exact,
    )
    figure = _wort(predicted).ions["sodium"]
    # kept 25 of 30 L, 22 after the boil; grain 5 x (1 +- 0.3) L
    moved = (30.0 - 6.5) / 30.0 / (30.0 - 6.5 - 3.0)
    usual = 25.0 / 30.0 / 22.0
    assert figure.sd / figure.value == pytest.approx(moved / usual - 1.0, rel=0.1)


def test_bicarbonate_is_left_out_since_the_mash_uses_it_up() -> None:
    predicted = brew(vessel("mash", 30.0), grist=GRIST, batch=_batch(20.0))
    assert "bicarbonate" not in _wort(predicted).ions
