"""One YAML document as a positioned tree, and the way about in it."""

from __future__ import annotations

from collections.abc import Callable

from waterlint.finding import Related, Span
from waterlint.hints import TYPE_CHECKING
from waterlint.source.comments import Comment, find_comments
from waterlint.source.content import content_of
from waterlint.source.nodes import Entry, Mapping, Node, Sequence, unescape

if TYPE_CHECKING:
    from waterlint.source.content import Content


class Document:
    """One YAML document of a file.

    Parameters
    ----------
    index : int
        Its number in the file, from 0; documents that say nothing are not counted.
    root : Node or callable
        Its value, or what finds it with all places, when somebody asks for the first of them.
    uncertain : frozenset of str
        JSON pointers of values whose content a reported fault leaves in doubt: a mapping with a
        merge key or an unusable key may lack keys, a value with a tag or an undefined alias may
        not be what is meant. What is missing or of a wrong type there is not worth a finding.
    start, end : int
        The part of the text that belongs to it, comments around it included.
    texts : list of tuple of int
        Where its quoted and block texts stand, known once the root is.
    content : Content, optional
        What it says, where that is known without the root.
    """

    __slots__ = ("_content", "_root", "_texts", "end", "index", "start", "uncertain")

    def __init__(
        self,
        index: int,
        root: Node | Callable[[], Node],
        uncertain: frozenset[str],
        start: int,
        end: int,
        texts: list[tuple[int, int]],
        content: Content | None = None,
    ) -> None:
        self.index, self.uncertain, self.start, self.end = index, uncertain, start, end
        self._root, self._texts, self._content = root, texts, content

    @property
    def root(self) -> Node:
        """Its value, with the places of all that is in it."""
        if not isinstance(self._root, Node):
            self._root = self._root()
        return self._root

    @property
    def content(self) -> Content:
        """What it says."""
        if self._content is None:
            self._content = content_of(self.root)
        return self._content

    def find(self, pointer: str) -> Node | None:
        """The value at a JSON pointer (``/water/mash/volume``), `None` where there is none."""
        node, _, complete = self._follow(pointer)
        return node if complete else None

    def entry(self, pointer: str) -> Entry | None:
        """The key and value at a JSON pointer whose last step is a key of a mapping."""
        _, entry, complete = self._follow(pointer)
        return entry if complete else None

    def span_of(self, pointer: str, key: bool = False) -> Span:
        """The place of a value, or with `key` of its key.

        Where the pointer leads to nothing, the nearest existing parent answers; where a value
        has no key (a list's item, the root), the value answers.
        """
        node, entry, _ = self._follow(pointer)
        return entry.key_span if key and entry is not None else node.span

    def place_of(self, pointer: str, key: bool = False) -> Span:
        """Where a finding about a value points.

        A single value is pointed at itself, a mapping or a list at its key, so that a finding
        about a long block stands on the line that opens it. What is reached through an alias is
        pointed at the alias. With `key`, the key is meant in any case.
        """
        node, entry, _ = self._follow(pointer)
        if node.use is not None:
            return node.place
        is_block = isinstance(node, Mapping | Sequence)
        return entry.key_span if entry is not None and (key or is_block) else node.span

    def alias_places(self, pointer: str, path: str) -> tuple[Related, ...]:
        """Where the value really stands, for one that is reached through an alias."""
        node, _, _ = self._follow(pointer)
        if node.use is None or node.anchor is None:
            return ()
        return (Related(path, node.anchor, "what the alias stands for"),)

    @property
    def comments(self) -> tuple[Comment, ...]:
        """Its comments with line and column, in the order written; searched when asked for."""
        return tuple(find_comments(self.root.lines, self.start, self.end, self._texts))

    def _follow(self, pointer: str) -> tuple[Node, Entry | None, bool]:
        node: Node = self.root
        entry: Entry | None = None
        for step in pointer.split("/")[1:]:
            if isinstance(node, Mapping):
                following = node.entries.get(unescape(step))
                if following is None:
                    return node, entry, False
                entry, node = following, following.value
            elif isinstance(node, Sequence):
                if not step.isdecimal() or not step.isascii() or len(step) > 9:
                    return node, entry, False
                if int(step) >= len(node.items):
                    return node, entry, False
                entry, node = None, node.items[int(step)]
            else:
                return node, entry, False
        return node, entry, True
