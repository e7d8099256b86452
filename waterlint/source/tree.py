"""From parser events to the positioned tree, one finding for each thing that is refused."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from waterlint.finding import Finding, Related
from waterlint.source.lines import Lines
from waterlint.source.nodes import (
    Entry,
    Mapping,
    Node,
    Scalar,
    Sequence,
    copy_through_alias,
    escape,
)
from waterlint.source.parsing import Event
from waterlint.source.scalars import kind_of

#: Collections within collections that a file may have.
MAX_DEPTH = 100
#: Values that a file may have, with every alias use counted as what it repeats.
MAX_NODES = 10_000


@dataclass(slots=True)
class Tree:
    """One document as it was read: its root, and what is known about the parts in doubt."""

    root: Node
    start: int
    end: int
    uncertain: frozenset[str]
    scalars: list[tuple[int, int]]


class LimitReached(Exception):
    """A limit is passed, its finding is made, and nothing more is to be read from this text."""


@dataclass(slots=True)
class _Key:
    """A key that waits for its value."""

    text: str
    start: int
    end: int
    keep: bool = True
    merge: bool = False


@dataclass(slots=True)
class _Anchored:
    """A value that has a name: the node, the values in it, its depth; open while being read."""

    node: Node
    size: int = 0
    height: int = 0
    is_open: bool = False


@dataclass(slots=True)
class _Frame:
    """A collection that is being read.

    `size` is the number of values before it and `height` the depth below it so far.
    """

    node: Mapping | Sequence
    flow: bool
    step: str
    anchored: _Anchored | None
    size: int
    is_key: bool
    key: _Key | None = None
    height: int = 1
    last: int = 0


@dataclass(slots=True)
class TreeBuilder:
    """Takes the events of one text and collects its trees and findings."""

    lines: Lines
    path: str
    trees: list[Tree] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)
    _frames: list[_Frame] = field(default_factory=list)
    _anchors: dict[str, _Anchored] = field(default_factory=dict)
    _uncertain: set[str] = field(default_factory=set)
    _scalars: list[tuple[int, int]] = field(default_factory=list)
    _root: Node | None = None
    _size: int = 0
    _document_start: int = 0

    def take(self, events: Iterable[Event]) -> None:
        """Read all events.

        Raises
        ------
        LimitReached
            When the text nests too deeply, has too many values or an alias within itself.
        """
        handlers = {
            "ScalarEvent": self._scalar,
            "MappingStartEvent": self._open_mapping,
            "SequenceStartEvent": self._open_sequence,
            "MappingEndEvent": self._close,
            "SequenceEndEvent": self._close,
            "AliasEvent": self._alias,
            "DocumentStartEvent": self._open_document,
            "DocumentEndEvent": self._close_document,
        }
        for event in events:
            handler = handlers.get(type(event).__name__)
            if handler is not None:
                handler(event)

    # Documents

    def _open_document(self, event: Event) -> None:
        self._root = None
        self._anchors = {}
        self._uncertain = set()
        self._scalars = []

    def _close_document(self, event: Event) -> None:
        root, end = self._root, event.start_mark.index
        # A document of comments only reads as an empty scalar; it says nothing, so it is none.
        if root is not None and not (isinstance(root, Scalar) and root.start == root.end):
            uncertain = frozenset(self._uncertain)
            self.trees.append(Tree(root, self._document_start, end, uncertain, self._scalars))
            self._document_start = end

    # Values

    def _scalar(self, event: Event) -> None:
        start, end, style = event.start_mark.index, event.end_mark.index, event.style
        if event.anchor is not None or event.tag is not None:
            start = self._after_properties(event, start, end)
        text = event.value
        frame = self._frames[-1] if self._frames else None
        if frame is not None and frame.key is None and isinstance(frame.node, Mapping):
            self._scalars.append((start, end))
            self._take_key(frame, event, _Key(text, start, end), plain=not style)
            return
        if style:
            if style in "|>":
                end = start + len(self.lines.text[start:end].rstrip())
            node = Scalar(self.lines, start, end, None, None, text, False, "str")
        elif start == end or not text:
            start = end = self._place_of_nothing(frame, start)
            node = Scalar(self.lines, start, end, None, None, "", True, "null")
        else:
            node = Scalar(self.lines, start, end, None, None, text, True, kind_of(text))
        self._scalars.append((start, end))
        self._count(1, start, end)
        if event.anchor is not None:
            self._anchors[event.anchor] = _Anchored(node, 1)
        self._place(node)

    def _place_of_nothing(self, frame: _Frame | None, start: int) -> int:
        """Where a value that is not written would stand: right after the colon of its key.

        The parsers disagree about this place, so it is worked out here.
        """
        if frame is None or frame.key is None:
            return start
        text, offset = self.lines.text, frame.key.end
        while text[offset : offset + 1] == " ":
            offset += 1
        return offset + 1 if text[offset : offset + 1] == ":" else frame.key.end

    def _open_mapping(self, event: Event) -> None:
        self._open(event, Mapping(self.lines, 0, 0))

    def _open_sequence(self, event: Event) -> None:
        self._open(event, Sequence(self.lines, 0, 0))

    def _open(self, event: Event, node: Mapping | Sequence) -> None:
        start, end = event.start_mark.index, event.end_mark.index
        if event.anchor is not None or event.tag is not None:
            start = self._after_properties(event, start, end)
        node.start, node.end = start, max(start, end)
        self._count(1, start, node.end)
        if len(self._frames) >= MAX_DEPTH:
            self._refuse_depth(start, node.end)
        anchored = None
        if event.anchor is not None:
            anchored = self._anchors[event.anchor] = _Anchored(node, is_open=True)
        parent = self._frames[-1] if self._frames else None
        is_key = parent is not None and parent.key is None and isinstance(parent.node, Mapping)
        step = self._step() if parent is not None and not is_key else ""
        written = self.lines.text[start : start + 1] in ("{", "[")
        flow = bool(event.flow_style) and written
        self._frames.append(_Frame(node, flow, step, anchored, self._size - 1, is_key))
        self._frames[-1].last = node.end

    def _close(self, event: Event) -> None:
        frame = self._frames.pop()
        node = frame.node
        node.end = event.end_mark.index if frame.flow else max(frame.last, node.start)
        if frame.anchored is not None:
            frame.anchored.size = self._size - frame.size
            frame.anchored.height = frame.height
            frame.anchored.is_open = False
        if self._frames:
            parent = self._frames[-1]
            parent.height = max(parent.height, frame.height + 1)
            if frame.is_key:
                self._refuse_complex_key(parent, node)
                return
        self._place(node)

    def _alias(self, event: Event) -> None:
        start, end = event.start_mark.index, event.end_mark.index
        frame = self._frames[-1] if self._frames else None
        if frame is not None and frame.key is None and isinstance(frame.node, Mapping):
            self._refuse_key(
                frame,
                _Key("", start, end),
                "an alias stands where a key is expected",
                "Write the key out.",
            )
            return
        name = event.anchor or ""
        anchored = self._anchors.get(name)
        if anchored is None:
            self._invalid(
                start,
                end,
                f"the alias *{name} names no anchor",
                f"Put &{name} in front of the value it repeats, above this line, or write the "
                "value out.",
            )
            self._uncertain.add(self.pointer(self._step()))
            self._place(Scalar(self.lines, start, end, None, None, "", True, "null"))
            return
        if anchored.is_open:
            self._limit(
                start,
                end,
                f"the alias *{name} repeats the value that it stands in, without end",
                "Write the value out.",
            )
        if len(self._frames) + anchored.height > MAX_DEPTH:
            self._refuse_depth(start, end)
        self._count(anchored.size, start, end)
        if frame is not None:
            frame.height = max(frame.height, anchored.height + 1)
        self._place(copy_through_alias(anchored.node, start, end))

    def _place(self, node: Node) -> None:
        if not self._frames:
            self._root = node
            return
        frame = self._frames[-1]
        frame.last = node.end
        parent = frame.node
        if isinstance(parent, Sequence):
            parent.items.append(node)
            return
        key = frame.key
        assert key is not None
        if key.merge:
            self._refuse_merge(key, node)
        elif key.keep:
            parent.entries[key.text] = Entry(key.text, node, self.lines, key.start, key.end)
        frame.key = None

    # Keys

    def _take_key(self, frame: _Frame, event: Event, key: _Key, plain: bool) -> None:
        mapping = frame.node
        assert isinstance(mapping, Mapping)
        frame.key = key
        frame.last = key.end
        if event.anchor is not None:
            self._anchors[event.anchor] = _Anchored(
                Scalar(self.lines, key.start, key.end, None, None, key.text, plain, "str"), 1
            )
            self._refuse_key(frame, key, "an anchor stands in front of a key", "Take it away.")
        elif plain and kind_of(key.text) == "null":
            self._refuse_key(
                frame,
                key,
                "a value stands here without a key"
                if not key.text
                else f"the key {key.text} is empty",
                "Write a word in front of the colon.",
            )
        elif plain and key.text == "<<":
            key.keep, key.merge = False, True
            self._uncertain.add(self.pointer())
        elif key.text in mapping.entries:
            self._refuse_duplicate(key, mapping.entries[key.text])

    def _refuse_key(self, frame: _Frame, key: _Key, message: str, help: str) -> None:
        key.keep = False
        frame.key = key
        self._invalid(key.start, key.end, message, help)
        self._uncertain.add(self.pointer())

    def _refuse_complex_key(self, parent: _Frame, node: Node) -> None:
        self._refuse_key(
            parent,
            _Key("", node.start, node.end),
            "a list or a mapping stands where a key is expected",
            "Write a single word as the key.",
        )

    def _refuse_duplicate(self, key: _Key, first: Entry) -> None:
        key.keep = False
        place = self.lines.span(key.start, key.end)
        line = first.key_span.line
        self.findings.append(
            Finding(
                "duplicate-key",
                "error",
                self.path,
                place,
                f"the key {key.text} stands here for the second time, first on line {line}",
                "Keep one of the two.",
                document=len(self.trees),
                pointer=self.pointer(key.text),
                related=(Related(self.path, first.key_span, "the first one"),),
            )
        )

    def _refuse_merge(self, key: _Key, value: Node) -> None:
        help = "Write the keys out here, or give a whole value by its alias: water: *name."
        if isinstance(value, Mapping) and value.entries:
            names = ", ".join(list(value.entries)[:6])
            help = f"Write the keys it stands for out here: {names}."
        self.findings.append(
            Finding(
                "merge-key",
                "error",
                self.path,
                self.lines.span(key.start, key.end),
                "the merge key << is not part of YAML 1.2",
                help,
                document=len(self.trees),
                pointer=self.pointer(),
            )
        )

    # Places and limits

    def pointer(self, *steps: str) -> str:
        """The JSON pointer of the collection being read, with further steps."""
        path = [frame.step for frame in self._frames[1:]]
        return "".join(f"/{escape(step)}" for step in (*path, *steps))

    def _step(self) -> str:
        """The step from the collection being read to the value that comes next."""
        frame = self._frames[-1]
        if isinstance(frame.node, Sequence):
            return str(len(frame.node.items))
        return frame.key.text if frame.key is not None else ""

    def _after_properties(self, event: Event, start: int, end: int) -> int:
        return start

    def _count(self, size: int, start: int, end: int) -> None:
        self._size += size
        if self._size > MAX_NODES:
            self._limit(
                start,
                end,
                f"the file has more than {MAX_NODES:,} values, aliases counted as what they repeat",
                "Split it into several files.",
            )

    def _refuse_depth(self, start: int, end: int) -> None:
        self._limit(
            start,
            end,
            f"the file nests more than {MAX_DEPTH} levels deep",
            "Write it flatter.",
        )

    def _limit(self, start: int, end: int, message: str, help: str) -> None:
        self._report("expansion-limit", start, end, message, help)
        raise LimitReached

    def _invalid(self, start: int, end: int, message: str, help: str) -> None:
        self._report("invalid-yaml", start, end, message, help)

    def _report(self, rule: str, start: int, end: int, message: str, help: str) -> None:
        self.findings.append(
            Finding(
                rule,
                "error",
                self.path,
                self.lines.span(start, end),
                message,
                help,
                document=len(self.trees),
                pointer=self.pointer(),
            )
        )
