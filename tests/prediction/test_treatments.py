"""What treatments make of a water."""

from __future__ import annotations

import pytest

from waterlint.chemistry.boiling import boil
from waterlint.chemistry.water import Water
from waterlint.prediction.result import WaterFigures

from .brew import TAP, add, analysis, brew, q, report, vessel

HARD = TAP | {"calcium": 118.0, "magnesium": 19.0, "sulfate": 42.0, "chloride": 31.3}
HARD_REPORT = report(analysis(HARD, alkalinity=318.0, ph=7.2))
EQUIVALENT = 50.043


def _mash(*treatments: str, tap: object = HARD_REPORT) -> WaterFigures:
    water = brew(vessel("mash", 10.0, treat=treatments), tap=tap).mash_water  # type: ignore[arg-type]
    assert water is not None
    return water


def test_boiling_lies_between_equilibrium_and_what_a_short_boil_leaves() -> None:
    boiled = _mash("boiled")
    source = Water(**HARD, alkalinity=318.0, ph=7.2)
    # one equivalent of calcium stays at the later end: there is less of it than of alkalinity
    ends = (boil(source).water.alkalinity, 318.0 - (118.0 / 20.039 - 1.0) * EQUIVALENT)
    assert ends[0] < boiled.alkalinity.value < ends[1]
    middle = sum(ends) / 2.0
    assert boiled.alkalinity.value == pytest.approx(middle, rel=1e-4)
    assert boiled.alkalinity.sd >= 0.99 * (ends[1] - middle)
    # calcium and alkalinity fall by the same equivalents, all else stays
    fallen = (318.0 - boiled.alkalinity.value) / EQUIVALENT
    assert boiled.ions["calcium"].value == pytest.approx(118.0 - 20.039 * fallen, rel=1e-4)
    for ion in ("magnesium", "sodium", "sulfate", "chloride"):
        assert boiled.ions[ion].value == HARD[ion]
    assert boiled.ph is not None


EXACT = {name: q(value, "mg/L", 0.0) for name, value in HARD.items()}


def _boiled_exactly(alkalinity: float, alkalinity_sd: float, calcium: float) -> WaterFigures:
    tap = report(
        analysis(
            EXACT | {"calcium": q(calcium, "mg/L", 0.0)},
            alkalinity=q(alkalinity, "mg/L as CaCO3", alkalinity_sd),
            ph=q(7.2, "", 0.0),
        )
    )
    water = brew(vessel("mash", 10.0, treat=("boiled",), sd=0.0), tap=tap).mash_water
    assert water is not None
    return water


def test_boiling_an_exact_report_leaves_the_outcome_open() -> None:
    boiled = _boiled_exactly(318.0, 0.0, 118.0)
    source = Water(**HARD, alkalinity=318.0, ph=7.2)
    latest = 318.0 - (118.0 / 20.039 - 1.0) * EQUIVALENT
    half = (latest - boil(source).water.alkalinity) / 2.0
    assert boiled.alkalinity.sd == pytest.approx(half, rel=1e-4)
    assert boiled.ions["calcium"].sd == pytest.approx(half / EQUIVALENT * 20.039, rel=1e-4)


@pytest.mark.parametrize(
    ("calcium", "alkalinity", "latest_calcium", "latest_alkalinity"),
    [
        pytest.param(60.0, 318.0, 20.039, 318.0 - 50.043 * (60.0 / 20.039 - 1.0), id="by-calcium"),
        pytest.param(112.0, 254.0, 112.0 - 20.039 * (254.0 / 50.043 - 1.0), 50.043, id="by-alk"),
    ],
)
def test_a_boil_leaves_an_equivalent_at_its_later_end(
    calcium: float, alkalinity: float, latest_calcium: float, latest_alkalinity: float
) -> None:
    boiled = _boiled_exactly(alkalinity, 0.0, calcium)
    source = Water(**HARD | {"calcium": calcium}, alkalinity=alkalinity, ph=7.2)
    earliest = boil(source).water
    middle = (earliest.calcium + latest_calcium) / 2.0
    assert boiled.ions["calcium"].value == pytest.approx(middle, rel=1e-3)
    middle = (earliest.alkalinity + latest_alkalinity) / 2.0
    assert boiled.alkalinity.value == pytest.approx(middle, rel=1e-3)


