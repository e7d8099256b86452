"""From a checked tree to a recipe or a water report.

The tree has passed its schema; what is still refused here would be a gap between schema and
model, and raises.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import lru_cache
from sys import intern

from waterlint.days import date
from waterlint.hints import TYPE_CHECKING, TypeVar
from waterlint.model.recipe import (
    PLACES,
    VESSELS,
    Addition,
    Batch,
    Dose,
    Malt,
    MashSettings,
    MeasuredPh,
    Recipe,
    Share,
    Target,
    Vessel,
)
from waterlint.model.water import TRACES, Analysis, WaterReport
from waterlint.source.document import Document
from waterlint.units import Quantity, parse, parse_range

if TYPE_CHECKING:
    from waterlint.source.content import Content

T = TypeVar("T")


class _Reader:
    """A mapping of a document with its pointer, read key by key."""

    __slots__ = ("entries", "pointer")

    def __init__(self, content: Content | None, pointer: str) -> None:
        self.entries = _mapping(content)
        self.pointer = pointer

    def __contains__(self, key: str) -> bool:
        return key in self.entries

    def inner(self, key: str) -> _Reader:
        """The mapping under a key; an empty one where there is none."""
        return _Reader(self.entries.get(key), f"{self.pointer}/{key}")

    def read_all(self, make: Callable[[_Reader], T], key: str) -> tuple[T, ...]:
        """What `make` reads in each mapping of the list under a key."""
        items = self.entries.get(key)
        if not isinstance(items, list):
            return ()
        return tuple(
            [make(_Reader(item, f"{self.pointer}/{key}/{i}")) for i, item in enumerate(items)]
        )

    def share_all(self, make: Callable[[_Reader], T], key: str) -> tuple[T, ...]:
        """The same of mappings of single values: of two that say the same, it is one."""
        items = self.entries.get(key)
        if not isinstance(items, list):
            return ()
        above = f"{self.pointer}/{key}"
        return tuple(
            [_shared(make, above, i, *_mapping(item).items()) for i, item in enumerate(items)]
        )

    def text(self, key: str) -> str | None:
        """The text of the value under a key, as written; `None` where no single value is there."""
        value = self.entries.get(key)
        return value[0] if isinstance(value, tuple) else None

    def required(self, key: str) -> str:
        """The text of a value that the schema asks for.

        Raises
        ------
        ValueError
            If it is missing: a gap between schema and model.
        """
        text = self.text(key)
        if text is None:
            raise ValueError(f"{self.pointer}/{key} is missing from a tree that passed its schema")
        return text

    def true(self, key: str) -> bool:
        """Whether the key is there and says `true`."""
        return (self.text(key) or "").lower() == "true"

    def quantity(self, kind: str, key: str, substance: str | None = None) -> Quantity | None:
        """The quantity under a key, in the canonical unit of its kind; `None` where none is."""
        text = self.text(key)
        return None if text is None else parse(kind, text, substance)


def _mapping(content: Content | None) -> dict[str, Content]:
    return content if isinstance(content, dict) else {}


@lru_cache(maxsize=4096)  # recipes of one house have many malts and doses in common
def _shared(
    make: Callable[[_Reader], T], above: str, index: int, *entries: tuple[str, Content]
) -> T:
    """What `make` reads in a mapping of single values, the item of a list."""
    return make(_Reader(dict(entries), intern(f"{above}/{index}")))


def read_recipe(document: Document, path: str) -> Recipe:
    """The recipe in a document that passed the recipe schema.

    Parameters
    ----------
    document : Document
        The positioned tree.
    path : str
        The file's path as it is shown.

    Returns
    -------
    Recipe
        All figures in canonical units.
    """
    root = _Reader(document.content, "")
    water = root.inner("water")
    return Recipe(
        path=path,
        document=document.index,
        name=root.required("name"),
        batch=_batch(root.inner("batch")),
        vessels={name: _vessel(name, water.inner(name)) for name in VESSELS if name in water},
        style=root.text("style"),
        color=root.quantity("beer_color", "color"),
        mash=_mash_settings(root.inner("mash")),
        grist=root.share_all(_malt, "grist"),
        additions=root.share_all(_addition, "additions"),
        targets=tuple(_targets(root.inner("targets"))),
        measured_ph=_measured(root.inner("measured").inner("mash_ph")),
        keys=frozenset(root.entries),
    )


def _batch(batch: _Reader) -> Batch:
    return Batch(
        volume=parse("volume", batch.required("volume")),
        boil=batch.quantity("time", "boil"),
        evaporation=batch.quantity("volume", "evaporation"),
        losses=batch.quantity("volume", "losses"),
    )


def _vessel(name: str, vessel: _Reader) -> Vessel:
    source = vessel.text("from")
    if source is not None:
        shares: tuple[Share, ...] = (Share(source, 1.0, f"{vessel.pointer}/from"),)
    else:
        shares = vessel.share_all(_share, "from")
    return Vessel(
        name=name,
        volume=parse("volume", vessel.required("volume")),
        shares=shares,
        treatments=_words(vessel.entries.get("treat")),
        pointer=vessel.pointer,
    )


def _share(part: _Reader) -> Share:
    share = parse("share", part.required("share")).value / 100.0
    return Share(part.required("water"), share, part.pointer)


def _words(content: Content | None) -> tuple[str, ...]:
    if isinstance(content, tuple):
        return content[:1]
    if isinstance(content, list):
        return tuple([item[0] for item in content if isinstance(item, tuple)])
    return ()


def _mash_settings(mash: _Reader) -> MashSettings:
    decoctions = mash.quantity("count", "decoctions")
    return MashSettings(
        mill_gap=mash.quantity("gap", "mill_gap"),
        temperature=mash.quantity("temperature", "temperature"),
        decoctions=0 if decoctions is None else int(decoctions.value),
    )


def _malt(line: _Reader) -> Malt:
    return Malt(
        name=line.required("malt"),
        kind=line.required("kind"),
        mass=parse("mass", line.required("mass")),
        pointer=line.pointer,
        color=line.quantity("malt_color", "color"),
        di_ph=line.quantity("ph", "di_ph"),
        acidity=line.quantity("acidity", "acidity"),
        buffer=line.quantity("buffer", "buffer"),
        late=line.true("late"),
    )


def _addition(line: _Reader) -> Addition:
    return Addition(
        name=line.required("add"),
        doses=tuple(
            Dose(place, parse("dose", line.required(place)), f"{line.pointer}/{place}")
            for place in PLACES
            if place in line
        ),
        pointer=line.pointer,
        form=line.text("form"),
        strength=line.quantity("strength", "strength"),
        density=line.quantity("density", "density"),
        dissolved=line.true("dissolved"),
    )


#: The kind of quantity behind each target; every other target is an ion's concentration.
_TARGET_KINDS = {
    "mash_ph": "ph",
    "alkalinity": "alkalinity",
    "residual_alkalinity": "residual_alkalinity",
    "chloride_to_sulfate": "ratio",
    "color": "beer_color",
}


def _targets(targets: _Reader, vessel: str = "batch") -> Iterator[Target]:
    for key in targets.entries:
        text = targets.text(key)
        if text is None:
            yield from _targets(targets.inner(key), vessel=key)
        else:
            yield _target(key, text, vessel, targets.pointer)


@lru_cache(maxsize=1024)  # as a house aims with one beer, it aims with many
def _target(key: str, text: str, vessel: str, pointer: str) -> Target:
    return Target(
        key,
        "mash" if key == "mash_ph" else vessel,
        parse_range(_TARGET_KINDS.get(key, "concentration"), text, key),
        f"{pointer}/{key}",
    )


def _measured(measured: _Reader) -> MeasuredPh | None:
    value = measured.quantity("ph", "value")
    if value is None:
        return None
    return MeasuredPh(value, measured.quantity("temperature", "temperature"), measured.pointer)


def read_water(document: Document, path: str) -> WaterReport:
    """The water report in a document that passed the water schema.

    A season takes what it leaves out from the main analysis; where it states bicarbonate, it
    does not take the main analysis's alkalinity, and the other way round.

    Parameters
    ----------
    document : Document
        The positioned tree.
    path : str
        The file's path as it is shown.

    Returns
    -------
    WaterReport
        All analyses, the newest first.
    """
    root = _Reader(document.content, "")
    main = _analysis(root)
    seasons = root.read_all(lambda season: _season(_analysis(season), main), "seasons")
    # A stable sort keeps the main analysis first among those of one day.
    analyses = sorted((main, *seasons), key=lambda analysis: analysis.sampled, reverse=True)
    uncertainty = root.quantity("share", "uncertainty")
    return WaterReport(
        path=path,
        document=document.index,
        name=root.required("name"),
        analyses=tuple(analyses),
        laboratory=root.text("laboratory"),
        uncertainty=None if uncertainty is None else uncertainty.value / 100.0,
    )


def _analysis(report: _Reader) -> Analysis:
    ions = report.inner("ions")
    traces = ((name, report.quantity("concentration", name, name)) for name in TRACES)
    sampled = report.text("sampled")
    return Analysis(
        sampled=date.min if sampled is None else date.fromisoformat(sampled),
        pointer=report.pointer,
        ions={name: parse("concentration", ions.required(name), name) for name in ions.entries},
        ph=report.quantity("ph", "ph"),
        alkalinity=report.quantity("alkalinity", "alkalinity"),
        hardness=report.quantity("hardness", "hardness"),
        conductivity=report.quantity("conductivity", "conductivity"),
        dissolved_solids=report.quantity("concentration", "dissolved_solids", "solids"),
        traces={name: quantity for name, quantity in traces if quantity is not None},
        own=frozenset((*report.entries, *(f"ions/{name}" for name in ions.entries))),
    )


def _season(season: Analysis, main: Analysis) -> Analysis:
    states_bicarbonate = "bicarbonate" in season.ions
    inherited = dict(main.ions)
    if season.alkalinity is not None:
        inherited.pop("bicarbonate", None)
        inherited.pop("carbonate", None)
    elif states_bicarbonate:
        inherited.pop("carbonate", None)
    keeps_alkalinity = season.alkalinity is not None or states_bicarbonate
    return Analysis(
        sampled=season.sampled if season.sampled != date.min else main.sampled,
        pointer=season.pointer,
        ions=inherited | dict(season.ions),
        ph=season.ph or main.ph,
        alkalinity=season.alkalinity if keeps_alkalinity else main.alkalinity,
        # Sums are the main sample's own: they say nothing about a season that changed its parts.
        hardness=season.hardness,
        conductivity=season.conductivity,
        dissolved_solids=season.dissolved_solids,
        traces=dict(main.traces) | dict(season.traces),
        own=season.own,
    )
