"""The mash's balance: its parts, its slopes, its two solvers, its refusals."""

from __future__ import annotations

from dataclasses import replace
from math import inf, nan

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from waterlint.chemistry import proton_balance
from waterlint.chemistry.acids import ACIDS, protons_given
from waterlint.chemistry.malts import malt_term
from waterlint.chemistry.mash import (
    MashInputs,
    credited_chalk,
    crush_factor,
    mash_balance,
    mash_ph,
)
from waterlint.chemistry.proton_balance import (
    MashBalance,
    carbonate_charge,
    hardness_release,
    released,
    released_and_slope,
    solve,
    solve_many,
)

PALE = malt_term("pale", 4.2)
CRYSTAL = malt_term("crystal", 0.35, color=160.0)
ROAST = malt_term("roasted", 0.42)
assert PALE and CRYSTAL and ROAST
STOUT = MashInputs(
    (PALE, CRYSTAL, ROAST),
    15.5,
    alkalinity=2.1,
    calcium=3.0,
    magnesium=0.8,
    carbon=1.7,
    acids={"lactic": 0.5, "citric": 0.1},
    undissolved_chalk=100.0,
    mill_gap=1.1,
)
few = settings(max_examples=30, deadline=None)


def pale_mash(**changes: object) -> MashInputs:
    """A kilogram of pale malt at 3 L/kg with 1 mEq/L of alkalinity: pH near 5.7."""
    one = malt_term("pale", 1.0)
    assert one is not None
    return replace(MashInputs((one,), 3.0, alkalinity=1.0), **changes)


def effect(**changes: object) -> float:
    return mash_ph(pale_mash(**changes)).ph - mash_ph(pale_mash()).ph


@pytest.mark.parametrize(
    "changes, expected, within",
    [
        ({"alkalinity": 2.0}, 0.07, 0.015),
        ({"magnesium": 0.823}, -0.01, 0.005),
        ({"acids": {"lactic": 1.206 * 0.88 / 90.078 * 1000.0 / 15.0}}, -0.06, 0.01),
    ],
)
def test_size_of_common_steps(changes: dict[str, object], expected: float, within: float) -> None:
    """50 mg/L of alkalinity, 10 mg/L of magnesium, 1 mL of 88 % lactic acid for 5 kg."""
    assert effect(**changes) == pytest.approx(expected, abs=within)


@pytest.mark.parametrize(
    "kind, share, color, expected",
    [
        ("acidulated", 0.01, None, -0.09),
        ("crystal", 0.05, 158.0, -0.04),
        ("roasted", 0.05, None, -0.05),
    ],
)
def test_size_of_malts(kind: str, share: float, color: float | None, expected: float) -> None:
    malts = (malt_term("pale", 1.0 - share), malt_term(kind, share, color=color))
    assert effect(malts=malts) == pytest.approx(expected, abs=0.012)


def test_calcium_series() -> None:
    """Taylor in Briggs et al. 2004: 0, 100, 200, 300 mg/L of calcium; the thickness is not told."""
    malt = malt_term("pale", 1.0, di_ph=5.74)
    assert malt is not None
    for calcium, measured in ((0.0, 5.74), (100.0, 5.48), (200.0, 5.39), (300.0, 5.28)):
        inputs = MashInputs((malt,), 4.0, calcium=calcium / 20.039)
        assert mash_ph(inputs).ph == pytest.approx(measured, abs=0.06)


def test_acid_is_undone_by_base() -> None:
    both = pale_mash(alkalinity=1.0 + 2.0, carbon=1.0, acids={"hydrochloric": 2.0})
    assert mash_ph(both).ph == pytest.approx(mash_ph(pale_mash(carbon=1.0)).ph)


def test_hydrochloric_acid_is_negative_alkalinity() -> None:
    acid = pale_mash(alkalinity=0.0, acids={"hydrochloric": 2.0})
    assert mash_ph(acid).ph == pytest.approx(mash_ph(pale_mash(alkalinity=-2.0)).ph)


