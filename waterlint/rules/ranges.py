"""Which range holds for a figure, and whether the figure keeps it.

The recipe's own target comes before the house's range, that before the style's, and that before
the general one. Each side of a range is settled by itself: who only asks for `50 .. mg/L` of
calcium has said nothing about too much of it. A rule asks `judge` for a verdict, so that rules
which share a figure cannot disagree about it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import lru_cache
from types import MappingProxyType

from waterlint.catalog import limits
from waterlint.catalog.limit import Limit
from waterlint.catalog.styles import Style
from waterlint.finding import LEVELS, Level
from waterlint.hints import Final, Literal
from waterlint.model.recipe import Target
from waterlint.prediction.result import Figure
from waterlint.project.config import Settings
from waterlint.records import Record, field
from waterlint.rules.analyses import tells_at
from waterlint.rules.doubt import SLIP, is_doubtful, may_be_doubtful
from waterlint.rules.figures import (
    figure_of,
    is_chloride_alone,
    is_mostly_extract,
    is_ratio_meaningless,
    is_ratio_slight,
    style_of,
)
from waterlint.rules.registry import Case, once
from waterlint.units import Range

Side = Literal["low", "high"]
Origin = Literal["target", "house", "style", "general"]

SIDES: Final[tuple[Side, Side]] = ("low", "high")

#: A hair's breadth for the arithmetic of floats, as a fraction: exactly at the limit is within.
_HAIR: Final = 1e-9

#: The general limits by vessel and quantity.
_GENERAL: Final[Mapping[tuple[str, str], tuple[Limit, ...]]] = MappingProxyType(
    {
        ("mash", "mash_ph"): (limits.MASH_PH_WARNING,),
        ("mash", "calcium"): (limits.MASH_CALCIUM_NOTE, limits.MASH_CALCIUM_WARNING),
        ("sparge", "alkalinity"): (
            limits.SPARGE_ALKALINITY_NOTE,
            limits.SPARGE_ALKALINITY_WARNING,
        ),
        ("batch", "calcium"): (limits.BATCH_CALCIUM_NOTE, limits.BATCH_CALCIUM_WARNING),
        ("batch", "magnesium"): (limits.BATCH_MAGNESIUM_NOTE, limits.BATCH_MAGNESIUM_WARNING),
        ("batch", "sodium"): (limits.BATCH_SODIUM_NOTE, limits.BATCH_SODIUM_WARNING),
        ("batch", "potassium"): (limits.BATCH_POTASSIUM_NOTE, limits.BATCH_POTASSIUM_WARNING),
        ("batch", "chloride"): (limits.BATCH_CHLORIDE_NOTE, limits.BATCH_CHLORIDE_WARNING),
        ("batch", "sulfate"): (limits.BATCH_SULFATE_WARNING,),
    }
)

#: The figures that a style's ranges are about; its calcium is that of mash and batch alike.
_STYLED: Final = frozenset(
    {
        ("mash", "mash_ph"),
        ("mash", "calcium"),
        ("batch", "calcium"),
        ("batch", "sulfate"),
        ("batch", "sodium"),
        ("batch", "chloride_to_sulfate"),
    }
)

#: Quantities of a configuration that are not about the whole batch.
_HOUSE_VESSEL: Final[Mapping[str, str]] = MappingProxyType({"mash_ph": "mash"})


class Bound(Record):
    """One side of a range at one level.

    Attributes
    ----------
    side : {'low', 'high'}
    level : Level
        Of what lies beyond.
    value : float
        Still allowed [the figure's unit].
    origin : {'target', 'house', 'style', 'general'}
        Who sets it.
    basis : str
    pointer : str
        Where the recipe sets it; empty where it does not.
    name : str
        The style's key, for a bound of a style.
    edge : float
        From where on it is broken, a hair's breadth beyond `value`.
    """

    side: Side
    level: Level
    value: float
    origin: Origin
    basis: str
    pointer: str = ""
    name: str = ""
    edge: float = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        hair = _HAIR * max(1.0, abs(self.value))
        edge = self.value - hair if self.side == "low" else self.value + hair
        object.__setattr__(self, "edge", edge)

    def is_broken_by(self, value: float) -> bool:
        """Whether a value lies beyond; exactly at the bound, it does not."""
        return value < self.edge if self.side == "low" else value > self.edge

    def is_graver_than(self, other: Bound) -> bool:
        """Whether what lies beyond is of a graver level than beyond another bound."""
        return LEVELS.index(self.level) > LEVELS.index(other.level)


#: By side, as in `SIDES`.
_Sides = tuple[tuple[Bound, ...], tuple[Bound, ...]]


class Verdict(Record, frozen=False):
    """A figure against the bounds that hold for it.

    Attributes
    ----------
    quantity, vessel : str
        As a `Target` names them.
    figure : Figure
    bounds : tuple of Bound
    broken : Bound or None
        The gravest bound that the figure breaks; `None` where it keeps all.
    """

    quantity: str
    vessel: str
    figure: Figure
    bounds: tuple[Bound, ...]
    broken: Bound | None = field(init=False)

    def __post_init__(self) -> None:
        value, gravest = self.figure.value, None
        for bound in self.bounds:
            if bound.is_broken_by(value) and (gravest is None or bound.is_graver_than(gravest)):
                gravest = bound
        self.broken = gravest

    def bound(self, side: Side, level: Level) -> Bound | None:
        """What bounds one side at a level, or else at another; `None` where it is open."""
        known = [bound for bound in self.bounds if bound.side == side]
        return next(
            (bound for bound in known if bound.level == level), known[-1] if known else None
        )


def judge(case: Case, quantity: str, vessel: str, *, even_doubtful: bool = False) -> Verdict | None:
    """Compare a figure with the range that holds for it.

    Parameters
    ----------
    case : Case
        Of a recipe.
    quantity, vessel : str
        As a `Target` names them: an ion, ``mash_ph``, ``alkalinity``, ``residual_alkalinity``,
        ``chloride_to_sulfate`` or ``color``; ``batch``, ``mash`` or ``sparge``.
    even_doubtful : bool
        Judge also a figure that rests on a slip which `implausible-quantity` tells.

    Returns
    -------
    Verdict or None
        `None` where the figure is not known or doubtful, or nothing bounds it.
    """
    known, key = _known(case), (quantity, vessel)
    if key in known.verdicts:
        verdict = known.verdicts[key]
    else:
        verdict = known.verdicts[key] = _verdict(case, known, quantity, vessel)
    if verdict is None or even_doubtful or not known.is_doubtful:
        return verdict
    broken = verdict.broken
    if broken is not None and not tells_at(case, SLIP, "warning", broken.level):
        return verdict  # what is told of the slip is milder
    return None if is_doubtful(case, quantity, vessel) else verdict


class _Known(Record, frozen=False):
    """What all judging of a case needs, by quantity and vessel; verdicts and bounds as asked for.

    Attributes
    ----------
    verdicts : dict
    targets : dict
        The recipe's own; of two for one figure, the first.
    bounds : dict
        Those of house, style and any beer, shared by all cases of the same house and style.
    is_doubtful : bool
        Whether any figure may be.
    """

    verdicts: dict[tuple[str, str], Verdict | None]
    targets: dict[tuple[str, str], Target]
    bounds: dict[tuple[str, str], _Sides]
    is_doubtful: bool


@once
def _known(case: Case) -> _Known:
    targets = () if case.recipe is None else case.recipe.targets
    own = {(target.quantity, target.vessel): target for target in reversed(targets)}
    return _Known({}, own, _bounds_kept(case), may_be_doubtful(case))


def _verdict(case: Case, known: _Known, quantity: str, vessel: str) -> Verdict | None:
    figure = figure_of(case.prediction, quantity, vessel)
    bounds = () if figure is None else _bounds_of(case, known, quantity, vessel)
    return Verdict(quantity, vessel, figure, bounds) if figure is not None and bounds else None


def bounds_of(case: Case, quantity: str, vessel: str) -> tuple[Bound, ...]:
    """Every bound that holds for a figure, each side by the first who sets it.

    A ratio of two small amounts means nothing: only a recipe's own target is then held to it.
    Of two slight ones a style's ratio is no more than a note. What only water and additions
    bring is no measure of a beer of malt extract, which has more: neither of too little calcium
    nor of the ratio.
    """
    return _bounds_of(case, _known(case), quantity, vessel)


def _bounds_of(case: Case, known: _Known, quantity: str, vessel: str) -> tuple[Bound, ...]:
    sides = known.bounds.get((quantity, vessel))
    if sides is None:
        low, high = (_side(case, quantity, vessel, side) for side in SIDES)
        known.bounds[quantity, vessel] = (low, high)
    else:
        low, high = sides
    target = known.targets.get((quantity, vessel))
    if target is not None:
        range_ = target.range
        wanted = _of_target(range_.low, range_.high, range_.text, target.pointer)
        low, high = wanted[0] or low, wanted[1] or high
    found = low + high
    unknown = _UNKNOWN_OF_EXTRACT.get((quantity, vessel))
    if unknown and is_mostly_extract(case):
        found = tuple([each for each in found if each.side not in unknown or _is_wanted(each)])
    return _of_ratio(case, vessel, found) if quantity == "chloride_to_sulfate" else found


@lru_cache(maxsize=1024)
def _of_target(low: float | None, high: float | None, text: str, pointer: str) -> _Sides:
    """What a target bounds; a collection of recipes has the same ones over and over."""
    basis = f"the recipe's own target, `{text}`"
    found: list[tuple[Bound, ...]] = []
    for side, value in zip(SIDES, (low, high), strict=True):
        bounds = (
            (Bound(side, "warning", value, "target", basis, pointer),) if value is not None else ()
        )
        found.append(bounds)
    return found[0], found[1]


def _of_ratio(case: Case, vessel: str, found: tuple[Bound, ...]) -> tuple[Bound, ...]:
    if not [bound for bound in found if bound.origin != "target"]:
        return found
    if is_ratio_meaningless(case, vessel):
        return tuple([bound for bound in found if bound.origin == "target"])
    return tuple(
        [
            Bound(bound.side, "note", bound.value, "style", bound.basis, bound.pointer, bound.name)
            if bound.origin == "style" and _is_ratio_a_note(case, vessel, bound.side)
            else bound
            for bound in found
        ]
    )


def _is_ratio_a_note(case: Case, vessel: str, side: Side) -> bool:
    """Whether what a style says of the ratio is no more than a note.

    Calcium chloride alone is how soft water is brewed with, but for bitter beers.
    """
    if is_ratio_slight(case, vessel):
        return True
    style = style_of(case)
    is_bitter = style is not None and style.emphasis == "hop-bitter"
    return side == "high" and not is_bitter and is_chloride_alone(case, vessel)


#: The sides on which nobody knows whether a beer of malt extract keeps a range.
_UNKNOWN_OF_EXTRACT: Final[Mapping[tuple[str, str], tuple[Side, ...]]] = MappingProxyType(
    {("calcium", "batch"): ("low",), ("chloride_to_sulfate", "batch"): SIDES}
)


def _is_wanted(bound: Bound) -> bool:
    """Whether somebody asks for it who knows what the beer is made of."""
    return bound.origin in ("target", "house")


def _bounds_kept(case: Case) -> dict[tuple[str, str], _Sides]:
    """What has been asked of the case's house and style so far, by quantity and vessel."""
    settings, style = case.settings, style_of(case)
    named = None if case.recipe is None else case.recipe.style
    key = (id(settings), id(style), named, case.recipe is None)
    kept = _KEPT.get(key)
    if kept is None or kept[0] is not settings or kept[1] is not style:
        if len(_KEPT) >= _KEPT_AT_MOST:
            _KEPT.clear()
        kept = _KEPT[key] = (settings, style, {})
    return kept[2]


#: The bounds of house and style, by identity: a collection of recipes asks for the same ones over
#: and over.
_KEPT: dict[object, tuple[Settings, Style | None, dict[tuple[str, str], _Sides]]] = {}
_KEPT_AT_MOST: Final = 256


def _side(case: Case, quantity: str, vessel: str, side: Side) -> tuple[Bound, ...]:
    """What the house asks of one side, or else the style; missing the house's is a warning."""
    house = _house_range(case, quantity, vessel)
    value = None if house is None else getattr(house[0], side)
    if house is None or value is None:
        return tuple(_of_style(style_of(case), quantity, vessel, side))
    return (Bound(side, "warning", value, "house", f"the house's range, {house[1]}"),)


def _house_range(case: Case, quantity: str, vessel: str) -> tuple[Range, str] | None:
    """The configuration's range for a figure, and where it stands."""
    if _HOUSE_VESSEL.get(quantity, "batch") != vessel or case.recipe is None:
        return None
    settings, style = case.settings, case.recipe.style
    by_style = settings.style_ranges.get(quantity, {})
    if style is not None and style in by_style:
        key = f"ranges.{quantity}.{style}"
        return by_style[style], _stated(case, key, by_style[style])
    # What a style is made of is no fault by a range for all styles, only by one for this style.
    named = style_of(case)
    if named is not None and quantity in named.unchecked:
        return None
    if quantity in settings.ranges:
        found = settings.ranges[quantity]
        return found, _stated(case, f"ranges.{quantity}", found)
    return None


def _stated(case: Case, key: str, range_: Range) -> str:
    origin = case.settings.origin.get(key)
    text = f"`{range_.text}`" if range_.text else "as configured"
    return f"{text} at {origin}" if origin else text


def _of_style(style: Style | None, quantity: str, vessel: str, side: Side) -> list[Bound]:
    """What the style says of one side, and where it is silent what holds for any beer."""
    general = list(_bounds(_general(style, quantity, vessel), side, "general"))
    if style is None:
        return general
    if quantity in style.unchecked or _is_soft_side(style, quantity, vessel, side):
        return []
    if (vessel, quantity) in _STYLED and quantity in style.limits:
        limit = style.limits[quantity]
        # A style's word replaces the general one of its level; the other level stays.
        kept = [bound for bound in general if bound.level != limit.level]
        same = [bound for bound in general if bound.level == limit.level]
        own = list(_bounds((limit,), side, "style", style.key))
        general = kept + (same if _alike(own, same) else own)
    if style.soft and (vessel, quantity) == ("mash", "calcium"):
        return [bound for bound in general if bound.level == "note"]
    return general


def _is_soft_side(style: Style, quantity: str, vessel: str, side: Side) -> bool:
    return style.soft and (vessel, quantity, side) == ("batch", "calcium", "low")


def _alike(own: list[Bound], same: list[Bound]) -> bool:
    """Whether the style only repeats what holds for any beer."""
    return [bound.value for bound in own] == [bound.value for bound in same]


def _general(style: Style | None, quantity: str, vessel: str) -> tuple[Limit, ...]:
    if quantity == "mash_ph" and style is not None and style.emphasis == "roast":
        return (limits.MASH_PH_WARNING_ROAST,)
    return _GENERAL.get((vessel, quantity), ())


def _bounds(
    group: tuple[Limit, ...], side: Side, origin: Origin, style: str = ""
) -> Iterator[Bound]:
    pointer = "/style" if style else ""
    for limit in group:
        value = limit.low if side == "low" else limit.high
        if value is not None:
            yield Bound(side, limit.level, value, origin, limit.basis, pointer, style)
