"""Slips in the numbers of a quantity, and what was probably meant.

Each function looks for one slip and gives its error, or `None` where the text has another fault.
"""

from __future__ import annotations

import re

from waterlint.hints import Final
from waterlint.units.attempt import Attempt, shown
from waterlint.units.quantity import MOST_DIGITS, QuantityError

# Compiled when first looked for, and kept by `re`: compiling all takes as long as reading a recipe.
_SPOON = (
    r"(?i)\b(tea ?spoons?|table ?spoons?|tsp|tbsp|spoons?|spoonfuls?|pinch(es)?|dash(es)?|cups?"
    r"|drops?|handfuls?|tablets?|scoops?)\b"
)
_COMMA = r"(?<=[0-9]),(?=[0-9])"
_THREE_AFTER_COMMA = r"(?<![0-9.,])([1-9][0-9]{0,2}),([0-9]{3})(?![0-9.,])"
_GROUPED = (
    r"(?<![0-9.,])[1-9][0-9]{0,2}"
    r"(?:(?:,[0-9]{3})+\.[0-9]+|(?:,[0-9]{3}){2,}|(?:[ '’_][0-9]{3})+(?:\.[0-9]+)?)(?![0-9.,])"
)
_GROUPED_BY_POINTS = r"(?<![0-9.,])[1-9][0-9]{0,2}(?:\.[0-9]{3})+,[0-9]+(?![0-9.,])"
_EXPONENT = r"(?<![0-9.])(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)[eE][+-]?[0-9]+(?![0-9.])"
_FRACTION = r"[0-9] ?[/⁄] ?[0-9]|[½⅓⅔¼¾⅛]"
_POINT_FIRST = r"(?<![0-9.])\.(?=[0-9])"
_POINT_LAST = r"(?<=[0-9])\.(?![0-9.])"
_SIGN = r"(?:^|(?<=\.\. )|(?<=\.\.))[+\-−–] ?(?=[0-9.])"
_NUMBER = r"[0-9][0-9.]*"
_WORD_IN_FRONT = r"^(?:[^\W\d_]+\.?|[~≈=]|pH ?=?)(?: [^\W\d_]+)? ?(?=[0-9.])"


def nothing(attempt: Attempt) -> QuantityError | None:
    """An empty text."""
    return None if attempt.text else attempt.error("nothing is written here")


def spoon(attempt: Attempt) -> QuantityError | None:
    """Kitchen measures."""
    match = re.search(_SPOON, attempt.text)
    if match is None:
        return None
    return attempt.error(
        f"{shown(attempt.text)} is no quantity: a {match.group().lower()} holds more or less "
        "by grain, moisture and hand",
        "Weigh it and write the mass, for example `1.2 g`; a liquid also goes by volume, `6 mL`.",
    )


def comma(attempt: Attempt) -> QuantityError | None:
    """A decimal comma, or commas between thousands."""
    text = attempt.text
    if not re.search(_COMMA, text):
        return None
    grouped = re.sub(
        _GROUPED_BY_POINTS, lambda match: match.group().replace(".", "").replace(",", "."), text
    )
    grouped = re.sub(_GROUPED, lambda match: match.group().replace(",", ""), grouped)
    if grouped != text:
        return attempt.error(
            f"{shown(text)} groups its digits, which this format does not read", guess=grouped
        )
    as_point = re.sub(_COMMA, ".", text)
    if re.search(_THREE_AFTER_COMMA, text):
        as_thousands = re.sub(_THREE_AFTER_COMMA, r"\1\2", text)
        return attempt.error(
            f"the comma in {shown(text)} could stand for a point or for thousands",
            f"Write {shown(as_point)} or {shown(as_thousands)}.",
        )
    return attempt.error(f"{shown(text)} has a decimal comma", guess=as_point)


def grouped_digits(attempt: Attempt) -> QuantityError | None:
    """Blanks or apostrophes between thousands."""
    repaired = re.sub(_GROUPED, lambda match: re.sub(r"[ '’_]", "", match.group()), attempt.text)
    if repaired == attempt.text:
        return None
    return attempt.error(f"{shown(attempt.text)} groups its digits", guess=repaired)


def exponent(attempt: Attempt) -> QuantityError | None:
    """A number with an exponent."""
    match = re.search(_EXPONENT, attempt.text)
    if match is None:
        return None
    value = float(match.group())
    plain = f"{value:.12f}".rstrip("0").rstrip(".") if value < 10.0**MOST_DIGITS else ""
    return attempt.error(
        f"{shown(attempt.text)} has an exponent",
        guess=re.sub(_EXPONENT, plain, attempt.text, count=1) if plain else None,
    )


def fraction(attempt: Attempt) -> QuantityError | None:
    """A vulgar fraction."""
    if not re.search(_FRACTION, attempt.text):
        return None
    return attempt.error(
        f"{shown(attempt.text)} has a fraction",
        f"Write a plain decimal, `0.5` for a half. {attempt.accepted()}",
    )


def bare_point(attempt: Attempt) -> QuantityError | None:
    """A point without a digit on both sides."""
    repaired = re.sub(_POINT_LAST, "", re.sub(_POINT_FIRST, "0.", attempt.text))
    if repaired == attempt.text:
        return None
    return attempt.error(
        f"{shown(attempt.text)} has a point without a digit on both sides", guess=repaired
    )


def sign(attempt: Attempt) -> QuantityError | None:
    """A number with a sign."""
    match = re.search(_SIGN, attempt.text)
    if match is None or (attempt.kind.signed and match.group()[0] != "+"):
        return None
    if match.group()[0] == "+":
        return attempt.error(
            f"{shown(attempt.text)} has a sign", guess=re.sub(_SIGN, "", attempt.text)
        )
    return attempt.error(
        f"{shown(attempt.text)} is negative, and {attempt.kind.noun} is zero or more"
    )


def too_long(attempt: Attempt) -> QuantityError | None:
    """More digits than any figure has."""
    if all(len(n.replace(".", "")) <= MOST_DIGITS for n in re.findall(_NUMBER, attempt.text)):
        return None
    return attempt.error(
        f"{shown(attempt.text)} has a number of more than {MOST_DIGITS} digits",
        f"Round it. {attempt.accepted()}",
    )


def no_number(attempt: Attempt) -> QuantityError | None:
    """A text without a digit."""
    if re.search(_NUMBER, attempt.text):
        return None
    help = attempt.accepted()
    if attempt.kind.traces and not attempt.is_range:
        help += " What was not detected is written with its limit, `< 0.02 mg/L`."
    return attempt.error(f"{shown(attempt.text)} has no number", help)


def below_otherwise(attempt: Attempt) -> QuantityError | None:
    """Other signs for what was not detected."""
    match = re.match(r"(?:<=|=<|≤|<<) ?", attempt.text)
    if match is None or attempt.is_range:
        return None
    return attempt.error(
        f"{shown(attempt.text)} does not begin with its number",
        guess=f"< {attempt.text[match.end() :]}",
    )


def word_in_front(attempt: Attempt) -> QuantityError | None:
    """A word or a sign before the number: ``ca. 15 L``, ``pH 5.4``."""
    match = re.match(_WORD_IN_FRONT, attempt.text)
    if match is None:
        return None
    return attempt.error(
        f"{shown(attempt.text)} does not begin with its number",
        guess=attempt.text[match.end() :],
    )


NUMBER_SLIPS: Final = (
    nothing,
    spoon,
    comma,
    grouped_digits,
    exponent,
    fraction,
    bare_point,
    sign,
    too_long,
    no_number,
    below_otherwise,
)
"""Looked for in every text, in this order."""
