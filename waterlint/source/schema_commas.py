"""Decimal commas in braces, where YAML takes the comma for the end of a value.

``{volume: 15,5 L}`` reads as a volume of ``15`` and a key ``5 L`` without value. Both are told
as one fault: a quantity with a decimal comma.
"""

from __future__ import annotations

import re

from waterlint.hints import Final
from waterlint.source.nodes import Mapping, Node, Scalar
from waterlint.source.schema_cascades import UNKNOWN_KEY
from waterlint.source.schema_fields import Path, Schema, field_at
from waterlint.source.schema_reading import read_quantity
from waterlint.source.schema_validator import Violation
from waterlint.units import QuantityError

#: The rest of a quantity behind a comma that no blank follows, up to what ends it in braces.
_REST: Final = re.compile(r"(?:,[0-9][^,:{}\[\]#\r\n]*)+(?=[,}\r\n])")


def join_at_commas(found: list[Violation], root: Node, schema: Schema) -> list[Violation]:
    """Put quantities together again that a comma has cut, and judge them whole."""
    suspects = {
        violation.path if violation.keyword == UNKNOWN_KEY else violation.path[:-1]
        for violation in found
        if violation.keyword == UNKNOWN_KEY or violation.error is not None
    }
    joined: dict[Path, Violation] = {}
    parts: set[tuple[Path, str]] = set()
    for path in suspects:
        mapping = _at(root, path)
        if not isinstance(mapping, Mapping):
            continue
        entries = list(mapping.entries.items())
        for number, (key, entry) in enumerate(entries):
            field = field_at(schema, (*path, key))
            violation = _joined(entry.value, (*path, key), field)
            if violation is None or violation.end is None:
                continue
            joined[violation.path] = violation
            for other, following in entries[number + 1 :]:
                if following.key_start >= violation.end:
                    break
                parts.add((path, other))
    kept = [violation for violation in found if not _is_told(violation, joined, parts)]
    return [*kept, *joined.values()]


def _is_told(
    violation: Violation, joined: dict[Path, Violation], parts: set[tuple[Path, str]]
) -> bool:
    """Whether a violation is about a quantity that was put together, or about its rest."""
    path = violation.path
    is_rest = bool(path) and (path[:-1], path[-1]) in parts
    return is_rest or path in joined or (path, violation.detail) in parts


def _joined(value: Node, path: Path, field: Schema) -> Violation | None:
    """The fault of a quantity that goes on behind a comma."""
    wanted = field.get("quantity")
    # A day has no comma to be cut at.
    if wanted is None or wanted["kind"] == "date" or not isinstance(value, Scalar):
        return None
    if not value.plain or value.kind == "null":
        return None
    text = value.lines.text
    rest = _REST.match(text, value.end)
    if rest is None or not text[value.end - 1 : value.end].isdecimal():
        return None
    whole = text[value.start : rest.end()].rstrip()
    try:
        read_quantity(whole, wanted)
    except QuantityError as error:
        return Violation("quantity", path, field, error=error, end=value.start + len(whole))
    return None


def _at(root: Node, path: Path) -> Node | None:
    node: Node | None = root
    for step in path:
        if isinstance(node, Mapping) and isinstance(step, str):
            entry = node.entries.get(step)
            node = None if entry is None else entry.value
        else:
            items = getattr(node, "items", None)
            node = items[step] if isinstance(items, list) and isinstance(step, int) else None
    return node