def test_lime_acts_more_than_bicarbonate() -> None:
    """Carbonate keeps some of its alkalinity back as bicarbonate; hydroxide does not."""
    lime = mash_ph(pale_mash(alkalinity=3.0, carbon=1.0)).ph
    soda = mash_ph(pale_mash(alkalinity=3.0, carbon=3.0)).ph
    assert lime > soda


def test_free_carbon_dioxide_is_not_counted() -> None:
    assert mash_ph(pale_mash(carbon=9.0)).ph == mash_ph(pale_mash(carbon=None)).ph


def test_thinner_mash_is_less_acid() -> None:
    assert (
        mash_ph(pale_mash(alkalinity=0.0, volume=5.0)).ph
        > mash_ph(pale_mash(alkalinity=0.0, volume=2.0)).ph
    )


def test_size_of_the_batch_does_not_matter() -> None:
    double = replace(
        STOUT, volume=31.0, malts=tuple(replace(malt, mass=2.0 * malt.mass) for malt in STOUT.malts)
    )
    assert mash_ph(double).ph == pytest.approx(mash_ph(STOUT).ph, abs=1e-12)


def test_order_of_malts_does_not_matter() -> None:
    other = replace(STOUT, malts=STOUT.malts[::-1])
    assert mash_ph(other).ph == pytest.approx(mash_ph(STOUT).ph, abs=1e-12)


@pytest.mark.parametrize(
    "gap, factor",
    [
        (0.0, 1.0),
        (0.25, 0.975),
        (0.5, 0.95),
        (0.8, 0.9),
        (1.0, 0.85),
        (1.2, 0.8),
        (1.4, 0.75),
        (3.0, 0.7),
        (None, 0.88),
    ],
)
def test_crush(gap: float | None, factor: float) -> None:
    assert crush_factor(gap) == pytest.approx(factor)


def test_chalk_is_credited_by_half_to_a_cap() -> None:
    assert [credited_chalk(dose) for dose in (0.0, 100.0, 500.0, 2000.0)] == [
        0.0,
        50.0,
        250.0,
        250.0,
    ]
    assert mash_balance(pale_mash(undissolved_chalk=100.0)).alkalinity == pytest.approx(
        1.0 + 50.0 / 50.043
    )


def test_release_saturates() -> None:
    assert hardness_release(0.0, 0.0) == 0.0
    small = hardness_release(1e-6, 0.0) / 1e-6, hardness_release(0.0, 1e-6) / 1e-6
    assert small == pytest.approx((0.57, 0.19), rel=1e-5)
    assert hardness_release(1e9, 0.0) == pytest.approx(11.0, rel=1e-6)


@pytest.mark.parametrize("name", sorted(ACIDS))
def test_protons_given(name: str) -> None:
    steps = {"lactic": 1, "phosphoric": 3, "hydrochloric": 1, "sulfuric": 2, "citric": 3}
    assert protons_given(name, 14.0) == pytest.approx(steps[name], abs=0.03)
    assert protons_given(name, 5.0) < steps[name] + 1e-12
    many = np.linspace(2.0, 12.0, 21)
    assert protons_given(name, many).tolist() == pytest.approx(
        [protons_given(name, float(one)) for one in many]
    )


@pytest.mark.parametrize(
    "name, given",
    [
        ("lactic", 0.972),
        ("phosphoric", 1.015),
        ("citric", 1.90),
        ("sulfuric", 2.00),
        ("hydrochloric", 1.0),
    ],
)
def test_protons_given_in_a_mash(name: str, given: float) -> None:
    assert protons_given(name, 5.4) == pytest.approx(given, abs=0.005)


@pytest.mark.parametrize("ph", [3.0, 5.4, 6.35, 8.3, 10.33, 12.0])
def test_carbonate_charge(ph: float) -> None:
    bicarbonate, carbonate = 10.0 ** (ph - 6.35), 10.0 ** (2.0 * ph - 6.35 - 10.33)
    expected = (bicarbonate + 2.0 * carbonate) / (1.0 + bicarbonate + carbonate)
    assert carbonate_charge(ph) == pytest.approx(expected)


