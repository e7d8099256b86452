"""The comments of a document, which the parsers do not tell."""

from __future__ import annotations

import re
from collections.abc import Iterator

from waterlint.hints import NamedTuple
from waterlint.source.lines import Lines

#: A comment starts after white space or at the start of a line, and ends with the line.
_COMMENT = r"(?<![^ \t\r\n])#[^\r\n]*"


class Comment(NamedTuple):
    """A comment: where its ``#`` stands, and its text from there to the end of the line."""

    line: int
    column: int
    text: str


def find_comments(
    lines: Lines, start: int, end: int, texts: list[tuple[int, int]]
) -> Iterator[Comment]:
    """Yield the comments between two offsets.

    `texts` are the places of the quoted and block texts, in order: a ``#`` within them is none.
    An unquoted text needs no place, since white space with a ``#`` ends it.
    """
    waiting = iter(texts)
    text = next(waiting, None)
    offset = start
    pattern = re.compile(_COMMENT)
    while (match := pattern.search(lines.text, offset, end)) is not None:
        place = match.start()
        while text is not None and text[1] <= place:
            text = next(waiting, None)
        if text is not None and text[0] <= place:
            offset = text[1]
            continue
        line, column = lines.position(place)
        yield Comment(line, column, match.group().rstrip())
        offset = match.end()
