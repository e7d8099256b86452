"""What cannot be computed is said, and the rest still is."""

from __future__ import annotations

import pytest

from waterlint.model.recipe import Addition
from waterlint.prediction.predict import predict
from waterlint.prediction.result import Gap

from .brew import CATALOG, add, brew, malt, recipe, report, vessel


def test_a_missing_water_leaves_the_other_vessels() -> None:
    made = recipe(
        vessel("mash", 10.0, ("../waters/gone.yaml", 1.0)),
        vessel("sparge", 12.0),
        grist=(malt(0, "pale", 3.0, color=5.0),),
    )
    predicted = predict(made, {"tap": report()}, CATALOG)
    assert predicted.mash_water is None
    assert predicted.sparge_water is not None
    assert predicted.batch_water is None
    assert predicted.mash is not None
    assert predicted.mash.ph is None
    assert predicted.mash.thickness_l_per_kg == 10.0 / 3.0
    assert predicted.color is not None
    reason = "the water '../waters/gone.yaml' is not known"
    assert predicted.gaps == tuple(
        Gap(figure, reason, "/water/mash/from")
        for figure in ("mash_water", "mash_ph", "batch_water", "wort")
    )


def test_shares_that_do_not_add_up_make_no_water() -> None:
    predicted = brew(vessel("sparge", 10.0, ("tap", 0.6), ("distilled", 0.3)), vessel("mash", 10.0))
    assert predicted.sparge_water is None
    assert predicted.mash_water is not None
    gap = next(gap for gap in predicted.gaps if gap.figure == "sparge_water")
    assert gap.pointer == "/water/sparge/from"
    assert "90 %" in gap.reason


def test_shares_within_rounding_are_taken_as_proportions() -> None:
    predicted = brew(vessel("mash", 10.0, ("tap", 0.333), ("distilled", 0.666)))
    assert predicted.mash_water is not None
    expected = 42.0 * 0.333 / 0.999
    assert abs(predicted.mash_water.ions["calcium"].value - expected) < 1e-9


@pytest.mark.parametrize("additions", [(), (add(0, "gypsum", kettle=(1.0, "g")),)])
def test_no_water_at_all(additions: tuple[Addition, ...]) -> None:
    made = recipe(grist=(malt(0, "pale", 3.0, color=5.0),), additions=additions)
    predicted = predict(made, {}, CATALOG)
    assert predicted.mash_water is None
    assert predicted.batch_water is None
    assert predicted.wort is None
    assert predicted.mash is None
    assert predicted.color is not None
    assert {gap.figure for gap in predicted.gaps} == {"batch_water", "wort"}


def test_a_vessel_without_volume() -> None:
    predicted = brew(
        vessel("mash", 0.0),
        additions=(add(0, "gypsum", mash=(1.0, "g")),),
        grist=(malt(0, "pale", 3.0, color=5.0),),
    )
    assert predicted.mash_water is None
    assert {gap.figure for gap in predicted.gaps} == {
        "mash_water",
        "mash_ph",
        "batch_water",
        "wort",
    }


def test_a_sound_recipe_has_no_gaps() -> None:
    predicted = brew(
        vessel("mash", 12.0), vessel("sparge", 14.0), grist=(malt(0, "pale", 4.0, color=5.0),)
    )
    assert predicted.gaps == ()
