"""Who is bound to whom: free ions, ion pairs, activities and pH of a water.

The unknowns are the free ions, the ionic strength and, where it is asked for, the pH. A sweep
improves the first two; after it the pH takes a Newton step towards the alkalinity. Sweeps go on
until nothing moves. Should that not settle, pH is bisected, which always does, since alkalinity
at given totals only rises with pH.

References
----------
D. L. Parkhurst, C. A. J. Appelo, "Description of input and examples for PHREEQC version 3",
U.S. Geological Survey Techniques and Methods 6-A43, 2013.
"""

from __future__ import annotations

from functools import lru_cache
from math import log10

from waterlint.chemistry.equilibria import (
    CARBON_DIOXIDE,
    ZERO_CELSIUS,
    log_k_calcite,
    log_k_henry,
)
from waterlint.chemistry.species import FORMED, Species
from waterlint.chemistry.sweep import (
    CALCIUM,
    CARBONATE,
    NO_CATION,
    Given,
    Network,
    State,
    Totals,
    network,
    sweep,
)
from waterlint.hints import Final, NamedTuple

PH_RANGE: Final = (-1.0, 15.0)
"""Solutions are sought between these; beyond them no water of a brewery goes."""

MAXIMUM_SWEEPS: Final = 100
"""Before pH is bisected instead."""

TOLERANCE: Final = 1e-8
"""Change at which sweeping stops [pH, and relative]; what remains is a twentieth of it."""

MAXIMUM_SETTLING: Final = 400
"""Sweeps at one pH; more only matters where calcium and carbonate bind each other wholly."""

LARGEST_STEP: Final = 1.0
"""Of the pH in one sweep."""

MAXIMUM_BISECTIONS: Final = 60
"""Enough to bring the range of pH below a float's resolution."""

ABSENT: Final = -99.0
"""Stands for the logarithm of nothing."""


class Speciation(NamedTuple):
    """A solved water.

    Attributes
    ----------
    ph : float
    alkalinity : float
        [Eq/kg]
    dic : float
        Dissolved inorganic carbon [mol/kg].
    ionic_strength : float
        [mol/kg]
    free_cations, free_anions : tuple of float
        [mol/kg], in the order of `CATIONS` and `FAMILIES`.
    proton : float
        H+ [mol/kg], the concentration.
    formed : tuple of (Species, float)
        What formed, and its concentration [mol/kg].
    calcite_saturation_index : float
        log10 of activity product over solubility product; -99 without calcium or carbon.
    log10_pco2 : float
        [log10 atm]; -99 without carbon.
    converged : bool
    """

    ph: float
    alkalinity: float
    dic: float
    ionic_strength: float
    free_cations: tuple[float, ...]
    free_anions: tuple[float, ...]
    proton: float
    formed: tuple[tuple[Species, float], ...]
    calcite_saturation_index: float
    log10_pco2: float
    converged: bool

    def inorganic_carbon(self, protons: int) -> float:
        """Carbonate (0), bicarbonate (1) or carbon dioxide (2), ion pairs included [mol/kg]."""
        total = self.free_anions[CARBONATE] if protons == 0 else 0.0
        for species, amount in self.formed:
            if species.family == CARBONATE and species.protons == protons:
                total += amount
        return total


class _Problem(NamedTuple):
    """What does not change while a water is solved."""

    net: Network
    totals: Totals
    given: Given

    def start(self, ph: float) -> State:
        carbon = self.given.dic if self.given.alkalinity is None else abs(self.given.alkalinity)
        return State(self.totals, carbon or 0.0, ph)

    def sweep(self, state: State) -> None:
        sweep(self.net, self.totals, self.given, state)


def _settle(problem: _Problem, state: State) -> bool:
    """Sweep at a fixed pH until nothing moves."""
    for _ in range(MAXIMUM_SETTLING):
        problem.sweep(state)
        if state.change < TOLERANCE:
            return True
    return False


def _seek(problem: _Problem, state: State, alkalinity: float) -> bool:
    """Sweep and step the pH until nothing moves."""
    low, high = PH_RANGE
    for _ in range(MAXIMUM_SWEEPS):
        problem.sweep(state)
        step = (alkalinity - state.alkalinity) / state.buffer
        step = max(-LARGEST_STEP, min(LARGEST_STEP, step))
        state.ph = max(low, min(high, state.ph + step))
        if abs(step) < TOLERANCE and state.change < TOLERANCE:
            return low < state.ph < high
    return False


def _bisect(problem: _Problem, alkalinity: float) -> tuple[State, bool]:
    """Find the pH where sweeping and stepping together do not settle."""
    low, high = PH_RANGE
    settled = True
    state = problem.start(0.5 * (low + high))
    for _ in range(MAXIMUM_BISECTIONS):
        state = problem.start(0.5 * (low + high))
        settled = _settle(problem, state)
        if state.alkalinity < alkalinity:
            low = state.ph
        else:
            high = state.ph
    return state, settled and PH_RANGE[0] < low and high < PH_RANGE[1]


