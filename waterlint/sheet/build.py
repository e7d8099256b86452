"""From a recipe to its weighing sheet."""

from __future__ import annotations

from collections.abc import Iterator

from waterlint.hints import Final
from waterlint.model.recipe import Batch, Recipe
from waterlint.output.sheet import Blank, Sheet
from waterlint.project.config import Scale
from waterlint.records import replace
from waterlint.remedy.situation import Situation
from waterlint.sheet.amounts import degrees, shown
from waterlint.sheet.care import cautions
from waterlint.sheet.judging import findings_for
from waterlint.sheet.mash import mash_ph, measuring
from waterlint.sheet.scaling import (
    IN_PROPORTION,
    UNCHANGED,
    own_unit,
    portions,
    round_figures,
    scale_recipe,
    with_portions,
)
from waterlint.sheet.steps import Brew, steps
from waterlint.units import Quantity

#: A batch size this near to the recipe's own is the recipe's own [-]; arithmetic.
_SAME: Final = 1e-9


def make_sheet(situation: Situation, batch: Quantity | None = None) -> Sheet:
    """The weighing sheet of a recipe.

    Parameters
    ----------
    situation : Situation
        The recipe with its waters, its catalogue and its scale.
    batch : Quantity, optional
        Another size of the batch [L].

    Returns
    -------
    Sheet
        With doses on the grid of the scale; the mash pH is that of these doses.
    """
    recipe, case = situation.recipe, situation.case
    scaled = recipe
    factor = 1.0 if batch is None else batch.value / recipe.batch.volume.value
    is_scaled = batch is not None and abs(factor - 1.0) > _SAME
    if batch is not None and is_scaled:
        scaled = round_figures(_of_size(batch, scale_recipe(recipe, factor)))
    measured = portions(scaled, case.catalog, case.settings.scale)
    brewed = with_portions(scaled, measured)
    prediction = situation.predict(brewed)
    brew = Brew(brewed, case.catalog, case.waters, tuple(measured), prediction)
    return Sheet(
        path=situation.shown,
        document=situation.document.index,
        name=recipe.name,
        batch=shown("volume", brewed.batch.volume),
        scaled_from=_origin(recipe, brewed) if is_scaled else None,
        tools=_tools(case.settings.scale),
        steps=steps(brew),
        mash=mash_ph(brewed, prediction),
        measuring=tuple(measuring(brewed)),
        blanks=tuple(_blanks(brewed)),
        findings=findings_for(situation, (with_portions(scaled, measured, rounded=False), brewed)),
        cautions=cautions(recipe, case.catalog),
    )


def _of_size(batch: Quantity, recipe: Recipe) -> Recipe:
    """The recipe with its batch in the unit of the call."""
    return replace(recipe, batch=replace(recipe.batch, volume=batch))


def _origin(recipe: Recipe, brewed: Recipe) -> str:
    """What the sheet was made from, and what was decided for it."""
    kept = " and ".join(_kept(brewed.batch))
    whose = (
        f" So {'are' if ' and ' in kept else 'is'} {kept}; but those are your kettle's own: where "
        "yours differ, make it up with sparge water, dosed alike by the litre."
    )
    return (
        f"From the recipe for {shown('volume', recipe.batch.volume)}. {IN_PROPORTION}"
        f"{whose if kept else ''} {UNCHANGED}"
    )


def _kept(batch: Batch) -> Iterator[str]:
    if batch.evaporation is not None:
        yield f"evaporation ({shown('volume', batch.evaporation)})"
    if batch.losses is not None:
        yield f"losses ({shown('volume', batch.losses)})"


def _tools(scale: Scale) -> str:
    return f"Scale to {scale.mass_g:g} g, measure to {scale.volume_ml:g} mL."


def _blanks(recipe: Recipe) -> Iterator[Blank]:
    """What to write down, in the order of the day."""
    vessels, batch = recipe.vessels, recipe.batch
    if "mash" in vessels:
        yield _volume("mash water", vessels["mash"].volume)
        hot = recipe.mash.temperature
        aim = "" if hot is None else degrees(hot)
        yield Blank("mash temperature", "°F" if "F" in aim.upper() else "°C", aim)
        yield Blank("mash pH", "", "")
        yield Blank("… of a sample at", "°C", "")
        yield Blank("… taken after", "min", "")
    for name in ("sparge", "kettle", "fermenter"):
        if name in vessels:
            yield _volume(f"{name} water", vessels[name].volume)
    unit = own_unit("volume", batch.volume)[0]
    yield Blank("before the boil", unit, "")
    yield Blank("after the boil", unit, "")
    yield _volume("in the fermenter", batch.volume)


def _volume(label: str, volume: Quantity) -> Blank:
    aim = shown("volume", volume)
    return Blank(label, aim.partition(" ")[2], aim)
