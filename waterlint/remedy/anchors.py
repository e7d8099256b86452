"""What a text repeats through anchors: a change there would change more than is asked for."""

from __future__ import annotations

from collections.abc import Iterator

from waterlint.source.document import Document
from waterlint.source.nodes import Mapping, Node, Sequence


def is_tied(document: Document, pointer: str) -> bool:
    """Whether what stands at a pointer is an alias or within one, or is repeated by one
    elsewhere."""
    node = document.find(pointer)
    if node is None:
        return False
    if node.use is not None:
        return True
    return any(
        other.original is not None
        and other.original.start <= node.start
        and node.end <= other.original.end
        for other in _aliases(document.root)
    )


def _aliases(node: Node) -> Iterator[Node]:
    """Every value that stands for an anchored one."""
    if node.original is not None:
        yield node
        return
    values: list[Node] = []
    if isinstance(node, Mapping):
        values = [entry.value for entry in node.entries.values()]
    elif isinstance(node, Sequence):
        values = node.items
    for each in values:
        yield from _aliases(each)
