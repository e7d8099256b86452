"""The tree of a configuration, read value by value.

A value that is wrong is left out and told. What the schema has told already is not told again.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from waterlint.finding import Finding
from waterlint.hints import TypeVar
from waterlint.source.document import Document, Mapping, Node, Scalar, Sequence, escape
from waterlint.units import Quantity, QuantityError, Range, parse, parse_range

T = TypeVar("T")


class ConfigTree:
    """A configuration's tree, with the findings made so far about it.

    Parameters
    ----------
    document : Document
        The tree.
    shown : str
        The file as it is shown.
    told : iterable of Finding
        What the schema found.
    """

    def __init__(self, document: Document, shown: str, told: Iterable[Finding] = ()) -> None:
        self.document = document
        self.shown = shown
        self.findings: list[Finding] = []
        self.told = tuple(told)
        self._told = {finding.pointer for finding in self.told}

    def keys(self, pointer: str) -> Iterator[tuple[str, str]]:
        """The keys of the mapping at `pointer`, each with its own pointer."""
        node = self.document.find(pointer)
        if isinstance(node, Mapping):
            for key in node.entries:
                yield key, f"{pointer}/{escape(key)}"

    def items(self, pointer: str) -> Iterator[tuple[Node, str]]:
        """The items of the list at `pointer`, each with its own pointer."""
        node = self.document.find(pointer)
        if isinstance(node, Sequence):
            for index, item in enumerate(node.items):
                yield item, f"{pointer}/{index}"

    def text(self, pointer: str) -> str | None:
        """The text at `pointer`, `None` where there is none or the schema found it wrong."""
        node = self.document.find(pointer)
        if not isinstance(node, Scalar) or (node.plain and node.kind == "null"):
            return None
        if self.is_told(pointer):
            return None
        return node.text

    def quantity(self, kind: str, pointer: str, substance: str | None = None) -> Quantity | None:
        """The quantity at `pointer`; a wrong one is told."""
        return self._parsed(parse, kind, pointer, substance)

    def range(self, kind: str, pointer: str, substance: str | None = None) -> Range | None:
        """The range at `pointer`; a wrong one is told."""
        return self._parsed(parse_range, kind, pointer, substance)

    def _parsed(
        self,
        parser: Callable[[str, str, str | None], T],
        kind: str,
        pointer: str,
        substance: str | None,
    ) -> T | None:
        text = self.text(pointer)
        if text is None:
            return None
        try:
            return parser(kind, text, substance)
        except QuantityError as error:
            self.fault("bad-quantity", pointer, error.message, error.help)
            return None

    def is_told(self, pointer: str) -> bool:
        """Whether the schema found something wrong here or in a block around it.

        What is wrong with the whole configuration says nothing about its parts.
        """
        steps = pointer.split("/")
        return any("/".join(steps[: end + 1]) in self._told for end in range(1, len(steps)))

    def is_told_within(self, pointer: str) -> bool:
        """Whether something has been found wrong inside of the block at `pointer`."""
        inner = f"{pointer}/"
        return any(each.pointer.startswith(inner) for each in (*self.told, *self.findings))

    def origin(self, pointer: str) -> str:
        """Where a value is stated, as people are told it: path and line."""
        return f"{self.shown}:{self.document.span_of(pointer, key=True).line}"

    def fault(self, rule: str, pointer: str, message: str, help: str, key: bool = False) -> None:
        """Add a finding, unless the schema has one about this place or a block around it."""
        if self.is_told(pointer):
            return
        node = self.document.find(pointer)
        span = self.document.span_of(pointer, key=key) if key or node is None else node.place
        self.findings.append(
            Finding(
                rule,
                "error",
                self.shown,
                span,
                message,
                help,
                document=self.document.index,
                pointer=pointer,
            )
        )
