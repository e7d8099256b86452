"""Block style as nearly all recipes are written in, read line by line without a parser.

A parser of YAML costs more than half of a run for one recipe to import, and most of the time of
a large collection to listen to. What is read here is a small part of YAML on which there is no
doubt: keys that are words, values that end with their line, lists, one-line collections in
brackets, comments. Of any other text nothing is said, and the parsers read it from the start;
that a text which is read here gives what the parsers give, is tested on generated texts.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Final, NamedTuple

from waterlint.source.brackets import Brackets
from waterlint.source.lines import Lines
from waterlint.source.nodes import (
    MAX_DEPTH,
    MAX_NODES,
    Entry,
    Kind,
    Mapping,
    Node,
    Scalar,
    Sequence,
)
from waterlint.source.plain import NotPlain, end_of_quoted, is_plain, is_word
from waterlint.source.scalars import kind_of
from waterlint.source.tree import Document

#: A value takes two characters at least, so a text of this length is within that limit.
_LONGEST: Final = 2 * MAX_NODES
_ENCLOSING: Final = ("'", '"', "[", "{")


class _Line(NamedTuple):
    """What a line holds: offsets count from its start.

    `dash` is the column of what follows the dash of a list's item, 0 without a dash. Without a
    value the key's is on later lines or none; `kind` is that of a value without quotes and
    brackets.
    """

    indent: int
    dash: int
    key: str
    value: str
    start: int
    end: int
    kind: Kind | None


@lru_cache(maxsize=4096)  # recipes of one house have most of their lines in common
def _read_line(written: str) -> _Line | None:
    """What a line holds, `None` for an empty one or a comment."""
    rest = written.lstrip(" ")
    if not rest or rest[0] == "#":
        return None
    indent, dash = len(written) - len(rest), 0
    if rest.startswith("- "):
        rest = rest[2:].lstrip(" ")
        dash = len(written) - len(rest)
    key, colon, value = rest.partition(":")
    if not (colon and value[:1] in ("", " ") and is_word(key)):
        if not dash:
            raise NotPlain
        key, value = "", rest
    value = value.lstrip(" ")
    start = len(written) - len(value)
    value = _without_comment(value)
    if not (key or value):
        raise NotPlain
    kind = None if value[:1] in _ENCLOSING else kind_of(value)
    return _Line(indent, dash, key, value, start, start + len(value), kind)


def _without_comment(value: str) -> str:
    """A value without the comment and the spaces behind it."""
    if not value or value[0] == "#":
        return ""
    if value[0] in "\"'":
        end = end_of_quoted(value, 0)
        rest = value[end:]
        if rest.lstrip(" ") and not (rest[0] == " " and rest.lstrip(" ")[0] == "#"):
            raise NotPlain
        return value[:end]
    value = value.partition(" #")[0].rstrip(" ")
    if value[0] not in "[{" and not is_plain(value):
        raise NotPlain
    return value


class _Frame:
    """A collection that is open: its entries or its items, and the key that waits for a value."""

    __slots__ = ("entries", "indent", "items", "key", "key_end", "key_start", "node", "reach")

    def __init__(self, node: Mapping | Sequence, indent: int) -> None:
        self.node = node
        self.indent = indent
        self.entries = node.entries if isinstance(node, Mapping) else None
        self.items = node.items if isinstance(node, Sequence) else None
        self.key = ""
        self.key_start = self.key_end = 0
        self.reach = node.start

    def place(self, node: Node) -> None:
        """Take the value of the key that waits for one, or an item."""
        self.reach = node.end
        if self.entries is not None:
            self.entries[self.key] = Entry(self.key, node, self.key_start, self.key_end)
            self.key = ""
        elif self.items is not None:
            self.items.append(node)


def read_block(lines: Lines) -> Document | None:
    """The one document of a text in plain block style; `None` for any other text.

    Examples
    --------
    >>> document = read_block(Lines("water:\\n  mash: 15.5 L  # by the meter\\n"))
    >>> document.find("/water/mash").text
    '15.5 L'
    >>> read_block(Lines("water: &same\\n  mash: 15.5 L\\n")) is None
    True
    """
    text = lines.text
    if len(text) > _LONGEST or "\t" in text or "\r" in text:
        return None
    try:
        return _Reader(lines).read()
    except NotPlain:
        return None


class _Reader:
    """Builds the tree of one text."""

    __slots__ = ("frames", "lines", "texts")

    def __init__(self, lines: Lines) -> None:
        self.lines = lines
        self.frames: list[_Frame] = []
        self.texts: list[tuple[int, int]] = []

    def read(self) -> Document:
        """Take line after line; the document that they make."""
        offset = 0
        text = self.lines.text
        for written in text.split("\n"):
            line = _read_line(written)
            if line is not None:
                self._take(line, offset)
            offset += len(written) + 1
        if not self.frames:
            raise NotPlain
        root = self.frames[0].node
        self._close_to(-1)
        return Document(0, root, frozenset(), 0, len(text), self.texts)

    def _take(self, line: _Line, offset: int) -> None:
        indent, dash, key, value, start, end, kind = line
        frame = self.frames[-1] if self.frames else None
        # Most lines go on with the mapping of the line before.
        if frame is None or dash or frame.indent != indent or frame.items is not None or frame.key:
            frame = self._list_at(indent, offset) if dash else self._mapping_at(indent, offset)
        start, end = offset + start, offset + end
        if not key:
            frame.place(self._value(value, start, end, kind))
            return
        if dash:
            indent = dash
            frame = self._open(Mapping(self.lines, offset + indent, 0), indent)
        entries, key_start = frame.entries, offset + indent
        key_end = key_start + len(key)
        if entries is None or key in entries:
            raise NotPlain
        if value:
            node = self._value(value, start, end, kind)
            entries[key] = Entry(key, node, key_start, key_end)
            frame.reach = end
        else:
            frame.key, frame.key_start, frame.key_end = key, key_start, key_end

    def _mapping_at(self, indent: int, offset: int) -> _Frame:
        """The mapping whose keys stand at `indent`, opened if need be."""
        frames = self.frames
        if not frames or (frames[-1].key and indent > frames[-1].indent):
            return self._open(Mapping(self.lines, offset + indent, 0), indent)
        self._close_to(indent)
        if len(frames) > 1 and frames[-1].items is not None and frames[-1].indent == indent:
            self._close()  # a list that stands as far left as its key
        if not frames or frames[-1].indent != indent or frames[-1].entries is None:
            raise NotPlain
        if frames[-1].key:
            self._place_nothing(frames[-1])
        return frames[-1]

    def _list_at(self, indent: int, offset: int) -> _Frame:
        """The list whose dashes stand at `indent`, opened if need be."""
        frames = self.frames
        # A list may stand as far left as the key that it belongs to.
        if not frames or (frames[-1].key and indent >= frames[-1].indent):
            return self._open(Sequence(self.lines, offset + indent, 0), indent)
        self._close_to(indent)
        if not frames or frames[-1].indent != indent or frames[-1].items is None:
            raise NotPlain
        return frames[-1]

    def _open(self, node: Mapping | Sequence, indent: int) -> _Frame:
        if len(self.frames) >= MAX_DEPTH:
            raise NotPlain
        frame = _Frame(node, indent)
        self.frames.append(frame)
        return frame

    def _close_to(self, indent: int) -> None:
        frames = self.frames
        while frames and frames[-1].indent > indent:
            self._close()

    def _close(self) -> None:
        frame = self.frames.pop()
        if frame.key:
            self._place_nothing(frame)
        frame.node.end = frame.reach
        if self.frames:
            self.frames[-1].place(frame.node)

    def _place_nothing(self, frame: _Frame) -> None:
        """A key without value has an empty one right behind its colon."""
        behind = frame.key_end + 1
        frame.place(Scalar(self.lines, behind, behind, None, None, "", True, "null"))

    def _value(self, written: str, start: int, end: int, kind: Kind | None) -> Node:
        if kind is not None:
            return Scalar(self.lines, start, end, None, None, written, True, kind)
        if written[0] in "[{":
            return Brackets(self.lines, written, start, self.texts).read()
        self.texts.append((start, end))
        return Scalar(self.lines, start, end, None, None, written[1:-1], False, "str")