balances = st.builds(
    MashBalance,
    st.floats(15.0, 60.0),
    st.floats(3.4, 6.2),
    st.floats(1.0, 12.0),
    st.floats(-30.0, 60.0),
    st.floats(0.0, 60.0),
    st.floats(0.0, 10.9),
    st.tuples(
        st.tuples(st.just("lactic"), st.floats(0.0, 60.0)),
        st.tuples(st.just("phosphoric"), st.floats(0.0, 60.0)),
        st.tuples(st.just("sulfuric"), st.floats(0.0, 20.0)),
    ),
)


@few
@given(balances)
def test_the_solution_balances(balance: MashBalance[float]) -> None:
    ph, converged = solve(balance)
    if converged:
        assert released(balance, ph) == pytest.approx(0.0, abs=1e-6)
    else:
        assert ph in (0.0, 14.0)


@few
@given(balances, st.floats(0.0, 14.0))
def test_slope_is_the_slope(balance: MashBalance[float], ph: float) -> None:
    step = 1e-5
    rise = (released(balance, ph + step) - released(balance, ph - step)) / (2.0 * step)
    slope = released_and_slope(balance, ph)[1]
    assert slope == pytest.approx(rise, rel=1e-4)
    assert slope > 0.0


@few
@given(st.lists(balances, min_size=1, max_size=6))
def test_both_solvers_agree(found: list[MashBalance[float]]) -> None:
    columns = [np.array([balance[place] for balance in found]) for place in range(6)]
    acids = tuple(
        (found[0].acids[place][0], np.array([balance.acids[place][1] for balance in found]))
        for place in range(3)
    )
    ph, converged = solve_many(MashBalance(*columns, acids))
    for place, balance in enumerate(found):
        one = solve(balance)
        assert ph[place] == pytest.approx(one.ph, abs=1e-9)
        assert converged[place] == one.converged


def test_many_broadcast_and_run_past_a_block() -> None:
    balance = mash_balance(STOUT)
    alkalinity = np.linspace(-3.0, 8.0, 10_000).reshape(100, 100)
    ph, converged = solve_many(
        balance._replace(
            alkalinity=alkalinity,
            acids=tuple((name, np.array(amount)) for name, amount in balance.acids),
        )
    )
    assert ph.shape == converged.shape == (100, 100)
    assert converged.all()
    assert (np.diff(ph.ravel()) > 0.0).all()
    for place in ((0, 0), (41, 7), (99, 99)):
        alone = solve(balance._replace(alkalinity=float(alkalinity[place])))
        assert ph[place] == pytest.approx(alone.ph, abs=1e-9)


def test_few_steps(monkeypatch: pytest.MonkeyPatch) -> None:
    """Newton's steps settle a usual mash; halving alone would take more than forty."""
    monkeypatch.setattr(proton_balance, "MAXIMUM_STEPS", 7)
    balance = mash_balance(STOUT)
    acids = tuple((name, np.array([amount])) for name, amount in balance.acids)
    many = solve_many(MashBalance(*(np.array([each]) for each in balance[:-1]), acids))
    assert solve(balance).converged
    assert many[1].all()


@pytest.mark.parametrize("name", ["alkalinity", "calcium", "magnesium", "carbon", "volume"])
def test_sensitivity(name: str) -> None:
    step = 1e-4
    up = replace(STOUT, **{name: getattr(STOUT, name) + step})
    down = replace(STOUT, **{name: getattr(STOUT, name) - step})
    expected = (mash_ph(up).ph - mash_ph(down).ph) / (2.0 * step)
    assert getattr(mash_ph(STOUT).sensitivities, name) == pytest.approx(expected, rel=1e-5)


def test_sensitivity_to_all_bicarbonate_water() -> None:
    plain = replace(STOUT, carbon=None)
    step = 1e-4
    up, down = (replace(plain, alkalinity=plain.alkalinity + s) for s in (step, -step))
    expected = (mash_ph(up).ph - mash_ph(down).ph) / (2.0 * step)
    found = mash_ph(plain).sensitivities
    assert found.alkalinity == pytest.approx(expected, rel=1e-5)
    assert found.carbon == 0.0


