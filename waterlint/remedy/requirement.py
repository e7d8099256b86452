"""A figure and what it may be."""

from __future__ import annotations

from collections.abc import Mapping
from math import inf

from waterlint.hints import Final
from waterlint.prediction.result import Prediction
from waterlint.records import Record, replace
from waterlint.remedy.wishes import Aim
from waterlint.rules.figures import figure_of, water_of
from waterlint.rules.range_findings import title_of, unit_of
from waterlint.rules.wording import number

RATIO: Final = "chloride_to_sulfate"

#: The lesser of the two, which `minerals-high` looks at.
BOTH: Final = "chloride_and_sulfate"

#: The sum of all ions.
IONS: Final = "ions"

#: How far above calcite saturation a water is.
SCALE: Final = "calcite_saturation_index"

_TITLES: Final = {
    BOTH: "the lesser of chloride and sulfate of the whole batch",
    IONS: "the sum of all ions of the whole batch",
    SCALE: "calcite saturation index of the mash water",
}


class Little(Record):
    """So little chloride and sulfate [mg/L, both below] that a ratio does not count.

    `only_high` says that a ratio below its range counts all the same.
    """

    chloride: float
    sulfate: float
    only_high: bool = False


class Requirement(Record):
    """A figure and what it may be.

    Attributes
    ----------
    quantity, vessel : str
    low, high : float or None
    little : tuple of Little
        Of a ratio: where it does not count.
    aim : Aim or None
        Where it is a wish of the call and no limit.
    graver : bool
        Whether a narrower one of the same figure is there besides: missing this one is worse,
        but no further finding.
    spread : float or None
        The standard deviation by which it was narrowed.
    """

    quantity: str
    vessel: str
    low: float | None
    high: float | None
    little: tuple[Little, ...] = ()
    aim: Aim | None = None
    graver: bool = False
    spread: float | None = None

    @property
    def key(self) -> tuple[str, str]:
        """The figure."""
        return self.quantity, self.vessel

    @property
    def title(self) -> str:
        """The figure in words."""
        return _TITLES.get(self.quantity) or title_of(self.quantity, self.vessel)

    @property
    def unit(self) -> str:
        """Empty for pH, ratio and index."""
        return "" if self.quantity == SCALE else unit_of(self.quantity)

    @property
    def text(self) -> str:
        """In a sentence: ``mash pH within 5.2 to 5.7``."""
        unit = f" {self.unit}".rstrip()
        title = self.title
        spread = ", its spread allowed for," if self.spread else ""
        if self.aim is not None:
            return f"{title} at {self.aim.text}"
        if self.low is None:
            return f"{title} of at most {number(self.high or 0.0)}{unit}{spread}"
        if self.high is None:
            return f"{title} of at least {number(self.low)}{unit}{spread}"
        return f"{title} within {number(self.low)} to {number(self.high)}{unit}{spread}"

    @property
    def has_both_sides(self) -> bool:
        """Whether it is a range, and no aim."""
        return self.aim is None and self.low is not None and self.high is not None

    def is_missed_by(self, value: float) -> bool:
        """Whether a value lies outside; exactly at the limit, it does not."""
        if self.low is not None and value < self.low - _hair(self.low):
            return True
        return self.high is not None and value > self.high + _hair(self.high)

    def nearest_to(self, value: float) -> float:
        """What of the range is nearest to a value; of an aim, what was asked for."""
        if self.aim is not None:
            return self.aim.middle
        if self.low is not None and value < self.low:
            return self.low
        return self.high if self.high is not None and value > self.high else value


def value_of(prediction: Prediction, quantity: str, vessel: str) -> float | None:
    """A figure's value; an ion that only some additions bring is 0 where none does."""
    water = water_of(prediction, vessel)
    if quantity == SCALE:
        return None if water is None else water.calcite_saturation_index
    if quantity == IONS:
        return None if water is None else sum(each.value for each in water.ions.values())
    if quantity == BOTH:
        return None if water is None else min(water.ions[ion].value for ion in ION_PAIR)
    figure = figure_of(prediction, quantity, vessel)
    if figure is not None:
        return figure.value
    return 0.0 if quantity in _BROUGHT and water is not None else None


def _hair(limit: float) -> float:
    """What the arithmetic of floats may miss a limit by."""
    return 1e-9 * max(1.0, abs(limit))


def is_missed(each: Requirement, actual: Mapping[tuple[str, str], float]) -> bool:
    """Whether a requirement is not kept by figures, among them both ions of a ratio."""
    if each.quantity not in (RATIO, BOTH):
        return each.is_missed_by(actual.get(each.key, 0.0))
    chloride, sulfate = (actual.get((ion, each.vessel), 0.0) for ion in ION_PAIR)
    if each.quantity == BOTH:
        return each.is_missed_by(min(chloride, sulfate))
    high = each.high
    for little in each.little:
        if chloride < little.chloride and sulfate < little.sulfate:
            if not little.only_high:
                return False
            high = None
    return replace(each, high=high).is_missed_by(chloride / sulfate if sulfate > 0.0 else inf)


ION_PAIR: Final = ("chloride", "sulfate")

#: Ions that a water does not have before an addition brings them.
_BROUGHT: Final = frozenset({"lactate", "phosphate", "citrate", "sulfite", "ammonium"})
