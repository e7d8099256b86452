"""Cautions of a sheet: those of the catalogue, each sentence said once."""

from __future__ import annotations

from waterlint.catalog.additives import Additive
from waterlint.catalog.catalog import Catalog
from waterlint.catalog.cautions import ACID, DEFERS
from waterlint.catalog.limits import ACID_HANDLING
from waterlint.model.recipe import Addition, Recipe


def cautions(recipe: Recipe, catalog: Catalog) -> tuple[str, ...]:
    """What to mind about what the recipe uses, in the order of the recipe.

    Acids are told of from 30 % on, as the rule `acid-handling` has it; what the makers and the
    law say comes first, and is said last.
    """
    found: list[str] = []
    common = ACID.replace(DEFERS, "").strip()
    for addition in recipe.additions:
        additive = catalog.additives.get(addition.name)
        if additive is None or not addition.doses or not additive.caution:
            continue
        if additive.role == "acid" and not _burns(addition, additive):
            continue
        text = " ".join(additive.caution.replace(DEFERS, "").split())
        parts = (common, text.removeprefix(common).strip()) if text.startswith(common) else (text,)
        found += [part for part in parts if part and part not in found]
    return (*found, DEFERS) if found else ()


def _burns(addition: Addition, additive: Additive) -> bool:
    form = additive.form(addition.form)
    if form is None or form.state != "liquid":
        return False
    stated = addition.strength
    strength = additive.default_strength if stated is None else stated.value
    return strength is not None and strength >= ACID_HANDLING.ceiling
