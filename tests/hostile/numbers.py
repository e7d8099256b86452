"""Recipes whose every figure is one that the format takes and no brewery has."""

from __future__ import annotations

from tests.hostile.corpus import RECIPE, WELL, put

MOST = "999999999999"
LEAST = "0.00000000001"

_SALTS = (
    *("gypsum", "epsom-salt", "magnesium-chloride", "table-salt", "potassium-chloride"),
    *("sodium-sulfate", "baking-soda", "potassium-bicarbonate", "chalk", "pickling-lime"),
    *("sodium-metabisulfite", "potassium-metabisulfite"),
)
_ACIDS = ("lactic-acid", "phosphoric-acid", "hydrochloric-acid", "sulfuric-acid")

_LEAF = "  - {add: gypsum, mash: 1 g}\n"


def _adding(*lines: str) -> str:
    return put(_LEAF, "".join(f"  - {{{line}}}\n" for line in lines))


def forty(dose: str, acid: str = "1 mL") -> str:
    """Forty additions at once, of every additive."""
    lines = [f"add: {name}, mash: {dose}, sparge: {dose}, kettle: {dose}" for name in _SALTS]
    lines += [f"add: {name}, strength: 10 %, mash: {acid}, sparge: {acid}" for name in _ACIDS]
    lines += [f"add: calcium-chloride, form: dihydrate, mash: {dose}"]
    lines += [f"add: citric-acid, form: anhydrous, mash: {dose}"]
    lines += [f"add: chalk, dissolved: true, mash: {dose}, liquor: {dose}"]
    return _adding(*(lines * 3)[:40])


def _grist(*malts: str) -> str:
    head, _, rest = RECIPE.partition("grist:\n")
    return (
        head
        + "grist:\n"
        + "".join(f"  - {{{malt}}}\n" for malt in malts)
        + "additions:"
        + (rest.partition("additions:")[2])
    )


def _mineral(calcium: str, others: str, alkalinity: str, ph: str = "7.4") -> str:
    return (
        f"waterlint: water/1\nname: Extreme\nsampled: 2026-03-14\nph: {ph}\nions:\n"
        f"  calcium: {calcium}\n"
        + "".join(
            f"  {ion}: {others}\n"
            for ion in ("magnesium", "sodium", "potassium", "chloride", "sulfate", "nitrate")
        )
        + f"alkalinity: {alkalinity}\n"
    )


