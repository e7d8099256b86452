"""Whether a document is what its kind of file should be, told as findings with places.

One finding a fault: what only follows from another fault is not told. What is said about a key
comes from the schema's own words; this room knows no key of a file by name but the first.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping

from waterlint.finding import Finding
from waterlint.hints import Final
from waterlint.source.document import Document, SourceFile
from waterlint.source.schema_gate import fits
from waterlint.source.schema_reading import KIND_KEY, KINDS, read_schema

__all__ = ["KINDS", "KIND_KEY", "UNKNOWN_KIND", "check", "kind_of", "load_schema"]

#: What `kind_of` calls a document that says it is something else.
UNKNOWN_KIND: Final = "unknown"


def load_schema(kind: str) -> dict[str, object]:
    """The JSON Schema of ``recipe``, ``water``, ``config``, ``findings``, ``compare`` or ``audit``.

    Raises
    ------
    ValueError
        If there is no such schema.

    Examples
    --------
    >>> load_schema("water")["title"]
    'Water report'
    """
    return read_schema(kind)


def kind_of(document: Document) -> str | None:
    """What a document says it is.

    Parameters
    ----------
    document : Document

    Returns
    -------
    str or None
        ``recipe``, ``water`` or ``config`` by its first key ``waterlint``, whatever the version;
        ``unknown`` where that key says something else, which `check` then tells; `None` where
        the first key is another one: the document is none of ours.
    """
    content = document.content
    if not isinstance(content, dict) or next(iter(content), None) != KIND_KEY:
        return None
    first = content[KIND_KEY]
    if not isinstance(first, tuple):
        return UNKNOWN_KIND
    word = first[0].partition("/")[0].strip().casefold()[:30]
    for kind in KINDS:
        if word == kind:
            return kind
    from waterlint.source.schema_fields import LIKENESS, likeness

    likely = {kind: likeness(word, kind) for kind in KINDS}
    nearest = max(likely, key=lambda kind: likely[kind])
    return nearest if likely[nearest] >= LIKENESS else UNKNOWN_KIND


def check(
    document: Document,
    source: SourceFile,
    kind: str,
    house: Mapping[str, Collection[str]] | None = None,
) -> list[Finding]:
    """Check a document against the schema of its kind.

    Parameters
    ----------
    document : Document
    source : SourceFile
        The file that it stands in.
    kind : str
        As `kind_of` gives it.
    house : mapping of str to collection of str, optional
        Words of the house's own that a field takes beside the format's, by the ``house`` of the
        field's schema: ``{"malts": ["moor-floor-malt"]}``.

    Returns
    -------
    list of Finding
        In the order of their places; empty for a sound document.
    """
    if kind in KINDS and fits(kind, document.content, house):
        return []
    # Only what is wrong needs the words, and a library, that say how.
    from waterlint.source.schema_faults import find_faults

    return find_faults(document, source, kind, house)
