"""What may be a key: a single word or text on one line, once in its mapping."""

from __future__ import annotations

import re
from collections.abc import Callable

from waterlint.records import Record
from waterlint.source.faults import Faults, shorten
from waterlint.source.nodes import Entry, Mapping
from waterlint.source.plain import NULLS

_TAB_AFTER_COLON = re.compile(r"[ \t]*:[ ]*(\t[ \t]*)")

#: The JSON pointer of the mapping being read, with further steps; computed on demand.
PointerTo = Callable[..., str]


class Key(Record, frozen=False):
    """A key that waits for its value.

    Without `keep` it is reported and its value is left out; with `merge` it is ``<<``, reported
    when its value is known.
    """

    text: str
    start: int
    end: int
    keep: bool = True
    merge: bool = False


def examine_key(
    key: Key, style: str | None, entries: dict[str, Entry], faults: Faults, pointer: PointerTo
) -> bool:
    """Report what is wrong with a key that is a single text; whether the mapping is in doubt."""
    if not style and not key.text and faults.lines.text[key.start - 1 : key.start] == ":":
        key.start = key.end = key.start - 1  # in brackets it is said to stand behind its colon
    if not style and key.text in NULLS:
        what = f"the key {key.text} means nothing" if key.text else "the key is missing"
        help = "Write a word in front of the colon, or quote this one."
        return _refuse(key, faults, pointer(), what, help if key.text else "Write a key here.")
    if style in ("|", ">") or _breaks_line(key, faults.lines.text):
        return _refuse(
            key,
            faults,
            pointer(),
            "a key runs over several lines",
            "Write the key and its colon on one line.",
        )
    if key.text == "<<" and not style:
        key.keep, key.merge = False, True
        return True
    first = entries.get(key.text)
    if first is not None and _is_rest_of_number(key, faults.lines.text):
        key.keep = False
        return False
    if first is not None:
        key.keep = False
        faults.add(
            "duplicate-key",
            key.start,
            key.end,
            f"the key {shorten(key.text)} is already given on line {first.key_span.line}",
            "Keep one of the two.",
            pointer(key.text),
            first=(first.key_start, first.key_end),
        )
    return False


def _is_rest_of_number(key: Key, text: str) -> bool:
    """Whether a decimal comma made this key: of `{volume: 15,5 L}`, the `5 L`.

    The comma is told where the number is judged; two numbers with the same rest are no second
    fault.
    """
    before = text[key.start - 2 : key.start]
    return key.text[:1].isdigit() and before[:1].isdigit() and before[1:] == ","


def refuse_anchored_key(key: Key, faults: Faults, pointer: str) -> None:
    """Report a key with an anchor in front; the key itself is clear."""
    faults.add(
        "invalid-yaml",
        key.start,
        key.end,
        "an anchor (&) stands in front of a key",
        "Put the anchor after the colon, in front of the value.",
        pointer,
    )


def refuse_alias_key(key: Key, faults: Faults, pointer: str) -> None:
    """Report an alias in the place of a key."""
    _refuse(key, faults, pointer, "an alias (*) stands in the place of a key", "Write the key out.")


def refuse_collection_key(key: Key, faults: Faults, pointer: str) -> None:
    """Report a list or a mapping in the place of a key."""
    _refuse(
        key,
        faults,
        pointer,
        "a list or a mapping stands in the place of a key",
        "Write a word as the key; quote a text that starts with a bracket.",
    )


def refuse_tab_after_colon(key: Key, faults: Faults, pointer: str) -> None:
    """Report a tab between a key's colon and its value, which some parsers refuse."""
    match = _TAB_AFTER_COLON.match(faults.lines.text, key.end)
    if match is not None:
        faults.add(
            "invalid-yaml",
            *match.span(1),
            "a tab stands after the colon, which not every parser accepts",
            "Put a space there.",
            pointer,
        )


def refuse_merge(key: Key, value: object, faults: Faults, pointer: str) -> None:
    """Report a merge key, with the keys that it stands for where they are known."""
    help = "Write the keys out here, or give the whole value by an alias (key: *name)."
    if isinstance(value, Mapping) and value.entries:
        names = ", ".join(shorten(name) for name in list(value.entries)[:8])
        help = f"Write out here what it stands for: {names}."
    message = "the merge key << is no part of YAML 1.2"
    faults.add("merge-key", key.start, key.end, message, help, pointer)


def _breaks_line(key: Key, text: str) -> bool:
    if key.end - key.start == len(key.text):
        return False
    return any(end in text[key.start : key.end] for end in "\r\n")


def _refuse(key: Key, faults: Faults, pointer: str, message: str, help: str) -> bool:
    key.keep = False
    faults.add("invalid-yaml", key.start, key.end, message, help, pointer)
    return True
