"""A made-up collection of recipes of about ninety lines that share a dozen water reports.

The same number gives the same files, whatever the machine. Every recipe is sound: its schema is
met, its waters exist, its sparge water has the acid that its report asks for, and of nearly all
the rules say nothing, as of a collection that is linted at every commit.
"""

from __future__ import annotations

import re
from pathlib import Path
from random import Random
from typing import Literal

REPORTS = 12

_NAMES = ("Breakwater", "Coal Quay", "Low Cloud", "Night Ferry", "Sluice Gate", "Fern Bank")

#: Style, and lines of a grist that comes to its colour: name, kind, mass [g], colour [EBC].
_BEERS = (
    (
        "irish-stout",
        (
            ("pale ale malt", "pale", 3400, 6.0),
            ("flaked barley", "unmalted", 500, 4.0),
            ("roasted barley", "roasted", 420, 1200.0),
            ("dark crystal", "crystal", 120, 240.0),
            ("wheat malt", "wheat", 160, 4.0),
        ),
    ),
    (
        "american-ipa",
        (
            ("two-row malt", "two-row", 4300, 4.0),
            ("munich malt", "munich", 300, 15.0),
            ("light crystal", "crystal", 250, 60.0),
            ("wheat malt", "wheat", 200, 4.0),
            ("vienna malt", "vienna", 250, 8.0),
        ),
    ),
    (
        "dark-mild",
        (
            ("mild malt", "pale", 2900, 7.0),
            ("dark crystal", "crystal", 300, 240.0),
            ("chocolate malt", "roasted", 110, 900.0),
            ("flaked oats", "unmalted", 150, 3.0),
            ("vienna malt", "vienna", 200, 8.0),
        ),
    ),
)


def make_corpus(
    folder: Path, recipes: int, fault: Literal["", "schema", "rules"] = ""
) -> list[Path]:
    """Write water reports, a configuration and recipes below a folder.

    Parameters
    ----------
    folder : Path
        Made if it is not there.
    recipes : int
        How many.
    fault : str
        What is wrong with every recipe: with ``schema`` a misspelt key and a decimal comma, with
        ``rules`` sparge water without its acid and far too much table salt.

    Returns
    -------
    list of Path
        The recipes, in the order of their names.
    """
    (folder / "waters").mkdir(parents=True, exist_ok=True)
    (folder / "recipes").mkdir(exist_ok=True)
    (folder / "waterlint.yaml").write_text(_CONFIG, encoding="utf-8")
    for number in range(REPORTS):
        path = folder / "waters" / f"well-{number:02d}.yaml"
        path.write_text(_report(number), encoding="utf-8")
    paths = []
    for number in range(recipes):
        path = folder / "recipes" / f"recipe-{number:05d}.yaml"
        text = _recipe(Random(1_000_003 * number + 7), number)
        if fault == "schema":
            text = text.replace("    sparge: ", "    sparg: ", 1).replace(
                "  boil: 60 min", "  boil: 1,5 h", 1
            )
        elif fault == "rules":
            acid, salt = "  - add: lactic-acid", "  - add: table-salt\n"
            head, _, tail = text.partition(acid)
            tail = re.sub(r"\n    sparge: .*", "", tail, count=1)
            text = (head + acid + tail).replace(salt, f"{salt}    kettle: 9 g\n", 1)
        path.write_text(text, encoding="utf-8")
        paths.append(path)
    return paths


_CONFIG = """\
waterlint: config/1
levels: {report-age: note}
ranges:
  sodium: .. 120 mg/L
scale: {mass: 0.1 g, volume: 0.5 mL}
"""


def _ions(number: int) -> tuple[int, int, int, int, int, int]:
    """Calcium, magnesium, sodium, chloride, sulfate and alkalinity of a report [mg/L]."""
    random = Random(number)
    calcium, magnesium = random.randint(20, 60), random.randint(3, 8)
    sodium, chloride, sulfate = (
        random.randint(6, 20),
        random.randint(12, 35),
        random.randint(10, 40),
    )
    # Alkalinity closes the balance of charges, as it does in nature.
    cations = calcium / 20.04 + magnesium / 12.15 + sodium / 22.99
    alkalinity = round(50.04 * (cations - chloride / 35.45 - sulfate / 48.03))
    return calcium, magnesium, sodium, chloride, sulfate, max(5, alkalinity)


def _report(number: int) -> str:
    calcium, magnesium, sodium, chloride, sulfate, alkalinity = _ions(number)
    return f"""\
waterlint: water/1
name: Well {number}
sampled: 2026-{1 + number % 9:02d}-14
laboratory: Fennhollow Water Laboratory
ph: 7.{2 + number % 8}
ions:
  calcium: {calcium} ± 2 mg/L
  magnesium: {magnesium} mg/L
  sodium: {sodium} mg/L
  chloride: {chloride} mg/L
  sulfate: {sulfate} mg/L
alkalinity: {alkalinity} mg/L as CaCO3
iron: < 0.02 mg/L
"""


