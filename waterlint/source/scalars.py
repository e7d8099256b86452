"""What a plain text means in the YAML 1.2 core schema.

References
----------
YAML 1.2.2, section 10.3.2 (tag resolution of the core schema).
"""

from __future__ import annotations

import re
from functools import lru_cache

from waterlint.hints import cast
from waterlint.source.nodes import Kind

_CORE = (
    r"(?P<null>null|Null|NULL|~|)"
    r"|(?P<bool>true|True|TRUE|false|False|FALSE)"
    r"|(?P<int>[-+]?[0-9]+|0o[0-7]+|0x[0-9a-fA-F]+)"
    r"|(?P<float>[-+]?(?:\.[0-9]+|[0-9]+(?:\.[0-9]*)?)(?:[eE][-+]?[0-9]+)?"
    r"|[-+]?\.(?:inf|Inf|INF)|\.(?:nan|NaN|NAN))"
)
_WORDS = frozenset(("null", "Null", "NULL", "true", "True", "TRUE", "false", "False", "FALSE"))
#: The letters of all that is no text, but for words.
_OF_NUMBERS = frozenset("0123456789abcdefABCDEFxo.+-~inIN")
_POSSIBLE_STARTS = frozenset("nN~tTfF+-.0123456789")


@lru_cache(maxsize=1)
def _core() -> re.Pattern[str]:
    # Compiled when asked for: most texts are told apart without it.
    return re.compile(_CORE)


def kind_of(text: str) -> Kind:
    """The kind that the core schema resolves a plain (unquoted) text to.

    Examples
    --------
    >>> [kind_of(text) for text in ("", "no", "010", "1e999", ".nan", "15.5 L", "true")]
    ['null', 'str', 'int', 'float', 'float', 'str', 'bool']
    """
    if text and (text[0] not in _POSSIBLE_STARTS or " " in text):
        return "str"
    if text and text.isascii():
        whole, point, part = text.partition(".")
        if whole.isdigit() and not point:
            return "int"
        if whole.isdigit() and (part.isdigit() or not part):
            return "float"
        if not _OF_NUMBERS.issuperset(text) and text not in _WORDS:
            return "str"
        if "-" in text[1:] and "e" not in text and "E" not in text:
            return "str"  # a day: within a number a minus stands in an exponent only
    match = _core().fullmatch(text)
    return "str" if match is None else cast(Kind, match.lastgroup)
