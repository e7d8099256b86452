"""Cautions of a sheet: those of the catalogue, each sentence said once."""

from __future__ import annotations

from waterlint.catalog.catalog import Catalog
from waterlint.catalog.cautions import ACID, DEFERS, DILUTED_ACID
from waterlint.model.recipe import Recipe


def cautions(recipe: Recipe, catalog: Catalog) -> tuple[str, ...]:
    """What to mind about what the recipe uses, in the order of the recipe.

    A diluted acid has nothing to add where a strong one is used. What the makers and the law say
    comes first, and is said last.
    """
    found: list[str] = []
    common = ACID.replace(DEFERS, "").strip()
    for addition in recipe.additions:
        additive = catalog.additives.get(addition.name)
        if additive is None or not addition.doses:
            continue
        stated = None if addition.strength is None else addition.strength.value
        caution = additive.caution_at(addition.form, stated)
        text = " ".join(caution.replace(DEFERS, "").split())
        parts = (common, text.removeprefix(common).strip()) if text.startswith(common) else (text,)
        found += [part for part in parts if part and part not in found]
    diluted = DILUTED_ACID.replace(DEFERS, "").strip()
    if common in found and diluted in found:
        found.remove(diluted)
    return (*found, DEFERS) if found else ()
