"""The positioned tree: what a YAML document says, and where each part of it stands.

The nodes keep character offsets and work out lines and columns when asked, because most of a
faultless file is never pointed at. They are plain rather than frozen dataclasses for the same
reason (a frozen one takes three times as long to build); nothing changes a node after reading.
"""

from __future__ import annotations

from collections.abc import Iterator

from waterlint.finding import Span
from waterlint.hints import Literal
from waterlint.records import Record, field
from waterlint.source.lines import Lines

#: Collections within collections that a file may have; a recipe has five.
MAX_DEPTH = 100
#: Values that a file may have, every alias use counted as what it repeats; a recipe has some 200.
MAX_NODES = 10_000

Kind = Literal["null", "bool", "int", "float", "str"]


class Node(Record, frozen=False, eq=False):
    """A value and its place.

    Attributes
    ----------
    lines : Lines
        The line table of the text.
    start, end : int
        Where the value stands in the text; for an alias use the ``*name`` itself. An anchor
        (``&name``) in front of a value is not part of it.
    original : Node or None
        For a value reached through an alias: the anchored value, or the part of it, that this
        one repeats.
    use : tuple of int or None
        Offsets of the alias through which this value is reached, for the value itself and all
        within it. With aliases inside aliases it is the outermost, the one that a reader of the
        document meets.
    """

    lines: Lines = field(repr=False)
    start: int
    end: int
    original: Node | None = field(default=None, repr=False)
    use: tuple[int, int] | None = None

    @property
    def span(self) -> Span:
        """Where this value stands in the text; for an alias use, the ``*name`` itself."""
        return self.lines.span(self.start, self.end)

    @property
    def anchor(self) -> Span | None:
        """Where the anchored original stands, for a value reached through an alias."""
        original = self.original
        return None if original is None else self.lines.span(original.start, original.end)

    @property
    def via(self) -> Span | None:
        """The alias through which this value is reached, for all values inside an alias use."""
        return None if self.use is None else self.lines.span(*self.use)

    @property
    def place(self) -> Span:
        """Where a finding about this value points: the alias use if there is one, else itself."""
        return self.span if self.use is None else self.lines.span(*self.use)


class Scalar(Node, Record, frozen=False, eq=False):
    """A single value, kept as text.

    Attributes
    ----------
    text : str
        The text after quotes, escapes and folding are resolved; never converted to a number.
    plain : bool
        Whether it stands without quotes and is no block text (``|``, ``>``).
    kind : str
        What the YAML 1.2 core schema takes the text for; always ``str`` when not plain.
    """

    text: str = ""
    plain: bool = True
    kind: Kind = "str"


class Entry(Record, frozen=False, eq=False):
    """One key of a mapping with its value."""

    key: str
    value: Node
    key_start: int
    key_end: int

    @property
    def key_span(self) -> Span:
        """Where the key stands, quotes included, without the colon."""
        return self.value.lines.span(self.key_start, self.key_end)


class Mapping(Node, Record, frozen=False, eq=False):
    """Keys with values, in the order written; of a key given twice, the first."""

    entries: dict[str, Entry] = field(default_factory=dict)


class Sequence(Node, Record, frozen=False, eq=False):
    """A list of values."""

    items: list[Node] = field(default_factory=list)


def copy_through_alias(node: Node, start: int, end: int) -> Node:
    """Repeat an anchored value at an alias use; the copy itself stands at `start` to `end`."""
    copy = _copy(node, (start, end))
    copy.start, copy.end = start, end
    return copy


def _copy(node: Node, use: tuple[int, int]) -> Node:
    head = (node.lines, node.start, node.end, node.original or node, use)
    if isinstance(node, Mapping):
        entries = {
            key: Entry(key, _copy(entry.value, use), entry.key_start, entry.key_end)
            for key, entry in node.entries.items()
        }
        return Mapping(*head, entries)
    if isinstance(node, Sequence):
        return Sequence(*head, [_copy(item, use) for item in node.items])
    assert isinstance(node, Scalar)
    return Scalar(*head, node.text, node.plain, node.kind)


def walk(node: Node, pointer: str = "") -> Iterator[tuple[str, Node]]:
    """Yield every value with its JSON pointer, parents before children, in the order written."""
    yield pointer, node
    if isinstance(node, Mapping):
        for key, entry in node.entries.items():
            yield from walk(entry.value, f"{pointer}/{escape(key)}")
    elif isinstance(node, Sequence):
        for index, item in enumerate(node.items):
            yield from walk(item, f"{pointer}/{index}")


def escape(key: str) -> str:
    """A key as a step of a JSON pointer (RFC 6901)."""
    return key.replace("~", "~0").replace("/", "~1") if "~" in key or "/" in key else key


def unescape(step: str) -> str:
    """A step of a JSON pointer as the key it stands for."""
    return step.replace("~1", "/").replace("~0", "~") if "~" in step else step
