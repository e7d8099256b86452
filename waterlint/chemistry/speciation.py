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

from dataclasses import dataclass
from functools import lru_cache
from math import log, log10
from typing import Final, NamedTuple

from waterlint.chemistry.equilibria import (
    CARBON_DIOXIDE,
    ZERO_CELSIUS,
    log_k_calcite,
    log_k_henry,
)
from waterlint.chemistry.species import (
    CATIONS,
    FAMILIES,
    FORMED,
    FREE_ANIONS,
    FREE_CATIONS,
    PROTON,
    ZERO_LEVEL,
    Species,
    activity_terms,
    formation_constants,
)

PH_RANGE: Final = (-1.0, 15.0)
"""Solutions are sought between these; beyond them no water of a brewery goes."""

MAXIMUM_SWEEPS: Final = 100
"""Before pH is bisected instead."""

TOLERANCE: Final = 1e-12
"""Change at which sweeping stops [pH, and relative]."""

LARGEST_STEP: Final = 1.0
"""Of the pH in one sweep."""

MODEL_IONIC_STRENGTH: Final = 1.0
"""Activity coefficients are held at their value here above it [mol/kg]: the equations are
fitted to less, and run away beyond."""

MAXIMUM_BISECTIONS: Final = 60
"""Enough to bring the range of pH below a float's resolution."""

LARGEST_LOG: Final = 3.0
"""Bound of free carbonate [log10 mol/kg] while a pH is sought under a given pressure of CO2."""

ABSENT: Final = -99.0
"""Stands for the logarithm of nothing."""

_LN10: Final = log(10.0)
_CALCIUM: Final = CATIONS.index("calcium")
_CARBONATE: Final = FAMILIES.index("carbonate")
_CARBON_DIOXIDE_PROTONS: Final = 2
_NO_CATION: Final = len(CATIONS)
_NO_FAMILY: Final = len(FAMILIES)


class Totals(NamedTuple):
    """What a kilogram of water holds, whatever it is bound to.

    Attributes
    ----------
    cations : tuple of float
        In the order of `CATIONS` [mol/kg].
    anions : tuple of float
        In the order of `FAMILIES` [mol/kg]; the first, carbonate, is not read.
    spectators : float
        Chloride and nitrate [mol/kg].
    """

    cations: tuple[float, ...]
    anions: tuple[float, ...]
    spectators: float


@dataclass(frozen=True, slots=True)
class Speciation:
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
        total = self.free_anions[_CARBONATE] if protons == 0 else 0.0
        for species, amount in self.formed:
            if species.family == _CARBONATE and species.protons == protons:
                total += amount
        return total


class _Row(NamedTuple):
    """A formed species as the inner loop wants it; see `Species` for the words."""

    log_k: float
    cation: int
    family: int
    protons: int
    anions: int
    az2: float
    ba: float
    slope: float
    z2: int
    weight: int


class _Problem(NamedTuple):
    """What does not change while a water is solved."""

    totals: Totals
    rows: tuple[_Row, ...]
    free: tuple[tuple[float, float, float], ...]
    dic: float | None
    alkalinity: float | None
    log_co2: float | None
    log_k_co2: float


@lru_cache(maxsize=512)
def _places(families: tuple[bool, ...]) -> tuple[int, ...]:
    """Which of `FORMED` can form from the families that are present."""
    return tuple(
        place
        for place, species in enumerate(FORMED)
        if species.family is None or families[species.family]
    )


@lru_cache(maxsize=512)
def _rows(celsius: float, families: tuple[bool, ...]) -> tuple[_Row, ...]:
    constants = formation_constants(celsius)
    return tuple(_row(FORMED[place], constants[place], celsius) for place in _places(families))


def _row(species: Species, constant: float, celsius: float) -> _Row:
    family = _NO_FAMILY if species.family is None else species.family
    zero = 0 if species.family is None else ZERO_LEVEL[family] * species.anions
    return _Row(
        log10(constant),
        _NO_CATION if species.cation is None else species.cation,
        family,
        species.protons,
        species.anions,
        *activity_terms(species, celsius),
        species.charge**2,
        zero - species.protons,
    )


@lru_cache(maxsize=256)
def _free_terms(celsius: float) -> tuple[tuple[float, float, float], ...]:
    return tuple(activity_terms(ion, celsius) for ion in (*FREE_CATIONS, *FREE_ANIONS, PROTON))


