"""What a change is, and what a document says once it is made."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping as MappingLike
from collections.abc import Sequence as SequenceLike
from copy import deepcopy

from waterlint.hints import TypeAlias
from waterlint.records import Record
from waterlint.source.nodes import Mapping, Node, Scalar, Sequence, unescape

#: What can be written: a text, a group of keys, a list.
Plain: TypeAlias = "str | MappingLike[str, Plain] | SequenceLike[Plain]"

#: What a document says, without places.
Data: TypeAlias = "str | dict[str, Data] | list[Data]"

#: Texts that mean themselves without quotes, between { and } too.
_PLAIN_TEXT = r"[\w./°µ]([\w ./%°µ±+-]*[\w./%°µ])?"


class SetValue(Record):
    """Write another value in the place of the one at `pointer`."""

    pointer: str
    value: Plain


class AddKey(Record):
    """Add a key with its value to the group of keys at `pointer`."""

    pointer: str
    key: str
    value: Plain


class AddItem(Record):
    """Add an item at the end of the list at `pointer`."""

    pointer: str
    value: Plain


class Remove(Record):
    """Take away the key or the item at `pointer`; comments beside it stay."""

    pointer: str


Change: TypeAlias = SetValue | AddKey | AddItem | Remove


def data_of(node: Node) -> Data:
    """What a node says; aliases are followed."""
    if isinstance(node, Mapping):
        return {key: data_of(entry.value) for key, entry in node.entries.items()}
    if isinstance(node, Sequence):
        return [data_of(item) for item in node.items]
    assert isinstance(node, Scalar)
    return node.text


def changed_data(data: Data, change: Change) -> Data:
    """What a document says after a change.

    Raises
    ------
    LookupError, ValueError
        If the place is not there, is of another shape, or the key is there already.
    """
    root: list[Data] = [deepcopy(data)]
    holder: Data = root
    step: str = "0"
    for following in change.pointer.split("/")[1:]:
        holder, step = _inner(holder, step), unescape(following)
    if isinstance(change, SetValue):
        _inner(holder, step)
        _put(holder, step, _copied(change.value))
    elif isinstance(change, Remove):
        if isinstance(holder, list):
            del holder[int(step)]
        elif isinstance(holder, dict):
            del holder[step]
    else:
        target = _inner(holder, step)
        if isinstance(change, AddItem) and isinstance(target, list):
            target.append(_copied(change.value))
        elif isinstance(change, AddKey) and isinstance(target, dict) and change.key not in target:
            target[change.key] = _copied(change.value)
        else:
            raise ValueError(f"{change.pointer} does not take what should be added")
    return root[0]


def _inner(holder: Data, step: str) -> Data:
    if isinstance(holder, list):
        return holder[int(step)]
    if isinstance(holder, dict):
        return holder[step]
    raise LookupError(f"there is nothing at {step}")


def _put(holder: Data, step: str, value: Data) -> None:
    if isinstance(holder, list):
        holder[int(step)] = value
    elif isinstance(holder, dict):
        holder[step] = value


def _copied(value: Plain) -> Data:
    if isinstance(value, str):
        return value
    if isinstance(value, MappingLike):
        return {key: _copied(inner) for key, inner in value.items()}
    return [_copied(inner) for inner in value]


def flow_text(value: Plain) -> str:
    """A value on one line.

    Examples
    --------
    >>> flow_text([{"water": "../w.yaml", "share": "60 %"}, {"water": "a: b"}])
    '[{water: ../w.yaml, share: 60 %}, {water: "a: b"}]'
    """
    if isinstance(value, str):
        return scalar_text(value)
    if isinstance(value, MappingLike):
        inner = ", ".join(f"{scalar_text(key)}: {flow_text(each)}" for key, each in value.items())
        return f"{{{inner}}}"
    return f"[{', '.join(flow_text(each) for each in value)}]"


def in_place_of(stands: str, text: str) -> str:
    """A text to be written where another stands: in that one's quotes, if it has any.

    Examples
    --------
    >>> in_place_of("'gypsm'", "gypsum"), in_place_of("1,5 g", "1.5 g")
    ("'gypsum'", '1.5 g')
    """
    quote = stands[:1]
    return scalar_text(text, quote) if quote in ("'", '"') else text


def scalar_text(text: str, quote: str = "") -> str:
    """A text as YAML, in the given quotes, or without where it needs none."""
    if quote == "'":
        return "'" + text.replace("'", "''") + "'"
    if not quote and re.fullmatch(_PLAIN_TEXT, text):
        return text
    return json.dumps(text, ensure_ascii=False)
