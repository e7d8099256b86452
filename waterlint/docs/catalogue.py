"""The catalogue as a page: every number with where it comes from."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from waterlint.catalog.acids import Density, density, strength_range
from waterlint.catalog.additives import ADDITIVES, Additive
from waterlint.catalog.limit import Limit
from waterlint.catalog.limits import GENERAL
from waterlint.catalog.malts import MALT_KINDS, MaltKind
from waterlint.catalog.styles import STYLES, Style, attribution
from waterlint.catalog.waters import WATERS, KnownWater
from waterlint.chemistry.malts import MALT_CLASSES
from waterlint.docs.markdown import flat, table
from waterlint.rules.wording import in_range

#: The ranges that styles have, with their columns.
_RANGES = {
    "calcium": "calcium, mg/L",
    "chloride_to_sulfate": "chloride to sulfate",
    "sulfate": "sulfate, mg/L",
    "sodium": "sodium, mg/L",
    "mash_ph": "mash pH",
}


class _Notes:
    """The bases of a table, each told once below it under a number."""

    def __init__(self) -> None:
        self._numbers: dict[str, int] = {}

    def mark(self, basis: str) -> str:
        """The number of a basis, in brackets."""
        return rf"\[{self._numbers.setdefault(basis, len(self._numbers) + 1)}\]"

    def lines(self) -> Iterator[str]:
        """What the numbers stand for."""
        yield ""
        yield "Where the numbers come from:"
        yield ""
        yield from (f"{number}. {flat(basis)}" for basis, number in self._numbers.items())
        yield ""


def catalogue_page() -> str:
    """All that is known before a recipe is read."""
    parts = (_styles(), _additives(), _densities(), _malts(), _waters(), _limits())
    return "\n".join(["# The catalogue", "", *(line for part in parts for line in part)])


def _styles() -> Iterator[str]:
    notes = _Notes()
    rows = [_style_row(style, notes) for style in STYLES.values()]
    yield from ("## Styles", "", flat(attribution()), "")
    yield "Where a cell is empty, or a figure has no column, the general limits below hold. Under"
    yield "“not judged” stands what is no fault in the style."
    yield ""
    yield from table(
        ("`style`", "name", "leans on", "colour, SRM", *_RANGES.values(), "not judged"), rows
    )
    yield from notes.lines()


def _style_row(style: Style, notes: _Notes) -> tuple[str, ...]:
    low, high = style.srm
    unchecked = sorted(each.replace("_", " ") for each in style.unchecked)
    if style.soft:
        unchecked.append("soft water")
    return (
        f"`{style.key}`",
        flat(style.name),
        style.emphasis,
        f"{low:g} to {high:g} {notes.mark(style.basis)}",
        *(
            f"{_bounds(style.limits[each])} {notes.mark(style.limits[each].basis)}"
            if each in style.limits
            else ""
            for each in _RANGES
        ),
        ", ".join(unchecked),
    )


def _bounds(limit: Limit) -> str:
    return in_range(*("" if side is None else f"{side:g}" for side in (limit.low, limit.high)))


def _additives() -> Iterator[str]:
    notes = _Notes()
    rows = [row for additive in ADDITIVES.values() for row in _additive_rows(additive, notes)]
    yield from ("## Additives", "")
    head = ("`add`", "`form`", "state", "strength", "dissolves cold, g/L", "hot, g/L", "basis")
    yield from table(head, rows)
    yield from notes.lines()


def _additive_rows(additive: Additive, notes: _Notes) -> Iterator[tuple[str, ...]]:
    cold, hot = additive.solubility_g_per_l, additive.solubility_hot_g_per_l
    solubility = notes.mark(additive.solubility_basis) if additive.solubility_basis else ""
    for form in additive.forms.values():
        yield (
            f"`{additive.name}`",
            f"`{form.name}`",
            form.state,
            "must be stated" if form.strength_required else "may be stated",
            "" if cold is None else f"{cold:g} {solubility}",
            "" if hot is None else f"{hot:g} {solubility}",
            f"{notes.mark(additive.basis)} {notes.mark(form.basis)}",
        )


def _densities() -> Iterator[str]:
    notes = _Notes()
    names = [name for name in ADDITIVES if strength_range(name) is not None]
    rows = [
        (
            f"{strength} %",
            *(_density(density(name, strength), notes) for name in names),
        )
        for strength in range(10, 100, 10)
    ]
    yield from ("## Densities of solutions", "", "In g/mL, by strength in percent by mass.", "")
    yield from table(("strength", *(f"`{name}`" for name in names)), rows)
    yield from notes.lines()


def _density(found: Density | None, notes: _Notes) -> str:
    return "" if found is None else f"{found.value:.3f} {notes.mark(found.basis)}"


def _malts() -> Iterator[str]:
    yield from ("## Kinds of malt", "")
    yield "What holds for the mash pH where the lot's own measurements are not given: the pH of the"
    yield "malt's mash in distilled water at 4 L/kg, or its acidity to pH 5.7, and its buffering."
    yield ""
    head = ("`kind`", "what", "where", "pH", "acidity, mEq/kg", "buffer, mEq/kg/pH", "basis")
    yield from table(head, [_malt_row(kind) for kind in MALT_KINDS.values()])
    yield ""


def _malt_row(kind: MaltKind) -> tuple[str, ...]:
    where = "base malt" if kind.base else "in the mash" if kind.in_mash else "outside the mash"
    known = MALT_CLASSES.get(kind.name)
    if known is None:
        return (f"`{kind.name}`", flat(kind.title), where, "", "", "", flat(kind.basis))
    acidity = f"{known.acidity:g} + {known.acidity_per_ebc:g} per EBC"
    if not known.acidity_per_ebc:
        acidity = f"{known.acidity:g}"
    return (
        f"`{kind.name}`",
        flat(kind.title),
        where,
        "" if known.ph_di is None else f"{known.ph_di:g} ± {known.sd:g}",
        "" if known.ph_di is not None else f"{acidity}, ± {known.sd:g}",
        f"{known.buffer:.3g}",
        flat(known.basis),
    )


def _waters() -> Iterator[str]:
    yield from ("## Waters without a report", "")
    yield from table(
        ("`from`", "mg/L", "alkalinity, mg/L as CaCO3", "basis"),
        [_water_row(water) for water in WATERS.values()],
    )
    yield ""


def _water_row(water: KnownWater) -> tuple[str, ...]:
    ions = ", ".join(
        f"{ion} {each.value:g} ± {each.sd:g}" for ion, each in water.ions.items() if each.value
    )
    alkalinity = f"{water.alkalinity.value:.3g} ± {water.alkalinity.sd:.3g}"
    return (f"`{water.name}`", ions or "none", alkalinity, flat(water.basis))


def _limits() -> Iterator[str]:
    yield from ("## General limits", "")
    yield "By rule. A style's range, the house's and the recipe's targets come before them."
    yield ""
    yield from table(("rule", "limit and basis"), _limit_rows(GENERAL))
    yield ""


def _limit_rows(limits: Iterable[Limit]) -> Iterator[tuple[str, str]]:
    for limit in sorted(limits, key=lambda limit: limit.rule):
        yield f"[{limit.rule}](rules/{limit.rule}.md)", flat(limit.line)
