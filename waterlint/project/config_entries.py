"""The house's own additives, malts, styles and waters, as a configuration states them."""

from __future__ import annotations

from collections.abc import Callable
from math import hypot

from waterlint.catalog.additives import ADDITIVES, Additive
from waterlint.catalog.catalog import CatalogError
from waterlint.catalog.emphasis import EMPHASES, Emphasis
from waterlint.catalog.house import house_additive, house_malt, house_style, house_water
from waterlint.catalog.malts import MaltKind
from waterlint.catalog.styles import Style
from waterlint.catalog.waters import Estimate, KnownWater
from waterlint.chemistry.ions import CALCIUM_CARBONATE_EQUIVALENT, IONS
from waterlint.hints import TypeVar
from waterlint.project.config_tree import ConfigTree
from waterlint.project.config_values import RANGE_KINDS
from waterlint.project.layer import Entries
from waterlint.project.nearest import did_you_mean
from waterlint.records import replace
from waterlint.units import Quantity

T = TypeVar("T")

#: One standard deviation of a water's figure without ±, as a fraction of it; common practice:
#: routine laboratories aim at an ion balance within 5 %.
UNSTATED_SPREAD = 0.05

#: The same of a pH; common practice for field meters.
UNSTATED_PH_SPREAD = 0.1

#: Half a last digit over the standard deviation of what rounding does; arithmetic of a uniform
#: distribution.
_ROOT_3 = 3.0**0.5


def read_entries(tree: ConfigTree) -> Entries:
    """The entries; what is wrong in one is left out and told, and the whole if it then is none.

    Parameters
    ----------
    tree : ConfigTree
        The configuration; takes up what is found wrong.
    """
    entries = Entries(
        _each(tree, "/additives", _additive),
        _each(tree, "/malts", _malt),
        _each(tree, "/styles", _style),
        _each(tree, "/waters", _water),
    )
    faulty = frozenset(
        f"{kind}/{name}"
        for kind, read in (
            ("additives", entries.additives),
            ("malts", entries.malts),
            ("styles", entries.styles),
            ("waters", entries.waters),
        )
        for name, _ in tree.keys(f"/{kind}")
        if name not in read
    )
    return replace(entries, faulty=faulty)


def _each(
    tree: ConfigTree, pointer: str, read: Callable[[ConfigTree, str, str, str], T | None]
) -> dict[str, T]:
    entries: dict[str, T] = {}
    for name, place in tree.keys(pointer):
        if tree.is_told(place):
            continue
        basis = tree.text(f"{place}/basis")
        if basis is None or not basis.strip():
            tree.fault(
                "missing-key",
                place,
                f"{name} does not say what its figures rest on",
                "Add `basis:` with the source, such as the maker's sheet.",
                key=True,
            )
            continue
        try:
            entry = read(tree, name, place, basis)
        except CatalogError as error:
            if tree.is_told_within(place):
                continue
            message = str(error).removeprefix(f"{name}: ")
            tree.fault("bad-value", place, message, "Check the entry.", key=True)
        else:
            if entry is not None:
                entries[name] = entry
    return entries


def _title(tree: ConfigTree, place: str) -> str:
    return tree.text(f"{place}/title") or ""


def _value(found: Quantity | None) -> float | None:
    return None if found is None else found.value


def _additive(tree: ConfigTree, name: str, place: str, basis: str) -> Additive | None:
    like = tree.text(f"{place}/like")
    if like is None:
        return None
    original = ADDITIVES.get(like)
    if original is None:
        tree.fault(
            "bad-value",
            f"{place}/like",
            f"there is no additive {like}",
            did_you_mean(like, ADDITIVES) or f"Write one of {', '.join(ADDITIVES)}.",
        )
        return None
    form = tree.text(f"{place}/form")
    if form is not None and form not in original.forms:
        tree.fault(
            "bad-value",
            f"{place}/form",
            f"{like} is not sold as {form}",
            f"Write one of {', '.join(original.forms)}.",
        )
        return None
    return house_additive(
        name,
        like,
        basis,
        title=_title(tree, place),
        form=form,
        strength=_value(tree.quantity("strength", f"{place}/strength")),
        density=_value(tree.quantity("density", f"{place}/density")),
    )


