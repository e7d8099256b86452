"""Texts made fit for any format: no control characters, no half characters, whole sentences."""

from __future__ import annotations

import re
from collections.abc import Iterator

from waterlint.finding import Finding, Related
from waterlint.output.text import one_line

#: What a path may not carry into a report: control characters, other line ends, marks that turn
#: the direction of writing, half characters, and what is no character.
_UNFIT = re.compile(
    "[\x00-\x1f\x7f-\x9f\u200e\u200f\u2028-\u202e\u2066-\u2069\ud800-\udfff\ufeff\ufffe\uffff]"
)


def shown_path(path: str) -> str:
    """A path with its unfit characters shown by their escapes; spaces stay as they are."""
    return _UNFIT.sub(lambda match: ascii(match.group())[1:-1], path)


def sentences(finding: Finding) -> Iterator[str]:
    """What is wrong, what to do, and where the limit comes from: each on one line, with a stop."""
    yield sentence(finding.message or finding.rule)
    if finding.help.strip():
        yield sentence(finding.help)
    if finding.basis.strip():
        yield sentence(f"Basis: {finding.basis}")


def sentence(text: str) -> str:
    """`text` on one line, ended by a full stop where it has no end."""
    line = one_line(text)
    return line if line.endswith((".", "!", "?")) else f"{line}."


def place(finding: Finding | Related) -> str:
    """A place as `path:line:column`."""
    return f"{shown_path(finding.path)}:{finding.span.line}:{finding.span.column}"