def _first_guess(alkalinity: float, dic: float | None) -> float:
    """pH of the carbonate system alone, roughly; only a place to start."""
    least = 1e-7
    if dic is None:
        guess = 8.3 + 0.5 * log10(max(alkalinity, least) / 1e-3)
    elif alkalinity <= least:
        guess = -log10(max(least, -alkalinity, 6e-4 * dic**0.5))
    elif alkalinity < dic:
        guess = 6.3 + log10(alkalinity / max(dic - alkalinity, 0.01 * dic))
    elif alkalinity < 1.99 * dic:
        guess = 10.2 + log10(max(alkalinity - dic, 0.01 * dic) / (2.0 * dic - alkalinity))
    else:
        guess = max(10.5, 14.0 + log10(max(alkalinity - 2.0 * dic, least)))
    return max(1.0, min(13.0, guess))


def speciate(
    totals: Totals,
    celsius: float,
    *,
    ph: float | None = None,
    dic: float | None = None,
    alkalinity: float | None = None,
    pco2: float | None = None,
) -> Speciation:
    """Solve a water.

    Parameters
    ----------
    totals : Totals
    celsius : float
        [degrees Celsius]
    ph, dic, alkalinity, pco2 : float
        Exactly two: pH, dissolved inorganic carbon [mol/kg], total alkalinity [Eq/kg],
        pressure of carbon dioxide [atm]; not dic with pco2.

    Returns
    -------
    Speciation

    Raises
    ------
    ValueError
        If not exactly two are given, or dic with pco2.

    Notes
    -----
    No precipitation, no redox; water's activity is taken as 1, its gas as ideal. Given pH and
    alkalinity that no amount of carbon reconciles (alkalinity below what the pH alone brings),
    there is no carbon, and the alkalinity is the pH's.
    """
    given = [value is not None for value in (ph, dic, alkalinity, pco2)]
    if sum(given) != 2 or (dic is not None and pco2 is not None):
        raise ValueError("give two of ph, dic, alkalinity and pco2, and not dic with pco2")
    return _solve(totals, celsius, ph, dic, alkalinity, pco2)


@lru_cache(maxsize=1024)
def _solve(
    totals: Totals,
    celsius: float,
    ph: float | None,
    dic: float | None,
    alkalinity: float | None,
    pco2: float | None,
) -> Speciation:
    """`speciate`, remembered: many recipes share a water."""
    problem = _Problem(
        network(
            celsius,
            tuple([amount > 0.0 for amount in totals.cations]),
            (True, *[amount > 0.0 for amount in totals.anions[1:]]),
        ),
        totals,
        Given(
            dic,
            None if pco2 is None else log10(max(pco2, 1e-30)) - _log_k_gas(celsius),
            alkalinity,
        ),
    )
    if ph is not None:
        state = problem.start(ph)
        converged = _settle(problem, state)
    else:
        assert alkalinity is not None
        state = problem.start(_first_guess(alkalinity, dic))
        converged = _seek(problem, state, alkalinity)
        if not converged:
            state, converged = _bisect(problem, alkalinity)
    return _result(problem, state, celsius, converged)


def _log_k_gas(celsius: float) -> float:
    """log10 of CO3-2 + 2 H+ = CO2(g) + H2O."""
    return CARBON_DIOXIDE.log_k_at(celsius + ZERO_CELSIUS) - log_k_henry(celsius)


def _result(problem: _Problem, state: State, celsius: float, converged: bool) -> Speciation:
    carbonate, calcium = state.anions[CARBONATE], state.cations[CALCIUM]
    index = log_pco2 = ABSENT
    if carbonate > 0.0:
        log_carbonate = log10(carbonate) + state.log_gammas[NO_CATION]
        log_pco2 = log_carbonate - 2.0 * state.ph + _log_k_gas(celsius)
        if calcium > 0.0:
            log_calcium = log10(calcium) + state.log_gammas[CALCIUM]
            index = log_calcium + log_carbonate - log_k_calcite(celsius)
    return Speciation(
        state.ph,
        state.alkalinity,
        state.dic,
        state.ionic_strength,
        tuple(state.cations[:-1]),
        tuple(state.anions[:-1]),
        state.proton,
        _formed(problem.net, state),
        index,
        log_pco2,
        converged,
    )


def _formed(net: Network, state: State) -> tuple[tuple[Species, float], ...]:
    h = 10.0**-state.ph
    return tuple(
        [
            (
                species,
                constant
                * h**species.protons
                * state.cations[row.cation]
                * state.anions[row.family] ** row.anions,
            )
            for species, constant, row in zip(
                [FORMED[place] for place in net.places], state.constants, net.rows, strict=True
            )
        ]
    )
