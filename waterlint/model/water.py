"""A water report as figures in canonical units."""

from __future__ import annotations

from collections.abc import Mapping

from waterlint.days import date
from waterlint.records import Record, field
from waterlint.units import Quantity

#: The ions that every report gives or that a prediction carries, in the order of all tables.
IONS: tuple[str, ...] = (
    "calcium",
    "magnesium",
    "sodium",
    "potassium",
    "chloride",
    "sulfate",
    "nitrate",
    "bicarbonate",
)

#: What a report may say besides, in mg/L (chlorine and chloramine as Cl2).
TRACES: tuple[str, ...] = (
    "iron",
    "manganese",
    "copper",
    "nitrite",
    "ammonium",
    "fluoride",
    "silica",
    "phosphate",
    "chlorine",
    "chloramine",
)


class Analysis(Record):
    """One analysis of a supply.

    `ions` holds mg/L of calcium … nitrate and, where the report gives them, bicarbonate and
    carbonate; `alkalinity`, `hardness` are mg/L as CaCO3; `conductivity` µS/cm at 25 °C;
    `dissolved_solids` mg/L. `own` names what this analysis states itself: a season takes the
    rest from the main one. `pointer` is the empty text for the main analysis.
    """

    sampled: date
    pointer: str
    ions: Mapping[str, Quantity]
    ph: Quantity | None = None
    alkalinity: Quantity | None = None
    hardness: Quantity | None = None
    conductivity: Quantity | None = None
    dissolved_solids: Quantity | None = None
    traces: Mapping[str, Quantity] = field(default_factory=dict)
    own: frozenset[str] = frozenset()


class WaterReport(Record):
    """A water report: its analyses, newest first, and the spread where no ± is given.

    `uncertainty` is one standard deviation as a fraction of the value, `None` where the report
    states none.
    """

    path: str
    document: int
    name: str
    analyses: tuple[Analysis, ...]
    laboratory: str | None = None
    uncertainty: float | None = None

    @property
    def newest(self) -> Analysis:
        """The analysis that predictions use and that dates the report."""
        return self.analyses[0]

    @property
    def main(self) -> Analysis:
        """The analysis at the top of the file."""
        return next(analysis for analysis in self.analyses if not analysis.pointer)
