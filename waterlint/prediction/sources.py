"""From a water report to the water that is drawn: figures with their standard deviations.

The newest analysis gives the values. Each figure's spread has two parts. The report's own: the
± where one is written, else a fraction of the value together with the rounding of the last
digit. The supply's change over the year: half the range between the report's analyses, which
for the two to four analyses that a report holds is near one standard deviation of them (0.56 of
it for two, 1.03 for four draws from a normal distribution).
"""

from __future__ import annotations

from collections.abc import Mapping
from math import hypot, log

from waterlint.chemistry.ions import CALCIUM_CARBONATE_EQUIVALENT, IONS
from waterlint.chemistry.water import Water
from waterlint.hints import Final, NamedTuple
from waterlint.model.water import Analysis, WaterReport
from waterlint.prediction.builtin import builtin_report as builtin_report
from waterlint.prediction.rows import ALKALINITY, CARBON, REPORTED, Row, row
from waterlint.records import Record, field
from waterlint.units import Quantity

REPORT_FRACTION: Final = 0.05
"""One standard deviation of a laboratory's figure as a fraction of it, where the report says
nothing; common practice (routine laboratories aim at an ion balance within 5 %)."""

UNSTATED_SD: Final = {"potassium": 3.0, "nitrate": 10.0}
"""Ions a report may leave out count as 0 with this spread [mg/L]; common practice: most
supplies hold less."""

PH_SD: Final = 0.1
"""One standard deviation of a reported pH without ±; common practice for field meters."""

ASSUMED_PH: Final = 7.5
"""Where a report has no pH, for its carbon dioxide only; common practice: most supplies are
kept between 7 and 8."""

ASSUMED_PH_SD: Final = 0.5
"""Spread of `ASSUMED_PH`; common practice."""

CARBON_DIOXIDE_MASS: Final = 44.009
"""[g/mol], IUPAC 2021."""

CARBONATE_MASS: Final = IONS["carbonate"].molar_mass
"""[g/mol]"""

LEAST_ALKALINITY: Final = 1e-6
"""Below this a water has none to speak of [mEq/L]: its carbon does not come from it; arithmetic."""

_ROOT_3: Final = 3.0**0.5
"""Half-width over standard deviation of a uniform distribution; arithmetic."""


class SourceWater(Record, eq=False):
    """A water before anything is added, per litre, with what is uncertain about it.

    Two waters are the same variable only where they are the same object.

    Attributes
    ----------
    label : str
        The report's name.
    values : Row
        Ions [mg/L], alkalinity [mEq/L], inorganic carbon [mmol/L].
    sd_report, sd_seasons : Row
        Standard deviations of `values`, each row independent of the others but for
        inorganic carbon, whose entry is only what pH brings to it.
    carbon_per_alkalinity : float
        How inorganic carbon follows alkalinity at the same pH [mmol/mEq].
    ph_unknown : str
        Why the pH is not known; empty where it is. pH, and what needs it, is then not shown.
    chlorine, chloramine : float
        [mg/L as Cl2]
    joint : tuple of (str, Row)
        What moves several rows at once, by one standard deviation, with the kind of input it
        is (``report``, ``seasons``, ``treatment``); the rows concerned are 0 above.
    variances : Row
        Of report and seasons together.
    """

    label: str
    values: Row
    sd_report: Row
    sd_seasons: Row
    carbon_per_alkalinity: float
    ph_unknown: str = ""
    chlorine: float = 0.0
    chloramine: float = 0.0
    joint: tuple[tuple[str, Row], ...] = ()
    variances: Row = field(init=False)

    def __post_init__(self) -> None:
        spreads = zip(self.sd_report, self.sd_seasons, strict=True)
        object.__setattr__(self, "variances", tuple([a * a + b * b for a, b in spreads]))


def draw(report: WaterReport) -> SourceWater | str:
    """The water that a report describes.

    Parameters
    ----------
    report : WaterReport

    Returns
    -------
    SourceWater or str
        A sentence on what the report lacks where no water can be made of it.

    Notes
    -----
    Traces other than chlorine and chloramine are left out: they are too little to move a pH.
    A temperature of 25 degrees Celsius is assumed for the reported pH.
    """
    kept = _DRAWN.get(id(report))
    if kept is None or kept[0] is not report:
        if len(_DRAWN) >= _DRAWN_AT_MOST:
            _DRAWN.clear()
        kept = _DRAWN[id(report)] = (report, _draw(report))
    return kept[1]


#: Reports that were drawn, by identity: a collection of recipes shares a few of them, and a
#: report's carbon takes longer to solve than all mixing. A report cannot change.
_DRAWN: dict[int, tuple[WaterReport, SourceWater | str]] = {}
_DRAWN_AT_MOST: Final = 64


