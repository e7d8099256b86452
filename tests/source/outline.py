"""What a reading says, as plain values that two readings can be compared by."""

from __future__ import annotations

from waterlint.source.document import Mapping, Scalar, SourceFile, walk

#: Where something stands: line, column, end line, end column.
Place = tuple[int, int, int, int]


def outline(source: SourceFile) -> list[object]:
    """Everything that `source` tells: values, places, doubts, comments, findings."""
    told: list[object] = [source.text, source.has_bom]
    for document in source.documents:
        told += [document.index, document.start, document.end, sorted(document.uncertain)]
        told += document.comments
        for pointer, node in walk(document.root):
            told += [pointer, type(node).__name__, node.span, node.via, node.anchor]
            if isinstance(node, Scalar):
                told += [node.text, node.plain, node.kind]
            elif isinstance(node, Mapping):
                told += [(entry.key, entry.key_span) for entry in node.entries.values()]
    return told + list(source.findings)


def values(source: SourceFile, index: int = 0) -> dict[str, tuple[str, str]]:
    """The kind and text of every scalar of a document, by pointer."""
    return {
        pointer: (node.kind, node.text)
        for pointer, node in walk(source.documents[index].root)
        if isinstance(node, Scalar)
    }


def faults(source: SourceFile) -> list[tuple[str, int, int]]:
    """Rule, line and column of every finding."""
    return [(found.rule, found.span.line, found.span.column) for found in source.findings]


def excerpts(source: SourceFile) -> list[str]:
    """The text that every finding points at."""
    return [source.text[found.span.start : found.span.end] for found in source.findings]
