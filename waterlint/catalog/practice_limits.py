"""Limits of recipes and doses: what scales, solubility, taste and sense allow."""

from __future__ import annotations

from waterlint.catalog.limit import Limit
from waterlint.hints import Final

_PHREEQC = "computed with PHREEQC, phreeqc.dat"

# -- slips ------------------------------------------------------------------------------------

THICKNESS_PLAUSIBLE: Final = Limit(
    "implausible-quantity",
    "thickness",
    "mash",
    "warning",
    1.5,
    12.0,
    "L/kg",
    "common practice: 2 to 5, brew-in-a-bag up to 8",
    "mash thickness",
)
IMPLAUSIBLE_DOSE: Final = Limit(
    "implausible-quantity",
    "dose",
    "dose",
    "warning",
    None,
    3.0,
    "g/L",
    "common practice: a tenfold slip of a large dose",
    "any one salt",
)
IMPLAUSIBLE_ION: Final = Limit(
    "implausible-quantity",
    "ion",
    "report",
    "warning",
    None,
    2000.0,
    "mg/L",
    "common practice: three times the sulfate of Burton water",
    "any one ion",
)
IMPLAUSIBLE_PH: Final = Limit(
    "implausible-quantity",
    "ph",
    "report",
    "warning",
    3.5,
    11.5,
    "",
    "common practice: water full of carbon dioxide has nearly 4, freshly limed water some 11; "
    "supplies keep 6.5 to 9.5 (EU 98/83/EC)",
    "pH of a reported water",
)
SHARE_TOLERANCE: Final = Limit(
    "unresolved-water",
    "share",
    "recipe",
    "error",
    None,
    0.1,
    "%",
    "common practice: rounding of three thirds",
    "shares' distance from 100 %",
)

# -- additions --------------------------------------------------------------------------------

BELOW_SCALE: Final = Limit(
    "below-scale",
    "dose",
    "dose",
    "warning",
    2.0,
    None,
    "× resolution",
    "common practice: a quarter of the dose in doubt",
    "a dose over the scale's resolution",
)
NEGLIGIBLE_ION: Final = Limit(
    "negligible-addition",
    "ion",
    "dose",
    "note",
    1.0,
    None,
    "mg/L",
    "common practice",
    "an ion's change by a dose",
)
NEGLIGIBLE_PH: Final = Limit(
    "negligible-addition",
    "ph",
    "dose",
    "note",
    0.01,
    None,
    "",
    "common practice: a meter's last digit",
    "pH's change by a dose",
)
GYPSUM_SOLUBILITY: Final = Limit(
    "beyond-solubility",
    "gypsum",
    "dose",
    "warning",
    None,
    2.4,
    "g/L",
    f"{_PHREEQC}: 2.40 at 10 °C, 2.59 at 25 °C; an encyclopaedia gives 2.0 to 2.5",
    "gypsum in cold water",
)
GYPSUM_SOLUBILITY_HOT: Final = Limit(
    "beyond-solubility",
    "gypsum",
    "mash",
    "warning",
    None,
    2.0,
    "g/L",
    f"{_PHREEQC}: 2.35 at 80 °C, 2.05 at 100 °C",
    "gypsum in hot water",
)
LIME_SOLUBILITY: Final = Limit(
    "beyond-solubility",
    "pickling-lime",
    "dose",
    "warning",
    None,
    1.6,
    "g/L",
    "limelite.world: 1.73 at 20 °C; PHREEQC with constants from memory: 1.51 at 25 °C",
    "lime in cold water",
)
SULFITE_DOSE: Final = Limit(
    "sulfite-dose",
    "metabisulfite",
    "dose",
    "warning",
    1.0,
    3.0,
    "× need",
    "need by stoichiometry (A. J. deLange, Home Brew Digest 5793); 3 is common practice",
    "metabisulfite over what chlorine and chloramine use up",
)

# -- volumes ----------------------------------------------------------------------------------

