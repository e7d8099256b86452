"""Where a fault against the schema is told: the value or key at fault, once for all aliases."""

from __future__ import annotations

from waterlint.finding import Related, Span
from waterlint.records import Record
from waterlint.source.nodes import Entry, Mapping, Node, Scalar, Sequence, escape
from waterlint.source.schema_fields import Path
from waterlint.source.tree import Document


class Place(Record):
    """Where a fault is told.

    Attributes
    ----------
    span : Span
    related : tuple of Related
        The anchored original, for a value reached through an alias.
    identity : int
        The same for a value and all its repetitions through aliases.
    repeated : bool
        Whether the value is such a repetition.
    """

    span: Span
    related: tuple[Related, ...]
    identity: int
    repeated: bool


class Places(Record):
    """Finds places in one document."""

    document: Document
    path: str

    def pointer(self, path: Path) -> str:
        """A path as a JSON pointer."""
        return "".join(f"/{escape(str(step))}" for step in path)

    def node(self, path: Path) -> Node:
        """The value at a path that exists."""
        node = self.document.root
        for step in path:
            if isinstance(node, Mapping) and isinstance(step, str):
                node = node.entries[step].value
            elif isinstance(node, Sequence) and isinstance(step, int):
                node = node.items[step]
        return node

    def entry(self, path: Path) -> Entry | None:
        """The key and value at a path whose last step is a key."""
        if not path or not isinstance(path[-1], str):
            return None
        parent = self.node(path[:-1])
        return parent.entries.get(path[-1]) if isinstance(parent, Mapping) else None

    def of_value(self, path: Path) -> Place:
        """A single value or a collection in brackets where it stands, else as `of_block`."""
        node = self.node(path)
        if isinstance(node, Scalar) and node.start < node.end:
            return self._place(path, node.span)
        if not isinstance(node, Scalar) and _has_brackets(node):
            return self._place(path, node.span)
        return self.of_block(path)

    def of_block(self, path: Path) -> Place:
        """The key that a value belongs to; without one, where the value begins."""
        entry, node = self.entry(path), self.node(path)
        if entry is not None:
            return self._place(path, entry.key_span)
        if isinstance(node, Mapping) and node.entries and not _has_brackets(node):
            return self._place(path, next(iter(node.entries.values())).key_span)
        return self._place(path, node.span)

    def of_key(self, path: Path) -> Place:
        """The key at the end of a path."""
        entry = self.entry(path)
        return self.of_value(path) if entry is None else self._place(path, entry.key_span)

    def _place(self, path: Path, span: Span) -> Place:
        node = self.node(path)
        identity = id(node.original or node)
        if node.via is None:
            return Place(span, (), identity, repeated=False)
        related: tuple[Related, ...] = ()
        if node.anchor is not None:
            related = (Related(self.path, node.anchor, "this is what the alias repeats"),)
        return Place(node.via, related, identity, repeated=True)


def _has_brackets(node: Node) -> bool:
    return node.lines.text[node.start : node.start + 1] in ("{", "[")