#: Each recipe with the report that it uses.
CASES: dict[str, tuple[str, str]] = {
    "huge-batch": (put("20 L", f"{MOST} L"), WELL),
    "huge-mash-water": (put("15 L", f"{MOST} hL"), WELL),
    "tiny-mash-water": (put("15 L", f"{LEAST} mL"), WELL),
    "tiny-waters": (put("13.5 L", f"{LEAST} mL", put("15 L", f"{LEAST} mL")), WELL),
    "zero-batch": (put("20 L", "0 L"), WELL),
    "zero-mash-water": (put("15 L", "0 L"), WELL),
    "zero-sparge-water": (put("13.5 L", "0 L"), WELL),
    "all-waters-zero": (put("13.5 L", "0 L", put("15 L", "0 L")), WELL),
    "zero-losses": (put("losses: 1 L", "losses: 0 L", put("3 L", "0 L")), WELL),
    "all-boils-away": (put("evaporation: 3 L", f"evaporation: {MOST} L"), WELL),
    "all-is-lost": (put("losses: 1 L", f"losses: {MOST} L"), WELL),
    "tiny-dose": (put("mash: 1 g}", f"mash: {LEAST} mg}}"), WELL),
    "zero-dose": (put("mash: 1 g}", "mash: 0 g}"), WELL),
    "huge-dose": (put("mash: 1 g}", f"mash: {MOST} kg}}"), WELL),
    "tiny-malt": (put("4.2 kg", f"{LEAST} mg"), WELL),
    "huge-malt": (put("4.2 kg", f"{MOST} kg"), WELL),
    "zero-malt": (put("300 g", "0 g", put("4.2 kg", "0 kg")), WELL),
    "black-malt": (put("color: 6 EBC", f"color: {MOST} EBC"), WELL),
    "white-malt": (put("color: 6 EBC", "color: 0 EBC"), WELL),
    "frozen-mash": (put("66 °C", "0 °C"), WELL),
    "boiling-mash": (put("66 °C", "100 °C"), WELL),
    "wide-mill": (put("1 mm", f"{MOST} mm"), WELL),
    "shut-mill": (put("1 mm", "0 mm"), WELL),
    "only-acidulated": (_grist("malt: a, kind: acidulated, mass: 4 kg, color: 5 EBC"), WELL),
    "only-roasted": (_grist("malt: a, kind: roasted, mass: 9 kg, color: 1400 EBC"), WELL),
    "only-sugar": (_grist("malt: a, kind: sugar, mass: 9 kg, color: 0 EBC"), WELL),
    "only-late": (_grist("malt: a, kind: pale, mass: 9 kg, color: 5 EBC, late: true"), WELL),
    "di-ph-0": (_grist("malt: a, kind: pale, mass: 4 kg, color: 5 EBC, di_ph: 0"), WELL),
    "di-ph-14": (_grist("malt: a, kind: pale, mass: 4 kg, color: 5 EBC, di_ph: 14"), WELL),
    "no-buffer": (_grist("malt: a, kind: pale, mass: 4 kg, color: 5 EBC, buffer: 0 mEq/kg/pH"), WELL),
    "endless-acidity": (
        _grist(f"malt: a, kind: pale, mass: 4 kg, color: 5 EBC, acidity: {MOST} mEq/kg"),
        WELL,
    ),
    "endless-buffer": (
        _grist(f"malt: a, kind: pale, mass: 4 kg, color: 5 EBC, buffer: {MOST} mEq/kg/pH"),
        WELL,
    ),
    "forty-grams": (forty("1 g"), WELL),
    "forty-specks": (forty(f"{LEAST} mg", f"{LEAST} mL"), WELL),
    "forty-nothings": (forty("0 g", "0 mL"), WELL),
    "forty-mountains": (forty("99999999 kg", "99999999 hL"), WELL),
    "forty-heaps": (forty("1 kg", "1 L"), WELL),
    "acid-alone": (_adding("add: hydrochloric-acid, strength: 37 %, mash: 900 L, sparge: 900 L"), WELL),
    "lime-alone": (_adding("add: pickling-lime, mash: 900 kg, sparge: 900 kg"), WELL),
    "soda-alone": (_adding("add: baking-soda, mash: 900 kg, sparge: 900 kg"), WELL),
    "acid-of-no-strength": (_adding("add: lactic-acid, strength: 0 %, mash: 5 mL"), WELL),
    "acid-of-full-strength": (_adding("add: sulfuric-acid, strength: 100 %, mash: 5 mL"), WELL),
    "density-of-nothing": (
        _adding(f"add: lactic-acid, strength: 80 %, density: {LEAST} g/mL, mash: 5 mL"),
        WELL,
    ),
    "water-of-nothing": (RECIPE, _mineral("0 mg/L", "0 mg/L", "0 mg/L", "7.0")),
    "water-of-specks": (RECIPE, _mineral(f"{LEAST} mg/L", f"{LEAST} mg/L", f"{LEAST} mg/L")),
    "water-of-stone": (RECIPE, _mineral(f"{MOST} mg/L", f"{MOST} mg/L", f"{MOST} mg/L")),
    "water-of-brine": (RECIPE, _mineral("9000 mg/L", "90000 mg/L", "9000 mg/L")),
    "water-of-lye": (RECIPE, _mineral("0 mg/L", "0 mg/L", f"{MOST} mg/L", "14")),
    "water-ph-0": (RECIPE, put("ph: 7.4", "ph: 0", WELL)),
    "water-ph-14": (RECIPE, put("ph: 7.4", "ph: 14", WELL)),
    "water-ph-0-bare": (RECIPE, _mineral("0 mg/L", "0 mg/L", "0 mg/L", "0")),
    "water-ph-14-hard": (RECIPE, _mineral("900 mg/L", "900 mg/L", "900 mg/L", "14")),
    "water-of-wide-spread": (RECIPE, put("calcium: 56", f"calcium: 56 ± {MOST}", WELL)),
    "water-below-detection": (RECIPE, put("56 mg/L", f"< {MOST} mg/L", WELL)),
    "old-as-the-hills": (RECIPE, put("2026-03-14", "0001-01-01", WELL)),
    "from-the-future": (RECIPE, put("2026-03-14", "9999-12-31", WELL)),
    "boiled-lye": (put("from: ./well.yaml", "from: ./well.yaml, treat: [boiled, lime-softened]"),
                   _mineral("900 mg/L", "900 mg/L", "9000 mg/L", "13")),
    "boiled-nothing": (put("from: ./well.yaml", "from: ./well.yaml, treat: [boiled, stood]"),
                       _mineral("0 mg/L", "0 mg/L", "0 mg/L", "7.0")),
    "softened-stone": (put("from: ./well.yaml", "from: ./well.yaml, treat: lime-softened"),
                       _mineral(f"{MOST} mg/L", f"{MOST} mg/L", f"{MOST} mg/L")),
}  # fmt: skip