def test_sensitivity_to_acids_and_chalk() -> None:
    found, step = mash_ph(STOUT).sensitivities, 1e-4
    for name in STOUT.acids:
        more = replace(STOUT, acids={**STOUT.acids, name: STOUT.acids[name] + step})
        rise = (mash_ph(more).ph - mash_ph(STOUT).ph) / step
        assert found.acids[name] == pytest.approx(rise, rel=1e-3)
    more = replace(STOUT, undissolved_chalk=100.0 + 2.0 * step)
    rise = (mash_ph(more).ph - mash_ph(STOUT).ph) / step
    assert found.chalk == pytest.approx(rise, rel=1e-3)


@pytest.mark.parametrize("place", [0, 1, 2])
def test_sensitivity_to_malts(place: int) -> None:
    found, step = mash_ph(STOUT).sensitivities, 1e-4
    malt = STOUT.malts[place]

    def slope(**changes: float) -> float:
        malts = list(STOUT.malts)
        malts[place] = replace(malt, **changes)
        return (mash_ph(replace(STOUT, malts=tuple(malts))).ph - mash_ph(STOUT).ph) / step

    assert found.masses[place] == pytest.approx(slope(mass=malt.mass + step), rel=1e-3)
    assert found.acidities[place] == pytest.approx(
        slope(ph_di=malt.ph_di - step / malt.buffer), rel=1e-3
    )
    assert found.buffers[place] == pytest.approx(slope(buffer=malt.buffer * (1 + step)), rel=1e-3)


def test_sensitivity_to_crush() -> None:
    """From 1.1 to 1.1001 mm the factor falls by 0.000025."""
    finer = (mash_ph(replace(STOUT, mill_gap=1.1001)).ph - mash_ph(STOUT).ph) / -0.000025
    assert mash_ph(STOUT).sensitivities.crush == pytest.approx(finer, rel=1e-3)


@pytest.mark.parametrize(
    "changes, said",
    [
        ({"malts": ()}, "no malt"),
        ({"volume": 0.0}, "above 0 L"),
        ({"volume": nan}, "above 0 L"),
        ({"alkalinity": inf}, "finite"),
        ({"carbon": nan}, "finite"),
        ({"calcium": -1.0}, "not negative"),
        ({"mill_gap": nan}, "finite"),
        ({"acids": {"lactic": -0.1}}, "not negative"),
        ({"acids": {"acetic": 1.0}}, "unknown acid"),
    ],
    ids=str,
)
def test_refusals(changes: dict[str, object], said: str) -> None:
    with pytest.raises(ValueError, match=said):
        mash_ph(pale_mash(**changes))


@pytest.mark.parametrize("alkalinity, edge", [(1e6, 14.0), (-1e6, 0.0)])
def test_absurd_mashes_say_so(alkalinity: float, edge: float) -> None:
    result = mash_ph(pale_mash(alkalinity=alkalinity, carbon=0.0))
    assert (result.ph, result.converged) == (edge, False)


def test_many_absurd_mashes_say_so() -> None:
    alkalinity = np.array([-1e6, 1.0, 1e6])
    ones = np.ones(3)
    ph, converged = solve_many(
        MashBalance(38.0 * ones, 5.7 * ones, 3.0 * ones, alkalinity, ones, 0.0 * ones)
    )
    assert converged.tolist() == [False, True, False]
    assert (ph[0], ph[2]) == (0.0, 14.0)


@pytest.mark.parametrize(
    "alkalinity, ph, converged",
    [(-100.2, 0.0, False), (-99.8, 0.01, True), (179.8, 13.99, True), (180.2, 14.0, False)],
)
def test_the_ends_by_hand(alkalinity: float, ph: float, converged: bool) -> None:
    """Of 40 mEq/(kg pH) from pH 5, at 2 L/kg: 200 mEq of acid reach pH 0, 360 of base pH 14."""
    assert solve(MashBalance(40.0, 5.0, 2.0, alkalinity, 0.0, 0.0)) == (
        pytest.approx(ph),
        converged,
    )
