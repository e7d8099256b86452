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
        ("phosphate", 2, 7.207, -2, -1, 0.5),
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
    # of the steps beside it, and of H+ itself; phosphate's ions have sizes of their own
    other = {"citrate": 0.1, "phosphate": 0.15}.get(acid, 0.03)
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
    assert solved.ph == pytest.approx(-1.0)
    solved = speciate(TAP.totals, 25.0, dic=0.0, alkalinity=60.0)
    assert not solved.converged
    assert solved.ph == pytest.approx(15.0)


@pytest.mark.parametrize("ph", [3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 10.5, 11.0, 12.0])
def test_the_first_guess_is_near(ph: float) -> None:
    """A third of a pH or less, of two millimoles of carbon and nothing else."""
    solved = speciate(Totals((0.0,) * 4, NOTHING, 0.0), 25.0, ph=ph, dic=2e-3)
    assert speciation._first_guess(solved.alkalinity, 2e-3) == pytest.approx(ph, abs=0.35)


@pytest.mark.parametrize(("alkalinity", "pressure"), [(1e-3, 4e-4), (1e-2, 4e-4), (1e-3, 3e-4)])
def test_the_first_guess_of_an_open_water_is_near(alkalinity: float, pressure: float) -> None:
    solved = speciate(Totals((0.0,) * 4, NOTHING, 0.0), 25.0, alkalinity=alkalinity, pco2=pressure)
    assert speciation._first_guess(alkalinity, None) == pytest.approx(solved.ph, abs=0.35)


def test_who_is_bound_to_whom() -> None:
    names = {species.name for species, _ in TAP.speciation.formed}
    assert {"OH-", "HCO3-", "CO2", "CaSO4", "CaHCO3+", "MgSO4", "NaSO4-", "KSO4-"} <= names
    assert not any("PO4" in name or "citrate" in name or "lactate" in name for name in names)
    soda = Water(sodium=23, alkalinity=50, ph=8.3).speciation
    assert {species.name for species, _ in soda.formed if species.cation is not None} == {"NaHCO3"}


def test_thin_water_forms_pairs_by_their_constant() -> None:
    """CaSO4 at 25 C, log K 2.25 (phreeqc.dat), where activities are concentrations."""
    solved = speciate(
        Totals((1e-6, 0.0, 0.0, 0.0), (0.0, 2e-6, 0.0, 0.0, 0.0, 0.0), 0.0), 25.0, ph=7.0, dic=0.0
    )
    pair = next(amount for species, amount in solved.formed if species.name == "CaSO4")
    assert pair / (solved.free_cations[0] * solved.free_anions[1]) == pytest.approx(
        10.0**2.25, rel=0.03
    )
    assert solved.free_cations[0] + pair == pytest.approx(1e-6, rel=1e-5)
    assert solved.free_anions[1] + pair == pytest.approx(2e-6, rel=1e-4)
    assert (solved.calcite_saturation_index, solved.log10_pco2) == (-99.0, -99.0)


def test_carbon_is_in_three_forms() -> None:
    solved = TAP.speciation
    forms = [solved.inorganic_carbon(protons) for protons in (0, 1, 2)]
    assert sum(forms) == pytest.approx(solved.dic)
    assert forms[1] / forms[2] == pytest.approx(10.0 ** (7.7 - 6.35), rel=0.15)


@pytest.mark.parametrize("dilution", [1e-2, 1e-3, 1e-4])
def test_what_the_sweeps_leave(dilution: float, monkeypatch: pytest.MonkeyPatch) -> None:
    """Far less than the change at which they stop, in the thinnest water too."""
    citrate = (0.0, 0.0, 0.0, 0.0, 0.01 * dilution, 0.0)
    totals = Totals((0.01 * dilution, 0.0, 0.0, 0.0), citrate, 0.0)
    found = speciate(totals, 25.0, ph=7.0, dic=0.0)
    monkeypatch.setattr(speciation, "TOLERANCE", 1e-15)
    monkeypatch.setattr(speciation, "MAXIMUM_SETTLING", 50)
    speciation._solve.cache_clear()
    settled = speciate(totals, 25.0, ph=7.0, dic=0.0)
    speciation._solve.cache_clear()
    assert found.free_cations[0] == pytest.approx(settled.free_cations[0], rel=1e-8)


def test_the_first_guess_of_carbon_dioxide_alone_is_near() -> None:
    solved = speciate(Totals((0.0,) * 4, NOTHING, 0.0), 25.0, alkalinity=0.0, dic=2e-3)
    assert solved.ph == pytest.approx(4.5, abs=0.2)
    assert speciation._first_guess(0.0, 2e-3) == pytest.approx(solved.ph, abs=0.35)
