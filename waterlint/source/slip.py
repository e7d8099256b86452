"""A slip of the pen: where it stands, what it is, and what to write instead."""

from __future__ import annotations

import re

from waterlint.records import Record
from waterlint.source.lines import Lines

_WORD = re.compile(r"[^\s,\[\]{}]+|[,\[\]{}]")


class Slip(Record):
    """The place of a slip, what it is, and what to write instead."""

    start: int
    end: int
    message: str
    help: str


def word_at(text: str, offset: int) -> tuple[int, int]:
    """The place of the word or the sign that starts at an offset; empty at the end of a line."""
    match = _WORD.match(text, offset)
    return (offset, offset) if match is None else match.span()


def line_of(lines: Lines, offset: int) -> tuple[int, str]:
    """The start and the text of the line that an offset is in."""
    number = lines.position(offset)[0]
    return lines.starts[number - 1], lines.line(number)
