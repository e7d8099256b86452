"""Chalk by its credit, sulfite by what it meets."""

from __future__ import annotations

import pytest

from waterlint.model.recipe import Addition
from waterlint.prediction.result import WaterFigures

from .brew import TAP, add, analysis, brew, report, vessel


def _mash(*additions: Addition, liters: float = 10.0, **traces: float) -> WaterFigures:
    water = brew(
        vessel("mash", liters, sd=0.0), additions=additions, tap=report(analysis(**traces))
    ).mash_water
    assert water is not None
    return water


@pytest.mark.parametrize(
    ("grams", "counted"),
    [
        (2.0, 1.0),  # 200 mg/L: half
        (5.0, 2.5),  # 500 mg/L: half
        (12.0, 2.5),  # 1200 mg/L: no more than at 500
    ],
)
def test_undissolved_chalk_counts_by_half_up_to_the_cap(grams: float, counted: float) -> None:
    plain, chalked = _mash(), _mash(add(0, "chalk", mash=(grams, "g")))
    calcium = chalked.ions["calcium"].value - plain.ions["calcium"].value
    assert calcium == pytest.approx(counted * 40.044, rel=1e-4)
    rise = chalked.alkalinity.value - plain.alkalinity.value
    assert rise == pytest.approx(counted * 100.0, rel=1e-4)
    # half the credit is open
    assert chalked.alkalinity.sd > 0.45 * rise
    assert chalked.ph is None
    assert plain.ph is not None


def test_chalk_doses_share_the_cap() -> None:
    once = _mash(add(0, "chalk", mash=(8.0, "g")))
    twice = _mash(add(0, "chalk", mash=(3.0, "g")), add(1, "chalk", mash=(5.0, "g")))
    assert twice.ions["calcium"].value == pytest.approx(once.ions["calcium"].value)
    shares = [each.amount for each in twice.contributions["calcium"] if "addi" in each.origin]
    assert shares[1] / shares[0] == pytest.approx(5.0 / 3.0)


@pytest.mark.parametrize("dissolved", [False, True])
def test_no_chalk_leaves_nothing_open(dissolved: bool) -> None:
    plain, none = _mash(), _mash(add(0, "chalk", dissolved=dissolved, mash=(0.0, "g")))
    assert plain.ph is not None and none.ph is not None
    assert none.ph.value == pytest.approx(plain.ph.value)


def test_liquor_chalk_is_capped_in_each_vessel() -> None:
    # 24 g in 10 + 20 L are 800 mg/L in both: 500 of them count by half, 100.11 mg/L calcium
    predicted = brew(
        vessel("mash", 10.0, ("distilled", 1.0)),
        vessel("sparge", 20.0, ("distilled", 1.0)),
        additions=(add(0, "chalk", liquor=(24.0, "g")),),
    )
    for water in (predicted.mash_water, predicted.sparge_water):
        assert water is not None
        assert water.ions["calcium"].value == pytest.approx(100.11, abs=0.01)


def test_chalk_dissolved_by_carbon_dioxide_counts_whole() -> None:
    plain, chalked = _mash(), _mash(add(0, "chalk", dissolved=True, mash=(8.0, "g")))
    calcium = chalked.ions["calcium"].value - plain.ions["calcium"].value
    assert calcium == pytest.approx(320.35, abs=0.05)
    bicarbonate = chalked.ions["bicarbonate"].value - plain.ions["bicarbonate"].value
    # 0.8 g/L x 1219.27 mg/g, less what is carbonate at the pH of plain bicarbonate
    assert 0.93 * 975.4 < bicarbonate < 975.4
    assert chalked.ph is None


def test_kettle_chalk_is_capped_by_all_the_water() -> None:
    predicted = brew(
        vessel("mash", 10.0),
        vessel("sparge", 10.0),
        additions=(add(0, "chalk", kettle=(8.0, "g")),),
    )
    # 8 g in 20 L are 400 mg/L: half of it, 80.09 mg/L calcium
    assert predicted.kettle_share["calcium"] == pytest.approx(80.09, abs=0.01)


# 1 mg/L as Cl2 takes 1.3406 mg/L of the sodium salt (190.095 / 2 / 70.9) to 1 mg/L chloride.
_NEED = 190.095 / 2.0 / 70.9


@pytest.mark.parametrize(
    ("trace", "protons", "chloride", "ammonium"),
    [("chlorine", 3.0, 1.0, 0.0), ("chloramine", 1.0, 0.5, 18.039 / 70.9)],
)
@pytest.mark.parametrize("times", [0.5, 1.0, 2.0])
def test_sulfite_becomes_sulfate_where_it_meets_chlorine(
    trace: str, protons: float, chloride: float, ammonium: float, times: float
) -> None:
    traces = {trace: 3.0}
    # a little less, so that the exact need leaves nothing over by rounding
    grams = times * 3.0 * _NEED * 10.0 / 1000.0 - 1e-9
    plain = _mash(**traces)
    dosed = _mash(add(0, "sodium-metabisulfite", mash=(grams, "g")), **traces)

    def rise(ion: str) -> float:
        after, before = dosed.ions.get(ion), plain.ions.get(ion)
        return (after.value if after else 0.0) - (before.value if before else 0.0)

    met = min(times, 1.0) * 3.0
    assert ("sulfite" in dosed.ions) == (times > 1.0)
    assert rise("chloride") == pytest.approx(chloride * met, rel=1e-3)
    assert rise("sulfate") == pytest.approx(met / 70.9 * 96.056, rel=1e-3)
    assert rise("ammonium") == pytest.approx(ammonium * met, rel=1e-3, abs=1e-9)
    assert rise("sulfite") == pytest.approx((times * 3.0 - met) / 70.9 * 80.057, abs=1e-3)
    assert rise("sodium") == pytest.approx(times * 3.0 / 70.9 * 22.990, rel=1e-3)
    fall = plain.alkalinity.value - dosed.alkalinity.value
    assert fall == pytest.approx(protons * met / 70.9 * 50.043, rel=1e-3)


def test_free_chlorine_reacts_before_chloramine() -> None:
    # sulfite for 1 mg/L of the 2 there are: all of it goes to the free one
    grams = 1.0 * _NEED * 10.0 / 1000.0
    both = {"chlorine": 1.0, "chloramine": 1.0}
    water = _mash(add(0, "sodium-metabisulfite", mash=(grams, "g")), **both)
    assert water.ions["chloride"].value - TAP["chloride"] == pytest.approx(1.0, rel=1e-3)
    assert "ammonium" not in water.ions or water.ions["ammonium"].value < 1e-6
