"""The mash model against measured mashes: error, and whether its intervals are honest."""

from __future__ import annotations

from statistics import median

import pytest

from waterlint.chemistry.ions import KOLBACH_CALCIUM, KOLBACH_MAGNESIUM
from waterlint.chemistry.mash import mash_ph
from waterlint.chemistry.mash_uncertainty import mash_ph_sd, outside_validation

from .mashes import brewing_rows, mash_of, rows


def rms(errors: list[float]) -> float:
    return (sum(error * error for error in errors) / len(errors)) ** 0.5


def errors(own: bool) -> list[float]:
    return [
        mash_ph(mash_of(row["inputs"], own)).ph - row["expected"]["measured_ph_cooled"]
        for row in brewing_rows()
    ]


def test_with_the_malts_own_figures() -> None:
    assert len(brewing_rows()) == 35
    assert rms(errors(own=True)) <= 0.055


def test_with_class_defaults() -> None:
    assert rms(errors(own=False)) <= 0.065


def test_residual_alkalinity_alone_does_worse() -> None:
    """Kolbach's slope for wort, applied to the mash: what the balance is there to beat."""
    found = []
    for row in brewing_rows():
        inputs = mash_of(row["inputs"])
        residual = (
            inputs.alkalinity
            - inputs.calcium / KOLBACH_CALCIUM
            - inputs.magnesium / KOLBACH_MAGNESIUM
        )
        found.append(
            mash_ph(inputs).intrinsic_ph + 0.084 * residual - row["expected"]["measured_ph_cooled"]
        )
    assert 0.085 <= rms(found) <= 0.11
    assert rms(found) > 1.5 * rms(errors(own=True))


def test_intervals_hold_what_they_promise() -> None:
    inside, widths = 0, []
    for row in brewing_rows():
        inputs = mash_of(row["inputs"])
        result = mash_ph(inputs)
        sd = mash_ph_sd(inputs, result).sd
        inside += abs(result.ph - row["expected"]["measured_ph_cooled"]) <= sd
        widths.append(sd)
    assert 0.60 <= inside / len(widths) <= 0.88
    assert median(widths) <= 0.09


def test_class_defaults_are_less_certain() -> None:
    for row in brewing_rows():
        own, classed = (mash_of(row["inputs"], own) for own in (True, False))
        assert mash_ph_sd(classed, mash_ph(classed)).sd > mash_ph_sd(own, mash_ph(own)).sd


def test_suspended_chalk_counts_little() -> None:
    chalky = [row for row in rows() if row["inputs"].get("chalk") == "suspended"]
    assert len(chalky) == 4
    for row in chalky:
        inputs = mash_of(row["inputs"])
        result = mash_ph(inputs)
        assert abs(result.ph - row["expected"]["measured_ph_cooled"]) < 0.13
        spread = mash_ph_sd(inputs, result).parts["chalk"]
        assert (spread > 0.0) == (inputs.undissolved_chalk > 0.0)


def test_rows_far_off_are_said_to_be() -> None:
    """Where a row misses by more than three of its own deviations, the model says it is outside."""
    for row in rows():
        if "NaOH_mEq_L" in row["inputs"]:
            continue
        inputs = mash_of(row["inputs"])
        result = mash_ph(inputs)
        miss = abs(result.ph - row["expected"]["measured_ph_cooled"])
        if miss > 3.0 * mash_ph_sd(inputs, result).sd:
            assert outside_validation(inputs, result), row["id"]


@pytest.mark.parametrize("grist", [("pilsner-a",), ("munich-light",)])
def test_distilled_water_mashes_show_the_malts_own_ph(grist: tuple[str, ...]) -> None:
    for row in rows():
        given = row["inputs"]
        plain = not any(given[key] for key in ("alk_mEq_L", "Ca_mEq_L", "Mg_mEq_L"))
        if plain and given["R_L_per_kg"] == 4 and tuple(m["malt"] for m in given["grist"]) == grist:
            own = given["grist"][0]["di_ph_at_4_l_per_kg"]
            assert mash_ph(mash_of(given)).ph == pytest.approx(own)
