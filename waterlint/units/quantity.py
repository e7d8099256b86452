"""What a written quantity becomes: a value, a range, or a word on what is wrong with it."""

from __future__ import annotations

from waterlint.hints import Final
from waterlint.records import Record

MOST_DIGITS: Final = 12
"""Digits of a number, both sides of the point together; no figure of a brewery has more."""

MOST_LETTERS: Final = 100
"""Letters of a text that is looked at; no quantity has forty, and a megabyte takes seconds."""


class Quantity(Record):
    """A number in the canonical unit of its kind.

    Attributes
    ----------
    value : float
        The value [`unit`].
    unit : str
        The canonical unit: ``L``, ``g``, ``mL``, ``g/L``, ``mL/L``, ``mg/L``,
        ``mg/L as CaCO3``, ``µS/cm``, ``SRM``, ``EBC``, ``°C``, ``min``, ``%``, ``mm``, ``g/mL``,
        ``mEq/kg``, ``mEq/kg/pH``, ``months``, or empty for pH, ratios and counts.
    sd : float or None
        One standard deviation as written (``± 3``), or `None` where nothing is stated [`unit`].
    text : str
        What was written.
    resolution : float
        Half a unit of the last digit written [`unit`]; a report rounds its figures.
    """

    value: float
    unit: str
    sd: float | None = None
    text: str = ""
    resolution: float = 0.0


class Range(Record):
    """A lower and an upper limit in a canonical unit; `None` where that side is open."""

    low: float | None
    high: float | None
    unit: str
    text: str = ""


class QuantityError(ValueError):
    """A text that is no quantity of the wanted kind.

    Attributes
    ----------
    message : str
        What is wrong.
    help : str
        What to write instead.
    suggestion : str or None
        The corrected text, where only one thing can have been meant.
    """

    def __init__(self, message: str, help: str, suggestion: str | None = None) -> None:
        super().__init__(message)
        self.message = message
        self.help = help
        self.suggestion = suggestion
