"""The fit against houses whose truth is known: as near as it says, and no nearer."""

from __future__ import annotations

from functools import lru_cache
from math import sqrt

import pytest

from tests.learning.houses import READING_SD, House, brewed, house
from waterlint.learning.fit import FEWEST, OUTLIER, Fit, TooFew, learn
from waterlint.learning.mashes import Label, Mash
from waterlint.learning.system import System
from waterlint.records import replace

#: Enough houses that a share of 68 % is known to 2.5 %.
HOUSES = 90
MASHES = 10

WEIR = Label("pale", "weir pale", "pale")


@lru_cache
def fits() -> tuple[tuple[House, Fit], ...]:
    made = [house(seed, MASHES) for seed in range(HOUSES)]
    return tuple((each, learn(each.mashes)) for each in made)


def test_the_truth_is_within_the_stated_interval_as_often_as_stated() -> None:
    off = [
        (found.truth[malt.label] - malt.offset) / malt.sd
        for found, fit in fits()
        for malt in fit.malts
        if malt.label.name
    ]
    assert len(off) > 400
    # Malts of one house go together, so the shares are less certain than their number says.
    assert 0.63 <= sum(abs(each) <= 1.0 for each in off) / len(off) <= 0.74
    assert 0.92 <= sum(abs(each) <= 2.0 for each in off) / len(off) <= 0.98
    assert abs(sum(off) / len(off)) < 0.12


def test_hot_samples_leave_all_malts_in_doubt_alike() -> None:
    """However many they are: what a hot sample's pH is at 25 °C is unknown in all of them alike."""
    off, held, wider = [], [], []
    for seed in range(25):
        hot = house(seed, 12, warmer=40.0)
        fit, cool = learn(hot.mashes), learn(house(seed, 12).mashes)
        held += [each.off for each in fit.held]
        for malt, other in zip(fit.malts, cool.malts, strict=True):
            if malt.label.name:
                off.append((hot.truth[malt.label] - malt.offset) / malt.sd)
            if malt.label.like == "pale":
                wider.append(malt.sd / other.sd)
    assert 0.60 <= sum(abs(each) <= 1.0 for each in off) / len(off) <= 0.77
    assert sum(wider) / len(wider) > 1.1
    # A hot mash is predicted as it will be read, and no worse than a cool one.
    assert 0.62 <= sum(abs(each) <= 1.0 for each in held) / len(held) <= 0.74


def test_figures_as_documented() -> None:
    """Those of `waterlint/docs/chemistry.md`."""
    assert _rms([fit.rms_learned for _, fit in fits()]) == pytest.approx(0.080, abs=6e-4)
    assert _rms([fit.rms_default for _, fit in fits()]) == pytest.approx(0.093, abs=6e-4)


def test_left_out_mashes_are_within_theirs() -> None:
    off = [each.off for _, fit in fits() for each in fit.held]
    assert 0.65 <= sum(abs(each) <= 1.0 for each in off) / len(off) <= 0.72
    assert all(fit.converged for _, fit in fits())


def test_it_predicts_better_than_the_defaults_and_says_so() -> None:
    better = sum(fit.rms_learned < fit.rms_default for _, fit in fits())
    assert better >= 0.6 * HOUSES
    # What is said of left-out mashes holds for new ones: the fit predicts a second season.
    said = sqrt(sum(fit.rms_learned**2 for _, fit in fits()) / HOUSES)
    new, default = [], []
    for seed, (found, fit) in enumerate(fits()):
        offsets = {malt.label: malt.offset for malt in fit.malts}
        for mash in house(1000 + seed, 2, found.truth).mashes:
            new.append(mash.ph - _predicted(mash, offsets))
            default.append(mash.ph - _predicted(mash, {}))
    assert _rms(new) == pytest.approx(said, rel=0.12)
    assert _rms(new) < 0.92 * _rms(default)


def _predicted(mash: Mash, offsets: dict[Label, float]) -> float:
    labels = [label for label in mash.labels if label is not None]
    return brewed(mash.inputs, labels, offsets)


def _rms(errors: list[float]) -> float:
    return sqrt(sum(error * error for error in errors) / len(errors))


def test_a_house_of_default_malts_is_hardly_ever_called_better() -> None:
    clear, default, learned = 0, [], []
    for seed in range(40):
        fit = learn(house(seed, MASHES, truth={}).mashes)
        gain, error = fit.gain
        clear += gain > 2.0 * error
        default.append(fit.rms_default)
        learned.append(fit.rms_learned)
    assert clear <= 4
    assert _rms(learned) - _rms(default) == pytest.approx(0.003, abs=6e-4)


