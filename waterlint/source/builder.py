"""From parser events to the positioned tree, one finding for each thing that is refused.

Whatever is refused is left out, and the reading goes on; only a limit ends it. Alias uses become
copies as soon as they are met, after the size of the copy is counted, so that the work never
exceeds the limit.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from waterlint.source import keys
from waterlint.source.escapes import is_unfit, without_unfit
from waterlint.source.faults import Faults
from waterlint.source.keys import Key
from waterlint.source.ledger import MAX_DEPTH, MAX_DOCUMENTS, MAX_NODES, Ledger
from waterlint.source.nodes import Entry, Mapping, Node, Scalar, Sequence, copy_through_alias
from waterlint.source.parsing import Event
from waterlint.source.plain import SPECIAL
from waterlint.source.scalars import kind_of
from waterlint.source.stack import Anchored, Frame
from waterlint.source.tree import Document

#: An anchor or a tag in front of a value, with the white space and comments behind it.
_PROPERTY = re.compile(
    r"(?:&[^\s,\[\]{}]*|(?P<tag>!(?:<[^>\s]*>|[^\s,\[\]{}]*)))(?:\s+(?:#[^\r\n]*\s*)*)?"
)


def _ignore(event: Event) -> None:
    """The start and the end of the text say nothing."""


class Builder(Ledger):
    """Takes the events of one text, and collects its documents and its faults."""

    __slots__ = (
        "_anchors",
        "_has_oddities",
        "_has_properties",
        "_has_tabs",
        "_root",
        "_start",
        "_texts",
        "documents",
    )

    def __init__(self, faults: Faults) -> None:
        super().__init__(faults)
        self.documents: list[Document] = []
        self._has_tabs = "\t" in self.text
        self._has_properties = "&" in self.text or "!" in self.text
        self._has_oddities = self._has_tabs or self._has_properties
        self._anchors: dict[str, Anchored] = {}
        self._texts: list[tuple[int, int]] = []
        self._root: Node | None = None
        self._start = 0

    def take(self, events: Iterable[Event]) -> None:
        """Read all events.

        Raises
        ------
        LimitReached
            When the text nests too deeply, has too many values, or an alias within itself.
        """
        handlers = {
            "ScalarEvent": self._scalar,
            "MappingStartEvent": self._open,
            "SequenceStartEvent": self._open,
            "MappingEndEvent": self._close,
            "SequenceEndEvent": self._close,
            "AliasEvent": self._alias,
            "DocumentStartEvent": self._start_document,
            "DocumentEndEvent": self._end_document,
            "StreamStartEvent": _ignore,
            "StreamEndEvent": _ignore,
        }
        for event in events:
            handlers[event.__class__.__name__](event)

    def checkpoint(self) -> tuple[int, int, int, int, int]:
        """What `restore` needs to undo everything that is taken from here on."""
        faults = self.faults
        return len(self.documents), len(faults.findings), faults.document, self.size, self._start

    def restore(self, checkpoint: tuple[int, int, int, int, int]) -> None:
        """Return to an earlier state, for another parser to try."""
        documents, findings, self.faults.document, self.size, self._start = checkpoint
        del self.documents[documents:]
        del self.faults.findings[findings:]
        self.frames.clear()
        self.frame = None

    def abandon_document(self, resume: int) -> None:
        """Forget the document being read, which cannot be understood; go on at `resume`."""
        self.frames.clear()
        self.frame = None
        self.faults.document += 1
        self._start = resume

    def reopen_document(self) -> None:
        """Take back the last document: what follows shows that it had not ended."""
        if self.documents and self.documents[-1].index == self.faults.document - 1:
            self.documents.pop()
            self.faults.document -= 1

    # Documents

    def _start_document(self, event: Event) -> None:
        if len(self.documents) == MAX_DOCUMENTS:
            self.refuse_documents(event.start_mark.index, event.end_mark.index)
        self._root = None
        self._anchors = {}
        self.uncertain = set()
        self._texts = []

    def _end_document(self, event: Event) -> None:
        root, end = self._root, event.start_mark.index
        index, uncertain = self.faults.document, frozenset(self.uncertain)
        # A document of nothing but comments reads as an empty value: it is none.
        says_nothing = isinstance(root, Scalar) and root.start == root.end
        if root is not None and not says_nothing:
            document = Document(index, root, uncertain, self._start, end, self._texts)
            self.documents.append(document)
        elif not uncertain:
            return
        self.faults.document += 1
        self._start = end

    # Values

    def _scalar(self, event: Event) -> None:
        start, end, style = event.start_mark.index, event.end_mark.index, event.style
        text, frame = event.value, self.frame
        if self._has_properties:
            start = min(self._skip_properties(event, start), end)
        if style:
            end = self._note_text(start, end, style)
            if style == '"' and is_unfit(text):
                self.refuse_escape(start, end)
                text = without_unfit(text)
        if frame is not None and frame.entries is not None and frame.key is None:
            frame.key, frame.reach = Key(text, start, end), end
            # The cheap questions first: nearly every key is a plain word that comes once.
            if (
                self._has_oddities
                or len(text) != end - start
                or text in SPECIAL
                or text in frame.entries
            ):
                self._examine_key(frame.key, event, frame.entries)
            return
        if style:
            node = Scalar(self.lines, start, end, None, None, text, False, "str")
        else:
            if not text:
                start = end = self._place_of_nothing(frame, event, start)
            node = Scalar(self.lines, start, end, None, None, text, True, kind_of(text))
        self.size += 1
        if self.size > MAX_NODES:
            self.refuse_size(start, end)
        if event.anchor is not None:
            self._anchors[event.anchor] = Anchored(node, self.pointer_to_next())
        self._place(node)

    def _note_text(self, start: int, end: int, style: str) -> int:
        """Remember where a quoted or block text stands; where it truly ends."""
        if style in "\"'":
            self._texts.append((start, end))
            return end
        # The parsers end a block text where the next thing starts. A comment behind the sign
        # that opens the block is a comment nonetheless.
        written = self.text[start:end].rstrip(" \t\r\n")
        first_line = re.split(r"[\r\n]", written, maxsplit=1)[0]
        self._texts.append((start + len(first_line), end))
        return start + len(written)

    def _place_of_nothing(self, frame: Frame | None, event: Event, start: int) -> int:
        """Where a value that is not written would stand: right after the colon of its key.

        The parsers disagree about this place, so it is worked out here.
        """
        if frame is None or frame.key is None or event.anchor is not None or event.tag is not None:
            return start
        text, offset = self.text, frame.key.end
        while text[offset : offset + 1] in (" ", "\t"):
            offset += 1
        return offset + 1 if text[offset : offset + 1] == ":" else frame.key.end

    def _open(self, event: Event) -> None:
        start = event.start_mark.index
        if self._has_properties:
            start = self._skip_properties(event, start)
        node: Mapping | Sequence
        entries: dict[str, Entry] | None
        if type(event).__name__ == "MappingStartEvent":
            node = Mapping(self.lines, start, start)
            entries = node.entries
        else:
            node = Sequence(self.lines, start, start)
            entries = None
        self.count(1, start, start + 1)
        if len(self.frames) >= MAX_DEPTH:
            self.refuse_depth(start, start + 1)
        anchored = None
        if event.anchor is not None:
            anchored = Anchored(node, self.pointer_to_next(), is_open=True)
            self._anchors[event.anchor] = anchored
        parent = self.frame
        is_key = parent is not None and parent.expects_key
        step = "" if parent is None or is_key else parent.next_step
        in_brackets = bool(event.flow_style) and self.text[start : start + 1] in ("{", "[")
        size_before = self.size - 1
        self.frame = Frame(node, entries, in_brackets, step, is_key, anchored, size_before, start)
        self.frames.append(self.frame)

    def _close(self, event: Event) -> None:
        frame = self.frames.pop()
        node = frame.node
        node.end = event.end_mark.index if frame.in_brackets else frame.reach
        if frame.anchored is not None:
            frame.anchored.size = self.size - frame.size_before
            frame.anchored.height = frame.height
            frame.anchored.is_open = False
        parent = self.frame = self.frames[-1] if self.frames else None
        if parent is not None:
            parent.height = max(parent.height, frame.height + 1)
            if frame.is_key:
                parent.key = Key("", node.start, node.end)
                keys.refuse_collection_key(parent.key, self.faults, self.pointer())
                self.uncertain.add(self.pointer())
                return
        self._place(node)

    def _alias(self, event: Event) -> None:
        start, end, name = event.start_mark.index, event.end_mark.index, event.anchor or ""
        frame = self.frame
        if frame is not None and frame.expects_key:
            frame.key = Key("", start, end)
            keys.refuse_alias_key(frame.key, self.faults, self.pointer())
            self.uncertain.add(self.pointer())
            return
        anchored = self._anchors.get(name)
        if anchored is None:
            self.refuse_undefined(name, start, end)
            self.count(1, start, end)
            self._place(Scalar(self.lines, start, end, None, None, "", True, "null"))
            return
        if anchored.is_open:
            self.refuse_cycle(name, start, end)
        if len(self.frames) + anchored.height > MAX_DEPTH:
            self.refuse_depth(start, end)
        self.count(anchored.size, start, end)
        if frame is not None:
            frame.height = max(frame.height, anchored.height + 1)
        self.doubt_copy(anchored.pointer)
        self._place(copy_through_alias(anchored.node, start, end))

    def _place(self, node: Node) -> None:
        frame = self.frame
        if frame is None:
            self._root = node
            return
        frame.reach = node.end
        key = frame.key
        if isinstance(frame.node, Sequence):
            frame.node.items.append(node)
            return
        assert key is not None
        frame.key = None
        if key.merge:
            keys.refuse_merge(key, node, self.faults, self.pointer())
        elif key.keep:
            frame.node.entries[key.text] = Entry(key.text, node, key.start, key.end)

    def _examine_key(self, key: Key, event: Event, entries: dict[str, Entry]) -> None:
        if event.anchor is not None:
            keys.refuse_anchored_key(key, self.faults, self.pointer(key.text))
            plain = not event.style
            named = Scalar(self.lines, key.start, key.end, None, None, key.text, plain)
            self._anchors[event.anchor] = Anchored(named, self.pointer(key.text))
        if keys.examine_key(key, event.style, entries, self.faults, self.pointer):
            self.uncertain.add(self.pointer())
        elif self._has_tabs:
            keys.refuse_tab_after_colon(key, self.faults, self.pointer(key.text))

    def _skip_properties(self, event: Event, start: int) -> int:
        """Where a value starts behind its anchor and tag; a tag is reported."""
        text = self.text
        for _ in range((event.anchor is not None) + (event.tag is not None)):
            match = _PROPERTY.match(text, start)
            if match is None:
                break
            if match["tag"] is not None:
                self.refuse_tag(match["tag"], *match.span("tag"))
            start = match.end()
        return start
