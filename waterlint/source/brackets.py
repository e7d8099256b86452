"""Collections in brackets on one line, as far as nothing in them needs a parser."""

from __future__ import annotations

from waterlint.source.lines import Lines
from waterlint.source.nodes import Entry, Mapping, Node, Scalar, Sequence
from waterlint.source.plain import NotPlain, end_of_quoted, is_plain, is_word
from waterlint.source.scalars import kind_of

_CLOSING = {"{": "}", "[": "]"}
#: Brackets within brackets; a recipe has two.
_DEEPEST = 10


class Brackets:
    """Reads one collection: `text` starts with its bracket, and stands at `start`.

    The places of quoted texts are added to `quoted`.
    """

    __slots__ = ("at", "depth", "lines", "quoted", "start", "text")

    def __init__(self, lines: Lines, text: str, start: int, quoted: list[tuple[int, int]]) -> None:
        self.lines, self.text, self.start, self.quoted = lines, text, start, quoted
        self.at = self.depth = 0

    def read(self) -> Node:
        """The collection, which is all of the text.

        Raises
        ------
        NotPlain
            When a parser is needed to understand it.
        """
        node = self._collection()
        if self.at != len(self.text):
            raise NotPlain
        return node

    def _collection(self) -> Mapping | Sequence:
        opening = self.text[self.at]
        start = self.start + self.at
        node = (Mapping if opening == "{" else Sequence)(self.lines, start, start)
        self.depth += 1
        if self.depth > _DEEPEST:
            raise NotPlain
        closing = _CLOSING[opening]
        self._skip(1)
        if self._next() == closing:
            self.at += 1
        else:
            while self._item(node) != closing:
                pass
        self.depth -= 1
        node.end = self.start + self.at
        return node

    def _item(self, node: Mapping | Sequence) -> str:
        """Read a value, with its key in a mapping; the sign behind it."""
        if isinstance(node, Mapping):
            key_start = self.at
            self.at = self.text.find(":", key_start)
            key = self.text[key_start : self.at]
            if self.at < 0 or not is_word(key) or key in node.entries:
                raise NotPlain
            key_end = self.at
            self._skip(1)
            if self.at == key_end + 1:  # a colon without space behind it ends no key
                raise NotPlain
            value = self._value()
            node.entries[key] = Entry(key, value, self.start + key_start, self.start + key_end)
        else:
            node.items.append(self._value())
        self._skip(0)
        sign = self._next()
        closing = "}" if isinstance(node, Mapping) else "]"
        if sign == ",":
            self._skip(1)
        elif sign == closing:
            self.at += 1
        else:
            raise NotPlain
        return sign

    def _value(self) -> Node:
        first = self._next()
        if first in _CLOSING:
            return self._collection()
        start = self.at
        if first in ("'", '"'):
            end = self.at = end_of_quoted(self.text, start)
            written, plain = self.text[start + 1 : end - 1], False
            self.quoted.append((self.start + start, self.start + end))
        else:
            stops = (self.text.find(sign, start) for sign in ",]}")
            self.at = min((stop for stop in stops if stop >= 0), default=len(self.text))
            written, plain = self.text[start : self.at].rstrip(" "), True
            end = start + len(written)
            if not is_plain(written) or "[" in written or "{" in written:
                raise NotPlain
        kind = kind_of(written) if plain else "str"
        return Scalar(
            self.lines, self.start + start, self.start + end, None, None, written, plain, kind
        )

    def _next(self) -> str:
        return self.text[self.at : self.at + 1]

    def _skip(self, signs: int) -> None:
        """Go on behind so many signs, and the spaces that follow."""
        rest = self.text[self.at + signs :]
        self.at = len(self.text) - len(rest.lstrip(" "))
