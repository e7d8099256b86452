"""A house's own entries, each resting on a built-in one."""

from __future__ import annotations

from collections.abc import Mapping
from math import isfinite
from types import MappingProxyType

from waterlint.catalog.additives import ADDITIVES, Additive
from waterlint.catalog.catalog import CatalogError
from waterlint.catalog.emphasis import Emphasis, style_limit
from waterlint.catalog.malts import MALT_KINDS, MaltKind
from waterlint.catalog.style_overrides import Override
from waterlint.catalog.styles import Style, water_limits
from waterlint.catalog.waters import (
    CARRIED,
    REQUIRED,
    Estimate,
    KnownWater,
    closing_alkalinity,
)
from waterlint.records import replace


def house_additive(
    name: str,
    like: str,
    basis: str,
    *,
    title: str = "",
    form: str | None = None,
    strength: float | None = None,
    density: float | None = None,
) -> Additive:
    """A product the house keeps: a built-in additive of known form, strength and density.

    Parameters
    ----------
    name : str
    like : str
        The built-in additive.
    basis : str
        Such as the maker's sheet.
    title : str
        In a sentence; the name unless given.
    form : str, optional
    strength : float, optional
        [% by mass]
    density : float, optional
        [g/mL]

    Returns
    -------
    Additive

    Raises
    ------
    CatalogError
        If the additive or the form is unknown, or a figure out of range.

    Examples
    --------
    >>> liquid = house_additive("cellar-calcium", "calcium-chloride", "the maker's sheet",
    ...                         form="solution", strength=33, density=1.31)
    >>> liquid.needs_strength(), liquid.form().salt
    (False, 'calcium_chloride_anhydrous')
    """
    original = ADDITIVES.get(like)
    if original is None:
        raise CatalogError(f"{name}: there is no additive {like!r} that it could be like")
    if form is not None and form not in original.forms:
        raise CatalogError(
            f"{name}: {like} has no form {form!r}; known are {', '.join(original.forms)}"
        )
    _check(name, "strength", strength, 0.0, 100.0)
    _check(name, "density", density, 0.0, 3.0)
    chosen = original.form(form)
    return replace(
        original,
        name=name,
        title=title or name.replace("-", " "),
        state=original.state if chosen is None else chosen.state,
        forms=original.forms if form is None else MappingProxyType({form: original.forms[form]}),
        default_form=original.default_form if form is None else form,
        basis=basis,
        like=like,
        default_strength=strength,
        default_density=density,
    )


def house_malt(
    name: str,
    like: str,
    basis: str,
    *,
    title: str = "",
    color_ebc: float | None = None,
    di_ph: float | None = None,
    di_ph_sd: float | None = None,
    acidity: float | None = None,
    buffer: float | None = None,
) -> MaltKind:
    """A malt of known figures, otherwise like a built-in kind.

    Parameters
    ----------
    name, like, basis, title : str
        As in `house_additive`.
    color_ebc, di_ph, di_ph_sd, acidity, buffer : float, optional
        As in `MaltKind`.

    Raises
    ------
    CatalogError
        If the kind is unknown, or a figure out of range.
    """
    original = MALT_KINDS.get(like)
    if original is None:
        raise CatalogError(
            f"{name}: there is no malt kind {like!r}; known are {', '.join(MALT_KINDS)}"
        )
    _check(name, "color", color_ebc, 0.0, 2500.0)
    _check(name, "di_ph", di_ph, 3.0, 8.0)
    _check(name, "di_ph's spread", di_ph_sd, 0.0, 1.0)
    _check(name, "acidity", acidity, 0.0, 1000.0)
    _check(name, "buffer", buffer, 0.0, 1000.0)
    return MaltKind(
        name,
        title or name.replace("-", " "),
        original.base,
        original.in_mash,
        basis,
        like,
        color_ebc,
        di_ph,
        di_ph_sd,
        acidity,
        buffer,
    )


def house_style(
    key: str,
    emphasis: Emphasis,
    srm: tuple[float, float],
    basis: str,
    *,
    name: str = "",
    ranges: Mapping[str, tuple[float | None, float | None]] | None = None,
    unchecked: frozenset[str] = frozenset(),
    soft: bool = False,
) -> Style:
    """A style of the house: an emphasis, a colour, and ranges that differ from the emphasis's.

    Parameters
    ----------
    key : str
    emphasis : Emphasis
    srm : tuple of (float, float)
        [SRM]
    basis : str
        Of colour and ranges.
    name : str
        In a sentence; the key unless given.
    ranges : mapping of str to (low, high), optional
        By quantity, in the units of `waterlint.catalog.emphasis.RULES`.
    unchecked : frozenset of str
    soft : bool

    Raises
    ------
    CatalogError
        If the emphasis or a quantity is unknown, or a range upside down.
    """
    low, high = srm
    _check(key, "colour", low, 0.0, high)
    _check(key, "colour", high, low, 200.0)
    try:
        limits = {
            quantity: style_limit(quantity, *bounds, basis)
            for quantity, bounds in (ranges or {}).items()
        }
        merged, not_judged = water_limits(emphasis, Override(limits, unchecked, soft))
    except ValueError as error:
        raise CatalogError(f"{key}: {error}") from None
    return Style(
        key,
        name or key.replace("-", " "),
        "the house",
        "the house",
        emphasis,
        (low, high),
        merged,
        not_judged,
        soft,
        basis,
    )


def house_water(
    name: str,
    ions: Mapping[str, Estimate],
    basis: str,
    *,
    alkalinity: Estimate | None = None,
    ph: Estimate | None = None,
    title: str = "",
) -> KnownWater:
    """A water of the house that has no report file.

    Parameters
    ----------
    name : str
    ions : mapping of str to Estimate
        [mg/L]; potassium and nitrate may be left out, as in a report.
    basis : str
    alkalinity : Estimate, optional
        [mg/L as CaCO3]; what closes the charge unless given, with half of itself as spread.
    ph : Estimate, optional
    title : str

    Raises
    ------
    CatalogError
        If an ion is missing or unknown, a figure not finite or negative, or the charge cannot
        be closed.
    """
    for ion in ions:
        if ion not in CARRIED:
            raise CatalogError(
                f"{name}: {ion!r} is no ion of a water; known are {', '.join(CARRIED)}"
            )
    missing = [ion for ion in REQUIRED if ion not in ions]
    if missing:
        raise CatalogError(f"{name}: it states no {', no '.join(missing)}")
    for ion, (value, sd) in ions.items():
        _check(name, ion, value, 0.0, 100000.0)
        _check(name, f"{ion}'s spread", sd, 0.0, 100000.0)
    if alkalinity is None:
        closing = closing_alkalinity({ion: value for ion, (value, _) in ions.items()})
        if closing < 0.0:
            raise CatalogError(f"{name}: no alkalinity closes the charge; state it")
        alkalinity = Estimate(closing, 0.5 * closing)
    _check(name, "alkalinity", alkalinity.value, -1000.0, 100000.0)
    _check(name, "alkalinity's spread", alkalinity.sd, 0.0, 100000.0)
    if ph is not None:
        _check(name, "pH", ph.value, 1.0, 14.0)
        _check(name, "pH's spread", ph.sd, 0.0, 7.0)
    return KnownWater(
        name, title or name.replace("-", " "), MappingProxyType(dict(ions)), alkalinity, ph, basis
    )


def _check(name: str, what: str, value: float | None, low: float, high: float) -> None:
    if value is not None and not (isfinite(value) and low <= value <= high):
        raise CatalogError(f"{name}: {what} must lie between {low:g} and {high:g}, got {value:g}")
