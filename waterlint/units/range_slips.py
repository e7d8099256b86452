"""Slips in ranges, and ranges where a value is expected."""

from __future__ import annotations

import re

from waterlint.units.attempt import Attempt, shown
from waterlint.units.quantity import QuantityError

_NUMBER = r"[0-9]+(?:\.[0-9]+)?"
# As in `number_slips.py` compiled when first looked for.
_TWO = rf"(?i)^({_NUMBER}) ?(?:\.{{3,}}|…|[-–—]|to|and) ?({_NUMBER})(?P<unit>[^0-9].*|)$"
_AT_MOST = rf"(?i)^(?:<=?|≤|max\.?|at most|up to|below|under) ?({_NUMBER})(?P<unit>[^0-9].*|)$"
_AT_LEAST = rf"(?i)^(?:>=?|≥|min\.?|at least|from|above|over) ?({_NUMBER})(?P<unit>[^0-9].*|)$"
_UNIT_TWICE = rf"^({_NUMBER}) ?(?P<first>[^0-9.±+ ][^±]*?) ?(?P<middle>±|\+/-|\.\.) ?({_NUMBER}.*)$"


def unit_twice(attempt: Attempt) -> QuantityError | None:
    """The unit after the first number, and perhaps after the second."""
    match = re.match(_UNIT_TWICE, attempt.text)
    if match is None:
        return None
    rest = match[4] if re.search(r"[^0-9. ]", match[4]) else f"{match[4]} {match['first']}"
    return attempt.error(
        f"{shown(attempt.text)} has its unit in front of {match['middle']}",
        guess=f"{match[1]} {match['middle']} {rest}",
    )


def range_for_value(attempt: Attempt) -> QuantityError | None:
    """A range where one value is expected."""
    text = attempt.text
    if attempt.is_range or not (re.match(_TWO, text) or ".." in text):
        return None
    return attempt.error(f"{shown(text)} is a range, and one value is expected here")


def range_otherwise(attempt: Attempt) -> QuantityError | None:
    """A range in other words: ``5.2-5.7``, ``max. 100 mg/L``, ``at least 50 mg/L``."""
    for pattern, form in (
        (_TWO, "{0} .. {1}{unit}"),
        (_AT_MOST, ".. {0}{unit}"),
        (_AT_LEAST, "{0} ..{unit}"),
    ):
        match = re.match(pattern, attempt.text)
        if match is not None:
            unit = match["unit"].strip()
            numbers = match.groups()[:-1]
            guess = form.format(*numbers, unit=f" {unit}" if unit else "")
            return attempt.error(
                f"{shown(attempt.text)} is not how this format writes a range", guess=guess
            )
    return None


def value_for_range(attempt: Attempt, number: str, unit: str) -> QuantityError:
    """One value where a range is expected."""
    unit = f" {unit}" if unit else ""
    return attempt.error(
        f"{shown(attempt.text)} is one value, and a range is expected here",
        f"Write both limits, for example `{attempt.example()}`, or one: `.. {number}{unit}` for at "
        f"most, `{number} ..{unit}` for at least.",
    )
