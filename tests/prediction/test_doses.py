"""Doses by mass, volume and rate, and those that are none."""

from __future__ import annotations

import pytest

from waterlint.model.recipe import Addition
from waterlint.prediction.result import WaterFigures
from waterlint.project.config import Scale

from .brew import add, brew, q, vessel


def _values(water: WaterFigures | None) -> dict[str, float]:
    assert water is not None
    return {name: figure.value for name, figure in water.ions.items()} | {
        "alkalinity": water.alkalinity.value
    }


@pytest.mark.parametrize(
    ("first", "second"),
    [
        # by mass and by the vessel's 12 L
        (
            add(0, "gypsum", mash=(3.0, "g")),
            add(0, "gypsum", mash=(0.25, "g/L")),
        ),
        # by volume, by the vessel's 12 L, and by mass: 80 % lactic acid is 1.1848 g/mL
        (
            add(0, "lactic-acid", strength=80.0, mash=(6.0, "mL")),
            add(0, "lactic-acid", strength=80.0, mash=(0.5, "mL/L")),
        ),
        (
            add(0, "lactic-acid", strength=80.0, mash=(6.0, "mL")),
            add(0, "lactic-acid", strength=80.0, mash=(6.0 * 1.1848, "g")),
        ),
        # a density that is stated wins
        (
            add(0, "lactic-acid", strength=80.0, density=1.25, mash=(4.0, "mL")),
            add(0, "lactic-acid", strength=80.0, mash=(5.0, "g")),
        ),
        # calcium chloride in solution: 33 %, 1.3147 g/mL
        (
            add(0, "calcium-chloride", "solution", strength=33.0, mash=(10.0, "mL")),
            add(0, "calcium-chloride", "anhydrous", mash=(3.3 * 1.3147, "g")),
        ),
        # citric acid in solution is counted as the acid alone
        (
            add(0, "citric-acid", "anhydrous", mash=(2.0, "g")),
            add(0, "citric-acid", "solution", strength=50.0, density=1.2, mash=(4.0 / 1.2, "mL")),
        ),
        # all liquor is 12 + 18 L
        (
            add(0, "gypsum", liquor=(6.0, "g")),
            add(0, "gypsum", liquor=(0.2, "g/L")),
        ),
        (
            add(0, "gypsum", liquor=(6.0, "g")),
            add(0, "gypsum", mash=(2.4, "g"), sparge=(3.6, "g")),
        ),
    ],
)
def test_equal_doses_are_equal(first: Addition, second: Addition) -> None:
    vessels = (vessel("mash", 12.0), vessel("sparge", 18.0))
    one, other = brew(*vessels, additions=(first,)), brew(*vessels, additions=(second,))
    assert _values(one.mash_water) == pytest.approx(_values(other.mash_water), rel=1e-9)
    assert _values(one.sparge_water) == pytest.approx(_values(other.sparge_water), rel=1e-9)
    assert _values(one.batch_water) == pytest.approx(_values(other.batch_water), rel=1e-9)


_ALL = {"mash_water", "mash_ph", "sparge_water", "batch_water", "wort"}
_AFTER = {"batch_water", "wort"}


@pytest.mark.parametrize(
    ("addition", "word", "figures"),
    [
        (add(0, "calcium-chloride", mash=(1.0, "g")), "form", _ALL - {"sparge_water"}),
        (add(0, "calcium-chloride", "heptahydrate", sparge=(1.0, "g")), "heptahydrate", None),
        (add(0, "citric-acid", kettle=(1.0, "g")), "form", _AFTER),
        (add(0, "lactic-acid", mash=(1.0, "mL")), "strength", _ALL - {"sparge_water"}),
        (add(0, "lactic-acid", strength=99.0, mash=(1.0, "mL")), "density", None),
        (add(0, "citric-acid", "solution", strength=50.0, mash=(1.0, "mL")), "density", None),
        (add(0, "gypsum", mash=(1.0, "mL")), "volume", None),
        (add(0, "gypsum", kettle=(1.0, "g/L")), "rate", _AFTER),
        (add(0, "gypsum", fermenter=(1.0, "g/L")), "no fermenter water", _AFTER),
        (add(0, "gypsum", liquor=(1.0, "oz")), "no dose", _ALL),
        (add(0, "unobtainium", liquor=(1.0, "g")), "unobtainium", _ALL),
    ],
)
def test_a_dose_that_is_none_leaves_its_vessel_open(
    addition: Addition, word: str, figures: set[str] | None
) -> None:
    predicted = brew(vessel("mash", 10.0), vessel("sparge", 10.0), additions=(addition,))
    gaps = [gap for gap in predicted.gaps if gap.pointer == "/additions/0"]
    assert gaps
    assert all(word in gap.reason for gap in gaps)
    if figures is not None:
        assert {gap.figure for gap in gaps} == figures
    assert predicted.batch_water is None
    assert predicted.wort is None
    assert predicted.kettle_share == {}
    place = addition.doses[0].place
    assert (predicted.mash_water is None) == (place in ("mash", "liquor"))
    assert (predicted.sparge_water is None) == (place in ("sparge", "liquor"))
    assert predicted.dose_mass_g == {}


