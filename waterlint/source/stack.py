"""The collections that are open while a document is read, and the values that have names."""

from __future__ import annotations

from waterlint.records import Record
from waterlint.source.keys import Key
from waterlint.source.nodes import Entry, Mapping, Node, Sequence, escape


class Anchored(Record, frozen=False):
    """A value with a name, the number of values in it and their depth; open while being read."""

    node: Node
    pointer: str
    size: int = 1
    height: int = 0
    is_open: bool = False


class Frame(Record, frozen=False):
    """A collection that is being read.

    `entries` are those of a mapping, `None` for a list. `step` leads to the collection from the
    one around it; `size_before` counts the values in front of it, `height` is the depth within it
    so far, and `reach` the end of the last thing in it.
    """

    node: Mapping | Sequence
    entries: dict[str, Entry] | None
    in_brackets: bool
    step: str
    is_key: bool
    anchored: Anchored | None
    size_before: int
    reach: int
    height: int = 1
    key: Key | None = None

    @property
    def expects_key(self) -> bool:
        """Whether what comes next is a key."""
        return self.entries is not None and self.key is None

    @property
    def next_step(self) -> str:
        """The step of a JSON pointer to the value that comes next."""
        if isinstance(self.node, Sequence):
            return str(len(self.node.items))
        return "" if self.key is None else self.key.text


def pointer_to(frames: list[Frame], *steps: str) -> str:
    """The JSON pointer of the innermost open collection, with further steps."""
    path: list[str] = []
    for frame in frames[1:]:
        if frame.is_key:  # within the key of a mapping nothing has a pointer: name the mapping
            return "".join(f"/{escape(step)}" for step in path)
        path.append(frame.step)
    return "".join(f"/{escape(step)}" for step in (*path, *steps))
