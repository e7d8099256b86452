"""Why a text is no quantity: every slip that is known, asked in turn."""

from __future__ import annotations

from collections.abc import Callable

from waterlint.units.attempt import Attempt, shown
from waterlint.units.grammar import split_range, split_value
from waterlint.units.number_slips import NUMBER_SLIPS, word_in_front
from waterlint.units.parsing import unit_of
from waterlint.units.quantity import MOST_LETTERS, QuantityError
from waterlint.units.range_slips import (
    range_for_value,
    range_otherwise,
    unit_twice,
    value_for_range,
)
from waterlint.units.table import Kind
from waterlint.units.unit_slips import unit_slip


def explain(
    kind: Kind, substance: str | None, text: str, reads: Callable[[str], bool]
) -> QuantityError:
    """What keeps a text from being a value; `reads` tells whether another one is one."""
    attempt = Attempt(kind, substance, text, reads)
    if len(text) > MOST_LETTERS:
        return attempt.error(f"{shown(text)} is too long for {kind.noun}")
    for slip in (*NUMBER_SLIPS, unit_twice, range_for_value):
        error = slip(attempt)
        if error is not None:
            return error
    written = split_value(text)
    if written is None:
        return word_in_front(attempt) or attempt.error(
            f"{shown(text)} cannot be read as {attempt.kind.noun}"
        )
    if unit_of(attempt.kind, attempt.substance, written.unit) is None:
        return unit_slip(attempt, text.removesuffix(written.unit).strip(), written.unit)
    if written.below:
        return attempt.error(
            f"{shown(text)} says below what was detected, and {attempt.kind.noun} is no such figure"
            if not attempt.kind.traces
            else f"{shown(text)} has both < and ±"
        )
    return attempt.error(f"{shown(text)} is no whole number")


def explain_range(
    kind: Kind, substance: str | None, text: str, reads: Callable[[str], bool]
) -> QuantityError:
    """What keeps a text from being a range."""
    attempt = Attempt(kind, substance, text, reads, is_range=True)
    if len(text) > MOST_LETTERS:
        return attempt.error(f"{shown(text)} is too long for a range of {kind.bare_noun}")
    for slip in (*NUMBER_SLIPS, unit_twice, range_otherwise):
        error = slip(attempt)
        if error is not None:
            return error
    written = split_range(text)
    if written is None:
        value = split_value(text)
        if value is not None and not value.below and value.sd is None:
            return value_for_range(attempt, value.number, value.unit)
        return word_in_front(attempt) or attempt.error(
            f"{shown(text)} cannot be read as a range of {attempt.kind.noun}"
        )
    if written.low is None and written.high is None:
        return attempt.error(f"{shown(text)} has no limit")
    if unit_of(attempt.kind, attempt.substance, written.unit) is None:
        return unit_slip(attempt, text.removesuffix(written.unit).strip(), written.unit)
    return attempt.error(
        f"the lower limit of {shown(text)} is above the upper one",
        guess=f"{written.high} .. {written.low} {written.unit}".strip(),
    )
