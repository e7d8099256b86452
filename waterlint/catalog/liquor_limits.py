"""Limits of mash water, sparge water and the whole batch, where no style says otherwise.

What literature gives for brewing liquor holds for any beer and is wide; a style's own ranges
(`waterlint.catalog.emphasis`) replace it where there are some.
"""

from __future__ import annotations

from waterlint.catalog.limit import Limit
from waterlint.finding import Level
from waterlint.hints import Final

_PALMER = "Palmer, How to Brew (as quoted)"
_JEFFERY = "Jeffery, Brewing Theory and Practice, 1950s (as quoted)"
_TROESTER = "K. Troester's wiki on brewing"
_COMPANION = "Oxford Companion to Beer, 2012"


def _mash(quantity: str, level: Level, low: float | None, high: float | None, basis: str) -> Limit:
    return Limit(f"mash-{quantity}", quantity, "mash", level, low, high, "mg/L", basis)


def _batch(quantity: str, level: Level, low: float | None, high: float | None, basis: str) -> Limit:
    return Limit(f"batch-{quantity}", quantity, "batch", level, low, high, "mg/L", basis)


# -- the mash ---------------------------------------------------------------------------------

MASH_PH_WARNING: Final = Limit(
    "mash-ph",
    "mash_ph",
    "mash",
    "warning",
    5.2,
    5.7,
    "",
    "5.2: Kunze, Noonan, Fix, Palmer & Kaminski (all as quoted); 5.7: Kunze and Narziss "
    "(as quoted by K. Troester), Troester 2009",
    "mash pH of a cooled sample",
)
MASH_PH_WARNING_ROAST: Final = Limit(
    "mash-ph",
    "mash_ph",
    "mash",
    "warning",
    5.2,
    5.8,
    "",
    "5.2 as for other beers; 5.8: Palmer 2007 (5.4 to 5.8, as quoted); that it is for roast is "
    "common practice",
    "mash pH of a cooled sample, stouts and porters,",
)
MASH_PH_ERROR: Final = Limit(
    "mash-ph",
    "mash_ph",
    "mash",
    "error",
    5.0,
    6.0,
    "",
    "University of Copenhagen, J. ASBC 2024 (abstract): worts of mashes at 5.0 to 6.0 are "
    "much alike, at 4.5 they differ",
    "the whole 68 % interval of mash pH",
)
MASH_CALCIUM_NOTE: Final = _mash(
    "calcium", "note", 50, 150, f"{_PALMER}: 50 to 150; {_TROESTER}: 50 against oxalate"
)
MASH_CALCIUM_WARNING: Final = _mash(
    "calcium",
    "warning",
    30,
    200,
    f"30: {_TROESTER} (works for lagers); 200: {_JEFFERY}, 180, rounded up",
)
MASH_SCALE: Final = Limit(
    "mash-scale",
    "calcite_saturation_index",
    "mash",
    "note",
    None,
    1.0,
    "",
    "common practice: tenfold oversaturation; in K. Troester 2009, where chalk fell out of the "
    "water, mash pH was 0.1 to 0.3 below what the dosed alkalinity lets expect",
    "calcite saturation index of the mash water",
)

# -- sparge -----------------------------------------------------------------------------------

SPARGE_ALKALINITY_NOTE: Final = Limit(
    "sparge-alkalinity",
    "alkalinity",
    "sparge",
    "note",
    None,
    50,
    "mg/L as CaCO3",
    "common practice, from memory (25 to 50); that alkaline sparging extracts tannin has no "
    "primary measurement behind it that was found",
)
SPARGE_ALKALINITY_WARNING: Final = Limit(
    "sparge-alkalinity",
    "alkalinity",
    "sparge",
    "warning",
    None,
    100,
    "mg/L as CaCO3",
    "common practice: twice the note's limit",
)
SPARGE_OVERACID: Final = Limit(
    "sparge-overacid",
    "alkalinity",
    "sparge",
    "warning",
    -0.3,
    None,
    "mEq/L",
    "common practice: 15 mg/L as CaCO3 past nothing, the slack of a dose measured by volume",
)

# -- the whole batch --------------------------------------------------------------------------

