"""Where a change goes in a text: the characters to replace for it."""

from __future__ import annotations

import re

from waterlint.finding import Edit
from waterlint.source.edit_data import (
    AddItem,
    AddKey,
    Change,
    Plain,
    Remove,
    SetValue,
    flow_text,
    scalar_text,
)
from waterlint.source.nodes import Entry, Mapping, Node, Scalar, Sequence, unescape
from waterlint.source.tree import Document

_LINE_END = re.compile(r"\r\n|\n|\r|\Z")

#: What stands before an item of a list in block style, on its line.
_DASH = re.compile(r"[ ]*-[ ]+(?:&\S+[ ]+)?")

#: A comment beside a line's end.
_BLANK_OR_COMMENT = re.compile(r"[ \t]*(#[^\r\n]*)?")


def edits_for(document: Document, text: str, change: Change) -> tuple[Edit, ...]:
    """The edits that make a change.

    Parameters
    ----------
    document : Document
        That the change is about.
    text : str
        In which it stands, without byte order mark.
    change : Change

    Raises
    ------
    ValueError
        If there is no place for it; its text says why.
    """
    pointer = change.pointer
    node = document.find(pointer)
    if node is None:
        raise ValueError(f"there is nothing at {pointer}")
    if isinstance(change, SetValue):
        return (_set(node, text, change.value, pointer),)
    if isinstance(change, Remove):
        parent_pointer, _, step = pointer.rpartition("/")
        parent = document.find(parent_pointer)
        assert parent is not None
        _refuse_alias(parent, parent_pointer)
        return _remove(parent, unescape(step), text)
    _refuse_alias(node, pointer)
    if isinstance(change, AddItem):
        if not isinstance(node, Sequence):
            raise ValueError(f"{pointer} is no list")
        return _add_item(node, text, change.value)
    if not isinstance(node, Mapping):
        raise ValueError(f"{pointer} is no group of keys")
    return (_add_key(node, text, change),)


def _refuse_alias(node: Node, pointer: str) -> None:
    if node.use is not None:
        raise ValueError(f"{pointer or 'the file'} is reached through an alias")


def _set(node: Node, text: str, value: Plain, pointer: str) -> Edit:
    # The alias of a whole value is itself the place; what is within one stands elsewhere.
    if node.use is not None and node.use != (node.start, node.end):
        raise ValueError(f"{pointer} is reached through an alias")
    if node.start == node.end:
        raise ValueError(f"{pointer} has no value that could be replaced")
    if not isinstance(node, Scalar) and not _is_flow(node, text):
        raise ValueError(f"{pointer} is a block of several lines")
    quote = text[node.start]
    if quote in "|>":
        raise ValueError(f"{pointer} is a text of several lines")
    if isinstance(value, str):
        keeps = isinstance(node, Scalar) and quote in "\"'"
        return Edit(node.start, node.end, scalar_text(value, quote if keeps else ""))
    return Edit(node.start, node.end, flow_text(value))


def _is_flow(node: Node, text: str) -> bool:
    return text[node.start : node.start + 1] in ("{", "[")


def _add_key(node: Mapping, text: str, change: AddKey) -> Edit:
    pair = f"{scalar_text(change.key)}: {flow_text(change.value)}"
    entries = list(node.entries.values())
    if _is_flow(node, text):
        if not entries:
            return Edit(node.start + 1, node.start + 1, pair)
        place = _end(entries[-1])
        return Edit(place, place, f"{_comma(text, entries[-1].key_start)}{pair}")
    first = entries[0]
    indent = " " * (first.key_span.column - 1)
    following = entries[-1]
    if isinstance(following.value, Scalar) and text[following.value.start : _end(following)][
        :1
    ] in ("|", ">"):
        raise ValueError(f"{change.pointer} ends in a text of several lines")
    lines = [pair]
    if not isinstance(change.value, str) and isinstance(change.value, list | tuple):
        lines = [
            f"{scalar_text(change.key)}:",
            *(f"{' ' * _list_indent(node, text)}- {flow_text(item)}" for item in change.value),
        ]
    return _new_lines(text, _end(following), [indent + line for line in lines])


def _list_indent(node: Mapping, text: str) -> int:
    """How far the lists of a mapping are set in, by the first that it has."""
    for entry in node.entries.values():
        if isinstance(entry.value, Sequence) and not _is_flow(entry.value, text):
            return max(0, entry.value.span.column - entry.key_span.column)
    return 2


def _add_item(node: Sequence, text: str, value: Plain) -> tuple[Edit, ...]:
    if _is_flow(node, text):
        if not node.items:
            return (Edit(node.start + 1, node.start + 1, flow_text(value)),)
        return _add_between_commas(text, node.items[-1], flow_text(value))
    last = node.items[-1]
    start = _line_start(text, last.start)
    dash = _DASH.match(text, start, last.start)
    if dash is None or dash.end() != last.start:
        raise ValueError("the list's items do not stand on lines of their own")
    lead = dash.group().partition("&")[0]
    block = isinstance(last, Mapping) and last.use is None and not _is_flow(last, text)
    if block and isinstance(value, dict):
        pairs = [f"{scalar_text(key)}: {flow_text(each)}" for key, each in value.items()]
        lines = [lead + pairs[0], *(" " * len(lead) + pair for pair in pairs[1:])]
    else:
        lines = [lead + flow_text(value)]
    return (_new_lines(text, last.end, lines),)


