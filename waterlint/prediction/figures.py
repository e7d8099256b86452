"""From a mixture to the figures of a water: what is read off, and what has to be solved.

Ions, alkalinity, hardness and residual alkalinity are sums of a mixture's rows. pH, bicarbonate,
saturation and conductivity come from the solved equilibrium; their spread follows from its
slopes, at constant ionic strength.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from math import log

from waterlint.chemistry.ions import CALCIUM_CARBONATE_EQUIVALENT, IONS
from waterlint.chemistry.speciation import ABSENT, Speciation
from waterlint.chemistry.species import FAMILIES, ZERO_LEVEL
from waterlint.chemistry.water import Water
from waterlint.hints import Final, NamedTuple
from waterlint.prediction.contents import Contents
from waterlint.prediction.deferred import IonFigures
from waterlint.prediction.mixture import Mixture, contributions, largest_changes
from waterlint.prediction.result import Figure, WaterFigures
from waterlint.prediction.rows import (
    ALKALINITY,
    ALKALINITY_AS_CACO3,
    CARBON,
    FURTHER,
    HARDNESS_AS_CACO3,
    INDEX,
    IONS_OF_ROWS,
    REPORTED,
    RESIDUAL_ALKALINITY_AS_CACO3,
    Row,
    Weights,
    combination,
)
from waterlint.prediction.saturation import saturation_at_most

LEAST_SULFATE: Final = 1e-3
"""Below this a water has no sulfate to divide by [mg/L]; a hundredth of what laboratories see."""

_CHLORIDE: Final = INDEX["chloride"]
_SULFATE: Final = INDEX["sulfate"]
_FURTHER: Final = tuple([(INDEX[name], name) for name in FURTHER])
_LN10: Final = log(10.0)
_CARBONATE: Final = FAMILIES.index("carbonate")
_BICARBONATE_MASS: Final = IONS["bicarbonate"].molar_mass


class _Slopes(NamedTuple):
    """How pH and bicarbonate answer to the mixture's rows.

    Attributes
    ----------
    ph : Weights
        [pH per mEq/L of alkalinity, mmol/L of carbon, mg/L of an acid's anion]
    bicarbonate : Weights
        [mg/L of HCO3 per the same]
    """

    ph: Weights
    bicarbonate: Weights


def water_figures(mixture: Mixture, vessels: Sequence[Contents]) -> WaterFigures:
    """The figures of a mixture, as its own water at 25 degrees Celsius, closed to the air.

    Parameters
    ----------
    mixture : Mixture
    vessels : sequence of Contents
        What is mixed.

    Returns
    -------
    WaterFigures
    """
    return WaterFigures.deferred({"volume_l": mixture.volume}, _LATER, _Solution(mixture, vessels))


class _Solution:
    """A mixture, and what hangs on its equilibrium, solved once."""

    __slots__ = ("_first", "_ions", "_slopes", "_water", "mixture", "vessels")

    def __init__(self, mixture: Mixture, vessels: Sequence[Contents]) -> None:
        self.mixture, self.vessels = mixture, vessels
        self._water: Water | None = None
        self._first = len(vessels) == 1
        self._ions: dict[str, Figure] = {}
        self._slopes: _Slopes | None = None

    @property
    def _solved(self) -> Water:
        if self._water is None:
            self._water = solve(self.mixture.row)
        return self._water

    @property
    def _sloped(self) -> _Slopes:
        if self._slopes is None:
            self._slopes = _slopes(self._solved.speciation)
        return self._slopes

    def ions(self) -> IonFigures:
        """All ions [mg/L], bicarbonate as the equilibrium has it."""
        row = self.mixture.row
        further = [name for place, name in _FURTHER if row[place]]
        return IonFigures((*REPORTED, "bicarbonate", *further), self.ion, self.value)

    def ion(self, name: str) -> Figure:
        """One ion [mg/L].

        Of a vessel's own water often one alone is asked for; else it is most of them.
        """
        if name == "bicarbonate":
            return self.bicarbonate()
        if self._first:
            self._first = False
            return self.mixture.ion(name)
        if not self._ions:
            self._ions = self.mixture.ion_figures()
        return self._ions[name]

    def value(self, name: str) -> float:
        """Its value alone [mg/L]."""
        solved = name == "bicarbonate"
        return self._solved.bicarbonate if solved else self.mixture.row[INDEX[name]]

    def bicarbonate(self) -> Figure:
        """Bicarbonate of the equilibrium [mg/L]."""
        return Figure(self._solved.bicarbonate, self.mixture.sd(self._sloped.bicarbonate))

    def bicarbonate_at_most(self) -> float:
        """All inorganic carbon taken as bicarbonate [mg/L]; it needs no equilibrium."""
        return _BICARBONATE_MASS * max(0.0, self.mixture.row[INDEX[CARBON]])

    def ions_sum_at_most(self) -> float:
        """All ions with all inorganic carbon taken as bicarbonate [mg/L]."""
        return sum(self.mixture.row[:IONS_OF_ROWS]) + self.bicarbonate_at_most()

    def is_solved(self) -> bool:
        """Whether the equilibrium was found."""
        return self._solved.converged

    def _known(self) -> bool:
        return not self.mixture.ph_unknown and self.is_solved()

    def ph(self) -> Figure | None:
        """The pH at 25 °C [-]; `None` where it is not known."""
        return Figure(self._solved.ph, self.mixture.sd(self._sloped.ph)) if self._known() else None

    def calcite_saturation_index(self) -> float | None:
        """The index [-]; `None` without calcium or carbonate, and where the pH is not known."""
        index = self._solved.calcite_saturation_index
        return index if self._known() and index != ABSENT else None

    def conductivity(self) -> float | None:
        """The conductivity at 25 °C [µS/cm]; `None` where the pH is not known."""
        return self._solved.conductivity if self._known() else None

    def ionic_strength(self) -> float | None:
        """The ionic strength [mol/L]; `None` where the pH is not known."""
        return self._solved.ionic_strength if self._known() else None


_LATER: Final[Mapping[str, Callable[[_Solution], object]]] = {
    "ions": _Solution.ions,
    "alkalinity": lambda of: of.mixture.figure(ALKALINITY_AS_CACO3),
    "hardness": lambda of: of.mixture.figure(HARDNESS_AS_CACO3),
    "residual_alkalinity": lambda of: of.mixture.figure(RESIDUAL_ALKALINITY_AS_CACO3),
    "chloride_to_sulfate": lambda of: _ratio(of.mixture),
    "ph": _Solution.ph,
    "calcite_saturation_index": _Solution.calcite_saturation_index,
    "conductivity": _Solution.conductivity,
    "ionic_strength": _Solution.ionic_strength,
    "contributions": lambda of: contributions(of.vessels),
    "largest_changes": lambda of: largest_changes(of.vessels),
    "ions_at_most": lambda of: max(of.mixture.row[:IONS_OF_ROWS]),
    "ions_sum_at_most": _Solution.ions_sum_at_most,
    "is_solved": _Solution.is_solved,
    "bicarbonate_at_most": _Solution.bicarbonate_at_most,
    "calcite_saturation_at_most": lambda of: saturation_at_most(of.mixture.row),
}
"""How each figure of a water is worked out when it is read."""


def solve(row: Row) -> Water:
    """A mixture's row as chemistry's water."""
    # What is used up to the last (sulfite by chlorine) may come out a hair below nothing.
    return Water.from_carbon(
        {name: max(0.0, row[INDEX[name]]) for name in (*REPORTED, *_SOLVED)},
        row[INDEX[ALKALINITY]] * CALCIUM_CARBONATE_EQUIVALENT,
        max(0.0, row[INDEX[CARBON]]),
    )


_SOLVED: Final = ("lactate", "phosphate", "citrate", "sulfite")
"""Rows besides the reported ions that chemistry solves for; ammonium moves no pH here."""


def _ratio(mixture: Mixture) -> Figure | None:
    chloride, sulfate = mixture.row[_CHLORIDE], mixture.row[_SULFATE]
    if sulfate < LEAST_SULFATE:
        return None
    ratio = chloride / sulfate
    # d(x/y) = (dx - x/y dy)/y: one sum of rows, so that what moves both is counted once.
    weights = ((_CHLORIDE, 1.0 / sulfate), (_SULFATE, -ratio / sulfate))
    return Figure(ratio, mixture.sd(weights))


def _slopes(solved: Speciation) -> _Slopes:
    """Slopes of pH and bicarbonate from how protons are shared among the species.

    Alkalinity at given totals changes with pH by the buffer value, ln 10 times the variance of
    protons bound; at given pH it changes with a total by the mean alkalinity of its species.
    """
    first = [zero * free for zero, free in zip(ZERO_LEVEL, solved.free_anions, strict=True)]
    totals = list(solved.free_anions)
    second = sum(zero * part for zero, part in zip(ZERO_LEVEL, first, strict=True))
    second += solved.proton
    for species, amount in solved.formed:
        family = species.family
        weight = -species.protons
        if family is not None:
            weight += ZERO_LEVEL[family] * species.anions
            first[family] += weight * amount
            totals[family] += species.anions * amount
        second += weight * weight * amount
    pairs = zip(first, totals, strict=True)
    means = [part / total if total > 0.0 else 0.0 for part, total in pairs]
    buffer = _LN10 * (second - sum(m * part for m, part in zip(means, first, strict=True)))
    per_alkalinity = 1e-3 / buffer
    ph = [(INDEX[ALKALINITY], per_alkalinity)]
    for name, place in _TOTALS:
        mean = means[place]
        if mean:
            mass = 1.0 if name == CARBON else IONS[name].molar_mass
            ph.append((INDEX[name], -mean * per_alkalinity / mass))
    dic = totals[_CARBONATE]
    if dic <= 0.0:
        return _Slopes(tuple(ph), ())
    bicarbonate = solved.inorganic_carbon(1)
    per_ph = 1e3 * _BICARBONATE_MASS * bicarbonate * _LN10 * (1.0 - means[_CARBONATE])
    weights = {place: per_ph * slope for place, slope in ph}
    weights[INDEX[CARBON]] = weights.get(INDEX[CARBON], 0.0) + _BICARBONATE_MASS * bicarbonate / dic
    return _Slopes(tuple(ph), tuple(weights.items()))


_TOTALS: Final = (
    (CARBON, _CARBONATE),
    *((name, FAMILIES.index(name)) for name in _SOLVED),
)


def kettle_share(vessels: Sequence[Contents]) -> dict[str, float | None]:
    """What the kettle additions alone bring to the mixed vessels.

    Parameters
    ----------
    vessels : sequence of Contents
        Together they hold some water.

    Returns
    -------
    dict of str to float or None
        Of each ion [mg/L]; of bicarbonate the difference that they make, `None` where an
        equilibrium is not found.
    """
    volume = sum(contents.volume for contents in vessels)
    brought = combination(
        (dose.amounts, 1.0 / volume)
        for contents in vessels
        for dose in contents.doses
        if dose.place == "kettle"
    )
    share: dict[str, float | None] = {
        name: brought[INDEX[name]]
        for name in (*REPORTED, *FURTHER)
        if name in REPORTED or brought[INDEX[name]]
    }
    share["bicarbonate"] = 0.0
    if brought[INDEX[ALKALINITY]] or brought[INDEX[CARBON]]:
        whole = combination((contents.total, 1.0 / volume) for contents in vessels)
        without = combination(((whole, 1.0), (brought, -1.0)))
        waters = solve(whole), solve(without)
        solved = all(water.converged for water in waters)
        share["bicarbonate"] = waters[0].bicarbonate - waters[1].bicarbonate if solved else None
    return share
