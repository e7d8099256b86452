"""What differs between the rules on single ions of the whole batch: a row of a table each."""

from __future__ import annotations

from waterlint.hints import Final
from waterlint.records import Record
from waterlint.rules.registry import Example
from waterlint.rules.samples import recipe_example

_DISTILLED: Final = (
    "  mash: {volume: 15 L, from: distilled}",
    "  sparge: {volume: 13.5 L, from: distilled}",
)


class IonRule(Record):
    """What differs between the rules on single ions.

    `usual` are the additives that `too_high` names; none where it speaks of all salts of the ion.
    """

    ion: str
    why: str
    too_high: str
    failing: Example
    passing: Example
    wish: str
    too_low: str
    styled: bool = False
    usual: tuple[str, ...] = ()


ION_RULES: Final = (
    IonRule(
        "calcium",
        why=(
            "Calcium takes oxalate out as stone before it gets into casks and lines, helps yeast "
            "to settle and the boil to clear. Too much of it takes phosphate from the yeast and "
            "tastes of minerals."
        ),
        too_high=(
            "Use less of the calcium salts, or dilute with distilled or reverse-osmosis water."
        ),
        too_low="Add gypsum or calcium chloride, whichever of sulfate and chloride is wanted.",
        failing=recipe_example(*_DISTILLED),
        wish="50 .. 120 mg/L",
        passing=recipe_example(),
        styled=True,
    ),
    IonRule(
        "magnesium",
        why=(
            "Malt brings more magnesium than yeast needs. Beyond a little more of it beer turns "
            "sour and bitter, and at worst it acts as a laxative."
        ),
        too_high=(
            "Use less Epsom salt or magnesium chloride, or dilute with distilled or "
            "reverse-osmosis water."
        ),
        too_low="Add Epsom salt or magnesium chloride, or ask for less: malt brings enough.",
        failing=recipe_example("additions: [{add: epsom-salt, mash: 10 g}]"),
        usual=("epsom-salt", "magnesium-chloride"),
        wish=".. 20 mg/L",
        passing=recipe_example("additions: [{add: epsom-salt, mash: 2 g}]"),
    ),
    IonRule(
        "sodium",
        why=(
            "Some sodium rounds malt and roast; more of it tastes of salt, and beside much "
            "sulfate it is harsh."
        ),
        too_high="Use less table salt or baking soda, or dilute a sodium-rich water.",
        too_low="Add table salt, or baking soda where the mash pH is too low.",
        failing=recipe_example("additions: [{add: table-salt, mash: 8 g}]"),
        usual=("table-salt", "baking-soda"),
        wish=".. 90 mg/L",
        passing=recipe_example("additions: [{add: table-salt, mash: 2 g}]"),
        styled=True,
    ),
    IonRule(
        "potassium",
        why=(
            "Malt brings some 500 mg/L of potassium itself. What water adds has no use, and much "
            "of it tastes salty and slows enzymes."
        ),
        too_high=(
            "Replace potassium salts by those of sodium or calcium, or dilute with distilled or "
            "reverse-osmosis water."
        ),
        too_low="Add potassium chloride, or ask for less: malt brings plenty.",
        failing=recipe_example("additions: [{add: potassium-chloride, mash: 2 g}]"),
        wish=".. 10 mg/L",
        passing=recipe_example("additions: [{add: potassium-chloride, mash: 0.5 g}]"),
    ),
    IonRule(
        "chloride",
        why=(
            "Chloride fills out malt. Far above its range beer tastes salty and blunt, and "
            "stainless steel pits."
        ),
        too_high="Use less calcium chloride or table salt, or dilute a chloride-rich water.",
        too_low="Add calcium chloride, or table salt where sodium has room.",
        failing=recipe_example("additions: [{add: calcium-chloride, form: dihydrate, mash: 9 g}]"),
        usual=("calcium-chloride", "table-salt"),
        wish="40 .. 120 mg/L",
        passing=recipe_example("additions: [{add: calcium-chloride, form: dihydrate, mash: 3 g}]"),
    ),
    IonRule(
        "sulfate",
        why=(
            "Sulfate dries the finish and sharpens hops. How much of it a beer bears is a matter "
            "of its style; far above that it is harsh, and yeast makes sulfur notes of it."
        ),
        too_high="Use less gypsum or Epsom salt, or dilute a sulfate-rich water.",
        too_low="Add gypsum, or Epsom salt where magnesium has room.",
        failing=recipe_example(
            "style: blonde-ale", "additions: [{add: gypsum, mash: 6 g, sparge: 5 g}]"
        ),
        usual=("gypsum", "epsom-salt"),
        wish="40 .. 250 mg/L",
        passing=recipe_example("style: blonde-ale", "additions: [{add: gypsum, mash: 3 g}]"),
        styled=True,
    ),
)
