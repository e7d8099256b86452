"""Best answers worked by hand, from molar masses and residual alkalinity.

Yields are molar masses by formula (IUPAC 2021): a gram of gypsum, CaSO4·2H2O of 172.17 g/mol,
brings 40.078 / 172.17 = 232.8 mg of calcium and 557.9 mg of sulfate. Residual alkalinity is
Kolbach's of 1953: alkalinity less calcium / 3.5 less magnesium / 7, all in mEq/L. Acids give up
one proton each, down to lactate and dihydrogen phosphate; densities are those of the catalogue.

The recipes are of 20 L in the kettle alone, or of a sparge, so that the arithmetic needs no mash.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from waterlint.linter import Options
from waterlint.remedy.proposal import Proposal, propose
from waterlint.remedy.situation import Situation, situations
from waterlint.remedy.wishes import Wishes
from waterlint.remedy.writing import amount_text

pytest.importorskip("scipy.optimize")

WATER = """\
waterlint: water/1
name: Sluice Row tap
sampled: 2026-09-01
ph: 7.6
ions:
  calcium: {calcium} mg/L
  magnesium: 0 mg/L
  sodium: {sodium} mg/L
  chloride: {chloride} mg/L
  sulfate: 0 mg/L
  nitrate: {nitrate} mg/L
alkalinity: {alkalinity} mg/L as CaCO3
"""

KETTLE = """\
waterlint: recipe/1
name: Sluice Row extract ale
batch: {volume: 18 L, boil: 60 min, evaporation: 2 L, losses: 0 L}
water:
  kettle: {volume: 20 L, from: SOURCE}
grist:
  - {malt: pale extract, kind: extract, mass: 3 kg, color: 10 EBC}
