"""What cannot be had: the limits that exclude each other are named, and what is nearest."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.test_check import RECIPE, WATER
from waterlint.linter import Options
from waterlint.remedy.proposal import Proposal, propose
from waterlint.remedy.situation import Situation, situations
from waterlint.remedy.wishes import Aim, Wishes, read_aim

pytest.importorskip("scipy.optimize")

#: Targets, additives that may change (all where empty), parts of the remark on what is missed,
#: and parts that must not be in it.
IMPOSSIBLE = [
    # Of gypsum and calcium chloride either breaks a limit, and lime takes the mash pH up.
    (
        "chloride: .. 40 mg/L, calcium: 80 .. mg/L, sulfate: .. 50 mg/L",
        "",
        (
            "calcium of the whole batch of at least 80 mg/L",
            "chloride of the whole batch of at most 40 mg/L",
            "sulfate of the whole batch of at most 50 mg/L",
            "exclude each other",
        ),
        ("sodium",),
    ),
    # Nothing in stock brings nitrate.
    (
        "nitrate: 5 .. mg/L",
        "",
        ("nitrate of the whole batch of at least 5 mg/L is out of reach", "is 0 mg/L"),
        ("exclude",),
    ),
    # Half of the water is the mash's: 90 mg/L there is 45 mg/L and more in the batch.
    (
        "calcium: .. 30 mg/L, mash: {calcium: 90 .. mg/L}",
        "",
        (
            "calcium of the whole batch of at most 30 mg/L",
            "calcium of the mash water of at least 90 mg/L exclude each other",
            "is 46 mg/L",
        ),
        ("sulfate", "mash pH"),
    ),
    # Epsom salt brings 389.8 mg of sulfate with 98.6 mg of magnesium: 30 − 20.5 is 2.4 more.
    (
        "magnesium: 20 .. mg/L, sulfate: .. 30 mg/L",
        "epsom-salt",
        (
            "magnesium of the whole batch of at least 20 mg/L",
            "sulfate of the whole batch of at most 30 mg/L exclude each other",
            "with what the call leaves to change",
            "is 4.8",
        ),
        ("chloride", "stock"),
    ),
    # A mash pH beyond what gypsum can do before the sulfate is too much.
    (
        "mash_ph: 5.0 .. 5.1",
        "gypsum",
        ("mash pH of at most 5.1", "sulfate of the whole batch of at most 400 mg/L", "is 5.4"),
        ("lactate",),
    ),
    # Much of one ion and little of each salt that brings it.
    (
        "sodium: 60 .. mg/L, chloride: .. 60 mg/L, mash_ph: .. 5.6",
        "table-salt,baking-soda,calcium-chloride",
        ("sodium of the whole batch of at least 60 mg/L", "chloride", "exclude each other"),
        ("sulfate", "magnesium"),
    ),
]


def proposed(folder: Path, text: str, wishes: Wishes) -> Proposal:
    (folder / "waters").mkdir(exist_ok=True)
    (folder / "waters/well.yaml").write_text(WATER)
    situation = next(situations(text, folder / "a.yaml", Options(), "warning"))
    assert isinstance(situation, Situation)
    return propose(situation, wishes)[0]


@pytest.mark.parametrize(("targets", "only", "told", "untold"), IMPOSSIBLE)
def test_targets(
    tmp_path: Path, targets: str, only: str, told: tuple[str, ...], untold: tuple[str, ...]
) -> None:
    wishes = Wishes(only=frozenset(only.split(",")) if only else None)
    proposal = proposed(tmp_path, f"{RECIPE}targets: {{{targets}}}\n", wishes)
    assert proposal.left or proposal.new
    assert len(proposal.after.counted) <= len(proposal.before.counted)
    remarks = " ".join(proposal.remarks)
    assert [each for each in told if each not in remarks] == []
    assert [each for each in untold if each in remarks] == []


#: Aims, and how near they are come to: limits of the figure.
AIMS = [
    # All that keeps to 5.7, the general limit of a warning.
    (("mash_ph=9",), ("mash_ph", 5.6, 5.7)),
    # Chloride of reverse-osmosis water is 5 mg/L; the ratio gets as near as all limits let it.
    (("chloride_to_sulfate=0.0001",), ("chloride_to_sulfate", 0.01, 0.03)),
    # Of two aims neither is left out of account.
    (("mash_ph=4.1", "calcium=900 mg/L"), ("mash_ph", 5.2, 5.25)),
]


@pytest.mark.parametrize(("aims", "near"), AIMS)
def test_an_aim_out_of_reach_is_come_near_to(
    tmp_path: Path, aims: tuple[str, ...], near: tuple[str, float, float]
) -> None:
    wished: tuple[Aim, ...] = tuple(read_aim(each) for each in aims)
    proposal = proposed(tmp_path, RECIPE, Wishes(aims=wished))
    quantity, low, high = near
    after = proposal.after.prediction
    assert after.batch_water is not None and after.mash is not None
    figure = {
        "mash_ph": after.mash.ph,
        "sulfate": after.batch_water.ions["sulfate"],
        "calcium": after.batch_water.ions["calcium"],
        "chloride_to_sulfate": after.batch_water.chloride_to_sulfate,
    }[quantity]
    assert figure is not None and low <= figure.value <= high
    assert len(proposal.remarks) == len(aims)
    assert not proposal.after.counted
