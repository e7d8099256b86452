"""Recipes and reports that break a rule in another way than its own example does."""

from __future__ import annotations

from waterlint.rules.registry import Example
from waterlint.rules.samples import recipe, recipe_example, report_example

_WHOLE = (
    "ions: {calcium: %s, magnesium: 6 mg/L, sodium: 11 mg/L, chloride: 60 mg/L, "
    "sulfate: 61 mg/L}, alkalinity: 40 mg/L as CaCO3"
)
_SEASON = "seasons:\n  - {sampled: 2025-08-02, %s}"
_EXTRACT = (
    "grist:\n  - {malt: pale extract, kind: extract, mass: 2.8 kg, color: 8 EBC}\n"
    "  - {malt: white sugar, kind: sugar, mass: 500 g}"
)
_KETTLE = "water:\n  kettle: {volume: 24 L, from: %s}"


def _adding(*additions: str, water: tuple[str, ...] = (), style: str = "") -> Example:
    lines = "additions:\n" + "\n".join(f"  - {{{addition}}}" for addition in additions)
    return recipe_example(*filter(None, [style]), lines, water=water)


def _target(text: str, *changes: str) -> Example:
    return recipe_example(f"targets: {{{text}}}", *changes)


SHAPES: dict[str, tuple[Example, ...]] = {
    "acid-against-alkali": (
        _adding("add: baking-soda, liquor: 2 g", "add: lactic-acid, strength: 80 %, sparge: 1 mL"),
    ),
    "acid-handling": (
        _adding(
            "add: lactic-acid, strength: 50 %, mash: 1 mL",
            "add: phosphoric-acid, strength: 75 %, sparge: 1 mL",
            "add: lactic-acid, strength: 30 %, kettle: 1 mL",
        ),
    ),
    "alkali-after-mash": (
        _adding("add: pickling-lime, sparge: 0.5 g"),
        _adding("add: potassium-bicarbonate, fermenter: 1 g"),
        Example(
            recipe(
                _KETTLE % "distilled",
                _EXTRACT,
                "additions: [{add: baking-soda, kettle: 1 g}]",
                without=("mash", "sparge", "- {malt"),
            )
        ),
    ),
    "alkalinity-disagrees": (
        report_example("  bicarbonate: 24 mg/L"),
        report_example(
            _SEASON
            % (_WHOLE.replace("sulfate: 61", "bicarbonate: 90 mg/L, sulfate: 61") % "56 mg/L")
        ),
    ),
    "batch-calcium": (
        _adding("add: calcium-chloride, form: dihydrate, mash: 12 g, sparge: 9 g"),
        _target("calcium: 90 .. 120 mg/L"),
    ),
    "batch-sodium": (_target("sodium: 20 .. 40 mg/L"),),
    "below-scale": (
        _adding("add: lactic-acid, strength: 80 %, mash: 0.4 mL"),
        _adding("add: gypsum, fermenter: 0.1 g", "add: gypsum, sparge: 0.01 g/L"),
        _adding("add: potassium-metabisulfite, liquor: 0.04 g", water=("chlorine: 0.3 mg/L",)),
    ),
    "beyond-solubility": (
        _adding("add: gypsum, mash: 32 g"),
        _adding("add: gypsum, liquor: 60 g", "add: gypsum, sparge: 8 g"),
        _adding("add: pickling-lime, sparge: 25 g"),
    ),
    "caustic-handling": (
        _adding("add: gypsum, mash: 1 g", "add: pickling-lime, mash: 1 g, liquor: 1 g"),
    ),
    "chloride-sulfate-ratio": (
        recipe_example(
            "style: hazy-ipa",
            "additions: [{add: calcium-chloride, form: dihydrate, mash: 8 g}]",
            water=("  sulfate: 9 mg/L", "  chloride: 98 mg/L"),
        ),
        _target("chloride_to_sulfate: 1.5 .. 2"),
        recipe_example(
            "targets: {chloride_to_sulfate: .. 2}",
            "  mash: {volume: 15 L, from: distilled}",
            "  sparge: {volume: 13.5 L, from: distilled}",
            "additions: [{add: calcium-chloride, form: dihydrate, mash: 5 g}]",
        ),
        recipe_example(
            "targets: {chloride_to_sulfate: .. 0.5}",
            water=("  sulfate: 40 mg/L", "  chloride: 42 mg/L", "  calcium: 37 mg/L"),
        ),
    ),
    "chlorine-untreated": (
        recipe_example(
            "  mash: {volume: 15 L, from: ./well.yaml, treat: boiled}",
            "  sparge: {volume: 13.5 L, from: distilled}",
            water=("chlorine: 0.4 mg/L", "chloramine: 1.2 mg/L"),
        ),
        recipe_example(
            "  mash:\n    volume: 15 L\n    from: [{water: ./well.yaml, share: 60 %}, "
            "{water: distilled, share: 40 %}]",
            "  sparge: {volume: 13.5 L, from: distilled}",
            water=("chlorine: 0.4 mg/L", "chloramine: 1.2 mg/L"),
        ),
    ),
    "color-disagrees": (
        recipe_example("color: 2 SRM"),
        recipe_example(
            "color: 30 SRM",
            "  - {malt: pale malt, kind: pale, mass: 4.2 kg, color: 6 EBC}\n"
            "  - {malt: night malt, kind: roasted, mass: 1.6 kg, color: 1300 EBC}",
        ),
    ),
    "color-outside-style": (
        recipe_example("style: german-pils"),
        recipe_example("style: irish-stout", "color: 6 SRM"),
    ),
    "conductivity-disagrees": (
        report_example("conductivity: 300 µS/cm"),
        report_example(_SEASON % (f"conductivity: 620 µS/cm, {_WHOLE}" % "56 mg/L")),
    ),
    "dose-beyond-practice": (
        _adding("add: table-salt, mash: 10 g, sparge: 8 g"),
        _adding("add: lactic-acid, strength: 80 %, mash: 12.5 mL, kettle: 1 mL"),
    ),
    "drinking-water-limit": (
        report_example("  chloride: 260 mg/L", "  sodium: 140 mg/L"),
        report_example("  sodium: 210 mg/L", "  chloride: 350 mg/L"),
        report_example("  nitrate: 30 ± 4 mg/L", "nitrite: 1.6 mg/L"),
        report_example("  nitrate: 45 ± 4 mg/L"),
        report_example("fluoride: 1.8 mg/L", "copper: 1.7 mg/L"),
        report_example(_SEASON % "ions: {nitrate: 48 mg/L}, nitrite: 0.4 mg/L"),
    ),
    "extract-minerals": (
        Example(
            recipe(
                _KETTLE % "./well.yaml",
                _EXTRACT,
                without=("mash", "sparge", "- {malt"),
            ),
            recipe_example().files,
        ),
    ),
    "form-unstated": (
        _adding("add: calcium-chloride, form: trihydrate, mash: 2 g"),
        _adding("add: calcium-chloride, form: dihydrate, mash: 2 mL"),
        _adding("add: gypsum, mash: 2 mL/L"),
        _adding("add: citric-acid, sparge: 2 g"),
    ),
    "hardness-disagrees": (
        report_example("hardness: 240 mg/L as CaCO3"),
        report_example("hardness: 62 mg/L as CaCO3"),
        report_example(
            _SEASON % "hardness: 300 mg/L as CaCO3, ions: {calcium: 56 mg/L, magnesium: 6 mg/L}"
        ),
    ),
    "implausible-quantity": (
        recipe_example("  mash: {volume: 6 L, from: ./well.yaml}"),
        recipe_example("  mash: {volume: 60 L, from: ./well.yaml}"),
        _adding("add: lactic-acid, strength: 80 %, mash: 33 mL"),
        _adding("add: lactic-acid, strength: 80 %, sparge: 30 mL"),
        _adding("add: phosphoric-acid, strength: 85 %, kettle: 60 mL"),
        _adding("add: calcium-chloride, form: solution, strength: 33 %, mash: 110 mL"),
        report_example("  sodium: 2001 mg/L"),
        report_example(_SEASON % "ions: {chloride: 6000 mg/L}"),
    ),
    "ion-balance": (
        report_example("  sodium: 35 mg/L"),
        report_example("  calcium: 64 ± 6 mg/L"),
        report_example("  calcium: 40 mg/L"),
        report_example("  nitrate: 11.3 mg/L", "  chloride: 31.4 mg/L"),
        report_example("alkalinity: 240 mg/L as CaCO3", "  calcium: 118 mg/L"),
        report_example("  calcium: 140 mg/L"),
        report_example("  calcium: 92 mg/L as CaCO3"),
        report_example("  bicarbonate: 98.4 mg/L", "  calcium: 106 mg/L", without=["alkalinity"]),
        report_example("  carbonate: 49 mg/L\n  bicarbonate: 0 mg/L", without=["alkalinity"]),
        report_example(_SEASON % "ions: {calcium: 80 mg/L}"),
        report_example(_SEASON % "alkalinity: 90 mg/L as CaCO3"),
    ),
    "ion-balance-untestable": (
        report_example(without=["  sulfate", "sulfate"]),
        report_example(_SEASON % (_WHOLE % "< 70 mg/L")),
    ),
    "kettle-only-excess": (
        _adding("add: table-salt, kettle: 2 g", "add: baking-soda, kettle: 9 g"),
        _target("sodium: .. 20 mg/L", "additions: [{add: table-salt, kettle: 80000 mg}]"),
        _target(
            "sodium: .. 20 mg/L",
            "additions:\n  - {add: table-salt, kettle: 2 g}\n  - {add: baking-soda, kettle: 2 g}",
        ),
        _adding("add: chalk, kettle: 20 g, dissolved: true", "add: gypsum, kettle: 3 g"),
        recipe_example(
            "style: blonde-ale", "additions: [{add: gypsum, kettle: 8 g}, {add: gypsum, mash: 1 g}]"
        ),
    ),
    "mash-calcium": (
        _adding("add: calcium-chloride, form: dihydrate, mash: 9 g"),
        recipe_example("style: munich-helles", water=("  calcium: 15 mg/L",)),
        _target("mash: {calcium: 90 .. 120 mg/L}"),
    ),
    "mash-ph": (
        _adding("add: lactic-acid, strength: 80 %, mash: 9 mL"),
        _adding("add: lactic-acid, strength: 80 %, mash: 25 mL"),
        _adding("add: baking-soda, mash: 25 g"),
        _target("mash_ph: 5.2 .. 5.4"),
        _target("mash_ph: 5.7 .. 5.9"),
        recipe_example("style: irish-stout", "additions: [{add: baking-soda, mash: 6 g}]"),
    ),
    "mash-ph-unpredictable": (recipe_example(water=("alkalinity: 900 mg/L as CaCO3",)),),
    "measured-ph-disagrees": (
        recipe_example("measured: {mash_ph: {value: 5.1, temperature: 25 °C}}"),
        recipe_example("measured: {mash_ph: {value: 5.0 ± 0.05, temperature: 60 °C}}"),
    ),
    "metals-in-brewing": (
        report_example("iron: 0.25 ± 0.1 mg/L", "manganese: 0.07 mg/L"),
        report_example(_SEASON % "manganese: 0.6 mg/L"),
    ),
    "minerals-high": (
        recipe_example(
            water=("alkalinity: 480 mg/L as CaCO3", "  calcium: 150 mg/L", "  sulfate: 240 mg/L")
        ),
        recipe_example(
            water=(
                *("  calcium: 200 mg/L", "  magnesium: 40 mg/L", "  sodium: 140 mg/L"),
                *("  chloride: 145 mg/L", "  sulfate: 480 mg/L"),
            )
        ),
    ),
    "narrow-pass": (
        _target("mash_ph: 5.2 .. 5.62"),
        _target("mash: {calcium: 55.9 .. 80 mg/L}"),
        _target("sparge: {alkalinity: 39 .. 41 mg/L as CaCO3}"),
        _target("chloride_to_sulfate: 0.98 .. 1.4"),
        _target("color: 5.9 .. 12 SRM"),
    ),
    "negligible-addition": (
        recipe_example(
            "batch: {volume: 200 L, evaporation: 3 L, losses: 1 L}",
            "  sparge: {volume: 200 L, from: ./well.yaml}",
            "additions:\n  - {add: epsom-salt, sparge: 1 g}\n  - {add: baking-soda, kettle: 0.3 g}",
        ),
    ),
    "report-age": (
        report_example("sampled: 2024-03-14"),
        report_example("sampled: 2020-03-14", "seasons:\n  - {sampled: 2025-08-02, ph: 7.9}"),
    ),
    "residual-alkalinity": (
        _adding("add: lactic-acid, strength: 80 %, mash: 12 mL"),
        _target("mash_ph: 5.75 .. 5.9"),
        recipe_example("style: irish-stout", "additions: [{add: baking-soda, mash: 9 g}]"),
    ),
    "softened-water": (
        report_example(_SEASON % "ions: {sodium: 90 mg/L, calcium: 4 mg/L, magnesium: 1 mg/L}"),
    ),
    "solids-disagree": (
        report_example("dissolved_solids: 150 mg/L", "silica: 12 mg/L"),
        report_example(_SEASON % (f"dissolved_solids: 410 mg/L, {_WHOLE}" % "56 mg/L")),
    ),
    "sparge-alkalinity": (
        recipe_example(water=("alkalinity: 70 mg/L as CaCO3", "  calcium: 68 mg/L")),
        _target("sparge: {alkalinity: .. 20 mg/L as CaCO3}"),
        _target("sparge: {alkalinity: 60 .. 80 mg/L as CaCO3}"),
    ),
    "sparge-overacid": (_adding("add: lactic-acid, strength: 80 %, sparge: 1.45 mL"),),
    "strength-unstated": (
        _adding("add: calcium-chloride, form: solution, mash: 2 mL"),
        _adding("add: lactic-acid, strength: 99 %, mash: 2 mL"),
        _adding("add: calcium-chloride, form: solution, strength: 60 %, mash: 2 mL"),
    ),
    "sulfite-dose": (
        _adding("add: sodium-metabisulfite, mash: 0.01 g", water=("chlorine: 2 mg/L",)),
        _adding("add: potassium-metabisulfite, liquor: 0.1 g", water=("chlorine: 0 mg/L",)),
        _adding("add: potassium-metabisulfite, sparge: 0.02 g", water=("chloramine: 1 mg/L",)),
    ),
    "target-missed": (
        _target("color: 8 .. 12 SRM"),
        _target("nitrate: 5 .. 9 mg/L"),
        _target("mash: {sulfate: .. 40 mg/L}"),
        _target("mash: {residual_alkalinity: .. -20 mg/L as CaCO3}"),
        recipe_example("targets: {sparge: {calcium: 60 .. 80 mg/L}}", without=("  sparge",)),
    ),
    "undissolved-chalk": (
        _adding("add: chalk, liquor: 15 g"),
        _adding("add: chalk, mash: 20 g"),
        _adding("add: chalk, mash: 0.2 g/L", "add: chalk, mash: 0 g"),
    ),
    "unknown-additive": (_adding("add: CaCl2, mash: 2 g"), _adding("add: stardust, mash: 2 g")),
    "unknown-style": (recipe_example("style: stardust"), recipe_example("style: irish-stoot")),
    "unresolved-water": (
        recipe_example(
            "  mash:\n    volume: 15 L\n    from: [{water: ./well.yaml, share: 60 %}, "
            "{water: ./wall.yaml, share: 39.8 %}]",
            "  sparge: {volume: 13.5 L, from: ./wall.yaml}",
        ),
    ),
    "volume-balance": (
        recipe_example("batch: {volume: 29 L}"),
        recipe_example("batch: {volume: 18 L, boil: 0 min, losses: 1 L}"),
        recipe_example(
            "  - {malt: pale malt, kind: pale, mass: 4.2 kg, color: 6 EBC}\n"
            "  - {malt: white sugar, kind: sugar, mass: 2 kg}",
            "batch: {volume: 31 L, evaporation: 3 L}",
        ),
        recipe_example(
            "batch: {volume: 27 L, evaporation: 1 L, losses: 1 L}",
            _KETTLE % "./well.yaml",
            _EXTRACT,
            without=("mash", "sparge", "- {malt"),
        ),
    ),
}
