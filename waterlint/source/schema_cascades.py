"""Which violations of a schema are faults of their own, and which follow from another."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import islice

from waterlint.source.nodes import escape
from waterlint.source.schema_fields import (
    Path,
    Schema,
    field_at,
    known_keys,
    mentioned,
    near_words,
    other_names,
)
from waterlint.source.schema_validator import Violation
from waterlint.source.tree import Document

UNKNOWN_KEY = "additionalProperties"
MISSING_KEY = "required"
#: A mapping can violate these by several of its keys.
_BY_KEY = frozenset((UNKNOWN_KEY, MISSING_KEY, "propertyNames"))
#: Unknown keys that are compared with the known ones; a file with more is no slip of the pen.
MOST_COMPARED = 100


def without_consequences(
    found: list[Violation], document: Document, schema: Schema
) -> list[Violation]:
    """Leave out what follows from another violation or from a fault that is told already.

    Parameters
    ----------
    found : list of Violation
    document : Document
        Values that it holds for uncertain are not judged.
    schema : mapping
        The whole schema.

    Returns
    -------
    list of Violation
        At most one for each value, and one for each key that is unknown or missing.
    """
    meant = _meant_keys(found, schema)
    return _one_a_value(
        [
            violation
            for violation in found
            if not _is_uncertain(violation, document)
            and not (violation.keyword == MISSING_KEY and _is_meant(violation, meant))
        ]
    )


def candidates(schema: Schema, path: Path, key: str) -> list[str]:
    """The keys of the mapping at `path` that an unknown key may stand for, likeliest first."""
    field = field_at(schema, path)
    also = other_names(field).get(key.casefold(), [])
    return also or near_words(key, known_keys(field))


def _meant_keys(found: Iterable[Violation], schema: Schema) -> dict[Path, set[str]]:
    """By mapping with unknown keys, the keys that those may stand for."""
    meant: dict[Path, set[str]] = {}
    unknown = (violation for violation in found if violation.keyword == UNKNOWN_KEY)
    for violation in islice(unknown, MOST_COMPARED):
        near = candidates(schema, violation.path, violation.detail)
        meant.setdefault(violation.path, set()).update(near)
    return meant


def _is_meant(violation: Violation, meant: dict[Path, set[str]]) -> bool:
    """Whether a missing key is there under another name."""
    if violation.detail in meant.get(violation.path, ()):
        return True
    if violation.condition is None:
        return False
    # What a condition asks for may be missing because something that it looks at is misspelt.
    if violation.path in meant:
        return True
    places = (violation.path + place for place in mentioned(violation.condition))
    return any(place[-1] in meant.get(place[:-1], ()) for place in places)


def _is_uncertain(violation: Violation, document: Document) -> bool:
    if not document.uncertain or violation.keyword == UNKNOWN_KEY:
        return False
    paths = [violation.path]
    if violation.condition is not None:
        paths += [(*violation.path, *place)[:-1] for place in mentioned(violation.condition)]
    pointers = ("".join(f"/{escape(str(step))}" for step in path) for path in paths)
    return any(pointer in document.uncertain for pointer in pointers)


def _one_a_value(found: list[Violation]) -> list[Violation]:
    """Of the violations by one value itself, the first; those by keys all stay.

    The schemas name a value's type before all else that they ask of it.
    """
    first: dict[Path, Violation] = {}
    for violation in found:
        if violation.keyword not in _BY_KEY:
            first.setdefault(violation.path, violation)
    return [
        violation
        for violation in found
        if violation.keyword in _BY_KEY or first[violation.path] is violation
    ]
