"""Where a mash pH's deviation comes from, and how warm readings are compared."""

from __future__ import annotations

from dataclasses import replace

import pytest

from waterlint.chemistry.malts import malt_term
from waterlint.chemistry.mash import MashInputs, mash_ph
from waterlint.chemistry.mash_uncertainty import (
    VALIDATED,
    MashUncertainty,
    at_reference_temperature,
    crush_sd,
    mash_ph_sd,
    outside_validation,
)

from .mashes import rows

LOT = malt_term("pale", 4.0, di_ph=5.72)
CLASSED = malt_term("pale", 4.0)
assert LOT and CLASSED
KNOWN = MashInputs((LOT,), 12.0, alkalinity=1.5, calcium=3.0, mill_gap=1.0)


def sd(inputs: MashInputs, **more: float) -> MashUncertainty:
    return mash_ph_sd(inputs, mash_ph(inputs), **more)  # type: ignore[arg-type]


def test_a_known_lot_leaves_model_and_meter() -> None:
    found = sd(KNOWN)
    assert 0.05 <= found.sd <= 0.065
    assert [*found.parts][:4] == ["model", "meter", "malts", "crush"]
    assert [*found.parts][4:] == ["carbon_dioxide", "chalk", "decoction", "inputs"]
    left = {name for name, part in found.parts.items() if part > 0.005}
    assert left == {"model", "meter"}


def test_parts_add_up_in_squares() -> None:
    found = sd(replace(KNOWN, malts=(CLASSED,), mill_gap=None, undissolved_chalk=200.0))
    assert found.sd == pytest.approx(sum(part**2 for part in found.parts.values()) ** 0.5)
    assert all(
        part > 0.0 for name, part in found.parts.items() if name not in ("decoction", "inputs")
    )


def test_class_defaults_widen() -> None:
    assert 0.085 <= sd(replace(KNOWN, malts=(CLASSED,))).sd <= 0.15


def test_unknown_pale_malts_stray_together() -> None:
    """Two sacks of unknown base malt are no more certain than one; two crystal malts are."""
    halves = (replace(CLASSED, mass=2.0), replace(CLASSED, mass=2.0))
    one, two = (sd(replace(KNOWN, malts=m)).parts["malts"] for m in ((CLASSED,), halves))
    assert two == pytest.approx(one)
    dark = malt_term("crystal", 1.0, color=150.0)
    assert dark is not None
    single = sd(replace(KNOWN, malts=(LOT, dark))).parts["malts"]
    parted = sd(replace(KNOWN, malts=(LOT, replace(dark, mass=0.5), replace(dark, mass=0.5))))
    assert parted.parts["malts"] == pytest.approx(single / 2.0**0.5)


def test_a_lots_own_spread_passes_through() -> None:
    loose = malt_term("pale", 4.0, di_ph=5.72, di_ph_sd=0.04)
    assert loose is not None
    assert sd(replace(KNOWN, malts=(loose,))).parts["malts"] == pytest.approx(0.04, abs=0.005)


def test_inputs_and_decoctions_widen() -> None:
    assert sd(KNOWN, inputs_sd=0.04).parts["inputs"] == 0.04
    assert sd(KNOWN, decoctions=1).sd > sd(KNOWN).sd
    assert sd(KNOWN, decoctions=2).sd > sd(KNOWN, decoctions=1).sd


def test_lost_carbon_dioxide_matters_with_alkalinity() -> None:
    parts = [sd(replace(KNOWN, alkalinity=a)).parts["carbon_dioxide"] for a in (0.0, 2.0, 5.0)]
    assert parts[0] == 0.0
    assert parts[0] < parts[1] < parts[2] < 0.03


@pytest.mark.parametrize("carbon", [None, 1.5, 0.8])
def test_carbon_dioxide_part_is_the_slope_of_keeping(carbon: float | None) -> None:
    """Losing a hundredth of the carbon dioxide, by hand: that carbon holds no charge any more."""
    inputs = replace(KNOWN, carbon=carbon)
    kept = 1.5 if carbon is None else carbon
    ph = mash_ph(replace(KNOWN, carbon=kept * (1.0 - 1e-6))).ph
    slope = (mash_ph(replace(KNOWN, carbon=kept * (1.0 - 2e-6))).ph - ph) / 1e-6
    assert sd(inputs).parts["carbon_dioxide"] == pytest.approx(0.2 * slope, rel=1e-3)


@pytest.mark.parametrize("gap, expected", [(None, 0.08), (0.0, 0.0), (1.2, 0.0), (1.5, 0.06)])
def test_crush_sd(gap: float | None, expected: float) -> None:
    assert crush_sd(gap) == expected


@pytest.mark.parametrize(
    "changes, outside",
    [
        ({}, ()),
        ({"alkalinity": 7.0, "calcium": 8.0}, ("alkalinity",)),
        ({"calcium": 16.5}, ("calcium",)),
        ({"magnesium": 17.0}, ("magnesium",)),
        ({"volume": 24.0}, ("thickness",)),
        ({"acids": {"lactic": 12.0}}, ("ph",)),
    ],
    ids=str,
)
def test_outside_validation(changes: dict[str, object], outside: tuple[str, ...]) -> None:
    inputs = replace(KNOWN, **changes)
    assert outside_validation(inputs, mash_ph(inputs)) == outside


@pytest.mark.parametrize(
    ("name", "key", "tables"),
    [
        ("alkalinity", "alk_mEq_L", {"T3"}),
        ("calcium", "Ca_mEq_L", {"T3", "T6"}),
        ("magnesium", "Mg_mEq_L", {"T3", "T7"}),
        ("thickness", "R_L_per_kg", set()),
    ],
)
def test_the_bounds_are_those_of_the_measured_mashes(name: str, key: str, tables: set[str]) -> None:
    """`tables` name those of Troester 2009 that reach furthest, of all where there are none."""
    of = [row for row in rows() if not tables or row["id"].split("-")[0] in tables]
    found = [row["inputs"][key] for row in of]
    low, high = VALIDATED[name]
    assert low == pytest.approx(min(found), abs=0.05)
    if name != "alkalinity":  # beyond 5.5 what falls out is not modelled
        assert high == pytest.approx(max(found), abs=0.05)


def test_the_bounds_of_ph_are_those_of_the_measured_mashes() -> None:
    found = [row["expected"]["measured_ph_cooled"] for row in rows()]
    assert VALIDATED["ph"] == (
        pytest.approx(min(found), abs=0.05),
        pytest.approx(max(found), abs=0.05),
    )


def test_reference_temperature() -> None:
    assert at_reference_temperature(5.5, 25.0) == (5.5, 0.0)
    warm, spread = at_reference_temperature(5.2, 65.0)
    assert warm == pytest.approx(5.42)
    assert spread == pytest.approx(0.08)
    for drop in (0.21, 0.26, 0.34):  # published, 18 to 65 C
        assert abs(drop - 47.0 * 0.0055) < 1.5 * 47.0 * 0.002
    cold, _ = at_reference_temperature(5.5, 20.0)
    assert cold == pytest.approx(5.4725)
