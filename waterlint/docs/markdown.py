"""Texts for people as Markdown that shows them as they are."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence

#: What Markdown, and MyST on top of it, would take for a mark.
_MARKS = re.compile(r"([\\*_{}\[\]<>#|$~])")
_CODE = re.compile(r"(`[^`]*`)")


def flat(text: str) -> str:
    """A text on one line; what stands in backticks is code, everything else is as written."""
    parts = _CODE.split(" ".join(text.split()))
    return "".join(
        part if number % 2 else _MARKS.sub(r"\\\1", part) for number, part in enumerate(parts)
    )


def table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> Iterator[str]:
    """The lines of a table; cells are Markdown."""
    yield f"| {' | '.join(head)} |"
    yield f"| {' | '.join('---' for _ in head)} |"
    for row in rows:
        yield f"| {' | '.join(row)} |"
