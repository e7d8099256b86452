"""What a document says, without where: most of what is read is never pointed at.

A mapping is a dict, a list a list, and a single value a pair of its text, never converted to a
number, and of what the YAML 1.2 core schema takes that text for. Nothing changes a content once
it is made: lines that are the same share theirs.
"""

from __future__ import annotations

from waterlint.hints import TYPE_CHECKING, Final
from waterlint.source.nodes import Kind, Mapping, Node, Scalar, Sequence

if TYPE_CHECKING:
    from waterlint.hints import TypeAlias

    Leaf: TypeAlias = tuple[str, Kind]
    Content: TypeAlias = "dict[str, Content] | list[Content] | Leaf"

#: What a key without a value says.
NOTHING: Final[Leaf] = ("", "null")


def content_of(node: Node) -> Content:
    """What a value says.

    Examples
    --------
    >>> from waterlint.source.document import read_text
    >>> content_of(read_text("mash:\\n  volume: 15.5 L\\n", "a.yaml").documents[0].root)
    {'mash': {'volume': ('15.5 L', 'str')}}
    """
    if isinstance(node, Mapping):
        return {key: content_of(entry.value) for key, entry in node.entries.items()}
    if isinstance(node, Sequence):
        return [content_of(item) for item in node.items]
    assert isinstance(node, Scalar)
    return node.text, node.kind
