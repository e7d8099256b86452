"""Each vessel's own water with its treatments, and the doses that go into it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from waterlint.hints import Final
from waterlint.model.recipe import VESSELS, Recipe, Vessel
from waterlint.model.water import WaterReport
from waterlint.prediction.contents import Contents, WaterPart
from waterlint.prediction.dissolving import Chlorine, dissolve
from waterlint.prediction.doses import LIQUOR_VESSELS, Weighed
from waterlint.prediction.sources import SourceWater, draw
from waterlint.records import Record
from waterlint.units import Quantity

READING_FRACTION: Final = 0.01
"""One standard deviation of a volume without ±, as a fraction; common practice for marked
kettles and sight glasses."""

TAKES_CHLORINE: Final = frozenset({"carbon-filtered", "boiled", "stood"})
"""Treatments after which no free chlorine is left; common practice."""

TAKES_CHLORAMINE: Final = frozenset({"carbon-filtered"})
"""Treatments after which no chloramine is left: it leaves neither by boiling nor by standing
within the time of a brew day; common practice."""

CHANGES_MINERALS: Final = frozenset({"boiled", "lime-softened"})
"""Treatments that change more than chlorine."""

SHARES_TOLERANCE: Final = 0.001
"""How far shares may be from adding up to 1 [-]; the rule `unresolved-water` has the same."""


def reading_sd(volume: Quantity) -> float:
    """One standard deviation of a volume as it is read off [L].

    Examples
    --------
    >>> reading_sd(Quantity(15.0, "L"))
    0.15
    """
    return READING_FRACTION * volume.value if volume.sd is None else volume.sd


class Lacking(Record):
    """Why a vessel's water cannot be computed, and where."""

    reason: str
    pointer: str


class Sources:
    """The waters of one prediction: each is drawn and treated once, so that it stays one variable.

    What is kept from one prediction to the next may be forgotten between two vessels of this one.
    """

    def __init__(self, find: Callable[[str], WaterReport | None]) -> None:
        self._find = find
        self._found: dict[str, WaterReport | None] = {}
        self._drawn: dict[int, SourceWater | str] = {}
        self._treated: dict[object, SourceWater] = {}

    def draw(self, reference: str) -> SourceWater | str:
        """The water of a reference, or a sentence on why there is none."""
        if reference not in self._found:
            self._found[reference] = self._find(reference)
        report = self._found[reference]
        if report is None:
            return f"the water {reference!r} is not known"
        # By the report's identity: two references may lead to one report.
        water = self._drawn.get(id(report))
        if water is None:
            water = self._drawn[id(report)] = draw(report)
        return water

    def treat(
        self, parts: Sequence[tuple[SourceWater, float]], treatments: tuple[str, ...]
    ) -> SourceWater:
        """Waters blended and treated; the same again is the same variable."""
        key = (tuple((id(water), share) for water, share in parts), treatments)
        if key not in self._treated:
            # Imported late: most waters are taken as they are, or lose their chlorine only.
            from waterlint.prediction.treatments import blended, treated

            self._treated[key] = treated(blended(parts), treatments)
        return self._treated[key]


def fill(
    recipe: Recipe, sources: Sources, weighed: Sequence[Weighed]
) -> dict[str, Contents | Lacking]:
    """Fill every vessel that has water or doses.

    Parameters
    ----------
    recipe : Recipe
    sources : Sources
    weighed : sequence of Weighed
        The doses; none goes where there is no water and no wort.

    Returns
    -------
    dict of str to Contents or Lacking
        By vessel, in the order of `VESSELS`.
    """
    filled: dict[str, Contents | Lacking] = {}
    volumes = {name: vessel.volume.value for name, vessel in recipe.vessels.items()}
    liquor = sum([volumes.get(name, 0.0) for name in LIQUOR_VESSELS])
    dosed = {dose.place for dose in weighed}
    upstream = 0.0
    for name in VESSELS:
        vessel = recipe.vessels.get(name)
        if vessel is None and name not in dosed:
            continue
        shares = _shares(name, volumes, liquor)
        portions = [
            (dose, share) for dose in weighed if (share := shares.get(dose.place, 0.0)) > 0.0
        ]
        volume = volumes.get(name, 0.0)
        upstream += volume
        waters = () if vessel is None else _waters(vessel, sources)
        if isinstance(waters, Lacking):
            filled[name] = waters
            continue
        # A dose for the wort dissolves in all that has come together by then.
        liquid = volume if name in ("mash", "sparge") else upstream
        doses, chalk = dissolve(portions, _chlorine(vessel, waters), volume, liquid)
        filled[name] = Contents(
            name=name,
            volume=volume,
            volume_sd=0.0 if vessel is None else reading_sd(vessel.volume),
            waters=waters,
            doses=doses,
            liquor_volume=liquor if name in LIQUOR_VESSELS else 0.0,
            chalk=chalk,
        )
    return filled


def _shares(vessel: str, volumes: Mapping[str, float], liquor: float) -> dict[str, float]:
    """How much of a dose goes into a vessel, by its place."""
    if vessel not in LIQUOR_VESSELS or not liquor:
        return {vessel: 1.0}
    return {vessel: 1.0, "liquor": volumes.get(vessel, 0.0) / liquor}


def _waters(vessel: Vessel, sources: Sources) -> tuple[WaterPart, ...] | Lacking:
    whole = sum([share.share for share in vessel.shares])
    if round(abs(whole - 1.0), 9) > SHARES_TOLERANCE:
        return Lacking(
            f"the shares of the {vessel.name} water add up to {100.0 * whole:.4g} %",
            vessel.source_pointer,
        )
    if not vessel.volume.value > 0.0:
        return Lacking(f"the {vessel.name} has no volume", vessel.pointer)
    parts: list[WaterPart] = []
    for share in vessel.shares:
        source = sources.draw(share.water)
        if isinstance(source, str):
            return Lacking(source, share.pointer)
        parts.append(WaterPart(source, share.share / whole, share.pointer))
    if CHANGES_MINERALS.isdisjoint(vessel.treatments):
        return tuple(parts)
    source = sources.treat([(part.source, part.share) for part in parts], vessel.treatments)
    pointer = parts[0].pointer if len(parts) == 1 else vessel.source_pointer
    return (WaterPart(source, 1.0, pointer),)


def _chlorine(vessel: Vessel | None, waters: tuple[WaterPart, ...]) -> Chlorine:
    """What is left in the vessel's water after its treatments [mg/L as Cl2]."""
    treatments = () if vessel is None else vessel.treatments
    free = combined = 0.0
    if TAKES_CHLORINE.isdisjoint(treatments):
        free = sum([part.source.chlorine * part.share for part in waters])
    if TAKES_CHLORAMINE.isdisjoint(treatments):
        combined = sum([part.source.chloramine * part.share for part in waters])
    return Chlorine(free, combined)
