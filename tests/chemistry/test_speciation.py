"""The solver itself: buffers by hand, its ways in, how many steps it needs."""

from __future__ import annotations

from math import log10

import pytest

from waterlint.chemistry import Water, speciation
from waterlint.chemistry.equilibria import water_properties
from waterlint.chemistry.speciation import Totals, speciate

NOTHING = (0.0,) * 6
TAP = Water(
    calcium=62, magnesium=9, sodium=18, potassium=2, chloride=39, sulfate=48, alkalinity=128, ph=7.7
)


def davies(charge: int, strength: float) -> float:
    """log10 of an activity coefficient at 25 C, written out once more."""
    root = strength**0.5
    a = water_properties(25.0).debye_hueckel_a
    return -a * charge**2 * (root / (1.0 + root) - 0.3 * strength)


@pytest.mark.parametrize(
    "acid, family, pk, upper, lower, alkalinity",
    [
        ("lactate", 3, 3.86, -1, 0, -0.5),
        ("citrate", 4, 3.128, -1, 0, -0.5),
        ("citrate", 4, 6.396, -3, -2, 1.5),
        ("sulfite", 5, 7.2054, -2, -1, 0.5),
    ],
)
@pytest.mark.parametrize("salt", [0.02, 0.2])
def test_half_neutralised_buffers(
    acid: str, family: int, pk: float, upper: int, lower: int, alkalinity: float, salt: float
) -> None:
    """Half of a weak acid's step taken: its pH is its pK, less activities; spectators add salt."""
    amount = 1e-2
    anions = tuple(amount if place == family else 0.0 for place in range(6))
    solved = speciate(
        Totals((0.0,) * 4, anions, salt), 25.0, dic=0.0, alkalinity=alkalinity * amount
    )
    strength = solved.ionic_strength
    expected = pk + davies(upper, strength) - davies(lower, strength)
    other = 0.1 if acid == "citrate" else 0.03  # of the steps beside it, and of H+ itself
    assert solved.converged
    assert solved.ph == pytest.approx(expected + shift(solved, amount), abs=other)


def shift(solved: speciation.Speciation, amount: float) -> float:
    """What free H+ takes from the half step."""
    half = 0.5 * amount
    return log10((half + solved.proton) / (half - solved.proton))


def test_neutral_slope_of_undissociated_acid() -> None:
    """0.1 I on the neutral form moves the pH of a half-neutralised lactic acid up by as much."""
    totals = Totals((0.0,) * 4, (0.0, 0.0, 0.0, 0.01, 0.0, 0.0), 1.0)
    solved = speciate(totals, 25.0, ph=3.5, dic=0.0)
    neutral = next(amount for species, amount in solved.formed if species.name == "Hlactate")
    held = 0.01 - neutral
    strength = solved.ionic_strength
    expected = 3.86 - 3.5 - davies(-1, strength) * -1.0 - 0.1 * strength
    assert log10(neutral / held) == pytest.approx(expected, abs=1e-6)


def test_all_ways_in_agree() -> None:
    solved = TAP.speciation
    gas = 10.0**solved.log10_pco2
    for given in (
        {"ph": solved.ph, "dic": solved.dic},
        {"ph": solved.ph, "alkalinity": solved.alkalinity},
        {"ph": solved.ph, "pco2": gas},
        {"dic": solved.dic, "alkalinity": solved.alkalinity},
        {"alkalinity": solved.alkalinity, "pco2": gas},
    ):
        found = speciate(TAP.totals, 25.0, **given)
        assert found.ph == pytest.approx(solved.ph, abs=1e-7)
        assert found.dic == pytest.approx(solved.dic, rel=1e-6)
        assert found.alkalinity == pytest.approx(solved.alkalinity, rel=1e-6)


@pytest.mark.parametrize(
    "given",
    [
        {},
        {"ph": 7.0},
        {"dic": 1e-3, "pco2": 1e-3},
        {"ph": 7.0, "dic": 1e-3, "alkalinity": 1e-3},
    ],
    ids=str,
)
def test_two_and_no_more_are_asked_for(given: dict[str, float]) -> None:
    with pytest.raises(ValueError, match="give two"):
        speciate(TAP.totals, 25.0, **given)


@pytest.mark.parametrize(
    "water",
    [
        TAP,
        TAP.with_acid("phosphoric", 1.5),
        TAP.with_acid("lactic", 2.4),
        TAP.with_salts({"gypsum": 600.0, "epsom": 300.0}),
    ],
    ids=repr,
)
def test_few_sweeps(water: Water, monkeypatch: pytest.MonkeyPatch) -> None:
    """A linter solves several waters a recipe: the pH's steps must be good ones."""
    sweeps = 0
    plain = speciation.sweep

    def counted(*given: object) -> None:
        nonlocal sweeps
        sweeps += 1
        plain(*given)  # type: ignore[arg-type]

    monkeypatch.setattr(speciation, "sweep", counted)
    speciation._solve.cache_clear()
    again = Water.from_carbon(water.ions, water.alkalinity, water.dic)
    assert again.converged
    assert sweeps <= 10


def test_bisection_finds_what_steps_find(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(speciation, "MAXIMUM_SWEEPS", 0)
    speciation._solve.cache_clear()
    again = Water.from_carbon(TAP.ions, TAP.alkalinity, TAP.dic)
    assert again.converged
    assert again.ph == pytest.approx(TAP.ph, abs=1e-7)
    speciation._solve.cache_clear()


def test_alkalinity_out_of_reach_is_said() -> None:
    """No pH between -1 and 15 holds forty moles of strong acid in a litre."""
    solved = speciate(TAP.totals, 25.0, dic=0.0, alkalinity=-40.0)
    assert not solved.converged
    assert -1.0 <= solved.ph <= 15.0
