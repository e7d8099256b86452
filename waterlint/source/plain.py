"""Words and values that mean the same to everybody who reads YAML, with nothing to resolve."""

from __future__ import annotations

from waterlint.hints import Final

#: Plain texts that stand for nothing.
NULLS: Final = frozenset(("", "~", "null", "Null", "NULL"))
#: Keys in plain text that are refused.
SPECIAL: Final = NULLS | {"<<"}
#: Signs that start something else than a plain value.
_SIGNS: Final = frozenset("-?:,[]{}#&*!|>'\"%@`")
_LONGEST_KEY: Final = 100


class NotPlain(Exception):
    """The text needs a parser."""


def is_word(key: str) -> bool:
    """Whether a key is a plain word of letters, digits, dashes and underscores.

    Examples
    --------
    >>> [is_word(key) for key in ("mill_gap", "reverse-osmosis", "a key", "null", "-", "")]
    [True, True, False, False, False, False]
    """
    return (
        key.replace("-", "_").isidentifier()
        and key[0] != "-"
        and key.isascii()
        and len(key) <= _LONGEST_KEY
        and key not in SPECIAL
    )


def is_plain(value: str) -> bool:
    """Whether a value without quotes is one outside of brackets, whatever stands around it.

    Examples
    --------
    >>> [is_plain(value) for value in ("15.5 L", "-0.3 °C", ".. 9", "a: b", "*a", "- a", "")]
    [True, True, True, False, False, False, False]
    """
    if ":" in value or "#" in value or not value:
        return False
    return value[0] not in _SIGNS or (value[0] == "-" and value[1:2].isdigit())


def end_of_quoted(text: str, start: int) -> int:
    """The offset behind a text in quotes that starts at `start`.

    Raises
    ------
    NotPlain
        When it does not end, or has quotes or escapes to resolve.
    """
    close = text.find(text[start], start + 1)
    if close < 0 or text[close + 1 : close + 2] == text[start] or "\\" in text[start:close]:
        raise NotPlain
    return close + 1
