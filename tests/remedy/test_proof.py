"""Broken recipes end clean, quickly, and never worse than they were.

A sample runs with all tests. The whole proof is two hundred recipes::

    WATERLINT_BROKEN_RECIPES=200 python -m pytest tests/remedy/test_proof.py -s
"""

from __future__ import annotations

import os
import time
from statistics import median

import pytest

from tests.remedy.breaking import OPTIONS, Broken, broken_recipes, sound_recipes
from waterlint.linter import Linter
from waterlint.remedy.mechanical import mend
from waterlint.remedy.proposal import propose
from waterlint.remedy.situation import Situation, situations
from waterlint.remedy.wishes import Wishes

pytest.importorskip("scipy.optimize")
pytest.importorskip("scipy.sparse")

COUNT = int(os.environ.get("WATERLINT_BROKEN_RECIPES", "25"))
SEED = int(os.environ.get("WATERLINT_BROKEN_SEED", "20260601"))


def remedied(broken: Broken) -> tuple[Situation, str, float]:
    """The situation before, the text after mechanical fixes and doses, and the time it took."""
    before = broken.situation()
    start = time.process_time()
    mended = mend(broken.text, broken.path, OPTIONS).after
    situation = next(situations(mended, broken.path, OPTIONS, "warning"))
    assert isinstance(situation, Situation)
    text = propose(situation, Wishes())[0].after.text
    return before, text, time.process_time() - start


def test_there_are_many_sound_recipes_of_many_styles() -> None:
    assert len(sound_recipes()) >= 80
    assert len({each.recipe.style for each in sound_recipes()}) >= 50


def test_broken_recipes_end_clean() -> None:
    failed: list[str] = []
    times: list[float] = []
    for broken in broken_recipes(SEED, COUNT):
        before, text, seconds = remedied(broken)
        times.append(seconds)
        # A linter that has seen nothing of the search.
        report = Linter(OPTIONS).lint_text(text, broken.path)
        left = before.counted(report)
        assert len(left) <= len(before.counted(before.report)), broken
        if left:
            failed.append(f"{broken.path.name} {broken.slips}: {[each.rule for each in left]}")
    print(
        f"\n{COUNT} broken recipes, {len(failed)} not clean, median {median(times):.3f} s, "
        f"longest {max(times):.3f} s",
        *failed,
        sep="\n",
    )
    assert len(failed) <= 0.03 * COUNT, failed
    assert median(times) < 0.5
