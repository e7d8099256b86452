"""Block style as nearly all recipes are written in, read line by line without a parser.

A parser of YAML costs more than half of a run for one recipe to import, and most of the time of
a large collection to listen to. What is read here is a small part of YAML on which there is no
doubt: keys that are words, values that end with their line, lists, one-line collections in
brackets, comments. Of any other text nothing is said, and the parsers read it from the start;
that a text which is read here gives what the parsers give, is tested on generated texts.

Only what a text says is read, and a line that was seen before costs a look into a table. Where
it all stands is found by `placing.py` when somebody asks.
"""

from __future__ import annotations

from functools import partial

from waterlint.hints import TYPE_CHECKING, Final
from waterlint.source.block_lines import KNOWN, line_of
from waterlint.source.content import NOTHING
from waterlint.source.lines import Lines
from waterlint.source.nodes import MAX_DEPTH, MAX_NODES
from waterlint.source.placing import placed
from waterlint.source.plain import NotPlain
from waterlint.source.tree import Document

if TYPE_CHECKING:
    from waterlint.source.block_lines import Line
    from waterlint.source.content import Content

#: A value takes two characters at least, so a text of this length is within that limit.
_LONGEST: Final = 2 * MAX_NODES


def read_block(lines: Lines) -> Document | None:
    """The one document of a text in plain block style; `None` for any other text.

    Examples
    --------
    >>> document = read_block(Lines("water:\\n  mash: 15.5 L  # by the meter\\n"))
    >>> document.content
    {'water': {'mash': ('15.5 L', 'str')}}
    >>> read_block(Lines("water: &same\\n  mash: 15.5 L\\n")) is None
    True
    """
    text = lines.text
    if len(text) > _LONGEST:
        return None
    try:
        content = _read(text)
    except NotPlain:
        return None
    texts: list[tuple[int, int]] = []
    place = partial(placed, content, lines, texts)
    return Document(0, place, frozenset(), 0, len(text), texts, content)


def _read(text: str) -> Content:
    """Take line after line; what they say together."""
    reader = _Reader()
    at, entries = -1, reader.none
    for written in text.split("\n"):
        try:
            line = KNOWN[written]
        except KeyError:
            line = line_of(written)
        if line is None:
            continue
        column, key, value, _ = line
        # Most lines go on with the mapping of the line before.
        if column == at and value is not None and key not in entries:
            entries[key] = value
        else:
            at, entries = reader.take(line)
    if not reader.frames:
        raise NotPlain
    return reader.frames[0].collection


class _Frame:
    """A collection that is open, and the key that waits for a value."""

    __slots__ = ("collection", "entries", "indent", "key")

    def __init__(self, collection: dict[str, Content] | list[Content], indent: int) -> None:
        self.collection = collection
        self.entries = collection if isinstance(collection, dict) else None
        self.indent = indent
        self.key = ""


class _Reader:
    """The collections that are open, the outermost first."""

    __slots__ = ("frames", "none")

    def __init__(self) -> None:
        self.frames: list[_Frame] = []
        self.none: dict[str, Content] = {}

    def take(self, line: Line) -> tuple[int, dict[str, Content]]:
        """Take a line; the mapping that is open then, and where its next key would stand."""
        _, key, value, (indent, dash, _, _) = line
        if dash and not key:
            assert value is not None
            self._list_at(indent).append(value)
            return -1, self.none
        frame = self._item_at(indent, dash) if dash else self._mapping_at(indent)
        entries = frame.entries
        if entries is None or key in entries:
            raise NotPlain
        if value is None:
            frame.key = key
            entries[key] = NOTHING
            return -1, self.none
        entries[key] = value
        return frame.indent, entries

    def _item_at(self, indent: int, dash: int) -> _Frame:
        """The mapping that begins behind a dash."""
        entries: dict[str, Content] = {}
        if len(self.frames) > 1 and self.frames[-1].indent == dash:
            frame, above = self.frames[-1], self.frames[-2]
            if above.indent == indent and isinstance(above.collection, list):
                # Most items come right behind another one.
                above.collection.append(entries)
                frame.collection = frame.entries = entries
                frame.key = ""
                return frame
        self._list_at(indent).append(entries)
        return self._open(entries, dash)

    def _mapping_at(self, indent: int) -> _Frame:
        """The mapping whose keys stand at `indent`, opened if need be."""
        frames = self.frames
        if not frames or (frames[-1].key and indent > frames[-1].indent):
            return self._open_below({}, indent)
        self._close_to(indent)
        if len(frames) > 1 and frames[-1].entries is None and frames[-1].indent == indent:
            frames.pop()  # a list that stands as far left as its key
        if not frames or frames[-1].indent != indent or frames[-1].entries is None:
            raise NotPlain
        frames[-1].key = ""
        return frames[-1]

    def _list_at(self, indent: int) -> list[Content]:
        """The list whose dashes stand at `indent`, opened if need be."""
        frames = self.frames
        # A list may stand as far left as the key that it belongs to.
        if not frames or (frames[-1].key and indent >= frames[-1].indent):
            items: list[Content] = []
            self._open_below(items, indent)
            return items
        self._close_to(indent)
        collection = frames[-1].collection if frames and frames[-1].indent == indent else None
        if not isinstance(collection, list):
            raise NotPlain
        return collection

    def _open_below(self, collection: dict[str, Content] | list[Content], indent: int) -> _Frame:
        """Open a collection as the value of the key that waits for one, or as the outermost."""
        if self.frames:
            above = self.frames[-1]
            assert above.entries is not None
            above.entries[above.key] = collection
            above.key = ""
        return self._open(collection, indent)

    def _open(self, collection: dict[str, Content] | list[Content], indent: int) -> _Frame:
        if len(self.frames) >= MAX_DEPTH:
            raise NotPlain
        frame = _Frame(collection, indent)
        self.frames.append(frame)
        return frame

    def _close_to(self, indent: int) -> None:
        frames = self.frames
        while frames and frames[-1].indent > indent:
            frames.pop()