"""

#: Calcium, which the general range asks for, is in the water already.
HARD = {"calcium": 60.0, "chloride": 106.13, "sodium": 0.0, "nitrate": 0.0, "alkalinity": 0.0}


def situation(folder: Path, recipe: str, water: dict[str, float]) -> Situation:
    (folder / "w.yaml").write_text(WATER.format(**HARD | water), encoding="utf-8")
    text = recipe.replace("SOURCE", "./w.yaml")
    found = next(situations(text, folder / "a.yaml", Options(), "warning"))
    assert isinstance(found, Situation)
    return found


def doses(proposal: Proposal) -> dict[str, str]:
    return {f"{lever.name} {lever.place}": amount_text(lever, n) for lever, n in proposal.changes}


#: Additions before, targets, what may change, water, and the answer.
CASES = [
    # 20 mg/L × 20 L / 557.9 mg/g = 0.717 g of gypsum for sulfate.
    ("", "sulfate: 20 .. mg/L", "gypsum", {}, {"gypsum kettle": "0.8 g"}),
    # Epsom salt, MgSO4·7H2O of 246.47 g/mol, brings 389.8 mg of sulfate: 1.026 g.
    ("", "sulfate: 20 .. mg/L", "epsom-salt", {}, {"epsom-salt kettle": "1.1 g"}),
    # … and 24.305 / 246.47 = 98.6 mg of magnesium: 10 × 20 / 98.6 = 2.028 g.
    ("", "magnesium: 10 .. mg/L", "epsom-salt", {}, {"epsom-salt kettle": "2.1 g"}),
    # 20 mg/L more calcium: 400 mg / 232.8 = 1.718 g of gypsum …
    ("", "calcium: 80 .. mg/L", "gypsum", {}, {"gypsum kettle": "1.8 g"}),
    # … or 400 mg / 272.6 = 1.467 g of CaCl2·2H2O, 147.01 g/mol.
    ("", "calcium: 80 .. mg/L", "calcium-chloride", {}, {"calcium-chloride kettle": "1.5 g"}),
    # 20 mg/L more chloride: 477.4 mg (from 106.13 to 130) / 606.6 = 0.787 g of NaCl, 58.44 g/mol.
    ("", "chloride: 130 .. mg/L", "table-salt", {}, {"table-salt kettle": "0.8 g"}),
    # Too much sodium: 60 × 20 / 393.4 mg/g = 3.050 g of NaCl may stay of 5 g.
    (
        "  - {add: table-salt, kettle: 5 g}\n",
        "sodium: .. 60 mg/L",
        "",
        {},
        {"table-salt kettle": "3 g"},
    ),
    # Chloride to sulfate of at most 2: 106.13 / 2 = 53.07 mg/L, × 20 / 557.9 = 1.902 g.
    ("", "chloride_to_sulfate: .. 2", "gypsum", {}, {"gypsum kettle": "2 g"}),
    # Nitrate of 40 mg/L to 20: half of the water distilled; every ion is halved with it.
    (
        "",
        "nitrate: .. 20 mg/L",
        "",
        {"nitrate": 40.0, "calcium": 72.93},
        {"reverse-osmosis kettle": "50 %"},
    ),
    # Residual alkalinity: 100 mg/L as CaCO3 less 60 / 20.04 / 3.5 × 50.04 = 42.81 is 57.2. For 40,
    # 17.2 / 50.04 × 3.5 = 1.203 mEq/L of calcium, × 20 L × 86.09 mg/mEq = 2.071 g of gypsum.
    (
        "",
        "residual_alkalinity: .. 40 mg/L as CaCO3",
        "gypsum",
        {"alkalinity": 100.0, "chloride": 35.24},
        {"gypsum kettle": "2.1 g"},
    ),
    # The same by calcium chloride: 1.203 × 20 × 73.51 mg/mEq = 1.768 g.
    (
        "",
        "residual_alkalinity: .. 40 mg/L as CaCO3",
        "calcium-chloride",
        {"alkalinity": 100.0, "chloride": 35.24},
        {"calcium-chloride kettle": "1.8 g"},
    ),
]


@pytest.mark.parametrize(("additions", "target", "only", "water", "answer"), CASES)
def test_kettle(
    tmp_path: Path,
    additions: str,
    target: str,
    only: str,
    water: dict[str, float],
    answer: dict[str, str],
) -> None:
    recipe = KETTLE + (f"additions:\n{additions}" if additions else "")
    recipe += f"targets: {{{target}}}\n"
    wishes = Wishes(only=frozenset({only}) if only else None)
    proposal = propose(situation(tmp_path, recipe, water), wishes)[0]
    assert doses(proposal) == answer
    assert proposal.cleared
    assert not proposal.left and not proposal.new


SPARGE = """\
waterlint: recipe/1
name: Sluice Row pale
batch: {volume: 20 L, evaporation: 3 L, losses: 1 L}
water:
  mash: {volume: 14 L, from: distilled}
  sparge: {volume: 15 L, from: SOURCE}
grist:
  - {malt: pale malt, kind: pale, mass: 4.5 kg, color: 6 EBC}
additions:
  - {add: calcium-chloride, form: dihydrate, mash: 2 g}
targets: {sparge: {alkalinity: .. 40 mg/L as CaCO3}}
"""

ACIDS = [
    # 80 mg/L less × 15 L / 50.04 = 23.98 mEq. Lactic acid of 80 %, 1.1848 g/mL, 90.08 g/mol, is
    # 10.52 mEq/mL: 2.279 mL.
    ("lactic-acid", "2.5 mL"),
    # Phosphoric acid of 10 %, 1.0531 g/mL, 97.99 g/mol, is 1.0747 mEq/mL: 22.31 mL.
    ("phosphoric-acid", "22.5 mL"),
]


@pytest.mark.parametrize(("acid", "answer"), ACIDS)
def test_sparge(tmp_path: Path, acid: str, answer: str) -> None:
    water = {"alkalinity": 120.0, "chloride": 21.05}
    found = situation(tmp_path, SPARGE, water)
    proposal = propose(found, Wishes(only=frozenset({acid})))[0]
    assert doses(proposal) == {f"{acid} sparge": answer}
    assert [finding.rule for finding in proposal.cleared] == ["sparge-alkalinity"]