def _malt(tree: ConfigTree, name: str, place: str, basis: str) -> MaltKind | None:
    like = tree.text(f"{place}/like")
    if like is None:
        return None
    di_ph = tree.quantity("ph", f"{place}/di_ph")
    return house_malt(
        name,
        like,
        basis,
        title=_title(tree, place),
        color_ebc=_value(tree.quantity("malt_color", f"{place}/color")),
        di_ph=_value(di_ph),
        di_ph_sd=None if di_ph is None else di_ph.sd,
        acidity=_value(tree.quantity("acidity", f"{place}/acidity")),
        buffer=_value(tree.quantity("buffer", f"{place}/buffer")),
    )


def _style(tree: ConfigTree, name: str, place: str, basis: str) -> Style | None:
    emphasis = _emphasis(tree.text(f"{place}/emphasis"))
    color = tree.range("beer_color", f"{place}/color")
    if emphasis is None or color is None:
        return None
    if color.low is None or color.high is None:
        tree.fault(
            "bad-value",
            f"{place}/color",
            f"the colour {color.text} is open on one side",
            "Write both sides, as in 12 .. 18 SRM.",
        )
        return None
    ranges: dict[str, tuple[float | None, float | None]] = {}
    for quantity, inner in tree.keys(f"{place}/ranges"):
        found = tree.range(RANGE_KINDS.get(quantity, "concentration"), inner, quantity)
        if found is not None:
            ranges[quantity] = (found.low, found.high)
    return house_style(
        name,
        emphasis,
        (color.low, color.high),
        basis,
        name=_title(tree, place),
        ranges=ranges,
        soft=tree.text(f"{place}/soft") == "true",
    )


def _emphasis(text: str | None) -> Emphasis | None:
    return next((each for each in EMPHASES if each == text), None)


def _water(tree: ConfigTree, name: str, place: str, basis: str) -> KnownWater | None:
    ions: dict[str, Quantity] = {}
    for ion, inner in tree.keys(f"{place}/ions"):
        found = tree.quantity("concentration", inner, ion)
        if found is not None:
            ions[ion] = found
    alkalinity = tree.quantity("alkalinity", f"{place}/alkalinity")
    ph = tree.quantity("ph", f"{place}/ph")
    return house_water(
        name,
        {ion: _estimate(found) for ion, found in ions.items() if ion not in _CARBONATES},
        basis,
        alkalinity=_of_carbonates(ions) if alkalinity is None else _estimate(alkalinity),
        ph=None if ph is None else Estimate(ph.value, _known(ph.sd, UNSTATED_PH_SPREAD)),
        title=_title(tree, place),
    )


_CARBONATES = ("bicarbonate", "carbonate")


def _estimate(found: Quantity) -> Estimate:
    assumed = hypot(UNSTATED_SPREAD * found.value, found.resolution / _ROOT_3)
    return Estimate(found.value, _known(found.sd, assumed))


def _known(stated: float | None, assumed: float) -> float:
    return assumed if stated is None else stated


def _of_carbonates(ions: dict[str, Quantity]) -> Estimate | None:
    """The alkalinity that bicarbonate and carbonate make [mg/L as CaCO3]."""
    parts = [
        (_estimate(ions[ion]), CALCIUM_CARBONATE_EQUIVALENT / IONS[ion].equivalent_weight)
        for ion in _CARBONATES
        if ion in ions
    ]
    if not parts:
        return None
    return Estimate(
        sum(factor * part.value for part, factor in parts),
        hypot(*(factor * part.sd for part, factor in parts)),
    )
