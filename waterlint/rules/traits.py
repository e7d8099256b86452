"""What a document has that a rule may need before it looks at all.

A rule says so in its registration (`needs`); most recipes have no lime, no sulfite and no doses in
the kettle, and the rules on these are then not even called.
"""

from __future__ import annotations

from collections.abc import Mapping

from waterlint.catalog.additives import Additive
from waterlint.catalog.catalog import Catalog
from waterlint.hints import Final
from waterlint.rules.registry import Case, once


@once
def traits_of(case: Case) -> frozenset[str]:
    """The subjects that a document is, and which of `Trait` it has."""
    recipe = case.recipe
    if recipe is None:
        return _OF_REPORT
    found = {"file", "recipe", *recipe.vessels}
    known = _additives(case.catalog)
    doses = 0
    for addition in recipe.additions:
        found |= known.get(addition.name, _NOTHING)
        for dose in addition.doses:
            doses += 1
            if dose.place == "kettle":
                found.add("kettle dose")
        if not addition.doses:
            found.add("unweighed")
    if case.prediction is None or len(case.prediction.dose_mass_g) < doses:
        found.add("unweighed")  # what cannot be computed of it, a rule tells
    if recipe.style is not None:
        found.add("style")
    if recipe.color is not None:
        found.add("color")
    if recipe.measured_ph is not None:
        found.add("measured pH")
    return frozenset(found)


_OF_REPORT: Final = frozenset({"file", "water"})
_NOTHING: Final[frozenset[str]] = frozenset()


def _additives(catalog: Catalog) -> Mapping[str, frozenset[str]]:
    """The traits that additives give a recipe, by their names."""
    kept = _KEPT.get(id(catalog))
    if kept is None or kept[0] is not catalog:
        if len(_KEPT) >= _KEPT_AT_MOST:
            _KEPT.clear()
        traits = {name: _traits(additive) for name, additive in catalog.additives.items()}
        kept = _KEPT[id(catalog)] = (catalog, traits)
    return kept[1]


#: By the identity of the catalogue, which cannot change.
_KEPT: dict[int, tuple[Catalog, Mapping[str, frozenset[str]]]] = {}
_KEPT_AT_MOST: Final = 64


def _traits(additive: Additive) -> frozenset[str]:
    salts = {form.salt for form in additive.forms.values()}
    found = {
        "acid": additive.role == "acid",
        "alkali": additive.role == "alkali" or additive.alkali_after_mash,
        "chalk": "calcium_carbonate" in salts,
        "lime": "calcium_hydroxide" in salts,
        "sulfite": additive.role == "sulfite",
    }
    return frozenset([trait for trait, has in found.items() if has])
