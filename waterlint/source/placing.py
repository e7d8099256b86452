"""The places in a text of plain block style, found when somebody asks for the first of them.

What the text says is known by then, so the lines are only gone through once more in step with it.
"""

from __future__ import annotations

from collections.abc import Iterator

from waterlint.hints import TYPE_CHECKING
from waterlint.source.block_lines import line_of
from waterlint.source.brackets import Brackets
from waterlint.source.lines import Lines
from waterlint.source.nodes import Entry, Mapping, Node, Scalar, Sequence

if TYPE_CHECKING:
    from waterlint.source.block_lines import Line
    from waterlint.source.content import Content


def placed(content: Content, lines: Lines, texts: list[tuple[int, int]]) -> Node:
    """The positioned tree of a text.

    Parameters
    ----------
    content : Content
        What `block.py` has read in the text.
    lines : Lines
        Its line table.
    texts : list of tuple of int
        Where the places of quoted texts are put.
    """
    placer = _Placer(lines, texts)
    return placer.block(content, *next(placer.left))


class _Placer:
    """Goes through the lines that hold something: `left` are those to come, with their offsets."""

    __slots__ = ("left", "lines", "texts")

    def __init__(self, lines: Lines, texts: list[tuple[int, int]]) -> None:
        self.lines = lines
        self.texts = texts
        self.left = _lines(lines.text)

    def block(self, content: Content, offset: int, line: Line) -> Node:
        """A collection whose first line is `line`, which stands at `offset`."""
        if isinstance(content, dict):
            return self._mapping(content, offset, line)
        assert isinstance(content, list)
        node = Sequence(self.lines, offset + line[3][0], 0)
        for number, item in enumerate(content):
            if number:
                offset, line = next(self.left)
            if line[1]:
                assert isinstance(item, dict)
                node.items.append(self._mapping(item, offset, line))
            else:
                node.items.append(self._value(item, offset, line))
        node.end = node.items[-1].end
        return node

    def _mapping(self, content: dict[str, Content], offset: int, line: Line) -> Mapping:
        node = Mapping(self.lines, 0, 0)
        for key, said in content.items():
            if node.entries:
                offset, line = next(self.left)
            indent, dash, _, _ = line[3]
            # Only the first key may stand behind a dash.
            start = offset + (dash or indent)
            if not node.entries:
                node.start = start
            end = start + len(key)
            if line[2] is not None:
                value = self._value(said, offset, line)
            elif isinstance(said, tuple):  # nothing, right behind the colon
                value = Scalar(self.lines, end + 1, end + 1, None, None, said[0], True, said[1])
            else:
                value = self.block(said, *next(self.left))
            node.entries[key] = Entry(key, value, start, end)
            node.end = value.end
        return node

    def _value(self, content: Content, offset: int, line: Line) -> Node:
        """The value that ends with its line."""
        _, _, start, end = line[3]
        start, end = offset + start, offset + end
        if not isinstance(content, tuple):
            return Brackets(self.lines, self.lines.text[start:end], start, self.texts).read()
        text, kind = content
        is_quoted = self.lines.text[start] in "\"'"
        if is_quoted:
            self.texts.append((start, end))
        return Scalar(self.lines, start, end, None, None, text, not is_quoted, kind)


def _lines(text: str) -> Iterator[tuple[int, Line]]:
    # Apart from the placer, so that the two do not hold each other: nobody looks for cycles.
    offset = 0
    for written in text.split("\n"):
        line = line_of(written)
        if line is not None:
            yield offset, line
        offset += len(written) + 1