def test_a_boil_may_leave_soft_alkalinity_as_it_is() -> None:
    boiled = _boiled_exactly(45.0, 0.0, 60.0)
    source = Water(**HARD | {"calcium": 60.0}, alkalinity=45.0, ph=7.2)
    earliest = boil(source).water.alkalinity
    assert earliest < 45.0
    assert boiled.alkalinity.value == pytest.approx((earliest + 45.0) / 2.0, rel=1e-3)


@pytest.mark.parametrize("calcium", [60.0, 118.0, 200.0])
def test_an_error_in_alkalinity_goes_through_the_boil(calcium: float) -> None:
    step = 4.0
    exact, loose = (_boiled_exactly(318.0, sd, calcium) for sd in (0.0, step))
    more = _boiled_exactly(318.0 + step, 0.0, calcium)
    less = _boiled_exactly(318.0 - step, 0.0, calcium)
    for ion in ("calcium", "bicarbonate"):
        moved = (more.ions[ion].value - less.ions[ion].value) / 2.0
        found = (loose.ions[ion].sd ** 2 - exact.ions[ion].sd ** 2) ** 0.5
        assert found == pytest.approx(abs(moved), rel=0.25, abs=0.05), ion


def test_boiling_soft_water_leaves_its_minerals() -> None:
    soft = report(analysis(TAP | {"calcium": 3.0}, alkalinity=10.0, ph=6.5))
    plain, boiled = _mash(tap=soft), _mash("boiled", tap=soft)
    assert boiled.ions["calcium"].value == pytest.approx(plain.ions["calcium"].value)
    assert boiled.ions["calcium"].sd == pytest.approx(plain.ions["calcium"].sd)
    assert boiled.alkalinity.value == pytest.approx(plain.alkalinity.value)
    assert boiled.ph is not None and plain.ph is not None
    # carbon dioxide went
    assert boiled.ph.value > plain.ph.value + 0.5


@pytest.mark.parametrize(
    ("calcium", "alkalinity", "left_calcium", "left_alkalinity"),
    [
        # alkalinity goes down from 6.3546 to 0.8 mEq/L, calcium by as much: 160 - 5.5546 x 20.039
        (160.0, 318.0, 48.69, 0.8 * EQUIVALENT),
        # 2 mEq/L of calcium are too little: it stops at 0.7, and alkalinity at 5 - 1.3
        (20.039 * 2.0, 5.0 * EQUIVALENT, 0.7 * 20.039, 3.7 * EQUIVALENT),
        # nothing to fall
        (8.0, 20.0, 8.0, 20.0),
    ],
)
def test_lime_softening(
    calcium: float, alkalinity: float, left_calcium: float, left_alkalinity: float
) -> None:
    raw = report(analysis(TAP | {"calcium": calcium}, alkalinity=alkalinity))
    softened = _mash("lime-softened", tap=raw)
    assert softened.ions["calcium"].value == pytest.approx(left_calcium, rel=1e-4)
    assert softened.alkalinity.value == pytest.approx(left_alkalinity, rel=1e-4)
    assert softened.ph is None
    assert softened.ions["magnesium"].value == TAP["magnesium"]


def test_softening_is_uncertain_by_its_outcome_and_by_the_report() -> None:
    exact = {name: q(value, "mg/L", 0.0) for name, value in HARD.items()}
    rich = exact | {"calcium": q(160.0, "mg/L", 0.0)}
    sure = report(analysis(rich, alkalinity=q(318.0, "mg/L as CaCO3", 0.0)))
    water = brew(
        vessel("mash", 10.0, ("sure", 1.0), treat=("lime-softened",), sd=0.0),
        waters={"sure": sure},
    ).mash_water
    assert water is not None
    assert water.alkalinity.sd == pytest.approx(0.3 * EQUIVALENT, rel=1e-5)
    assert water.ions["calcium"].sd == pytest.approx(0.3 * 20.039, rel=1e-3)
    # the same equivalents of both: less than either alone would bring
    assert water.residual_alkalinity.sd == pytest.approx(0.3 * EQUIVALENT * (1 - 1 / 3.5), rel=1e-3)
    loose = report(analysis(rich, alkalinity=q(318.0, "mg/L as CaCO3", 10.0)))
    wider = brew(
        vessel("mash", 10.0, ("loose", 1.0), treat=("lime-softened",), sd=0.0),
        waters={"loose": loose},
    ).mash_water
    assert wider is not None
    assert wider.alkalinity.sd == pytest.approx(water.alkalinity.sd)
    # an error in alkalinity becomes one in calcium: 10 mg/L as CaCO3 are 4.004 mg/L
    expected = ((0.3 * 20.039) ** 2 + (10.0 / EQUIVALENT * 20.039) ** 2) ** 0.5
    assert wider.ions["calcium"].sd == pytest.approx(expected, rel=1e-3)


