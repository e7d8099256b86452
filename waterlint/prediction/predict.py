"""The prediction of a recipe: all that is known of it as figures, and why the rest is not."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from waterlint.catalog.catalog import Catalog
from waterlint.model.recipe import Recipe
from waterlint.model.water import WaterReport
from waterlint.prediction.beer_color import beer_color
from waterlint.prediction.builtin import builtin_report
from waterlint.prediction.contents import Contents
from waterlint.prediction.doses import weigh
from waterlint.prediction.figures import kettle_share, water_figures
from waterlint.prediction.gaps import Gaps
from waterlint.prediction.mash import predict_mash
from waterlint.prediction.mixture import contributions, mix_whole
from waterlint.prediction.result import (
    ColorFigures,
    Gap,
    MashFigures,
    Prediction,
    WaterFigures,
    WortFigures,
)
from waterlint.prediction.vessels import Lacking, Sources, fill
from waterlint.prediction.wort import mix_wort
from waterlint.project.config import Scale


def predict(
    recipe: Recipe,
    waters: Mapping[str, WaterReport],
    catalog: Catalog,
    scale: Scale | None = None,
) -> Prediction:
    """Predict the waters, the mash and the colour of a recipe.

    Parameters
    ----------
    recipe : Recipe
    waters : mapping of str to WaterReport
        By the reference as the recipe writes it; built-in waters may be left out.
    catalog : Catalog
    scale : Scale, optional
        What the house weighs and measures with; by default 0.1 g and 0.5 mL.

    Returns
    -------
    Prediction
        A figure that cannot be computed is `None`, and a `Gap` says why: ``mash_water``,
        ``sparge_water``, ``batch_water``, ``wort``, ``mash_ph``, ``color``, or ``mash_water.ph``
        and the like where only what hangs on the pH is unknown.

    Notes
    -----
    Waters are mixed by mass balance, at 25 degrees Celsius and closed to the air; nothing
    precipitates. Intervals are one standard deviation, propagated to first order.
    """
    gaps = Gaps(recipe)
    volumes = {name: vessel.volume.value for name, vessel in recipe.vessels.items()}
    weighed, unweighed = weigh(recipe, volumes, catalog, scale or Scale())
    for dose in unweighed:
        gaps.place(dose.place, dose.reason, dose.pointer)

    def find(reference: str) -> WaterReport | None:
        report = waters.get(reference)
        return builtin_report(reference, catalog) if report is None else report

    vessels: dict[str, Contents] = {}
    for name, contents in fill(recipe, Sources(find), weighed).items():
        if isinstance(contents, Lacking):
            gaps.place(name, contents.reason, contents.pointer)
        else:
            vessels[name] = contents
    batch = [*vessels.values()]
    if not (gaps.has("batch_water") or any(contents.volume > 0.0 for contents in batch)):
        gaps.place("kettle", "there is no water", "/water")
    return Prediction(
        path=recipe.path,
        document=recipe.document,
        name=recipe.name,
        mash_water=_water("mash_water", *_split(vessels, "mash"), gaps),
        sparge_water=_water("sparge_water", *_split(vessels, "sparge"), gaps),
        batch_water=_water("batch_water", batch, [], gaps),
        wort=_wort(recipe, vessels, gaps),
        kettle_share={} if gaps.has("batch_water") else kettle_share(batch),
        mash=_mash(recipe, vessels, catalog, gaps),
        color=_color(recipe, catalog, gaps),
        gaps=gaps.found,
        dose_mass_g={dose.pointer: dose.mass for dose in weighed},
    )


def _split(vessels: Mapping[str, Contents], name: str) -> tuple[list[Contents], list[Contents]]:
    """A vessel, and those beside it."""
    return (
        [contents for contents in vessels.values() if contents.name == name],
        [contents for contents in vessels.values() if contents.name != name],
    )


def _water(
    figure: str, vessels: Sequence[Contents], beside: Sequence[Contents], gaps: Gaps
) -> WaterFigures | None:
    if gaps.has(figure) or not vessels:
        return None
    mixture = mix_whole(vessels, beside)
    figures = water_figures(mixture, contributions(vessels))
    if figures.ph is None:
        reason = mixture.ph_unknown or "its equilibrium was not found"
        pointer = f"/water/{vessels[0].name}" if len(vessels) == 1 else "/water"
        gaps.add(f"{figure}.ph", reason, pointer)
    return figures


def _wort(recipe: Recipe, vessels: dict[str, Contents], gaps: Gaps) -> WortFigures | None:
    if gaps.has("wort"):
        return None
    mixture = mix_wort(recipe, vessels)
    if isinstance(mixture, Gap):
        gaps.add("wort", mixture.reason, mixture.pointer)
        return None
    return WortFigures(mixture.volume, mixture.ion_figures())


def _mash(
    recipe: Recipe, vessels: Mapping[str, Contents], catalog: Catalog, gaps: Gaps
) -> MashFigures | None:
    if "mash" not in recipe.vessels:
        return None
    figures, gap = predict_mash(recipe, {} if gaps.has("mash_ph") else vessels, catalog)
    if gap is not None and not gaps.has("mash_ph"):
        gaps.add("mash_ph", gap.reason, gap.pointer)
    return figures


def _color(recipe: Recipe, catalog: Catalog, gaps: Gaps) -> ColorFigures | None:
    color = beer_color(recipe, catalog)
    if isinstance(color, Gap):
        gaps.add("color", color.reason, color.pointer)
        return None
    return color
