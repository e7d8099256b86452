"""The line table of a text: from character offsets to lines and columns.

Only LF, CRLF and a lone CR end a line. `str.splitlines` would also split at U+2028 and its like,
and then every later line number would differ from what an editor shows.
"""

from __future__ import annotations

import re
from array import array
from bisect import bisect_right
from collections.abc import Sequence

from waterlint.finding import Span

_LINE_END = r"\r\n|\n|\r"

#: A text of fewer characters is taken apart for each line that is asked for.
_SHORT = 20_000


class Lines:
    """Where each line of `text` starts; computed when the first place is asked for."""

    __slots__ = ("_starts", "text")

    def __init__(self, text: str) -> None:
        self.text = text
        self._starts: array[int] | None = None

    @property
    def starts(self) -> Sequence[int]:
        """The offset of the first character of each line; never empty."""
        if self._starts is None:
            # A list would take ten times the room, for every file that has findings.
            self._starts = array("L", [0])
            self._starts.extend(match.end() for match in re.finditer(_LINE_END, self.text))
        return self._starts

    def position(self, offset: int) -> tuple[int, int]:
        """The line and the column of a character offset, both from 1, in code points."""
        starts = self.starts
        line = bisect_right(starts, offset)
        return line, offset - starts[line - 1] + 1

    def span(self, start: int, end: int) -> Span:
        """The place of the characters from `start` up to, not including, `end`."""
        line, column = self.position(start)
        end_line, end_column = self.position(end)
        return Span(line, column, end_line, end_column, start, end)

    def line(self, number: int) -> str:
        """The text of a line, counted from 1, without its line end; empty past the last line."""
        if self._starts is None and len(self.text) < _SHORT and "\r" not in self.text:
            # Of most files a line or two is shown, and no table is needed for that.
            lines = self.text.split("\n")
            return lines[number - 1] if 1 <= number <= len(lines) else ""
        starts = self.starts
        if not 1 <= number <= len(starts):
            return ""
        stop = starts[number] if number < len(starts) else len(self.text)
        return self.text[starts[number - 1] : stop].rstrip("\r\n")


def line_of(lines: Lines | None, number: int) -> str | None:
    """A line of a file, counted from 1, without its line end; `None` where nothing was read."""
    return None if lines is None else lines.line(number)