def _draw(report: WaterReport) -> SourceWater | str:
    newest = report.newest
    missing = [name for name in REPORTED if name not in newest.ions and name not in UNSTATED_SD]
    if _alkalinity(newest) is None:
        missing.append("alkalinity")
    if missing:
        return f"the report {report.name!r} gives no {', no '.join(missing)}"
    fraction = REPORT_FRACTION if report.uncertainty is None else report.uncertainty
    values: dict[str, float] = {}
    own: dict[str, float] = {}
    seasons: dict[str, float] = {}
    for ion in REPORTED:
        values[ion], own[ion] = _ion(newest, ion, fraction)
        seasons[ion] = _half_range([_value(analysis, ion) for analysis in report.analyses])
    values[ALKALINITY], own[ALKALINITY] = _alkalinity_spread(newest, fraction)
    seasons[ALKALINITY] = _half_range([_alkalinity(analysis) for analysis in report.analyses])
    ph, ph_sd = _ph(newest)
    carbon = inorganic_carbon(values, ph)
    values[CARBON] = carbon.value
    own[CARBON] = carbon.per_ph * ph_sd
    seasons[CARBON] = carbon.per_ph * _half_range(
        [None if analysis.ph is None else analysis.ph.value for analysis in report.analyses]
    )
    chlorine, chloramine = (newest.traces.get(name) for name in ("chlorine", "chloramine"))
    return SourceWater(
        report.name,
        row(values),
        row(own),
        row(seasons),
        carbon.per_alkalinity,
        "" if newest.ph is not None else f"the report {report.name!r} gives no pH",
        0.0 if chlorine is None else chlorine.value,
        0.0 if chloramine is None else chloramine.value,
    )


def _ion(analysis: Analysis, ion: str, fraction: float) -> tuple[float, float]:
    quantity = analysis.ions.get(ion)
    if quantity is None:
        return 0.0, UNSTATED_SD[ion]
    return quantity.value, spread(quantity, fraction)


def _value(analysis: Analysis, ion: str) -> float | None:
    quantity = analysis.ions.get(ion)
    return None if quantity is None else quantity.value


def spread(quantity: Quantity, fraction: float) -> float:
    """One standard deviation of a reported figure [its unit].

    Parameters
    ----------
    quantity : Quantity
    fraction : float
        Of the value, where no ± is written [-].

    Examples
    --------
    >>> spread(Quantity(42.0, "mg/L", sd=3.0), 0.05), spread(Quantity(40.0, "mg/L"), 0.05)
    (3.0, 2.0)
    """
    if quantity.sd is not None:
        return quantity.sd
    return hypot(fraction * quantity.value, quantity.resolution / _ROOT_3)


def _alkalinity(analysis: Analysis) -> float | None:
    """Total alkalinity [mEq/L], from itself or from bicarbonate and carbonate."""
    if analysis.alkalinity is not None:
        return analysis.alkalinity.value / CALCIUM_CARBONATE_EQUIVALENT
    if "bicarbonate" not in analysis.ions:
        return None
    return sum(
        analysis.ions[ion].value / IONS[ion].equivalent_weight
        for ion in ("bicarbonate", "carbonate")
        if ion in analysis.ions
    )


def _alkalinity_spread(analysis: Analysis, fraction: float) -> tuple[float, float]:
    value = _alkalinity(analysis)
    if analysis.alkalinity is not None:
        sd = spread(analysis.alkalinity, fraction) / CALCIUM_CARBONATE_EQUIVALENT
    else:
        sd = hypot(
            *(
                spread(analysis.ions[ion], fraction) / IONS[ion].equivalent_weight
                for ion in ("bicarbonate", "carbonate")
                if ion in analysis.ions
            )
        )
    return value or 0.0, sd


def _half_range(values: list[float | None]) -> float:
    known = [value for value in values if value is not None]
    return (max(known) - min(known)) / 2.0 if len(known) > 1 else 0.0


def _ph(analysis: Analysis) -> tuple[float, float]:
    if analysis.ph is None:
        return ASSUMED_PH, ASSUMED_PH_SD
    sd = analysis.ph.sd
    return analysis.ph.value, hypot(PH_SD, analysis.ph.resolution / _ROOT_3) if sd is None else sd


def carbon_ratio(carbon: float, alkalinity: float) -> float:
    """Inorganic carbon per alkalinity [mmol/mEq]; 0 where there is next to no alkalinity."""
    return carbon / alkalinity if alkalinity > LEAST_ALKALINITY else 0.0


class InorganicCarbon(NamedTuple):
    """Dissolved inorganic carbon, and how it moves.

    Attributes
    ----------
    value : float
        [mmol/L]
    per_alkalinity : float
        At the same pH [mmol/mEq].
    per_ph : float
        At the same alkalinity, without its sign [mmol/L per pH unit].
    """

    value: float
    per_alkalinity: float
    per_ph: float


def inorganic_carbon(values: Mapping[str, float], ph: float) -> InorganicCarbon:
    """The inorganic carbon of a water of known alkalinity and pH.

    Parameters
    ----------
    values : mapping of str to float
        Ions [mg/L] and alkalinity [mEq/L] by the names of `ROWS`.
    ph : float

    Returns
    -------
    InorganicCarbon

    Notes
    -----
    The two slopes come from the carbonate system alone: alkalinity scales all carbon species
    alike, and with pH carbon dioxide and carbonate change by a factor of ten a unit while
    bicarbonate makes up for the carbonate.
    """
    water = Water(
        **{ion: values[ion] for ion in REPORTED},
        alkalinity=values[ALKALINITY] * CALCIUM_CARBONATE_EQUIVALENT,
        ph=ph,
    )
    volatile = water.carbon_dioxide / CARBON_DIOXIDE_MASS + water.carbonate / CARBONATE_MASS
    alkalinity = values[ALKALINITY]
    return InorganicCarbon(
        water.dic,
        carbon_ratio(water.dic, alkalinity),
        log(10.0) * volatile,
    )
