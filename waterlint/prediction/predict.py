"""The prediction of a recipe: all that is known of it as figures, and why the rest is not."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from waterlint.catalog.catalog import Catalog
from waterlint.model.recipe import Recipe
from waterlint.model.water import WaterReport
from waterlint.prediction.beer_color import beer_color
from waterlint.prediction.builtin import builtin_report
from waterlint.prediction.contents import Contents
from waterlint.prediction.doses import Weighed, weigh
from waterlint.prediction.figures import kettle_share, water_figures
from waterlint.prediction.gaps import Gaps
from waterlint.prediction.mash import predict_mash
from waterlint.prediction.mixture import Mixture, mix_whole
from waterlint.prediction.result import (
    ColorFigures,
    Gap,
    MashFigures,
    Prediction,
    WaterFigures,
    WortFigures,
)
from waterlint.prediction.vessels import Lacking, Sources, fill
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
    weighed, vessels = _fill(recipe, waters, catalog, scale or Scale(), gaps)
    batch = [*vessels.values()]
    if not (gaps.has("batch_water") or any(contents.volume > 0.0 for contents in batch)):
        gaps.place("kettle", "there is no water", "/water")
    waters_of = {
        "mash_water": _water("mash_water", *_split(vessels, "mash"), gaps),
        "sparge_water": _water("sparge_water", *_split(vessels, "sparge"), gaps),
        "batch_water": _water("batch_water", batch, [], gaps),
    }
    mash, mash_gap = _mash(recipe, vessels, catalog, gaps)
    color = beer_color(recipe, catalog)
    rest = _Rest(recipe, catalog, vessels, gaps, waters_of, mash_gap, color)
    return Prediction.deferred(
        {
            "path": recipe.path,
            "document": recipe.document,
            "name": recipe.name,
            **{name: None if water is None else water[0] for name, water in waters_of.items()},
            "mash": mash,
            "color": None if isinstance(color, Gap) else color,
            "dose_mass_g": {dose.pointer: dose.mass for dose in weighed},
        },
        {
            "wort": rest.wort,
            "gaps": rest.gaps,
            "kettle_share": rest.kettle_share,
            "gaps of mash_ph": rest.mash_gaps,
        },
    )


def contents_for_mash(
    recipe: Recipe,
    waters: Mapping[str, WaterReport],
    catalog: Catalog,
    scale: Scale | None = None,
) -> Mapping[str, Contents]:
    """The vessels' contents as the mash's prediction takes them.

    Parameters
    ----------
    recipe, waters, catalog, scale
        As `predict` takes them.

    Returns
    -------
    mapping of str to Contents
        By vessel; empty where the mash water or its doses are not known.
    """
    gaps = Gaps(recipe)
    vessels = _fill(recipe, waters, catalog, scale or Scale(), gaps)[1]
    return {} if gaps.has("mash_ph") else vessels


def contents_of(
    recipe: Recipe,
    waters: Mapping[str, WaterReport],
    catalog: Catalog,
    scale: Scale | None = None,
) -> Mapping[str, Contents]:
    """The contents of every vessel that can be filled; parameters as `predict` takes them."""
    return _fill(recipe, waters, catalog, scale or Scale(), Gaps(recipe))[1]


def _fill(
    recipe: Recipe,
    waters: Mapping[str, WaterReport],
    catalog: Catalog,
    scale: Scale,
    gaps: Gaps,
) -> tuple[list[Weighed], dict[str, Contents]]:
    """The doses that could be weighed and the vessels that could be filled; else a gap says why."""
    volumes = {name: vessel.volume.value for name, vessel in recipe.vessels.items()}
    weighed, unweighed = weigh(recipe, volumes, catalog, scale)
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
    return weighed, vessels


class _Rest:
    """What is worked out only when somebody asks for it."""

    def __init__(
        self,
        recipe: Recipe,
        catalog: Catalog,
        vessels: dict[str, Contents],
        gaps: Gaps,
        waters: Mapping[str, tuple[WaterFigures, Mixture, str] | None],
        mash_gap: Gap | None,
        color: ColorFigures | Gap | None,
    ) -> None:
        self._recipe, self._catalog, self._vessels, self._gaps = recipe, catalog, vessels, gaps
        self._waters, self._mash_gap, self._color = waters, mash_gap, color
        self._mixed: Mixture | Gap | None = None

    def mash_gaps(self) -> tuple[Gap, ...]:
        found = tuple([gap for gap in self._gaps.found if gap.figure == "mash_ph"])
        return found if self._mash_gap is None else (*found, self._mash_gap)

    def kettle_share(self) -> dict[str, float | None]:
        return {} if self._gaps.has("batch_water") else kettle_share([*self._vessels.values()])

    def wort(self) -> WortFigures | None:
        mixed = self._wort()
        if mixed is None or isinstance(mixed, Gap):
            return None
        return WortFigures(mixed.volume, mixed.ion_figures())

    def _wort(self) -> Mixture | Gap | None:
        if self._mixed is None and not self._gaps.has("wort"):
            # Imported late: few rules ask for the wort.
            from waterlint.prediction.wort import mix_wort

            self._mixed = mix_wort(self._recipe, self._vessels, self._catalog)
        return self._mixed

    def gaps(self) -> tuple[Gap, ...]:
        """Those of places first, then in the order of the figures."""
        found = dict.fromkeys(self._gaps.found)
        for figure, water in self._waters.items():
            if water is not None and water[0].ph is None:
                reason = water[1].ph_unknown or "its equilibrium was not found"
                found[Gap(f"{figure}.ph", reason, water[2])] = None
        for gap in (self._wort(), self._mash_gap, self._color):
            if isinstance(gap, Gap):
                found[gap] = None
        return tuple(found)


def _split(vessels: Mapping[str, Contents], name: str) -> tuple[list[Contents], list[Contents]]:
    """A vessel, and those beside it."""
    return (
        [contents for contents in vessels.values() if contents.name == name],
        [contents for contents in vessels.values() if contents.name != name],
    )


def _water(
    figure: str, vessels: Sequence[Contents], beside: Sequence[Contents], gaps: Gaps
) -> tuple[WaterFigures, Mixture, str] | None:
    """A water's figures, what they are of, and where the recipe says so."""
    if gaps.has(figure) or not vessels:
        return None
    mixture = mix_whole(vessels, beside)
    figures = water_figures(mixture, vessels)
    return figures, mixture, f"/water/{vessels[0].name}" if len(vessels) == 1 else "/water"


def _mash(
    recipe: Recipe, vessels: Mapping[str, Contents], catalog: Catalog, gaps: Gaps
) -> tuple[MashFigures | None, Gap | None]:
    if "mash" not in recipe.vessels:
        return None, None
    figures, gap = predict_mash(recipe, {} if gaps.has("mash_ph") else vessels, catalog)
    return figures, None if gaps.has("mash_ph") else gap
