"""The beer's colour by its grist."""

from __future__ import annotations

from math import hypot, sqrt

from waterlint.catalog.catalog import Catalog
from waterlint.chemistry.color import MOREY_EXPONENT, ebc_to_lovibond, predict_color
from waterlint.hints import Final
from waterlint.model.recipe import Malt, Recipe
from waterlint.prediction.result import ColorFigures, Figure, Gap
from waterlint.prediction.vessels import reading_sd

FORMULA_SD: Final = 0.10
"""Scatter of Morey's equation about a beer, one standard deviation as a fraction; common
practice: two of them are the 20 % at which a declared colour is called into question."""

GRAMS_PER_KILOGRAM: Final = 1000.0


def beer_color(recipe: Recipe, catalog: Catalog) -> ColorFigures | Gap | None:
    """Colour of a recipe's beer by Morey's equation.

    Parameters
    ----------
    recipe : Recipe
    catalog : Catalog
        Knows the colours of the house's malts.

    Returns
    -------
    ColorFigures, Gap or None
        A gap where a malt's colour is not known; `None` without a grist.

    Notes
    -----
    All grain counts, late malt too, over the volume of the batch. Sugar without a colour has
    none.
    """
    if not recipe.grist:
        return None
    volume = recipe.batch.volume.value
    if not volume > 0.0:
        return Gap("color", "the batch has no volume", "/batch/volume")
    grist: list[tuple[float, float]] = []
    for malt in recipe.grist:
        color = _lovibond(malt, catalog)
        if color is None:
            return Gap("color", f"the colour of {malt.name!r} is not stated", malt.pointer)
        grist.append((malt.mass.value / GRAMS_PER_KILOGRAM, color))
    beer = predict_color(grist, volume)
    return ColorFigures(
        srm=Figure(beer.srm, beer.srm * _relative_sd(recipe, grist)),
        ebc=beer.ebc,
        in_range=beer.within_validity,
    )


def _lovibond(malt: Malt, catalog: Catalog) -> float | None:
    """A malt's colour, `None` where neither the recipe nor the house states it."""
    kind = catalog.malts.get(malt.kind)
    ebc = None if kind is None else kind.color_ebc
    if malt.color is not None:
        ebc = malt.color.value
    if ebc is None:
        return 0.0 if kind is not None and kind.like == "sugar" else None
    # The line from EBC to Lovibond does not pass through zero: what has no colour stays at 0.
    return ebc_to_lovibond(ebc) if ebc > 0.0 else 0.0


def _relative_sd(recipe: Recipe, grist: list[tuple[float, float]]) -> float:
    """Spread of the colour as a fraction: the formula, the volume, and malt colours with ±."""
    whole = sum([mass * color for mass, color in grist])
    if not whole > 0.0:
        return FORMULA_SD
    malts = sqrt(
        sum(
            [
                (mass * (ebc_to_lovibond(malt.color.sd) - ebc_to_lovibond(0.0))) ** 2
                for malt, (mass, _) in zip(recipe.grist, grist, strict=True)
                if malt.color is not None and malt.color.sd is not None
            ]
        )
    )
    batch = recipe.batch.volume
    return hypot(
        FORMULA_SD, MOREY_EXPONENT * reading_sd(batch) / batch.value, MOREY_EXPONENT * malts / whole
    )