VOLUME_BALANCE: Final = Limit(
    "volume-balance",
    "volume",
    "recipe",
    "warning",
    None,
    5.0,
    "%",
    "common practice",
    "water in against beer, losses, grain and steam",
)
GRAIN_ABSORPTION: Final = Limit(
    "volume-balance",
    "absorption",
    "recipe",
    "warning",
    0.7,
    1.3,
    "L/kg",
    "common practice: 1 ± 0.3",
    "water that the grain keeps",
    condition=True,
)
DISSOLVED_VOLUME: Final = Limit(
    "volume-balance",
    "dissolved_volume",
    "recipe",
    "warning",
    0.6,
    0.75,
    "L/kg",
    "from memory: dissolved sugar takes 0.62, liquid extract (1.4 g/mL) 0.71",
    "volume that sugar and extract add",
    condition=True,
)
UNSTATED_EVAPORATION: Final = Limit(
    "volume-balance",
    "evaporation",
    "recipe",
    "warning",
    0.0,
    20.0,
    "%",
    "common practice",
    "evaporation of `batch.volume` where none is stated",
    condition=True,
)
UNSTATED_LOSSES: Final = Limit(
    "volume-balance",
    "losses",
    "recipe",
    "warning",
    0.0,
    10.0,
    "%",
    "common practice",
    "losses of `batch.volume` where none are stated",
    condition=True,
)

# -- colour -----------------------------------------------------------------------------------

COLOR_DISAGREES_PERCENT: Final = Limit(
    "color-disagrees",
    "color",
    "recipe",
    "warning",
    None,
    20.0,
    "%",
    "common practice: published colour formulas differ among themselves by as much",
    "declared colour against the grist's",
)
COLOR_DISAGREES_SRM: Final = Limit(
    "color-disagrees",
    "color",
    "recipe",
    "warning",
    None,
    3.0,
    "SRM",
    "common practice",
    "a difference in colour that always passes",
    condition=True,
)

# -- taste, health, law -----------------------------------------------------------------------

ACID_HANDLING: Final = Limit(
    "acid-handling",
    "strength",
    "dose",
    "note",
    None,
    30.0,
    "%",
    "common practice; the limit itself already counts as concentrated",
    "an acid's strength",
)
SULFITE_LABEL: Final = Limit(
    "sulfite-label",
    "sulfur_dioxide",
    "batch",
    "warning",
    None,
    10.0,
    "mg/L",
    "US: 10 or more must be declared (27 CFR part 7, read through the TTB's notice); EU: more "
    "than 10 (Regulation 1169/2011 annex II, as quoted by food agencies)",
    "sulfur dioxide that may remain",
)
PRACTICE_MAGNESIUM: Final = Limit(
    "dose-beyond-practice",
    "magnesium",
    "batch",
    "warning",
    None,
    125.0,
    "mg/L",
    "Noonan, Brewing Lager Beer (as quoted): cathartic above 125",
)
PRACTICE_SULFATE: Final = Limit(
    "dose-beyond-practice",
    "sulfate",
    "batch",
    "warning",
    None,
    500.0,
    "mg/L",
    "NHMRC Australia: may purge above 500; WHO (as quoted): notify above 500",
)
PRACTICE_SODIUM: Final = Limit(
    "dose-beyond-practice",
    "sodium",
    "batch",
    "warning",
    None,
    200.0,
    "mg/L",
    "Palmer, How to Brew (as quoted): salty above 200; EU directive 98/83/EC: 200",
)
PRACTICE_LACTATE: Final = Limit(
    "dose-beyond-practice",
    "lactate",
    "batch",
    "warning",
    None,
    400.0,
    "mg/L",
    "Briggs et al., Brewing: Science and Practice, 2004 (as quoted by K. Troester): lactic "
    "acid is tasted from 400",
    "lactate of the whole batch, sour styles excepted,",
)

# -- after brew day, confidence ---------------------------------------------------------------

MEASURED_PH: Final = Limit(
    "measured-ph-disagrees",
    "mash_ph",
    "mash",
    "warning",
    None,
    2.0,
    "σ",
    "common practice: one sound mash in twenty",
    "measured against predicted mash pH, both at 25 °C,",
)
NARROW_PASS: Final = Limit(
    "narrow-pass",
    "chance_outside",
    "recipe",
    "note",
    None,
    100.0 / 3.0,
    "%",
    "common practice: about what one standard deviation leaves out",
    "the chance that a figure inside its limits is outside them",
)

PRACTICE: Final[tuple[Limit, ...]] = tuple(
    value for value in tuple(globals().values()) if isinstance(value, Limit)
)
"""All of the above, in their order."""