def test_chlorine_of_a_blend() -> None:
    # a quarter of 4 mg/L chlorine and three quarters of 2 mg/L chloramine
    waters = {
        "first": report(analysis(chlorine=4.0)),
        "second": report(analysis(chloramine=2.0)),
    }
    sulfite = add(0, "potassium-metabisulfite", mash=(0.5, "g"))
    for treatments in ((), ("lime-softened",)):
        water = brew(
            vessel("mash", 10.0, ("first", 0.25), ("second", 0.75), treat=treatments),
            additions=(sulfite,),
            waters=waters,
        ).mash_water
        assert water is not None
        rise = water.ions["chloride"].value - TAP["chloride"]
        assert rise == pytest.approx(1.0 + 0.5 * 1.5, rel=1e-3)


def test_one_treated_water_is_one_variable() -> None:
    # boiled for both vessels: the batch is as uncertain as each of them
    predicted = brew(
        vessel("mash", 10.0, treat=("boiled",), sd=0.0),
        vessel("sparge", 10.0, treat=("boiled",), sd=0.0),
        tap=HARD_REPORT,
    )
    assert predicted.mash_water is not None and predicted.batch_water is not None
    for ion in ("calcium", "sodium"):
        assert predicted.batch_water.ions[ion].sd == pytest.approx(
            predicted.mash_water.ions[ion].sd
        )


def test_blends_are_treated_after_mixing() -> None:
    predicted = brew(
        vessel("mash", 10.0, ("hard", 0.5), ("distilled", 0.5), treat=("boiled",)),
        waters={"hard": HARD_REPORT},
    )
    half = report(
        analysis(
            {name: value / 2.0 for name, value in HARD.items()},
            alkalinity=159.0,
            ph=7.2,
        )
    )
    alone = _mash("boiled", tap=half)
    assert predicted.mash_water is not None
    assert predicted.mash_water.alkalinity.value == pytest.approx(alone.alkalinity.value, rel=0.02)
    assert [each.origin for each in predicted.mash_water.contributions["calcium"]] == [
        "/water/mash/from"
    ]


CHLORINE = 2.0

#: Chloride that half the water's own treatment leaves for a dose of sulfite to make [mg/L].
_TREATED = [
    ((), 1.0, 0.5),
    (("carbon-filtered",), 0.0, 0.0),
    (("stood",), 0.0, 0.5),
    (("boiled",), 0.0, 0.5),
    (("lime-softened",), 1.0, 0.5),
    (("stood", "carbon-filtered"), 0.0, 0.0),
]


@pytest.mark.parametrize(("treatments", "from_chlorine", "from_chloramine"), _TREATED)
def test_what_treatments_leave_of_chlorine(
    treatments: tuple[str, ...], from_chlorine: float, from_chloramine: float
) -> None:
    for trace, expected in (("chlorine", from_chlorine), ("chloramine", from_chloramine)):
        tap = report(analysis(**{trace: CHLORINE}))
        sulfite = add(0, "potassium-metabisulfite", mash=(0.5, "g"))
        water = brew(
            vessel("mash", 10.0, treat=treatments), additions=(sulfite,), tap=tap
        ).mash_water
        assert water is not None
        rise = water.ions["chloride"].value - TAP["chloride"]
        assert rise == pytest.approx(expected * CHLORINE, abs=1e-3)
