"""Drinking water limits of the EPA, the EU and the WHO [mg/L].

They inform; local law decides. Health limits warn, limits of taste and appearance are notes.
"As quoted" and "from memory" stand where the text itself was not read.
"""

from __future__ import annotations

from waterlint.catalog.limit import Limit
from waterlint.chemistry.ions import reported_as
from waterlint.hints import Final

_EU_HEALTH = "EU directive 98/83/EC annex I part B; the same in 2020/2184 from memory"
_EU_INDICATOR = "EU directive 98/83/EC annex I part C; the same in 2020/2184 from memory"
_EPA_SECONDARY = "EPA secondary standard, 40 CFR 143.3"
_WHO_1998 = (
    "WHO guidelines, 2nd edition 1996/98 as reprinted by the FAO; the same in 2022 from memory"
)
_WHO_TASTE = "WHO guidelines, no health value; taste, from memory"


#: In a label: no limit for health, but health authorities want to know from there on.
TO_BE_TOLD: Final = "health authorities are told"


def _health(quantity: str, high: float, basis: str, kind: str = "health") -> Limit:
    label = f"{quantity} ({kind})"
    return Limit(
        "drinking-water-limit", quantity, "report", "warning", None, high, "mg/L", basis, label
    )


def _taste(quantity: str, high: float, basis: str) -> Limit:
    label = f"{quantity} (taste, appearance)"
    return Limit(
        "drinking-water-limit", quantity, "report", "note", None, high, "mg/L", basis, label
    )


NITRATE_NITRITE_SUM: Final = Limit(
    "drinking-water-limit",
    "nitrate_and_nitrite",
    "report",
    "warning",
    None,
    1.0,
    "",
    "WHO and EU rule on both together, read in the German Trinkwasserverordnung (older text)",
    "nitrate / 50 + nitrite / 3 in mg/L (health)",
)
"""Nitrate over 50 mg/L plus nitrite over 3 mg/L."""

SODIUM_ADVISORY: Final = Limit(
    "drinking-water-limit",
    "sodium",
    "report",
    "note",
    None,
    20.0,
    "mg/L",
    "EPA advisory for people on a restricted diet, no limit; from memory",
    "sodium (advice to people on a restricted diet)",
)
"""For information beside other findings: it never makes one, so it is not in `DRINKING_WATER`."""

DRINKING_WATER: Final[tuple[Limit, ...]] = (
    _health(
        "nitrate",
        reported_as("NO3", "N", 10.0),
        "EPA, 10 as N (method 300.0 page of an instrument maker; that it is as N from memory)",
    ),
    _health("nitrate", 50.0, _EU_HEALTH),
    _health("nitrate", 50.0, _WHO_1998),
    _health(
        "nitrite",
        reported_as("NO2", "N", 1.0),
        "EPA, 1 as N (method 300.0 page of an instrument maker; that it is as N from memory)",
    ),
    _health("nitrite", 0.5, _EU_HEALTH),
    _health("nitrite", 3.0, _WHO_1998),
    NITRATE_NITRITE_SUM,
    _health("fluoride", 4.0, "EPA (method 300.0 page of an instrument maker)"),
    _taste("fluoride", 2.0, _EPA_SECONDARY),
    _health("fluoride", 1.5, _EU_HEALTH),
    _health("fluoride", 1.5, _WHO_1998),
    _taste("sodium", 200.0, _EU_INDICATOR),
    _taste("sodium", 200.0, _WHO_TASTE),
    _taste("chloride", 250.0, _EPA_SECONDARY),
    _taste("chloride", 250.0, _EU_INDICATOR),
    _taste("chloride", 250.0, _WHO_TASTE),
    _taste("sulfate", 250.0, _EPA_SECONDARY),
    _taste("sulfate", 250.0, _EU_INDICATOR),
    _health(
        "sulfate",
        500.0,
        "WHO guidelines (as quoted by the University of Newcastle), no health value",
        TO_BE_TOLD,
    ),
    _taste("iron", 0.3, _EPA_SECONDARY),
    _taste("iron", 0.2, _EU_INDICATOR),
    _taste("iron", 0.3, _WHO_TASTE),
    _taste("manganese", 0.05, _EPA_SECONDARY),
    _taste("manganese", 0.05, _EU_INDICATOR),
    _health("manganese", 0.08, "WHO guidelines 2022, provisional (as quoted by a summary)"),
    _health("copper", 1.3, "EPA action level (as quoted in the agency's data description)"),
    _taste("copper", 1.0, _EPA_SECONDARY),
    _health("copper", 2.0, _EU_HEALTH),
    _health("copper", 2.0, "WHO guidelines 2022 (as quoted by a summary)"),
)
"""Every limit by itself; one report may meet some and miss others."""
