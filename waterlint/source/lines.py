"""The line table of a text: from character offsets to lines and columns.

Only LF, CRLF and a lone CR end a line. `str.splitlines` would also split at U+2028 and its like,
and then every later line number would differ from what an editor shows.
"""

from __future__ import annotations

import re

from waterlint.finding import Span
from waterlint.hints import TYPE_CHECKING

if TYPE_CHECKING:
    from array import array
    from collections.abc import Iterable, Sequence

_LINE_END = r"\r\n|\n|\r"

#: Of a text of fewer characters the first few lines and places are counted out: a table, and the
#: libraries that make and search it, take longer.
_SHORT = 20_000
_FEW = 20


class Lines:
    """Where each line of `text` starts; computed when it is asked for."""

    __slots__ = ("_left", "_starts", "text")

    def __init__(self, text: str) -> None:
        self.text = text
        self._starts: array[int] | None = None
        self._left = _FEW if len(text) < _SHORT and "\r" not in text else 0

    @property
    def starts(self) -> Sequence[int]:
        """The offset of the first character of each line; never empty."""
        if self._starts is None:
            from array import array

            # A list would take ten times the room, for every file that has findings.
            self._starts = array("L", [0])
            self._starts.extend(match.end() for match in re.finditer(_LINE_END, self.text))
        return self._starts

    def position(self, offset: int) -> tuple[int, int]:
        """The line and the column of a character offset, both from 1, in code points."""
        if self._left > 0:
            self._left -= 1
            return self.text.count("\n", 0, offset) + 1, offset - self.text.rfind("\n", 0, offset)
        from bisect import bisect_right

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
        if self._left > 0:
            self._left -= 1
            lines = self.text.split("\n")
            return lines[number - 1] if 1 <= number <= len(lines) else ""
        starts = self.starts
        if not 1 <= number <= len(starts):
            return ""
        stop = starts[number] if number < len(starts) else len(self.text)
        return self.text[starts[number - 1] : stop].rstrip("\r\n")


class FewLines(Lines):
    """Of a text only some lines; the others are empty, and there are no offsets."""

    __slots__ = ("_kept",)

    def __init__(self, kept: Iterable[tuple[int, str]]) -> None:
        super().__init__("")
        self._kept = dict(kept)

    def line(self, number: int) -> str:
        """The text of a line that is kept, counted from 1, without its line end."""
        return self._kept.get(number, "")


def line_of(lines: Lines | None, number: int) -> str | None:
    """A line of a file, counted from 1, without its line end; `None` where nothing was read."""
    return None if lines is None else lines.line(number)
