"""The parts of a written value or range: numbers, signs and what is left, the unit.

Taken apart by hand: to compile the patterns that say the same takes longer than to read all texts
of a recipe.
"""

from __future__ import annotations

from waterlint.hints import Final, NamedTuple

_DIGITS: Final = "0123456789"
_PLUS_MINUS: Final = ("±", "+/-", "+-")
_MINUS: Final = ("-", "−")

#: What no unit starts with: the rest of a number, or of a sign.
_NO_UNIT: Final = tuple("0123456789.,±+<>=/'’_–-")


class WrittenValue(NamedTuple):
    """``< 0.02 mg/L``, ``42 ± 3 mg/L``; `sd` is `None` where none is written."""

    below: bool
    number: str
    sd: str | None
    unit: str


class WrittenRange(NamedTuple):
    """``50 .. 110 mg/L``; a side that is open is `None`, a minus may stand in front of either."""

    low: str | None
    high: str | None
    unit: str


def split_value(text: str) -> WrittenValue | None:
    """The parts of a value, `None` if it is not written like one; any text passes for a unit.

    Examples
    --------
    >>> split_value("42 +/- 3 mg/L")
    WrittenValue(below=False, number='42', sd='3', unit='mg/L')
    """
    below = text.startswith("<")
    number, rest = _number(text[1:].removeprefix(" ") if below else text)
    if not number:
        return None
    deviation = rest.removeprefix(" ")
    for sign in _PLUS_MINUS:
        if deviation.startswith(sign):
            sd, after = _number(deviation.removeprefix(sign).removeprefix(" "))
            unit = _unit(after)
            if sd and unit is not None:
                return WrittenValue(below, number, sd, unit)
    unit = _unit(rest)
    return None if unit is None else WrittenValue(below, number, None, unit)


def split_range(text: str) -> WrittenRange | None:
    """The parts of a range, `None` if it is not written like one.

    Examples
    --------
    >>> split_range(".. 110 mg/L")
    WrittenRange(low=None, high='110', unit='mg/L')
    """
    first, dots, rest = text.partition("..")
    low, left = _signed(first)
    if not dots or left not in ("", " ") or rest.startswith("."):
        return None
    high, after = _signed(rest.removeprefix(" "))
    unit = _unit(after)
    if unit is None:
        high, unit = "", _unit(rest)
    return None if unit is None else WrittenRange(low or None, high or None, unit)


def _unit(rest: str) -> str | None:
    """The unit at the end of a text, without the blank in front; `None` for what is none."""
    unit = rest.removeprefix(" ")
    if not unit.startswith(_NO_UNIT):
        return unit
    return None if unit == rest else rest


def _signed(text: str) -> tuple[str, str]:
    """As `_number`, with a minus in front."""
    sign = text[:1] if text.startswith(_MINUS) else ""
    number, rest = _number(text.removeprefix(sign))
    return (sign + number, rest) if number else ("", text)


def _number(text: str) -> tuple[str, str]:
    """The plain decimal that a text starts with, empty for none, and what follows it."""
    rest = text.lstrip(_DIGITS)
    if rest.startswith(".") and rest != text:
        after = rest[1:].lstrip(_DIGITS)
        if len(after) < len(rest) - 1:
            rest = after
    return text[: len(text) - len(rest)], rest
