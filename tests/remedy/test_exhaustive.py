"""No set of doses of three additives on the scale's grid is a smaller answer than the proposal.

Every set that would be smaller is tried: all with fewer additives, and all with as many and a
lesser sum of steps. Each is judged by the rules themselves on the full prediction, without the
search's lines and ranges.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from itertools import combinations, product
from math import ceil, floor
from pathlib import Path

import pytest

from tests.remedy.breaking import broken_recipes
from waterlint.finding import LEVELS
from waterlint.linter import Options
from waterlint.model.recipe import Recipe
from waterlint.records import replace
from waterlint.remedy.levers import Lever, dose_levers
from waterlint.remedy.proposal import Proposal, propose
from waterlint.remedy.situation import Situation, situations
from waterlint.remedy.turned import recipe_with
from waterlint.remedy.wishes import Wishes
from waterlint.rules.registry import all_rules

pytest.importorskip("scipy.optimize")

#: The three additives, and the places, over which the grid goes.
GRID = (("gypsum", "mash"), ("calcium-chloride", "mash"), ("lactic-acid", "mash"))

#: How many steps up and down a single dose is tried where fewer additives could do.
REACH = 40

RECIPES = 10


@lru_cache(maxsize=1)
def proposals() -> tuple[Proposal, ...]:
    """Proposals for recipes that are cleared by so few steps that all below can be tried."""
    found: list[Proposal] = []
    for broken in broken_recipes(11, 60):
        situation = broken.situation()
        if len(_grid(situation)) < 3:
            continue
        proposal = propose(situation, Wishes())[0]
        by_rules = _is_clear(situation, situation.recipe)
        few = proposal.after.size <= (40.0, 18.0, 6.0)[min(len(proposal.after.changed), 3) - 1]
        if not by_rules and not proposal.after.counted and few:
            found.append(proposal)
        if len(found) == RECIPES:
            break
    return tuple(found)


def _grid(situation: Situation) -> list[Lever]:
    levers = dose_levers(situation, Wishes())
    return [lever for lever in levers if (lever.name, lever.place) in GRID]


#: Rules whose findings hang on what the text says, not on the figures: they need no second look.
_TEXT_RULES = frozenset({"unused-exception", "unresolved-water"})


def _is_clear(situation: Situation, recipe: Recipe) -> bool:
    """Whether no rule warns of a recipe; rules that need its text are left out."""
    case = replace(situation.case, recipe=recipe, prediction=situation.predict(recipe))
    for rule in all_rules().values():
        if rule.subject == "water" or rule.check is None or rule.name in _TEXT_RULES:
            continue
        for finding in rule.check(case):
            level = case.settings.levels.get(finding.rule, finding.level)
            if level != "off" and LEVELS.index(level) >= LEVELS.index("warning"):
                return False
    return True


def _smaller(levers: list[Lever], additives: int, steps: float) -> Iterator[tuple[float, ...]]:
    """Every point of the grid that changes fewer additives, or as many by less."""
    for count in range(1, min(additives, len(levers)) + 1):
        most = REACH if count < additives else ceil(steps)
        if count > 1 and count < additives:
            most = min(most, 8)
        for chosen in combinations(range(len(levers)), count):
            for sizes in product(range(1, most + 1), repeat=count):
                if count == additives and sum(sizes) > steps + count:
                    continue
                for signs in product((1, -1), repeat=count):
                    point = [lever.start for lever in levers]
                    for number, size, sign in zip(chosen, sizes, signs, strict=True):
                        point[number] = _moved(levers[number], sign * size)
                    changes = (
                        abs(value - lever.start) for value, lever in zip(point, levers, strict=True)
                    )
                    smaller = count < additives or sum(changes) < steps - 1e-6
                    if smaller and all(
                        value == lever.start or value == 0.0 or lever.least <= value <= lever.most
                        for value, lever in zip(point, levers, strict=True)
                    ):
                        yield tuple(point)


def _moved(lever: Lever, by: int) -> float:
    """So many points of the grid up or down from what the recipe has, which may lie beside it."""
    return float(floor(lever.start) + by if by > 0 else ceil(lever.start) + by)


def test_there_are_enough_of_them() -> None:
    assert len(proposals()) == RECIPES
    assert len({proposal.situation.path for proposal in proposals()}) >= 6


@pytest.mark.parametrize("number", range(RECIPES))
def test_nothing_on_the_grid_is_smaller(number: int) -> None:
    _hold_against_the_grid(proposals()[number])


def _hold_against_the_grid(proposal: Proposal) -> int:
    """The number of points that were tried."""
    situation = proposal.situation
    levers = _grid(situation)
    tried = 0
    for point in _smaller(levers, len(proposal.after.changed), proposal.after.size):
        tried += 1
        recipe = recipe_with(situation.recipe, levers, point)
        assert not _is_clear(situation, recipe), (
            f"{situation.path.name}: {point} clears all with less than {proposal.changes}"
        )
    assert tried or proposal.after.size <= 1.0
    # The rules, asked in this way, do see what the proposal clears.
    assert _is_clear(
        situation, recipe_with(situation.recipe, proposal.after.levers, proposal.after.steps)
    )
    return tried


PILS = """\
waterlint: recipe/1
name: Sluice Row pils
batch: {volume: 20 L, evaporation: 3 L, losses: 1 L}
water:
  mash: {volume: 20 L, from: distilled}
  sparge: {volume: 8 L, from: distilled}
grist:
  - {malt: pilsner malt, kind: pilsner, mass: 4.5 kg, color: 3.5 EBC}
"""

#: A coarse scale, so that all below an answer of several additives can be tried.
CONFIG = """\
waterlint: config/1
scale: {mass: 1 g, volume: 1 mL}
"""

#: Targets, and how many additives it takes.
COARSE = [
    ("calcium: 50 .. mg/L, chloride_to_sulfate: 0.6 .. 0.9", 2),
    ("calcium: 50 .. 70 mg/L, chloride_to_sulfate: 0.6 .. 0.9, mash_ph: 5.2 .. 5.4", 3),
    ("calcium: 40 .. 60 mg/L, mash_ph: 5.3 .. 5.5", 2),
]


@pytest.mark.parametrize(("targets", "additives"), COARSE)
def test_nothing_is_smaller_where_several_additives_change(
    tmp_path: Path, targets: str, additives: int
) -> None:
    (tmp_path / "waterlint.yaml").write_text(CONFIG)
    text = f"{PILS}targets: {{{targets}}}\n"
    situation = next(
        situations(
            text, tmp_path / "a.yaml", Options(config=tmp_path / "waterlint.yaml"), "warning"
        )
    )
    assert isinstance(situation, Situation)
    proposal = propose(situation, Wishes(only=frozenset(name for name, _ in GRID)))[0]
    assert not proposal.after.counted
    assert len(proposal.after.changed) == additives
    assert _hold_against_the_grid(proposal) > 50
