"""What crosses from one room to another: a place in a text, and a finding about it.

Nothing else is shared between the rooms of the package.
"""

from __future__ import annotations

from waterlint.hints import Literal
from waterlint.records import Record, field

Level = Literal["note", "warning", "error"]

#: Levels from the mildest to the gravest; a position in it compares two levels.
LEVELS: tuple[Level, ...] = ("note", "warning", "error")


class Span(Record):
    """A stretch of a text.

    `line` and `column` count from 1, columns in Unicode code points; `end_column` is the
    column after the last character. `start` and `end` are code point offsets into the text
    without its byte order mark.
    """

    line: int
    column: int
    end_line: int
    end_column: int
    start: int = 0
    end: int = 0


#: The place of a finding that concerns a file as a whole.
FILE_START = Span(1, 1, 1, 1)


class Related(Record):
    """A second place that helps to understand a finding."""

    path: str
    span: Span
    message: str


class Edit(Record):
    """A replacement of the text between two code point offsets (`start` to `end`)."""

    start: int
    end: int
    replacement: str


class Fix(Record):
    """A mechanical change of the text that removes the finding without changing what is meant."""

    description: str
    edits: tuple[Edit, ...]


class Finding(Record):
    """One fault, at one place, with the figures behind it and where its limit comes from.

    `value`, its interval `value_low` to `value_high` (68 %), and the limits `low` and `high`
    are in `unit`; what does not apply is `None`.
    """

    rule: str
    level: Level
    path: str
    span: Span
    message: str
    help: str = ""
    document: int = 0
    pointer: str = ""
    quantity: str | None = None
    vessel: str | None = None
    value: float | None = None
    value_low: float | None = None
    value_high: float | None = None
    low: float | None = None
    high: float | None = None
    unit: str | None = None
    basis: str = ""
    related: tuple[Related, ...] = field(default=())
    fix: Fix | None = None
    accepted_because: str | None = None

    @property
    def order(self) -> tuple[str, int, int, int, str]:
        """The key by which findings are sorted wherever they are shown."""
        return (self.path, self.document, self.span.line, self.span.column, self.rule)
