"""Escapes in double quotes that stand for what may not stand in a text.

``"\\ud800"`` is half a character, which no file and no terminal can take, and ``"\\e"`` starts
a command to a terminal. Neither has a place in a recipe.
"""

from __future__ import annotations

import re

_UNFIT = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff\ufeff\ufffe\uffff]"
)
_ESCAPE = re.compile(
    r"\\(?:x(?P<x>[0-9A-Fa-f]{2})|u(?P<u>[0-9A-Fa-f]{4})|U(?P<U>[0-9A-Fa-f]{8})|(?P<letter>.))",
    re.DOTALL,
)
#: The escapes by letter that stand for an unfit character (YAML 1.2.2, section 5.7).
_UNFIT_LETTERS = frozenset("0abvfeNLP")


def is_unfit(value: str) -> bool:
    """Whether a value has characters that its text can only have as escapes."""
    return _UNFIT.search(value) is not None


def without_unfit(value: str) -> str:
    """The value with the replacement character U+FFFD for each unfit one."""
    return _UNFIT.sub("\ufffd", value)


def find_unfit_escape(text: str, start: int, end: int) -> tuple[int, int]:
    """The place of the first escape between two offsets that stands for an unfit character."""
    for match in _ESCAPE.finditer(text, start, end):
        letter = match["letter"]
        if letter is not None:
            if letter in _UNFIT_LETTERS:
                return match.span()
        elif is_unfit(chr(int(match["x"] or match["u"] or match["U"], 16))):
            return match.span()
    return start, end
