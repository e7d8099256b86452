"""A line of a file with a caret under the place that is meant."""

from __future__ import annotations

from collections.abc import Callable

from waterlint.finding import Span

#: Gives a line of a file by its shown path and its number from 1, or `None`.
LineSource = Callable[[str, int], str | None]

#: A longer line is cut, so that one hostile line does not fill a terminal.
LONGEST_LINE = 160


def width_of(text: str) -> int:
    """Columns of a terminal that `text` takes: wide characters two, combining ones none."""
    return len(text) if text.isascii() else sum(_width(character) for character in text)


def _width(character: str) -> int:
    import unicodedata

    if unicodedata.combining(character) or unicodedata.category(character) in {"Cf", "Mn", "Me"}:
        return 0
    return 2 if unicodedata.east_asian_width(character) in {"W", "F"} else 1


def excerpt(line: str | None, span: Span) -> list[str]:
    """The line that `span` begins in, and a line of carets under it; empty without a line.

    A long line is cut to a window around the place that is meant.
    """
    if line is None:
        return []
    first = span.column - 1
    last = span.end_column - 1 if span.end_line == span.line else len(line)
    last = min(max(last, first + 1), max(len(line), first + 1))
    start = 0 if last <= LONGEST_LINE else max(0, first - LONGEST_LINE // 2)
    shown = line[start : start + LONGEST_LINE].replace("\t", " ")
    last = min(last, start + LONGEST_LINE)
    before = width_of(shown[: first - start])
    under = max(1, width_of(shown[first - start : last - start]))
    number = str(span.line)
    margin = " " * len(number)
    return [
        f"  {number} | {shown.rstrip()}",
        f"  {margin} | {' ' * before}{'^' * under}",
    ]