BATCH_CALCIUM_NOTE: Final = _batch(
    "calcium",
    "note",
    40,
    200,
    f"40: {_JEFFERY}, mild 42, just under Palmer's 50; 200: the same, pale ale 180, rounded up",
)
BATCH_CALCIUM_WARNING: Final = _batch(
    "calcium",
    "warning",
    20,
    250,
    "20: common practice; 250: common practice, near the 270 of Burton water in Foster, Pale Ale "
    "(as quoted)",
)
BATCH_MAGNESIUM_NOTE: Final = _batch(
    "magnesium", "note", None, 30, f"{_PALMER}: 10 to 30; malt brings more than water does"
)
BATCH_MAGNESIUM_WARNING: Final = _batch(
    "magnesium",
    "warning",
    None,
    50,
    f"{_PALMER}: above 50 sour and bitter; {_TROESTER}: acceptable to 50",
)
BATCH_SODIUM_NOTE: Final = _batch(
    "sodium",
    "note",
    None,
    75,
    "common practice: where Palmer & Kaminski (as quoted) find sodium begins to be tasted, 70",
)
BATCH_SODIUM_WARNING: Final = _batch(
    "sodium", "warning", None, 100, "Taylor, Handbook of Brewing (as quoted): sweetens to 100"
)
BATCH_SODIUM_WARNING_DARK_SOUR: Final = Limit(
    "batch-sodium",
    "sodium",
    "batch",
    "warning",
    None,
    150,
    "mg/L",
    f"{_COMPANION}: stouts to 150; {_PALMER}: 0 to 150; for sour beers common practice",
    "sodium of the whole batch, stouts, porters and sour beers,",
)
BATCH_POTASSIUM_NOTE: Final = _batch(
    "potassium",
    "note",
    None,
    20,
    "common practice: twice the 10 that a textbook (as quoted by K. Troester) asks of water",
)
BATCH_POTASSIUM_WARNING: Final = _batch(
    "potassium", "warning", None, 50, "Austrian food codex, indicator value of drinking water"
)
BATCH_CHLORIDE_NOTE: Final = _batch(
    "chloride", "note", None, 150, "common practice, near the 142 of Jeffery's mild ale"
)
BATCH_CHLORIDE_WARNING: Final = _batch(
    "chloride", "warning", None, 250, f"{_PALMER}: 0 to 250; {_COMPANION}: palatable to 250"
)
BATCH_SULFATE_WARNING: Final = _batch(
    "sulfate", "warning", None, 400, f"{_TROESTER}: avoid more than 400"
)
RATIO_SLIGHT: Final = Limit(
    "chloride-sulfate-ratio",
    "chloride_and_sulfate",
    "batch",
    "warning",
    75,
    None,
    "mg/L",
    "common practice: soft water with one calcium salt alone is off any style's ratio and brewed "
    "with everywhere",
    "a style's ratio is more than a note where chloride or sulfate is",
    condition=True,
)
_PRIMER = (
    "a teaspoon of calcium chloride in five US gallons of soft water, advice of A. J. deLange's "
    "(as quoted) for all but British and very minerally beers"
)
RATIO_CHLORIDE_ALONE: Final = Limit(
    "chloride-sulfate-ratio",
    "chloride",
    "batch",
    "warning",
    130,
    None,
    "mg/L",
    f"{_PRIMER}: 3.4 to 5 g by how full it is, 90 to 130 mg/L",
    "a ratio above that of a style that is not hop-bitter is more than a note where chloride is",
    condition=True,
)
RATIO_SULFATE_LITTLE: Final = Limit(
    "chloride-sulfate-ratio",
    "sulfate",
    "batch",
    "warning",
    20,
    None,
    "mg/L",
    f"{_PRIMER}, which it calls soft below 20",
    "or where sulfate is",
    condition=True,
)
RATIO_MEANINGLESS: Final = Limit(
    "chloride-sulfate-ratio",
    "chloride_and_sulfate",
    "batch",
    "note",
    50,
    None,
    "mg/L",
    "common practice; Taylor's tasting (as quoted by A. J. deLange) began at beers with 180 of "
    "each and more",
    "the ratio is judged where chloride or sulfate is",
    condition=True,
)
MINERALS_HIGH_BOTH: Final = Limit(
    "minerals-high",
    "chloride_and_sulfate",
    "batch",
    "note",
    None,
    150,
    "mg/L",
    "common practice",
    "the lesser of chloride and sulfate",
)
MINERALS_HIGH_SUM: Final = Limit(
    "minerals-high",
    "ions",
    "batch",
    "note",
    None,
    1000,
    "mg/L",
    "common practice",
    "the sum of all ions",
)

LIQUOR: Final[tuple[Limit, ...]] = tuple(
    value for value in tuple(globals().values()) if isinstance(value, Limit)
)
"""All of the above, in their order."""