class _State:
    """The unknowns, and what the last sweep made of them."""

    __slots__ = ("alkalinity", "amounts", "anions", "buffer", "cations", "change", "dic")
    __slots__ += ("factors", "ionic_strength", "logs", "ph", "proton")

    def __init__(self, problem: _Problem, ph: float) -> None:
        cations, anions, spectators = problem.totals
        carbon = problem.alkalinity if problem.dic is None else problem.dic
        self.ph = ph
        self.cations = [*cations, 1.0]
        self.anions = [0.0, *anions[1:], 1.0]
        self.ionic_strength = 2.0 * (cations[0] + cations[1] + anions[1]) + 0.5 * (
            cations[2] + cations[3] + spectators + abs(carbon or 0.0)
        )
        self.factors: list[float] = []
        self.amounts: list[float] = []
        self.logs: list[float] = []
        self.alkalinity = self.buffer = self.dic = self.proton = 0.0
        self.change = 1.0


def _sweep(problem: _Problem, state: _State) -> None:
    """Improve free ions and ionic strength at the state's pH."""
    held = min(state.ionic_strength, MODEL_IONIC_STRENGTH)
    root = held**0.5
    logs = [slope * held - az2 * root / (1.0 + ba * root) for az2, ba, slope in problem.free]
    by_cation = [*logs[:_NO_CATION], 0.0]
    by_family = [*logs[_NO_CATION:-1], 0.0]
    ph, cations, anions = state.ph, state.cations, state.anions
    sums = [1.0] * (_NO_FAMILY + 1)
    factors = []
    for log_k, cation, family, protons, n, az2, ba, slope, _, _ in problem.rows:
        factor = 10.0 ** (
            log_k
            - protons * ph
            + by_cation[cation]
            + n * by_family[family]
            - slope * held
            + az2 * root / (1.0 + ba * root)
        )
        factors.append(factor)
        bound = factor * cations[cation]
        sums[family] += bound if n < 2 else 2.0 * bound * anions[family]
    for family in range(1, _NO_FAMILY):
        anions[family] = problem.totals.anions[family] / sums[family]
    state.factors, state.logs = factors, logs
    state.proton = 10.0 ** (-ph - logs[-1])
    anions[_CARBONATE] = _carbonate(problem, state, sums[_CARBONATE])
    _tally(problem, state)


def _carbonate(problem: _Problem, state: _State, per_free: float) -> float:
    """Free carbonate from what is given: carbon, CO2's activity, or alkalinity."""
    if problem.dic is not None:
        return problem.dic / per_free
    if problem.log_co2 is not None:
        log_gamma = state.logs[_NO_CATION + _CARBONATE]
        exponent = problem.log_co2 - problem.log_k_co2 + 2.0 * state.ph - log_gamma
        return float(10.0 ** min(exponent, LARGEST_LOG))
    assert problem.alkalinity is not None
    other = -state.proton
    for zero, free in zip(ZERO_LEVEL[1:], state.anions[1:], strict=False):
        other += zero * free
    weight = float(ZERO_LEVEL[_CARBONATE])
    for row, factor in zip(problem.rows, state.factors, strict=True):
        if row.family == _CARBONATE:
            weight += row.weight * factor * state.cations[row.cation]
        else:
            free = state.anions[row.family] ** row.anions
            other += row.weight * factor * state.cations[row.cation] * free
    return max(0.0, problem.alkalinity - other) / weight


def _tally(problem: _Problem, state: _State) -> None:
    """Add up alkalinity, buffering and ionic strength, and balance the cations."""
    cations, anions, totals = state.cations, state.anions, problem.totals
    first = [zero * free for zero, free in zip(ZERO_LEVEL, anions, strict=False)] + [0.0]
    second = [zero * part for zero, part in zip(ZERO_LEVEL, first, strict=False)] + [0.0]
    sums = [1.0] * (_NO_CATION + 1)
    dic = anions[_CARBONATE]
    charge = state.proton + totals.spectators
    for z, free in zip(_FREE_Z2, anions, strict=False):
        charge += z * free
    amounts = []
    for (_, cation, family, _, n, _, _, _, z2, weight), factor in zip(
        problem.rows, state.factors, strict=True
    ):
        bound = factor * (anions[family] if n < 2 else anions[family] ** n)
        sums[cation] += bound
        amount = bound * cations[cation]
        amounts.append(amount)
        charge += z2 * amount
        first[family] += weight * amount
        second[family] += weight * weight * amount
        if family == _CARBONATE:
            dic += amount
    change = 0.0
    for place, total in enumerate(totals.cations):
        free = total / sums[place]
        change += abs(free - cations[place])
        cations[place] = free
        charge += (4.0 if place < 2 else 1.0) * free
    fixed = (
        [0.0, *totals.anions[1:], 0.0] if problem.dic is None else [dic, *totals.anions[1:], 0.0]
    )
    state.buffer = _LN10 * (
        state.proton
        + sum(second)
        - sum(part * part / total for part, total in zip(first, fixed, strict=True) if total > 0.0)
    )
    state.alkalinity = sum(first) - state.proton
    state.dic, state.amounts = dic, amounts
    state.change = (change + abs(0.5 * charge - state.ionic_strength)) / (charge + 1e-30)
    state.ionic_strength = 0.5 * charge


