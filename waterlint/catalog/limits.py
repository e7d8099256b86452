"""All general limits, by name and by rule.

A named limit is what a rule works with; `of_rule` is what its documentation lists. Style ranges
stand in `waterlint.catalog.emphasis`.

Examples
--------
>>> for each in of_rule("batch-chloride"):
...     print(each.level, each.range_text)
note at most 150 mg/L
warning at most 250 mg/L
"""

from __future__ import annotations

from waterlint.catalog import liquor_limits, practice_limits, report_limits
from waterlint.catalog.drinking_water import (
    DRINKING_WATER,
    NITRATE_NITRITE_SUM,
    SODIUM_ADVISORY,
)
from waterlint.catalog.limit import Limit
from waterlint.catalog.liquor_limits import (
    BATCH_CALCIUM_NOTE,
    BATCH_CALCIUM_WARNING,
    BATCH_CHLORIDE_NOTE,
    BATCH_CHLORIDE_WARNING,
    BATCH_MAGNESIUM_NOTE,
    BATCH_MAGNESIUM_WARNING,
    BATCH_POTASSIUM_NOTE,
    BATCH_POTASSIUM_WARNING,
    BATCH_SODIUM_NOTE,
    BATCH_SODIUM_WARNING,
    BATCH_SODIUM_WARNING_DARK_SOUR,
    BATCH_SULFATE_WARNING,
    MASH_CALCIUM_NOTE,
    MASH_CALCIUM_WARNING,
    MASH_PH_ERROR,
    MASH_PH_WARNING,
    MASH_PH_WARNING_ROAST,
    MASH_SCALE,
    MINERALS_HIGH_BOTH,
    MINERALS_HIGH_SUM,
    RATIO_CHLORIDE_ALONE,
    RATIO_MEANINGLESS,
    RATIO_SLIGHT,
    RATIO_SULFATE_LITTLE,
    SPARGE_ALKALINITY_NOTE,
    SPARGE_ALKALINITY_WARNING,
    SPARGE_OVERACID,
)
from waterlint.catalog.practice_limits import (
    ACID_HANDLING,
    BELOW_SCALE,
    COLOR_DISAGREES_PERCENT,
    COLOR_DISAGREES_SRM,
    DISSOLVED_VOLUME,
    GRAIN_ABSORPTION,
    GYPSUM_SOLUBILITY,
    GYPSUM_SOLUBILITY_HOT,
    IMPLAUSIBLE_DOSE,
    IMPLAUSIBLE_ION,
    IMPLAUSIBLE_PH,
    LIME_SOLUBILITY,
    MEASURED_PH,
    NARROW_PASS,
    NEGLIGIBLE_ION,
    NEGLIGIBLE_PH,
    PRACTICE_LACTATE,
    PRACTICE_MAGNESIUM,
    PRACTICE_SODIUM,
    PRACTICE_SULFATE,
    SHARE_TOLERANCE,
    SULFITE_DOSE,
    SULFITE_LABEL,
    THICKNESS_PLAUSIBLE,
    UNSTATED_EVAPORATION,
    UNSTATED_LOSSES,
    VOLUME_BALANCE,
)
from waterlint.catalog.report_limits import (
    ALKALINITY_DISAGREES,
    CHLORINE_UNTREATED,
    CONDUCTIVITY_DISAGREES,
    HARDNESS_DISAGREES,
    ION_BALANCE_FLOOR,
    ION_BALANCE_NOTE,
    ION_BALANCE_WARNING,
    IRON_IN_BREWING,
    MANGANESE_IN_BREWING,
    REPORT_AGE,
    REPORT_AHEAD,
    SOFTENED_RATIO,
    SOFTENED_SODIUM,
    SOLIDS_DISAGREE,
)
from waterlint.hints import Final

__all__ = [
    "ACID_HANDLING",
    "ALKALINITY_DISAGREES",
    "BATCH_CALCIUM_NOTE",
    "BATCH_CALCIUM_WARNING",
    "BATCH_CHLORIDE_NOTE",
    "BATCH_CHLORIDE_WARNING",
    "BATCH_MAGNESIUM_NOTE",
    "BATCH_MAGNESIUM_WARNING",
    "BATCH_POTASSIUM_NOTE",
    "BATCH_POTASSIUM_WARNING",
    "BATCH_SODIUM_NOTE",
    "BATCH_SODIUM_WARNING",
    "BATCH_SODIUM_WARNING_DARK_SOUR",
    "BATCH_SULFATE_WARNING",
    "BELOW_SCALE",
    "CHLORINE_UNTREATED",
    "COLOR_DISAGREES_PERCENT",
    "COLOR_DISAGREES_SRM",
    "CONDUCTIVITY_DISAGREES",
    "DISSOLVED_VOLUME",
    "DRINKING_WATER",
    "GENERAL",
    "GRAIN_ABSORPTION",
    "GYPSUM_SOLUBILITY",
    "GYPSUM_SOLUBILITY_HOT",
    "HARDNESS_DISAGREES",
    "IMPLAUSIBLE_DOSE",
    "IMPLAUSIBLE_ION",
    "IMPLAUSIBLE_PH",
    "ION_BALANCE_FLOOR",
    "ION_BALANCE_NOTE",
    "ION_BALANCE_WARNING",
    "IRON_IN_BREWING",
    "LIME_SOLUBILITY",
    "MANGANESE_IN_BREWING",
    "MASH_CALCIUM_NOTE",
    "MASH_CALCIUM_WARNING",
    "MASH_PH_ERROR",
    "MASH_PH_WARNING",
    "MASH_PH_WARNING_ROAST",
    "MASH_SCALE",
    "MEASURED_PH",
    "MINERALS_HIGH_BOTH",
    "MINERALS_HIGH_SUM",
    "NARROW_PASS",
    "NEGLIGIBLE_ION",
    "NEGLIGIBLE_PH",
    "NITRATE_NITRITE_SUM",
    "PRACTICE_LACTATE",
    "PRACTICE_MAGNESIUM",
    "PRACTICE_SODIUM",
    "PRACTICE_SULFATE",
    "RATIO_CHLORIDE_ALONE",
    "RATIO_MEANINGLESS",
    "RATIO_SLIGHT",
    "RATIO_SULFATE_LITTLE",
    "REPORT_AGE",
    "REPORT_AHEAD",
    "SHARE_TOLERANCE",
    "SODIUM_ADVISORY",
    "SOFTENED_RATIO",
    "SOFTENED_SODIUM",
    "SOLIDS_DISAGREE",
    "SPARGE_ALKALINITY_NOTE",
    "SPARGE_ALKALINITY_WARNING",
    "SPARGE_OVERACID",
    "SULFITE_DOSE",
    "SULFITE_LABEL",
    "THICKNESS_PLAUSIBLE",
    "UNSTATED_EVAPORATION",
    "UNSTATED_LOSSES",
    "VOLUME_BALANCE",
    "Limit",
    "of_rule",
]

GENERAL: Final[tuple[Limit, ...]] = (
    *report_limits.REPORT,
    *DRINKING_WATER,
    *liquor_limits.LIQUOR,
    *practice_limits.PRACTICE,
)
"""Every general limit that makes a finding."""


def of_rule(rule: str) -> tuple[Limit, ...]:
    """The general limits of a rule, in their order; none for a rule without numbers."""
    return tuple(each for each in GENERAL if each.rule == rule)
