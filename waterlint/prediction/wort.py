"""What waters and additions leave in the wort before fermentation.

The mash tun and the sparge are one well mixed liquid of which the grain keeps a part; the boil
drives off water alone; what the kettle keeps takes its ions with it.
"""

from __future__ import annotations

from collections.abc import Callable

from waterlint.catalog.catalog import Catalog
from waterlint.hints import Final
from waterlint.model.recipe import Recipe
from waterlint.prediction.contents import Contents
from waterlint.prediction.doses import LIQUOR_VESSELS
from waterlint.prediction.mixture import Mixture, Reading, Taken, mix
from waterlint.prediction.result import Gap
from waterlint.prediction.vessels import reading_sd
from waterlint.records import Record, replace

ABSORPTION: Final = 1.0
"""Liquid the spent grain keeps [L per kg of grain]; common practice."""

ABSORPTION_SD: Final = 0.3
"""One standard deviation of it [L/kg]; common practice, as the volume balance allows."""

SLACK: Final = 0.05
"""By how much of the wort's volume the volumes may contradict each other [-]; common practice."""


class _Volumes(Record):
    """The volumes of the way into the fermenter [L]; `boiled` is `None` where evaporation says
    how much is left after the boil."""

    mash: float
    sparge: float
    kettle: float
    fermenter: float
    absorbed: float
    evaporation: float
    losses: float
    boiled: float | None

    @property
    def before_boil(self) -> float:
        """The wort when the boil begins [L]: all that is poured but what the grain keeps."""
        return self.mash + self.sparge + self.kettle - self.absorbed

    @property
    def after_boil(self) -> float:
        """The wort when the boil ends [L]: as stated, else what evaporation leaves."""
        return self.before_boil - self.evaporation if self.boiled is None else self.boiled

    @property
    def in_fermenter(self) -> float:
        """The wort in the fermenter [L], with the water that is added there."""
        return self.after_boil - self.losses + self.fermenter

    @property
    def fractions(self) -> tuple[float, float, float, float]:
        """The share of each vessel's contents that reaches the fermenter [-]."""
        first = self.mash + self.sparge
        runoff = 1.0 - self.absorbed / first if first else 1.0
        kept = 1.0 - self.losses / self.after_boil
        return runoff * kept, runoff * kept, kept, 1.0


def mix_wort(recipe: Recipe, vessels: dict[str, Contents], catalog: Catalog) -> Mixture | Gap:
    """The wort in the fermenter, the malt's own ions left out.

    Parameters
    ----------
    recipe : Recipe
    vessels : dict of str to Contents
        All vessels of the recipe, by name.
    catalog : Catalog
        Knows what of the grist leaves no spent grain.

    Returns
    -------
    Mixture or Gap
        A gap where the volumes are not known, or leave no wort.

    Notes
    -----
    Where evaporation is stated, the volumes are followed from the water in; where it is not,
    from the batch volume and the losses back. Losses that are not stated are taken from the
    batch volume where an addition in the fermenter makes them matter, else they are 0: they
    change no concentration.
    """
    order = [
        vessels.get(name, Contents(name, 0.0, 0.0))
        for name in ("mash", "sparge", "kettle", "fermenter")
    ]
    grain = _grain(recipe, catalog) if order[0].volume + order[1].volume else 0.0
    volumes = _volumes(recipe, order, grain)
    if isinstance(volumes, Gap):
        return volumes
    readings = [
        _reading(volumes, change(volumes, sd), name, sd)
        for change, name, sd in _uncertain(recipe, order, grain)
    ]
    return mix(
        [
            Taken(contents, fraction)
            for contents, fraction in zip(order, volumes.fractions, strict=True)
        ],
        volumes.in_fermenter,
        readings,
    )


def _volumes(recipe: Recipe, order: list[Contents], grain: float) -> _Volumes | Gap:
    batch = recipe.batch
    mash, sparge, kettle, fermenter = (contents.volume for contents in order)
    absorbed = ABSORPTION * grain
    into_fermenter = batch.volume.value - fermenter
    volumes = _Volumes(mash, sparge, kettle, fermenter, absorbed, 0.0, 0.0, None)
    available = volumes.before_boil
    if available <= 0.0 or absorbed >= (mash + sparge or 1.0):
        return Gap("wort", "the grain takes up all the water", "/water")
    if batch.evaporation is not None:
        volumes = replace(volumes, evaporation=batch.evaporation.value)
        losses = volumes.after_boil - into_fermenter if batch.losses is None else batch.losses.value
        volumes = replace(volumes, losses=max(losses, 0.0))
    else:
        losses = 0.0 if batch.losses is None else batch.losses.value
        left = into_fermenter + losses
        if left > available * (1.0 + SLACK):
            return Gap(
                "wort",
                f"the batch volume and losses ask for {left:.4g} L after the boil, the water "
                f"leaves {available:.4g} L",
                "/batch/volume",
            )
        volumes = replace(volumes, losses=losses, boiled=min(left, available))
    if volumes.after_boil <= 0.0 or volumes.after_boil <= volumes.losses:
        return Gap("wort", "evaporation and losses leave no wort", "/batch")
    return volumes


_Change = Callable[[_Volumes, float], _Volumes]


def _reading(volumes: _Volumes, changed: _Volumes, vessel: str, sd: float) -> Reading:
    """What one standard deviation of a volume does."""
    before, after = volumes.fractions, changed.fractions
    return Reading(
        tuple([b - a for a, b in zip(before, after, strict=True)]),
        changed.in_fermenter - volumes.in_fermenter,
        vessel,
        sd,
        vessel in LIQUOR_VESSELS,
    )


def _uncertain(
    recipe: Recipe, order: list[Contents], grain: float
) -> list[tuple[_Change, str, float]]:
    """How to move each uncertain volume, the vessel whose water it is, and its deviation [L].

    Losses are left out: they change no concentration before the fermenter's own water comes.
    """
    mash, sparge, kettle, fermenter = (contents.volume_sd for contents in order)
    batch = recipe.batch
    moves: list[tuple[_Change, str, float]] = [
        (lambda v, sd: replace(v, mash=v.mash + sd), "mash", mash),
        (lambda v, sd: replace(v, sparge=v.sparge + sd), "sparge", sparge),
        (lambda v, sd: replace(v, kettle=v.kettle + sd), "kettle", kettle),
        (lambda v, sd: replace(v, fermenter=v.fermenter + sd), "fermenter", fermenter),
        (lambda v, sd: replace(v, absorbed=v.absorbed + sd), "", ABSORPTION_SD * grain),
    ]
    if batch.evaporation is None:
        boiled = reading_sd(batch.volume)
        moves.append((lambda v, sd: replace(v, boiled=v.after_boil + sd), "", boiled))
    else:
        evaporation = reading_sd(batch.evaporation)
        moves.append((lambda v, sd: replace(v, evaporation=v.evaporation + sd), "", evaporation))
    return [move for move in moves if move[2] > 0.0]


def _grain(recipe: Recipe, catalog: Catalog) -> float:
    """Grain that is left after the mash, late malt included [kg]; sugar and extract dissolve."""
    grams = 0.0
    for malt in recipe.grist:
        kind = catalog.malts.get(malt.kind)
        if kind is None or kind.in_mash:
            grams += malt.mass.value
    return grams / 1000.0
