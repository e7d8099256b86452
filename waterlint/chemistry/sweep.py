"""The inner loop of speciation: one pass over all that can form in a water.

Kept apart and plain for speed: a linter solves several waters for every recipe.
"""

from __future__ import annotations

from functools import lru_cache
from math import log, log10

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
from waterlint.hints import Final, NamedTuple

MODEL_IONIC_STRENGTH: Final = 1.0
"""Activity coefficients are held at their value here above it [mol/kg]: the equations are
fitted to less, and run away beyond."""

STRENGTH_TOLERANCE: Final = 3e-8
"""Relative change of ionic strength that leaves activity coefficients as they are."""

LARGEST_LOG: Final = 3.0
"""Bound of free carbonate [log10 mol/kg] while a pH is sought under a given pressure of CO2."""

LN10: Final = log(10.0)
CALCIUM: Final = CATIONS.index("calcium")
CARBONATE: Final = FAMILIES.index("carbonate")
NO_CATION: Final = len(CATIONS)
NO_FAMILY: Final = len(FAMILIES)

_CATION_Z2: Final = tuple(float(ion.charge**2) for ion in FREE_CATIONS)


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


class Given(NamedTuple):
    """What of the carbonate system is known besides pH: one of them decides free carbonate.

    Attributes
    ----------
    dic : float or None
        [mol/kg]
    log_carbonate : float or None
        log10 of the carbonate activity that the gas keeps up, at pH 0.
    alkalinity : float or None
        [Eq/kg]; decides at a given pH only.
    """

    dic: float | None
    log_carbonate: float | None
    alkalinity: float | None


class _Row(NamedTuple):
    """What a formed species' conditional constant is made of; see `Species` for the words."""

    log_k: float
    cation: int
    family: int
    anions: int
    az2: float
    ba: float
    slope: float


class _Link(NamedTuple):
    """How a formed species enters the balances; `weight` is its alkalinity."""

    cation: int
    protons: int
    doubled: bool
    weight: float
    weight2: float
    z2: float


class _Family(NamedTuple):
    """An anion and what holds it: the network's rows from `start` to `stop`.

    Hydroxides are the family of none, whose free anion is water.
    """

    position: int
    start: int
    stop: int
    zero: float
    z2: float
    links: tuple[_Link, ...]


class Network(NamedTuple):
    """What can form at a temperature from the ions that are present."""

    places: tuple[int, ...]
    rows: tuple[_Row, ...]
    free: tuple[tuple[float, float, float], ...]
    families: tuple[_Family, ...]


@lru_cache(maxsize=1024)
def network(celsius: float, cations: tuple[bool, ...], families: tuple[bool, ...]) -> Network:
    """Compile the species that can form.

    Parameters
    ----------
    celsius : float
        [degrees Celsius]
    cations, families : tuple of bool
        Which of `CATIONS` and `FAMILIES` are present.

    Returns
    -------
    Network
        Carbonate comes last of its families: what it holds may follow from the others.
    """
    order = [index for index in range(1, NO_FAMILY) if families[index]] + [CARBONATE]
    places: list[int] = []
    groups = []
    for family in (None, *order):
        start = len(places)
        places += [
            place
            for place, species in enumerate(FORMED)
            if species.family == family and (species.cation is None or cations[species.cation])
        ]
        links = tuple(_link(FORMED[place]) for place in places[start:])
        zero, z = (0, 0) if family is None else (ZERO_LEVEL[family], FREE_ANIONS[family].charge)
        position = NO_FAMILY if family is None else family
        groups.append(_Family(position, start, len(places), float(zero), float(z * z), links))
    constants = formation_constants(celsius)
    return Network(
        tuple(places),
        tuple(_row(FORMED[place], constants[place], celsius) for place in places),
        tuple(activity_terms(ion, celsius) for ion in (*FREE_CATIONS, *FREE_ANIONS, PROTON)),
        tuple(groups),
    )


def _row(species: Species, constant: float, celsius: float) -> _Row:
    return _Row(
        log10(constant),
        NO_CATION if species.cation is None else species.cation,
        NO_FAMILY if species.family is None else species.family,
        species.anions,
        *activity_terms(species, celsius),
    )


def _link(species: Species) -> _Link:
    zero = 0 if species.family is None else ZERO_LEVEL[species.family] * species.anions
    weight = float(zero - species.protons)
    return _Link(
        NO_CATION if species.cation is None else species.cation,
        species.protons,
        species.anions == 2,
        weight,
        weight * weight,
        float(species.charge**2),
    )


