"""Slips in the unit of a quantity, and what was probably meant."""

from __future__ import annotations

import re

from waterlint.hints import Final
from waterlint.units.attempt import Attempt, either, shown
from waterlint.units.concentration import bases, find_base, split_basis, substance_of
from waterlint.units.quantity import QuantityError
from waterlint.units.table import KINDS, find_unit, spelled

_WHICH: Final = {
    "gal": ("US gal", "imp gal"),
    "gals": ("US gal", "imp gal"),
    "gallon": ("US gal", "imp gal"),
    "gallons": ("US gal", "imp gal"),
    "g/gal": ("g/US gal",),
    "qt": ("US qt",),
    "qts": ("US qt",),
    "bbl": ("US bbl",),
}
"""Units that are not the same everywhere, with those that are accepted."""

_OTHERWISE: Final = {
    "liter": "L",
    "liters": "L",
    "litre": "L",
    "litres": "L",
    "ltr": "L",
    "milliliter": "mL",
    "milliliters": "mL",
    "millilitre": "mL",
    "millilitres": "mL",
    "us gallon": "US gal",
    "us gallons": "US gal",
    "imperial gallon": "imp gal",
    "imperial gallons": "imp gal",
    "uk gal": "imp gal",
    "gram": "g",
    "grams": "g",
    "gr": "g",
    "kilo": "kg",
    "kilos": "kg",
    "kgs": "kg",
    "ounce": "oz",
    "ounces": "oz",
    "pound": "lb",
    "pounds": "lb",
    "lbs": "lb",
    "minute": "min",
    "minutes": "min",
    "mins": "min",
    "hour": "h",
    "hours": "h",
    "hr": "h",
    "hrs": "h",
    "percent": "%",
    "per cent": "%",
    "celsius": "°C",
    "fahrenheit": "°F",
    "lovibond": "°L",
    "mval/l": "mEq/L",
    "g/cm3": "g/mL",
    "g/cm³": "g/mL",
    "kg/l": "g/mL",
}
"""Other ways to write a unit, with the one of this format."""

_LONGEST: Final = 60
"""Letters of a text that is compared with units, at each of their spellings; the longest unit has
some 20."""

_FORMULA = "Ca|Mg|CaCO3|HCO3|SO4|S|NO3|NO2|N|Cl2|NH2Cl|NH4"
# As in `number_slips.py` compiled when first looked for.
_WITHOUT_AS = rf"(?i)^(mg/L|µg/L|ug/L|ppm)[ -]\(?(?:as )?({_FORMULA})\)?$"
_WITHIN = rf"(?i)^(mg|µg|ug) ?({_FORMULA}) ?/ ?L$"


def unit_slip(attempt: Attempt, number: str, unit: str) -> QuantityError:
    """The fault of a text whose number reads and whose unit does not.

    Parameters
    ----------
    attempt : Attempt
    number : str
        All that stands before the unit.
    unit : str
        As written; empty where none stands.
    """
    if attempt.kind.bare:
        return attempt.error(
            f"{shown(attempt.text)} has a unit, and {attempt.kind.noun} has none", guess=number
        )
    if not unit:
        return attempt.error(f"{shown(attempt.text)} has no unit")
    if len(unit) > _LONGEST:
        return attempt.error(f"{shown(unit)} is no unit of {attempt.kind.bare_noun}")
    which = _WHICH.get(spelled(unit))
    if which is not None and attempt.guess(f"{number} {which[0]}") is not None:
        choices = either([f"`{number} {each}`" for each in which])
        return attempt.error(
            f"{shown(unit)} is not the same everywhere", f"Say which one is meant: {choices}."
        )
    otherwise = _OTHERWISE.get(spelled(unit))
    if otherwise is not None and attempt.guess(f"{number} {otherwise}") is not None:
        return attempt.error(
            f"{shown(unit)} is not how this format writes the unit", guess=f"{number} {otherwise}"
        )
    return (_chemical(attempt, number, unit) if attempt.kind.chemical else None) or _foreign(
        attempt, number, unit
    )


def _chemical(attempt: Attempt, number: str, unit: str) -> QuantityError | None:
    rewritten = re.sub(_WITHIN, r"\1/L as \2", re.sub(_WITHOUT_AS, r"\1 as \2", unit))
    if rewritten != unit and attempt.guess(f"{number} {rewritten}"):
        return attempt.error(
            f"{shown(unit)} is not how this format says what was counted",
            guess=f"{number} {rewritten}",
        )
    base, basis = split_basis(rewritten)
    symbol = find_base(attempt.kind, attempt.substance, base)
    name, what = substance_of(attempt.kind, attempt.substance)
    if symbol is None:
        if find_base(attempt.kind, "calcium", base) is None:
            return None
        return attempt.error(f"{shown(unit)} says nothing about {name or 'this figure'}")
    if basis is None:
        return None
    if basis in {spelled(each) for each in bases(what)}:
        return attempt.error(f"{symbol} already says what was counted", guess=f"{number} {symbol}")
    if not bases(what):
        return attempt.error(f"{name or 'this figure'} takes no `as`", guess=f"{number} {symbol}")
    choices = either([f"`as {each}`" for each in bases(what)])
    return attempt.error(
        f"{shown(unit[-len(basis) - 3 :])} is no way to count {name}",
        f"Write {choices}; without it, as {what.formula} is meant.",
    )


def _foreign(attempt: Attempt, number: str, unit: str) -> QuantityError:
    """A unit of another kind of quantity, or of none."""
    help = attempt.accepted()
    for divisor in ("/L", "/cm", "/kg"):
        if attempt.guess(f"{number} {unit}{divisor}") is not None:
            help = f"Did you mean {shown(f'{number} {unit}{divisor}')}? {help}"
    for kind in KINDS.values():
        known = find_unit(kind, unit) is not None
        if kind.chemical:
            known = find_base(kind, "calcium", split_basis(unit)[0]) is not None
        if known and kind is not attempt.kind:
            return attempt.error(
                f"{shown(unit)} is a unit of {kind.bare_noun}, and {attempt.kind.noun} is expected "
                "here",
                help,
            )
    return attempt.error(f"{shown(unit)} is no unit of {attempt.kind.bare_noun}", help)
