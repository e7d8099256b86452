"""Unsound recipes with a known way back: sound ones, broken by seeded slips of the pen.

Whatever is broken here can be set right by doses from stock or from the recipe, because the
recipe was sound before: doses are multiplied, halved, dropped (of what is in stock), put into
another vessel, or joined by ones that nobody should add.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from pathlib import Path
from random import Random

from waterlint.linter import Options
from waterlint.model.recipe import Recipe
from waterlint.project.config import DEFAULT_STOCK
from waterlint.remedy.situation import Situation, situations
from waterlint.source.edit import CannotEdit, change_document
from waterlint.source.edit_data import AddItem, AddKey, Change, Remove, SetValue

ROOT = Path(__file__).resolve().parent.parent.parent

#: The day on which the recipes are looked at, so that no report is too old or too new.
OPTIONS = Options(today=date(2026, 6, 1))

FOLDERS = ("example-recipes/ales", "example-recipes/lagers", "tests/collections/sound")

STOCK = frozenset(item.name for item in DEFAULT_STOCK)


@dataclass(frozen=True, slots=True)
class Sound:
    """A recipe with nothing to warn of."""

    path: Path
    text: str
    recipe: Recipe


@dataclass(frozen=True, slots=True)
class Broken:
    """A recipe after some slips, which are named."""

    path: Path
    text: str
    slips: tuple[str, ...]

    def situation(self) -> Situation:
        found = next(situations(self.text, self.path, OPTIONS, "warning"))
        assert isinstance(found, Situation)
        return found


@lru_cache(maxsize=1)
def sound_recipes() -> tuple[Sound, ...]:
    """Every recipe of the collections that has nothing to warn of, by path."""
    found = []
    for folder in FOLDERS:
        for path in sorted((ROOT / folder).glob("*.yaml")):
            text = path.read_text(encoding="utf-8")
            each = list(situations(text, path, OPTIONS, "warning"))
            if len(each) == 1 and isinstance(each[0], Situation):
                situation = each[0]
                if not situation.counted(situation.report):
                    found.append(Sound(path, text, situation.recipe))
    return tuple(found)


def broken_recipes(seed: int, count: int) -> Iterator[Broken]:
    """So many broken recipes, the same ones for the same seed."""
    random = Random(seed)
    recipes = sound_recipes()
    made = 0
    while made < count:
        broken = _break(random.choice(recipes), random)
        if broken is not None and broken.situation().counted(broken.situation().report):
            made += 1
            yield broken


def _break(sound: Sound, random: Random) -> Broken | None:
    """One to three slips; `None` where one of them has no place in the text."""
    text, slips = sound.text, []
    for _ in range(random.randint(1, 3)):
        name, slip = random.choice(_SLIPS)
        situation = next(situations(text, sound.path, OPTIONS, "warning"))
        if not isinstance(situation, Situation):
            return None
        change = slip(situation.recipe, random)
        if change is None:
            continue
        try:
            text = change_document(text, 0, [change])
        except CannotEdit:
            return None
        slips.append(name)
    if not slips or not isinstance(
        next(situations(text, sound.path, OPTIONS, "warning")), Situation
    ):
        return None
    return Broken(sound.path, text, tuple(slips))


Slip = Callable[[Recipe, Random], Change | None]


def _doses(recipe: Recipe) -> list[tuple[str, str, float, str]]:
    """Pointer, additive, amount and unit of every dose; sulfites, whose dose follows from the
    chlorine, are left alone."""
    return [
        (f"{addition.pointer}/{dose.place}", addition.name, dose.amount.value, dose.amount.unit)
        for addition in recipe.additions
        for dose in addition.doses
        if "sulfite" not in addition.name
    ]


def _more(recipe: Recipe, random: Random) -> Change | None:
    doses = _doses(recipe)
    if not doses:
        return None
    pointer, _, amount, unit = random.choice(doses)
    return SetValue(pointer, f"{round(amount * random.uniform(2.0, 6.0), 3):g} {unit}")


def _less(recipe: Recipe, random: Random) -> Change | None:
    doses = _doses(recipe)
    if not doses:
        return None
    pointer, _, amount, unit = random.choice(doses)
    return SetValue(pointer, f"{round(amount * random.uniform(0.1, 0.6), 3):g} {unit}")


def _dropped(recipe: Recipe, random: Random) -> Change | None:
    lines = [each for each in recipe.additions if each.name in STOCK]
    if not lines:
        return None
    if len(recipe.additions) == 1:
        return Remove("/additions")
    return Remove(random.choice(lines).pointer)


def _joined(recipe: Recipe, random: Random) -> Change | None:
    volume = recipe.batch.volume.value
    places = [place for place in ("mash", "sparge") if place in recipe.vessels] + ["kettle"]
    name, heads, rate, unit = random.choice(
        [
            ("baking-soda", {}, (0.03, 0.4), "g"),
            ("table-salt", {}, (0.1, 0.5), "g"),
            ("gypsum", {}, (0.2, 1.2), "g"),
            ("epsom-salt", {}, (0.2, 1.0), "g"),
            ("calcium-chloride", {"form": "dihydrate"}, (0.2, 1.0), "g"),
            ("pickling-lime", {}, (0.02, 0.2), "g"),
            ("lactic-acid", {"strength": "80 %"}, (0.05, 0.5), "mL"),
            ("phosphoric-acid", {"strength": "10 %"}, (0.2, 3.0), "mL"),
            ("gypsum", {}, (0.003, 0.008), "g"),
        ]
    )
    place = random.choice(places)
    amount = f"{round(volume * random.uniform(*rate), 2):g} {unit}"
    item = {"add": name, **heads, place: amount}
    if not recipe.additions:
        return AddKey("", "additions", [item])
    return AddItem("/additions", item)


_SLIPS: tuple[tuple[str, Slip], ...] = (
    ("more", _more),
    ("less", _less),
    ("dropped", _dropped),
    ("joined", _joined),
    ("joined", _joined),
)
