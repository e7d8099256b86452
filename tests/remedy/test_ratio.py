"""A ratio that counts for little costs nothing, and one that counts is put right."""

from __future__ import annotations

from pathlib import Path

import pytest

from waterlint.linter import Options
from waterlint.remedy.proposal import Proposal, propose
from waterlint.remedy.requirement import RATIO, Little, Requirement, is_missed
from waterlint.remedy.shown import show
from waterlint.remedy.situation import Situation, situations
from waterlint.remedy.wishes import Wishes

pytest.importorskip("scipy.optimize")

WATER = """\
waterlint: water/1
name: Fell Tarn supply
ph: 7.4
sampled: 2026-08-20
ions: {calcium: 4 mg/L, magnesium: 0.8 mg/L, sodium: 5 mg/L, chloride: 7 mg/L, sulfate: 4 mg/L}
alkalinity: 10 mg/L as CaCO3
"""

#: Lime makes the mash too alkaline; calcium chloride alone is far off any style's ratio.
LIMED = """\
waterlint: recipe/1
name: Tarn ale
style: STYLE
batch: {volume: 20 L, boil: 60 min, evaporation: 3 L, losses: 1 L}
water:
  mash: {volume: 15 L, from: ./w.yaml}
  sparge: {volume: 14 L, from: ./w.yaml}
grist:
  - {malt: pale, kind: pale, mass: 4.4 kg, color: 6 EBC}
  - {malt: crystal, kind: crystal, mass: 300 g, color: 120 EBC}
additions:
  - {add: pickling-lime, mash: LIME g}
  - {add: calcium-chloride, form: dihydrate, mash: CHLORIDE g}
"""


def best(folder: Path, style: str, lime: float, chloride: float, level: str) -> Proposal:
    (folder / "w.yaml").write_text(WATER, encoding="utf-8")
    text = LIMED.replace("STYLE", style).replace("LIME", f"{lime:g}")
    text = text.replace("CHLORIDE", f"{chloride:g}")
    found = next(situations(text, folder / "a.yaml", Options(), level))  # type: ignore[arg-type]
    assert isinstance(found, Situation)
    return propose(found, Wishes())[0]


@pytest.mark.parametrize(
    ("style", "chloride", "level", "changed"),
    [
        # 73 mg/L of chloride: no more than a note of any style, below 75.
        ("american-pale-ale", 4.0, "warning", {"pickling-lime"}),
        # 91 mg/L: a warning of a bitter beer; of others a note, as long as there is no sulfate.
        ("american-pale-ale", 5.0, "warning", {"pickling-lime", "gypsum"}),
        ("blonde-ale", 5.0, "warning", {"pickling-lime"}),
        # Where notes are to be cleared too, nothing but 50 mg/L is too little.
        ("blonde-ale", 4.0, "note", {"pickling-lime", "gypsum"}),
    ],
)
def test_what_is_changed(
    tmp_path: Path, style: str, chloride: float, level: str, changed: set[str]
) -> None:
    proposal = best(tmp_path, style, 3.0, chloride, level)
    assert "chloride-sulfate-ratio" not in {each.rule for each in proposal.left}
    assert len({lever.name for lever, _ in proposal.changes}) == len(changed)
    assert ({lever.name for lever, _ in proposal.changes} == {"pickling-lime"}) == (
        changed == {"pickling-lime"}
    )


def test_how_it_is_marked(tmp_path: Path) -> None:
    proposal = best(tmp_path, "american-pale-ale", 3.0, 4.0, "warning")
    shown = show(proposal, 1)
    (ratio,) = [row for row in shown.figures if row.quantity == RATIO]
    assert ratio.before is not None and ratio.high is not None and ratio.before > ratio.high
    assert ratio.marks == (" ·", " ·")
    (ph,) = [row for row in shown.figures if row.quantity == "mash_ph"]
    assert ph.marks == (" !", "")


@pytest.mark.parametrize(
    ("chloride", "sulfate", "missed"),
    [
        (60.0, 40.0, False),  # 1.5, within
        (70.0, 20.0, False),  # 3.5, of little
        (80.0, 20.0, True),
        (120.0, 10.0, False),  # 12, of chloride alone
        (140.0, 10.0, True),
        (20.0, 70.0, False),  # 0.29, of little
        (20.0, 80.0, True),
        (0.0, 15.0, False),
        (90.0, 0.0, False),
        (140.0, 0.0, True),
    ],
)
def test_what_is_missed(chloride: float, sulfate: float, missed: bool) -> None:
    little = (Little(75.0, 75.0), Little(130.0, 20.0, only_high=True))
    actual = {("chloride", "batch"): chloride, ("sulfate", "batch"): sulfate}
    assert is_missed(Requirement(RATIO, "batch", 0.5, 2.0, little), actual) == missed


def test_a_target_counts_however_little_there_is() -> None:
    actual = {("chloride", "batch"): 6.0, ("sulfate", "batch"): 1.0}
    assert is_missed(Requirement(RATIO, "batch", None, 2.0), actual)
