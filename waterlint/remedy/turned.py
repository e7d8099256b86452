"""A recipe with its levers turned."""

from __future__ import annotations

from collections.abc import Iterable

from waterlint.model.recipe import Addition, Dose, Recipe
from waterlint.records import replace
from waterlint.remedy.blends import blended
from waterlint.remedy.levers import Lever
from waterlint.units import Quantity


def recipe_with(recipe: Recipe, levers: Iterable[Lever], steps: Iterable[float]) -> Recipe:
    """The recipe with its levers at other steps."""
    lines = list(recipe.additions)
    new: dict[str, Addition] = {}
    vessels = dict(recipe.vessels)
    for lever, count in zip(levers, steps, strict=True):
        if count == lever.start:
            continue
        if lever.kind == "water":
            vessels[lever.place] = blended(recipe.vessels[lever.place], lever, count)
            continue
        amount = Quantity(lever.amount(count), lever.unit)
        if lever.line is None:
            line = new.get(lever.name, lever.addition)
            new[lever.name] = _with_dose(line, lever, amount, f"/additions/new-{lever.name}")
        else:
            line = lines[lever.line]
            lines[lever.line] = _with_dose(line, lever, amount, line.pointer)
    return replace(recipe, additions=(*lines, *new.values()), vessels=vessels)


def _with_dose(line: Addition, lever: Lever, amount: Quantity, pointer: str) -> Addition:
    others = tuple(dose for dose in line.doses if dose.place != lever.place)
    if amount.value <= 0.0:
        return replace(line, doses=others)
    dose = Dose(lever.place, amount, f"{pointer}/{lever.place}")  # type: ignore[arg-type]
    return replace(line, doses=(*others, dose), pointer=pointer)