#: What stands behind the last part between brackets, where its line goes on with a comment.
_COMMA_AND_COMMENT = re.compile(r"[ \t]*(,?)[ \t]*#[^\r\n]*")


def _add_between_commas(text: str, last: Node, item: str) -> tuple[Edit, ...]:
    """A new part behind the last one; below it where that has a comment, which stays with it."""
    line = _line_start(text, last.start)
    found = _COMMA_AND_COMMENT.match(text, last.end)
    if found is None or text[line : last.start].strip():
        return (Edit(last.end, last.end, f"{_comma(text, last.start)}{item}"),)
    below = f"{_line_end_of(text)}{text[line : last.start]}{item}{found.group(1)}"
    added = Edit(found.end(), found.end(), below)
    return (added,) if found.group(1) else (Edit(last.end, last.end, ","), added)


def _comma(text: str, start: int) -> str:
    """What separates a new part between brackets: on a line of its own where the last has one."""
    line = _line_start(text, start)
    if text[line:start].strip():
        return ", "
    return f",{_line_end_of(text)}{text[line:start]}"


def _new_lines(text: str, end: int, lines: list[str]) -> Edit:
    """New lines below the one in which something ends, after its comment."""
    rest = _BLANK_OR_COMMENT.match(text, end)
    assert rest is not None
    found = _LINE_END.match(text, rest.end())
    if found is None:
        raise ValueError("something else follows on the same line")
    place = rest.end()
    line_end = found.group() or _line_end_of(text)
    return Edit(place, place, "".join(line_end + line for line in lines))


def _line_end_of(text: str) -> str:
    found = _LINE_END.search(text)
    return (found.group() if found else "") or "\n"


def _line_start(text: str, offset: int) -> int:
    return max(text.rfind("\n", 0, offset), text.rfind("\r", 0, offset)) + 1


def _end(entry: Entry) -> int:
    """Where an entry ends; one without a value ends behind its colon."""
    return max(entry.value.end, entry.key_end)


def _remove(parent: Node, step: str, text: str) -> tuple[Edit, ...]:
    if isinstance(parent, Mapping):
        keys = list(parent.entries)
        number = keys.index(step)
        stretches = [(entry.key_start, _end(entry)) for entry in parent.entries.values()]
    elif isinstance(parent, Sequence):
        number = int(step)
        stretches = [(item.start, item.end) for item in parent.items]
    else:
        raise ValueError(f"there is nothing named {step}")
    if _is_flow(parent, text):
        return _remove_between_commas(stretches, number, text)
    return (_remove_lines(parent, stretches, number, text),)


def _remove_between_commas(
    stretches: list[tuple[int, int]], number: int, text: str
) -> tuple[Edit, ...]:
    start, end = stretches[number]
    # An anchor in front of a part goes with it.
    before = stretches[number - 1][1] if number else start
    if number + 1 < len(stretches):
        stop = stretches[number + 1][0]
        if "#" in text[end:stop] or "&" in text[end:stop]:
            comma = text.index(",", end, stop)
            return (Edit(start, comma + 1, ""),)
        return (Edit(start, stop, ""),)
    if "#" in text[before:start]:
        return (Edit(start, end, ""),)
    return (Edit(before, end, ""),)


def _remove_lines(parent: Node, stretches: list[tuple[int, int]], number: int, text: str) -> Edit:
    start, end = stretches[number]
    if len(stretches) == 1:
        raise ValueError("nothing would be left of the block")
    line = _line_start(text, start)
    lead = text[line:start]
    dash = _DASH.fullmatch(lead)
    own_line = not lead.strip() or (dash is not None and isinstance(parent, Sequence))
    rest = _BLANK_OR_COMMENT.match(text, end)
    assert rest is not None
    found = _LINE_END.match(text, rest.end())
    if found is None:
        raise ValueError("something else follows on the same line")
    if own_line:
        if rest.group(1):
            # The comment stays, on the line that is free now.
            indent = " " * (len(lead) - len(lead.lstrip(" ")))
            return Edit(line, rest.start(1), indent)
        if not found.group():
            # The last line of the file: the end of the line before it goes instead.
            previous = len(text[:line].rstrip("\r\n"))
            return Edit(previous, found.end(), "")
        return Edit(line, found.end(), "")
    if number + 1 == len(stretches):
        raise ValueError("it shares its line with what holds it")
    if rest.group(1):
        raise ValueError("its comment would be lost")
    return Edit(start, stretches[number + 1][0], "")
