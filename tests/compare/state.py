"""A small project before and after its well was analysed anew, and the goldens of its comparison.

`python -m tests.compare.state` writes the goldens anew; look at what git shows then.
"""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from waterlint.compare.comparing import compare
from waterlint.compare.water import Replacement, ask_water
from waterlint.linter import Options
from waterlint.output import comparison_json, comparison_markdown, comparison_text
from waterlint.output.comparison import Comparison
from waterlint.version import __version__

GOLDEN = Path(__file__).parent / "golden"

WELL = """\
waterlint: water/1
name: Lock Cottage well
sampled: 2026-09-01
ph: 7.2
ions:
  calcium: 52 mg/L
  magnesium: 5 mg/L
  sodium: 12 mg/L
  chloride: 30 mg/L
  sulfate: 41 mg/L
alkalinity: 94 mg/L as CaCO3
"""

#: The same well after a dry summer.
HARD = (
    WELL.replace("calcium: 52", "calcium: 152")
    .replace("chloride: 30", "chloride: 83")
    .replace("alkalinity: 94", "alkalinity: 269")
    .replace("2026-09-01", "2027-08-20")
)

#: Nothing but the day has changed.
SAME = WELL.replace("2026-09-01", "2027-08-20")

PORTER = """\
waterlint: recipe/1
name: Lock Cottage porter
batch: {volume: 20 L, boil: 60 min, evaporation: 3 L, losses: 1 L}
water:
  mash:   {volume: 14 L, from: ../waters/well.yaml}
  sparge: {volume: 14 L, from: reverse-osmosis}
mash: {mill_gap: 1.1 mm}
grist:
  - {malt: pale malt, kind: pale,    mass: 4.0 kg, color: 5 EBC}
  - {malt: chocolate, kind: roasted, mass: 300 g,  color: 900 EBC}
additions:
  - {add: calcium-chloride, form: dihydrate, mash: 1.5 g, sparge: 1.5 g}
"""

#: Takes so little of the well that no finding fails; its name is hostile to Markdown.
BLENDED = PORTER.replace("Lock Cottage porter", "Half | *and* half").replace(
    "from: ../waters/well.yaml",
    "from: [{water: ../waters/well.yaml, share: 40 %}, {water: distilled, share: 60 %}]",
)

#: Uses another water.
APART = PORTER.replace("../waters/well.yaml", "distilled").replace("porter", "stout")

FILES = {
    "waters/well.yaml": WELL,
    "waters/2027.yaml": HARD,
    "ales/porter.yaml": PORTER,
    "ales/blended.yaml": BLENDED,
    "ales/apart.yaml": APART,
}

DAY = ("--as-of", "2027-09-01")


def goldens(comparison: Comparison) -> dict[str, str]:
    """Every format of a comparison, without the version."""
    return {
        "comparison.txt": comparison_text.render(comparison),
        "comparison.md": comparison_markdown.render(comparison),
        "comparison.json": comparison_json.render(comparison).replace(__version__, "VERSION", 1),
    }


def made() -> Comparison:
    """The comparison of the goldens, of the files in the working directory."""
    from datetime import date

    question = ask_water(
        [Replacement(Path("waters/well.yaml"), Path("waters/2027.yaml"))],
        [Path("ales")],
        Options(today=date(2027, 9, 1)),
        "warning",
    )
    return compare(question)


def _write() -> None:
    GOLDEN.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        for name, text in FILES.items():
            path = Path(folder) / name
            path.parent.mkdir(exist_ok=True)
            path.write_text(text, encoding="utf-8")
        os.chdir(folder)
        for name, text in goldens(made()).items():
            (GOLDEN / name).write_text(text, encoding="utf-8")
        os.chdir("/")


if __name__ == "__main__":
    _write()
