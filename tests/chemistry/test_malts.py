"""Malt terms: class defaults, and how a lot's own figures replace them."""

from __future__ import annotations

from math import inf, nan

import pytest

from waterlint.chemistry.malts import (
    BUFFER_RELATIVE_SD,
    MALT_CLASSES,
    OUTSIDE_MASH,
    MaltTerm,
    malt_term,
)


def term(kind: str, **known: float) -> MaltTerm:
    found = malt_term(kind, 1.0, **known)
    assert found is not None
    return found


def acidity(found: MaltTerm) -> float:
    """To pH 5.7 [mEq/kg]."""
    return found.buffer * (5.7 - found.ph_di)


@pytest.mark.parametrize(
    "kind, expected, sd",
    [
        ("pilsner", 5.75, 0.07),
        ("pale", 5.75, 0.07),
        ("two-row", 5.65, 0.08),
        ("wheat", 6.00, 0.10),
        ("rye", 6.00, 0.10),
        ("vienna", 5.60, 0.08),
        ("munich", 5.45, 0.10),
        ("unmalted", 5.80, 0.20),
    ],
)
def test_base_malts(kind: str, expected: float, sd: float) -> None:
    found = term(kind)
    assert found.ph_di == expected
    assert found.acidity_sd / found.buffer == pytest.approx(sd)
    assert found.thins
    assert not found.measured


@pytest.mark.parametrize(
    "kind, color, expected, sd",
    [
        ("toasted", None, 20.0, 10.0),
        ("crystal", 100.0, 27.0, 9.0),
        ("crystal", 400.0, 66.0, 9.0),
        ("crystal", None, 29.6, 11.9),
        ("roasted", 1200.0, 40.0, 6.0),
        ("acidulated", None, 337.0, 30.0),
    ],
)
def test_acid_malts(kind: str, color: float | None, expected: float, sd: float) -> None:
    found = malt_term(kind, 1.0, color=color)
    assert found is not None
    assert acidity(found) == pytest.approx(expected)
    assert found.acidity_sd == pytest.approx(sd, abs=0.01)
    assert not found.thins


def test_base_malts_buffer_alike() -> None:
    """43 mEq/(kg pH) in the mash, 1.2 for 1 of titration; the 38 as milled may be 32."""
    assert 1.2 * term("pale").buffer == pytest.approx(43.0)
    assert pytest.approx(6.0 / 38.0) == BUFFER_RELATIVE_SD


@pytest.mark.parametrize("kind", sorted({"sugar", "extract"} | OUTSIDE_MASH))
def test_what_is_no_malt(kind: str) -> None:
    assert malt_term(kind, 1.0) is None


def test_own_distilled_water_ph_tells() -> None:
    found = term("munich", di_ph=5.30, di_ph_sd=0.02, acidity=99.0)
    assert (found.ph_di, found.measured) == (5.30, True)
    assert found.acidity_sd == pytest.approx(0.02 * found.buffer)


def test_own_acidity_tells_next() -> None:
    found = term("roasted", acidity=46.4, buffer=48.0, acidity_sd=2.0)
    assert acidity(found) == pytest.approx(46.4)
    assert (found.acidity_sd, found.measured, found.thins) == (2.0, True, False)


def test_a_base_malts_titration_is_brought_to_four_liters() -> None:
    """Munich, lot a, of Troester 2009: 8.4 mEq/kg, 32 mEq/(kg pH) at 8 L/kg; 5.30 at 4 L/kg."""
    assert term("munich", acidity=8.4, buffer=32.0).ph_di == pytest.approx(5.30, abs=0.06)


def test_every_class_says_where_it_comes_from() -> None:
    for found in MALT_CLASSES.values():
        assert "Troester 2009" in found.basis or "from memory" in found.basis


@pytest.mark.parametrize(
    "known", [{"color": nan}, {"di_ph": inf}, {"acidity": nan}, {"buffer": 0.0}, {"buffer": -3.0}]
)
def test_refusals(known: dict[str, float]) -> None:
    with pytest.raises(ValueError, match=r"finite|above 0"):
        malt_term("pale", 1.0, **known)


@pytest.mark.parametrize("mass", [0.0, -1.0, nan])
def test_mass_is_checked(mass: float) -> None:
    with pytest.raises(ValueError, match=r"finite|above 0"):
        malt_term("pale", mass)


def test_unknown_kind() -> None:
    with pytest.raises(ValueError, match="unknown kind of malt 'smoke'; known are acidulated"):
        malt_term("smoke", 1.0)
