"""Collections for the tests of pages: one hostile, one large enough to leaf through."""

from __future__ import annotations

import os
from datetime import date
from pathlib import Path

from waterlint.audit.collect import collect
from waterlint.linter import Linter, Options
from waterlint.page.audit import PageMaker
from waterlint.project.discovery import discover
from waterlint.project.write import write_whole

TODAY = date(2026, 9, 1)

WELL = """\
waterlint: water/1
name: "</script><b>well</b> \u05d0\u05d1"
sampled: 2026-08-01
ph: 7.4
ions:
  calcium: 40 ± 3 mg/L
  magnesium: 5 mg/L
  sodium: 10 mg/L
  chloride: 20 mg/L
  sulfate: 25 mg/L
alkalinity: 90 mg/L as CaCO3
"""

RECIPE = """\
waterlint: recipe/1
name: {name}
style: {style}
batch: {{volume: 20 L}}
water:
  mash: {{volume: 16 L, from: ./well.yaml}}
  sparge: {{volume: 12 L, from: distilled}}
grist:
  - {{malt: "<i>pale</i>", kind: pale, mass: 4.5 kg, color: 6 EBC}}
additions:
  - {{add: gypsum, mash: 2 g}}
  - {{add: calcium-chloride, form: dihydrate, mash: 2 g, sparge: 1 g}}
  - {{add: table-salt, kettle: {salt} g}}
  - {{add: lactic-acid, strength: 80 %, mash: 1 mL}}
notes: "</script><img src=x onerror=alert(1)>"
"""

#: Names as YAML writes them, with what a page may show of them.
NAMES = {
    '"</script><script>alert(1)</script>"': "</script><script>alert(1)</script>",
    "'<img src=x onerror=alert(2)>'": "<img src=x onerror=alert(2)>",
    '"\\"quotes\\" \'and\' &amp; <!--"': "\"quotes\" 'and' &amp; <!--",
    '"\\u202eright to left"': "\\u202eright to left",
    '"\u05e9\u05dc\u05d5\u05dd"': "\u05e9\u05dc\u05d5\u05dd",
    "x" * 5000: "x" * 100,
    "=1+1": "=1+1",
}


def recipe(name: str, style: str = "best-bitter", salt: float = 1.0) -> str:
    """A recipe with doses in mash, sparge and kettle."""
    return RECIPE.format(name=name, style=style, salt=salt)


def hostile_files() -> dict[str, str]:
    """Recipes whose every text tries to be more than text; one has errors, one is no YAML."""
    files = {f"r{number}.yaml": recipe(name) for number, name in enumerate(NAMES)}
    return {
        "well.yaml": WELL,
        **files,
        "<b>a#b ?.yaml": recipe("Sluice", salt=9.0),
        "wrong.yaml": recipe("Typo", style='"<u>style"').replace("volume: 20 L", "volum: 20 L"),
        "broken.yaml": 'waterlint: recipe/1\nname: ["</script>',
    }


def make_page(folder: Path) -> Path:
    """Audit a folder as its project and write its page into it, as the command does."""
    target = folder / "page.html"
    before = Path.cwd()
    os.chdir(folder)
    try:
        linter = Linter(Options(today=TODAY))
        maker = PageMaker(target, linter.rules)
        found = discover([folder], linter.configs, linter.disk)
        audit = collect(linter, found, told=maker.take).audit
        write_whole(target, maker.render(audit, TODAY))
    finally:
        os.chdir(before)
    return target