def _recipe(random: Random, number: int) -> str:
    well, other = random.randrange(REPORTS), random.randrange(REPORTS)
    style, grist = random.choice(_BEERS)
    mash, sparge = random.randint(150, 175) / 10, random.randint(120, 145) / 10
    evaporation, losses = random.randint(20, 35) / 10, random.randint(10, 25) / 10
    kilograms = sum(mass for _, _, mass, _ in grist) / 1000
    # Lactic acid of 10 % has 1.1 mEq/mL; half a mEq/L of the alkalinity stays.
    sparge_acid = max(1.0, (_ions(well)[-1] / 50.04 - 0.5) * sparge / 1.1)
    batch = round(mash + sparge - kilograms - evaporation - losses, 1)
    lines = [
        "# Brewed for the spring calendar; the doses follow the last water report of the works.",
        "# Weigh salts into the dry grist, and stir them in well before the rest begins.",
        "waterlint: recipe/1",
        "# First brewed in the cold cellar, where the water is drawn the evening before.",
        "# Before the well was deepened the mash took a third less acid.",
        f"name: {random.choice(_NAMES)} number {number}",
        f"style: {style}",
        "batch:",
        f"  volume: {batch} L",
        "  boil: 60 min",
        f"  evaporation: {evaporation} L",
        f"  losses: {losses} L",
        "",
        "# The mash takes two waters, so that one delivery more or less makes no difference.",
        "water:",
        "  mash:",
        f"    volume: {mash} L",
        "    from:",
        f"      - water: ../waters/well-{well:02d}.yaml",
        f"        share: {(part := random.randint(30, 70))} %",
        f"      - water: {random.choice(('reverse-osmosis', f'../waters/well-{other:02d}.yaml'))}",
        f"        share: {100 - part} %",
        "    treat: carbon-filtered",
        "  sparge:",
        f"    volume: {sparge} L",
        f"    from: ../waters/well-{well:02d}.yaml",
        "    treat: carbon-filtered",
        "",
        "mash:",
        "  mill_gap: 1.2 mm",
        f"  temperature: {random.randint(64, 68)} °C",
        "",
        "# Lots change through the year: look at the maltster's colour before weighing.",
        "grist:",
    ]
    for name, kind, mass, color in grist:
        lines += _malt(name, kind, f"{mass + 10 * random.randint(-2, 2)} g", color)
    lines += [
        "",
        "# Salts in grams for the whole vessel; the acid last, once the salts have dissolved.",
        "# What goes into the sparge water is weighed the evening before and kept dry.",
        "additions:",
        *_addition(
            "gypsum", [], f"{random.randint(5, 30) / 10} g", f"{random.randint(5, 15) / 10} g"
        ),
        *_addition(
            "calcium-chloride",
            ["form: dihydrate"],
            f"{random.randint(5, 30) / 10} g",
            f"{random.randint(5, 15) / 10} g",
        ),
        *_addition("epsom-salt", [], f"{random.randint(2, 8) / 10} g", "0.3 g"),
        *_addition("table-salt", [], f"{random.randint(2, 8) / 10} g", "0.2 g"),
        *_addition(
            "lactic-acid",
            ["strength: 10 %"],
            f"{random.randint(5, 15)} mL",
            f"{sparge_acid:.0f} mL",
        ),
        "",
        "# Taken from the vessel, cooled in ice, and read on the meter that was set that morning.",
        "measured:",
        "  mash_ph:",
        f"    value: {random.randint(535, 550) / 100}",
        "    temperature: 22 °C",
        "",
        "# What the beer should come to; the rest follows the general ranges.",
        "targets:",
        "  mash_ph: 5.2 .. 5.8",
        "  calcium: 30 .. 180 mg/L",
        "  sulfate: 10 .. 300 mg/L",
        "  chloride_to_sulfate: 0.1 .. 9",
        "  alkalinity: .. 200 mg/L as CaCO3",
    ]
    return "\n".join(lines) + "\n"


def _malt(name: str, kind: str, mass: str, color: float) -> list[str]:
    return [
        f"  - malt: {name}",
        f"    kind: {kind}",
        f"    mass: {mass}",
        f"    color: {color:g} EBC",
    ]


def _addition(name: str, more: list[str], mash: str, sparge: str) -> list[str]:
    return [
        f"  - add: {name}",
        *(f"    {line}" for line in more),
        f"    mash: {mash}",
        f"    sparge: {sparge}",
    ]
