"""What a plain text means in the YAML 1.2 core schema.

References
----------
YAML 1.2.2, section 10.3.2 (tag resolution of the core schema).
"""

from __future__ import annotations

import re
from typing import cast

from waterlint.source.nodes import Kind

_CORE = re.compile(
    r"(?P<null>null|Null|NULL|~|)"
    r"|(?P<bool>true|True|TRUE|false|False|FALSE)"
    r"|(?P<int>[-+]?[0-9]+|0o[0-7]+|0x[0-9a-fA-F]+)"
    r"|(?P<float>[-+]?(?:\.[0-9]+|[0-9]+(?:\.[0-9]*)?)(?:[eE][-+]?[0-9]+)?"
    r"|[-+]?\.(?:inf|Inf|INF)|\.(?:nan|NaN|NAN))"
)
_POSSIBLE_STARTS = frozenset("nN~tTfF+-.0123456789")


def kind_of(text: str) -> Kind:
    """The kind that the core schema resolves a plain (unquoted) text to.

    Examples
    --------
    >>> [kind_of(text) for text in ("", "no", "010", "1e999", ".nan", "15.5 L", "true")]
    ['null', 'str', 'int', 'float', 'float', 'str', 'bool']
    """
    if text and (text[0] not in _POSSIBLE_STARTS or " " in text):
        return "str"
    match = _CORE.fullmatch(text)
    return "str" if match is None else cast(Kind, match.lastgroup)
