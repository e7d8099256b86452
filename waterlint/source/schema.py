"""Whether a document is what its kind of file should be, told as findings with places.

One finding a fault: what only follows from another fault is not told. What is said about a key
comes from the schema's own words; this room knows no key of a file by name but the first.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from difflib import SequenceMatcher
from typing import Final

from waterlint.finding import Finding
from waterlint.source.document import Document, SourceFile
from waterlint.source.nodes import Mapping as MappingNode
from waterlint.source.nodes import Scalar
from waterlint.source.schema_cascades import without_consequences
from waterlint.source.schema_commas import join_at_commas
from waterlint.source.schema_fields import LIKENESS
from waterlint.source.schema_gate import fits
from waterlint.source.schema_report import Reporter
from waterlint.source.schema_validator import read_schema, schema_of, violations

#: The key that says what a file is, and the kinds there are.
KIND_KEY: Final = "waterlint"
KINDS: Final = ("recipe", "water", "config")
#: What `kind_of` calls a document that says it is something else.
UNKNOWN_KIND: Final = "unknown"


def load_schema(kind: str) -> dict[str, object]:
    """The JSON Schema of ``recipe``, ``water``, ``config`` or ``findings``.

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
    root = document.root
    if not isinstance(root, MappingNode) or not root.entries:
        return None
    first = next(iter(root.entries.values()))
    if first.key != KIND_KEY:
        return None
    if not isinstance(first.value, Scalar):
        return UNKNOWN_KIND
    word = first.value.text.partition("/")[0].strip().casefold()[:30]
    for kind in KINDS:
        if word == kind:
            return kind
    likeness = {kind: SequenceMatcher(None, word, kind).ratio() for kind in KINDS}
    nearest = max(likeness, key=lambda kind: likeness[kind])
    return nearest if likeness[nearest] >= LIKENESS else UNKNOWN_KIND


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
    if kind in KINDS and fits(kind, document.root, house):
        return []
    expected = {name: schema_of(name)["properties"][KIND_KEY]["const"] for name in KINDS}
    reporter = Reporter(document, source, schema_of(kind if kind in KINDS else KINDS[0]), house)
    if kind not in KINDS:
        return [reporter.wrong_kind(KIND_KEY, list(expected.values()))]
    first = document.find(f"/{KIND_KEY}")
    if isinstance(first, Scalar) and first.text != expected[kind]:
        return [reporter.wrong_kind(KIND_KEY, [expected[kind]])]
    found = join_at_commas(list(violations(kind, document.root)), document.root, reporter.schema)
    return reporter.findings(without_consequences(found, document, reporter.schema))