def test_few_mashes_change_little_and_more_change_more() -> None:
    """One malt 0.14 off by truth, two deviations of its default."""
    truth = {WEIR: 0.14}
    moved = []
    for count in (FEWEST, 15, 60):
        found = [learn(house(seed, count, truth).mashes) for seed in range(8)]
        offsets = [malt.offset for fit in found for malt in fit.malts if malt.label == WEIR]
        moved.append(sum(offsets) / len(offsets))
    assert 0.01 < moved[0] < moved[1] < moved[2] < 0.14
    assert moved[2] > 0.09


def test_a_malt_that_is_hardly_there_stays_at_its_default() -> None:
    for _, fit in fits()[:10]:
        for malt in fit.malts:
            assert malt.sd <= malt.prior_sd * 1.000001
            if malt.mashes == 0:
                assert malt.offset == pytest.approx(0.0, abs=1e-9)


def test_other_malts_of_a_kind_are_less_certain_than_those_that_were_brewed() -> None:
    fit = learn(house(3, 40).mashes)
    pale = [malt for malt in fit.malts if malt.label.like == "pale"]
    *named, other = pale
    assert len(named) == 2 and other.label.name == ""
    assert other.sd > max(malt.sd for malt in named)
    assert other.sd >= sqrt(0.5) * other.prior_sd
    assert not any(malt.label.name == "" for malt in fit.malts if malt.label.like == "munich")


def test_leaving_out_is_what_a_fit_without_the_mash_says() -> None:
    mashes = house(5, 12).mashes
    held = System(mashes).held_out()
    for number, each in enumerate(held):
        rest = mashes[:number] + mashes[number + 1 :]
        offsets = {malt.label: malt.offset for malt in System(rest).malts()}
        assert each.learned == pytest.approx(_predicted(each.mash, offsets), abs=2e-4)
        assert each.default == pytest.approx(_predicted(each.mash, {}), abs=1e-12)


def test_a_slip_of_the_pen_is_set_aside_and_the_rest_is_learned() -> None:
    found = house(8, 16)
    wrong = replace(found.mashes[4], ph=found.mashes[4].ph - 1.0)
    fit = learn((*found.mashes[:4], wrong, *found.mashes[5:]))
    assert [each.mash.path for each in fit.outliers] == ["mash-4.yaml"]
    assert abs(fit.outliers[0].off) > OUTLIER
    without = learn(found.mashes[:4] + found.mashes[5:])
    assert fit.malts == without.malts and fit.held == without.held


def test_no_more_than_a_fifth_is_set_aside() -> None:
    found = house(8, 10)
    wrong = [replace(mash, ph=mash.ph + 1.5 * (-1) ** n) for n, mash in enumerate(found.mashes)]
    fit = learn(wrong)
    assert len(fit.outliers) <= 2
    assert fit.widened > 3.0


def test_readings_that_scatter_more_widen_the_spreads() -> None:
    found = house(6, 30)
    noisy = [
        replace(mash, ph=mash.ph + 2.5 * READING_SD * (-1) ** number)
        for number, mash in enumerate(found.mashes)
    ]
    calm, wild = learn(found.mashes), learn(noisy)
    assert calm.widened == 1.0 and wild.widened > 1.8
    for before, after in zip(calm.malts, wild.malts, strict=True):
        assert after.sd > before.sd
    # Of what the mashes tell much about, the spread follows the readings' scatter.
    best = min(range(len(calm.malts)), key=lambda each: calm.malts[each].sd)
    assert wild.malts[best].sd > 1.3 * calm.malts[best].sd


def test_too_few_are_refused() -> None:
    with pytest.raises(TooFew, match="4 measured mashes"):
        learn(house(1, 4).mashes)
    known = [replace(mash, labels=(None,) * len(mash.labels)) for mash in house(1, 9).mashes]
    with pytest.raises(TooFew, match="0 measured mashes"):
        learn(known)


def test_the_order_of_the_mashes_does_not_matter() -> None:
    mashes = house(4, 12).mashes
    forward, backward = learn(mashes), learn(mashes[::-1])
    for one, other in zip(forward.malts, backward.malts, strict=True):
        assert one.label == other.label
        assert one.offset == pytest.approx(other.offset, abs=1e-9)
