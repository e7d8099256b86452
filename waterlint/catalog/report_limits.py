"""Limits of a water report's own sense, and of what a supply may carry into a brewery."""

from __future__ import annotations

from waterlint.catalog.limit import Limit
from waterlint.finding import Level
from waterlint.hints import Final


def _report(
    rule: str,
    quantity: str,
    level: Level,
    high: float,
    unit: str,
    basis: str,
    label: str,
    condition: bool = False,
) -> Limit:
    return Limit(rule, quantity, "report", level, None, high, unit, basis, label, condition)


ION_BALANCE_NOTE: Final = _report(
    "ion-balance",
    "ion_balance",
    "note",
    5.0,
    "%",
    "a guide that commercial laboratories state for drinking water (svl.net, 2021)",
    "difference of cations and anions over their sum",
)
ION_BALANCE_WARNING: Final = _report(
    "ion-balance",
    "ion_balance",
    "warning",
    10.0,
    "%",
    "a commercial laboratory's own working guide (svl.net, 2021)",
    "difference of cations and anions over their sum",
)
ION_BALANCE_FLOOR: Final = _report(
    "ion-balance",
    "ion_balance",
    "note",
    0.2,
    "mEq/L",
    "from memory: below it a soft water's rounding decides",
    "difference of cations and anions that always passes",
    condition=True,
)
HARDNESS_DISAGREES: Final = _report(
    "hardness-disagrees",
    "hardness",
    "warning",
    5.0,
    "%",
    "common practice",
    "reported hardness against that of calcium and magnesium, rounding aside,",
)
ALKALINITY_DISAGREES: Final = _report(
    "alkalinity-disagrees",
    "alkalinity",
    "warning",
    3.0,
    "%",
    "common practice: the bases differ by far more",
    "reported alkalinity against that of bicarbonate and carbonate, rounding aside,",
)
CONDUCTIVITY_DISAGREES: Final = _report(
    "conductivity-disagrees",
    "conductivity",
    "warning",
    15.0,
    "%",
    "common practice, wider than the 10 % that laboratories work with (from memory)",
    "reported conductivity against that of the ions, rounding aside,",
)
SOLIDS_DISAGREE: Final = _report(
    "solids-disagree",
    "dissolved_solids",
    "warning",
    15.0,
    "%",
    "common practice: laboratories allow for 20 % more than the ions' sum (from memory)",
    "reported dissolved solids against those of the ions, rounding aside,",
)
REPORT_AGE: Final = _report(
    "report-age",
    "age",
    "warning",
    12.0,
    "months",
    "common practice: suppliers publish once a year",
    "age of the newest analysis",
)
REPORT_AHEAD: Final = _report(
    "report-age",
    "days_ahead",
    "warning",
    366.0,
    "days",
    "common practice: a slip in the year; a check may be made as of an earlier day",
    "newest analysis in the future by",
)
SOFTENED_SODIUM: Final = _report(
    "softened-water",
    "sodium",
    "warning",
    2.0,
    "mEq/L",
    "common practice",
    "sodium that always passes",
    condition=True,
)
SOFTENED_RATIO: Final = _report(
    "softened-water",
    "sodium_to_hardness",
    "warning",
    4.0,
    "",
    "common practice",
    "sodium over hardness, both in mEq/L, where sodium is more,",
)
CHLORINE_UNTREATED: Final = _report(
    "chlorine-untreated",
    "chlorine",
    "warning",
    0.1,
    "mg/L as Cl2",
    "common practice: what field tests tell from nothing",
    "chlorine and chloramine of a water that is not treated",
)
IRON_IN_BREWING: Final = _report(
    "metals-in-brewing",
    "iron",
    "warning",
    0.2,
    "mg/L",
    "K. Troester's wiki on brewing: trouble from 0.2",
    "iron",
)
MANGANESE_IN_BREWING: Final = _report(
    "metals-in-brewing",
    "manganese",
    "warning",
    0.05,
    "mg/L",
    "common practice; EPA and EU drinking water figures are the same",
    "manganese",
)

REPORT: Final[tuple[Limit, ...]] = tuple(
    value for value in tuple(globals().values()) if isinstance(value, Limit)
)
"""All of the above, in their order."""