class State:
    """The unknowns, and what the last pass made of them.

    Attributes
    ----------
    ph, ionic_strength : float
    cations, anions : list of float
        Free [mol/kg], each with a 1 behind for species that hold none.
    constants : list of float
        Conditional, of the network's rows.
    log_gammas : list of float
        Of free cations, anions and H+.
    alkalinity, dic, proton : float
        [Eq/kg, mol/kg]
    buffer : float
        How alkalinity rises with pH [Eq/kg].
    change : float
        Relative, in the last pass.
    """

    __slots__ = (
        "alkalinity",
        "anions",
        "buffer",
        "cations",
        "change",
        "constants",
        "dic",
        "ionic_strength",
        "log_gammas",
        "ph",
        "proton",
        "strength_used",
    )

    def __init__(self, totals: Totals, carbon: float, ph: float) -> None:
        cations, anions, spectators = totals
        self.ph = ph
        self.cations = [*cations, 1.0]
        self.anions = [0.0, *anions[1:], 1.0]
        self.ionic_strength = 0.5 * (
            sum(z2 * total for z2, total in zip(_CATION_Z2, cations, strict=True))
            + 4.0 * anions[1]
            + spectators
            + carbon
        )
        self.strength_used = -1.0
        self.constants: list[float] = []
        self.log_gammas: list[float] = []
        self.alkalinity = self.buffer = self.dic = self.proton = 0.0
        self.change = 1.0


def _condition(net: Network, state: State) -> None:
    """Bring the constants to the state's ionic strength."""
    state.strength_used = state.ionic_strength
    held = min(state.ionic_strength, MODEL_IONIC_STRENGTH)
    root = held**0.5
    logs = [slope * held - az2 * root / (1.0 + ba * root) for az2, ba, slope in net.free]
    of_cation = [*logs[:NO_CATION], 0.0]
    of_family = [*logs[NO_CATION:-1], 0.0]
    state.log_gammas = logs
    state.constants = [
        10.0
        ** (
            log_k
            + of_cation[cation]
            + anions * of_family[family]
            - slope * held
            + az2 * root / (1.0 + ba * root)
        )
        for log_k, cation, family, anions, az2, ba, slope in net.rows
    ]


class _Shares(NamedTuple):
    """Sums over an anion's species for a mole of it free: of the anion, of alkalinity, of its
    square, of charge squared; and what binds each cation."""

    whole: float
    first: float
    second: float
    z2: float
    bound: list[tuple[int, float]]


def _shares(family: _Family, state: State, powers: tuple[float, ...]) -> _Shares:
    cations, lagging = state.cations, state.anions[family.position]
    whole, first, second, z2_all = 1.0, family.zero, family.zero * family.zero, family.z2
    held = []
    constants = state.constants[family.start : family.stop]
    for (cation, protons, doubled, weight, weight2, z2), constant in zip(
        family.links, constants, strict=True
    ):
        bound = constant * powers[protons]
        if doubled:
            bound *= lagging
        held.append((cation, bound))
        share = bound * cations[cation]
        whole += share + share if doubled else share
        first += weight * share
        second += weight2 * share
        z2_all += z2 * share
    return _Shares(whole, first, second, z2_all, held)


def _free_carbonate(given: Given, state: State, shares: _Shares, others: float) -> float:
    """From what is given: carbon, CO2's activity, or alkalinity beyond the `others`."""
    if given.dic is not None:
        return given.dic / shares.whole
    if given.log_carbonate is not None:
        exponent = given.log_carbonate + 2.0 * state.ph - state.log_gammas[NO_CATION]
        return float(10.0 ** min(exponent, LARGEST_LOG))
    return max(0.0, (given.alkalinity or 0.0) - others) / shares.first


def sweep(net: Network, totals: Totals, given: Given, state: State) -> None:
    """Improve free ions and ionic strength at the state's pH.

    Parameters
    ----------
    net : Network
    totals : Totals
    given : Given
    state : State
        Changed in place.
    """
    strength = state.ionic_strength
    if abs(strength - state.strength_used) > STRENGTH_TOLERANCE * strength:
        _condition(net, state)
    cations, anions = state.cations, state.anions
    h = 10.0**-state.ph
    powers = (1.0, h, h * h, h * h * h, 1.0 / h)
    proton = 10.0 ** (-state.ph - state.log_gammas[-1])
    sums = [1.0] * (NO_CATION + 1)
    alkalinity, buffer, charge = -proton, proton, proton + totals.spectators
    for family in net.families:
        shares = _shares(family, state, powers)
        whole, first, second, z2, held = shares
        place = family.position
        if place == NO_FAMILY:
            free, fixed = 1.0, False
        elif place == CARBONATE:
            free = _free_carbonate(given, state, shares, alkalinity)
            fixed = given.log_carbonate is None  # an open water's gas replaces what reacts
            state.dic = free * whole
        else:
            free, fixed = totals.anions[place] / whole, True
        anions[place] = free
        for cation, bound in held:
            sums[cation] += free * bound
        alkalinity += free * first
        buffer += free * (second - first * first / whole if fixed else second)
        charge += free * z2
    change = 0.0
    for place, total in enumerate(totals.cations):
        free = total / sums[place]
        change += abs(free - cations[place])
        cations[place] = free
        charge += _CATION_Z2[place] * free
    state.alkalinity, state.proton, state.buffer = alkalinity, proton, LN10 * buffer
    state.change = (change + abs(0.5 * charge - strength)) / (charge + 1e-30)
    state.ionic_strength = 0.5 * charge