@pytest.mark.parametrize("amount", [(2.0, "g"), (0.2, "g/L")])
def test_a_dose_for_a_vessel_that_is_not_there(amount: tuple[float, str]) -> None:
    predicted = brew(vessel("mash", 10.0), additions=(add(0, "gypsum", sparge=amount),))
    assert predicted.mash_water is not None
    assert predicted.sparge_water is None
    assert predicted.batch_water is None
    gaps = {gap.figure: gap for gap in predicted.gaps if gap.pointer == "/additions/0"}
    assert set(gaps) == _AFTER
    assert "sparge" in gaps["batch_water"].reason


@pytest.mark.parametrize(
    ("amount", "scale", "sd"),
    [
        # rounded twice to 0.1 g: 0.1 / sqrt(6)
        (q(2.0, "g"), None, 0.040825),
        (q(2.0, "g"), Scale(mass_g=0.01), 0.0040825),
        (q(2.0, "g", 0.3), None, 0.3),
        # a rate is weighed for the vessel
        (q(0.2, "g/L"), None, 0.040825),
        (q(0.0, "g"), None, 0.0),
    ],
)
def test_weighing_is_as_fine_as_the_scale(amount: object, scale: Scale | None, sd: float) -> None:
    predicted = brew(
        vessel("mash", 10.0, ("distilled", 1.0), sd=0.0),
        additions=(add(0, "gypsum", mash=amount),),  # type: ignore[arg-type]
        scale=scale,
    )
    assert predicted.mash_water is not None
    # 232.79 mg calcium a gram, in 10 L
    assert predicted.mash_water.ions["calcium"].sd == pytest.approx(23.279 * sd, rel=1e-3)


def test_measuring_an_acid_by_volume_is_as_fine_as_the_measure() -> None:
    def sd(scale: Scale | None) -> float:
        water = brew(
            vessel("mash", 10.0, ("distilled", 1.0), sd=0.0),
            additions=(add(0, "lactic-acid", strength=q(80.0, "%", 2.0), mash=(4.0, "mL")),),
            scale=scale,
        ).mash_water
        assert water is not None
        return water.ions["lactate"].sd / water.ions["lactate"].value

    # strength 2 of 80, density 0.003 of 1.1848, and 0.5 / sqrt(6) of 4 mL
    fixed = (2.0 / 80.0) ** 2 + (0.003 / 1.1848) ** 2
    assert sd(None) == pytest.approx((fixed + (0.204124 / 4.0) ** 2) ** 0.5, rel=1e-4)
    assert sd(Scale(volume_ml=0.05)) == pytest.approx(
        (fixed + (0.0204124 / 4.0) ** 2) ** 0.5, rel=1e-4
    )


def test_liquor_is_as_uncertain_as_all_its_volumes() -> None:
    # 6 g in 12 +- 0.3 and 18 +- 0.4 L, split after mixing: 0.5 L of 30 L in both alike
    predicted = brew(
        vessel("mash", 12.0, ("distilled", 1.0), sd=0.3),
        vessel("sparge", 18.0, ("distilled", 1.0), sd=0.4),
        additions=(add(0, "table-salt", liquor=q(6.0, "g", 0.0)),),
    )
    for water in (predicted.mash_water, predicted.sparge_water, predicted.batch_water):
        assert water is not None
        sodium = water.ions["sodium"]
        assert sodium.sd / sodium.value == pytest.approx(0.5 / 30.0)


def test_a_vessels_own_dose_is_as_uncertain_as_its_volume() -> None:
    predicted = brew(
        vessel("mash", 12.0, ("distilled", 1.0), sd=0.3),
        vessel("sparge", 18.0, ("distilled", 1.0), sd=0.4),
        additions=(add(0, "table-salt", mash=q(6.0, "g", 0.0)),),
    )
    assert predicted.mash_water is not None
    assert predicted.batch_water is not None
    mash, batch = predicted.mash_water.ions["sodium"], predicted.batch_water.ions["sodium"]
    assert mash.sd / mash.value == pytest.approx(0.3 / 12.0)
    assert batch.sd / batch.value == pytest.approx(0.5 / 30.0)


def test_volumes_without_a_spread_are_read_to_a_hundredth() -> None:
    predicted = brew(
        vessel("mash", 12.0, ("distilled", 1.0)),
        additions=(add(0, "table-salt", mash=q(6.0, "g", 0.0)),),
    )
    assert predicted.mash_water is not None
    sodium = predicted.mash_water.ions["sodium"]
    assert sodium.sd / sodium.value == pytest.approx(0.01)


def test_a_product_with_nothing_in_it() -> None:
    water = brew(
        vessel("mash", 12.0),
        additions=(add(0, "gypsum", strength=q(0.0, "%", 1.0), mash=(6.0, "g")),),
    ).mash_water
    assert _values(water) == _values(brew(vessel("mash", 12.0)).mash_water)