_FREE_Z2: Final = tuple(float(ion.charge**2) for ion in FREE_ANIONS)


def _settle(problem: _Problem, state: _State) -> bool:
    """Sweep at a fixed pH until nothing moves."""
    for _ in range(MAXIMUM_SWEEPS):
        _sweep(problem, state)
        if state.change < TOLERANCE:
            return True
    return False


def _seek(problem: _Problem, state: _State, alkalinity: float) -> bool:
    """Sweep and step the pH until nothing moves."""
    low, high = PH_RANGE
    for _ in range(MAXIMUM_SWEEPS):
        _sweep(problem, state)
        step = (alkalinity - state.alkalinity) / state.buffer
        step = max(-LARGEST_STEP, min(LARGEST_STEP, step))
        state.ph = max(low, min(high, state.ph + step))
        if abs(step) < TOLERANCE and state.change < TOLERANCE:
            return low < state.ph < high
    return False


def _bisect(problem: _Problem, alkalinity: float) -> tuple[_State, bool]:
    """Find the pH where sweeping and stepping together do not settle."""
    low, high = PH_RANGE
    settled = True
    state = _State(problem, 0.5 * (low + high))
    for _ in range(MAXIMUM_BISECTIONS):
        state = _State(problem, 0.5 * (low + high))
        settled = _settle(problem, state)
        if state.alkalinity < alkalinity:
            low = state.ph
        else:
            high = state.ph
    return state, settled and PH_RANGE[0] < low and high < PH_RANGE[1]


def _first_guess(alkalinity: float, dic: float | None) -> float:
    """pH of the carbonate system alone, roughly; only a place to start."""
    if dic is None:
        return 8.3 + 0.5 * log10(max(alkalinity, 1e-7) / 1e-3)
    if alkalinity <= 1e-7:
        return max(1.0, min(6.0, -log10(max(1e-7, -alkalinity, 6e-4 * dic**0.5))))
    if alkalinity < dic:
        return 6.3 + log10(alkalinity / max(dic - alkalinity, 0.01 * dic))
    if alkalinity < 2.0 * dic:
        return 10.2 + log10(max(alkalinity - dic, 0.01 * dic) / (2.0 * dic - alkalinity))
    return min(13.0, max(10.5, 14.0 + log10(max(alkalinity - 2.0 * dic, 1e-7))))


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
    families = (True, *(amount > 0.0 for amount in totals.anions[1:]))
    problem = _Problem(
        totals,
        _rows(celsius, families),
        _free_terms(celsius),
        dic,
        alkalinity,
        None if pco2 is None else log_k_henry(celsius) + log10(max(pco2, 1e-30)),
        CARBON_DIOXIDE.log_k_at(celsius + ZERO_CELSIUS),
    )
    if ph is not None:
        state = _State(problem, ph)
        converged = _settle(problem, state)
    else:
        assert alkalinity is not None
        state = _State(problem, _first_guess(alkalinity, dic))
        converged = _seek(problem, state, alkalinity)
        if not converged:
            state, converged = _bisect(problem, alkalinity)
    return _result(problem, state, celsius, converged)


def _result(problem: _Problem, state: _State, celsius: float, converged: bool) -> Speciation:
    places = _places((True, *(amount > 0.0 for amount in problem.totals.anions[1:])))
    carbonate = state.anions[_CARBONATE]
    calcium = state.cations[_CALCIUM]
    log_carbonate = log10(carbonate) + state.logs[_NO_CATION] if carbonate > 0.0 else ABSENT
    log_calcium = log10(calcium) + state.logs[_CALCIUM] if calcium > 0.0 else ABSENT
    log_co2 = log_carbonate + problem.log_k_co2 - 2.0 * state.ph
    return Speciation(
        state.ph,
        state.alkalinity,
        state.dic,
        state.ionic_strength,
        tuple(state.cations[:-1]),
        tuple(state.anions[:-1]),
        state.proton,
        tuple(zip((FORMED[place] for place in places), state.amounts, strict=True)),
        max(ABSENT, log_calcium + log_carbonate - log_k_calcite(celsius)),
        max(ABSENT, log_co2 - log_k_henry(celsius)),
        converged,
    )
