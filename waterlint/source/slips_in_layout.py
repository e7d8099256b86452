"""Slips in what holds the texts together: colons, lists, brackets, indentation, marks."""

from __future__ import annotations

import re

from waterlint.source.lines import Lines
from waterlint.source.parsing import SyntaxFault
from waterlint.source.slip import Slip, line_of, word_at

_GLUED_COLON = re.compile(r"[ ]*(?:- +)*[\w-]+(?P<colon>:)[^\s:/]")
_CLOSING = {"{": "}", "[": "]"}
#: A text in quotes, a comment, or a bracket.
_SKIPPED_OR_BRACKET = re.compile(
    r""" "(?:\\.|[^"\\])*" | '[^']*' | (?<!\S)\#.* | [\[\]{}] """, re.VERBOSE
)


def missing_colon(lines: Lines, fault: SyntaxFault) -> Slip | None:
    """A line that should be a key with a value but has no colon, or none with a space behind."""
    if fault.problem == "could not find expected ':'" and fault.context_offset is not None:
        return _without_colon(lines, fault.context_offset)
    if fault.problem != "mapping values are not allowed here":
        return None
    # The text that the colon ends may have begun one or several lines above.
    number = lines.position(fault.offset)[0]
    start, line = line_of(lines, fault.offset)
    if ": " in line[: fault.offset - start]:
        return None
    number -= 1
    while number and not lines.line(number).strip():
        number -= 1
    above = lines.line(number)
    indentation = len(above) - len(above.lstrip(" "))
    if indentation != len(line) - len(line.lstrip(" ")) or above.startswith("---"):
        return None
    if ": " in above or above.rstrip().endswith(":") or above.lstrip().startswith(("#", "- ")):
        return None
    return _without_colon(lines, lines.starts[number - 1] + indentation) if number else None


def _without_colon(lines: Lines, start: int) -> Slip:
    line_start, line = line_of(lines, start)
    match = _GLUED_COLON.match(line)
    if match is not None:
        place = line_start + match.start("colon")
        message = "a space is missing after the colon"
        return Slip(place, place + 1, message, "Write the key, a colon, a space and the value.")
    end = line_start + len(line.split(" #")[0].rstrip())
    return Slip(
        start,
        max(start, end),
        "this line has no colon, so it is no key with a value",
        "Write the key, a colon, a space and the value.",
    )


def second_colon(lines: Lines, fault: SyntaxFault) -> Slip | None:
    if fault.problem != "mapping values are not allowed here":
        return None
    start, line = line_of(lines, fault.offset)
    before = line[: fault.offset - start]
    if before.startswith("--- "):
        message = "a key cannot start on the line of the document mark ---"
        return Slip(start, start + 3, message, "Write the key on the next line.")
    if ":" in before:
        return Slip(
            fault.offset,
            fault.offset + 1,
            "a second colon stands in this line",
            "Put a text that has a colon in quotes.",
        )
    word = start + len(before) - len(before.lstrip(" "))
    return Slip(
        word,
        fault.offset,
        "this key is indented below a value, or the line above is not finished",
        "Indent it like the other keys of its group.",
    )


def list_on_key_line(lines: Lines, fault: SyntaxFault) -> Slip | None:
    if fault.problem != "sequence entries are not allowed here":
        return None
    return Slip(
        fault.offset,
        fault.offset + 1,
        "a list item cannot start here",
        "Start each item on a line of its own, or quote a text that starts with a dash.",
    )


def open_bracket(lines: Lines, fault: SyntaxFault) -> Slip | None:
    """Something other than a comma or the closing bracket follows in a pair of brackets."""
    if not fault.context.startswith("while parsing a flow ") or fault.context_offset is None:
        return None
    start = fault.context_offset
    bracket = lines.text[start : start + 1]
    closing = _CLOSING.get(bracket)
    if closing is None:
        return None
    found = lines.text[fault.offset : fault.offset + 1]
    same_line = lines.position(start)[0] == lines.position(fault.offset)[0]
    if same_line and found and found not in "]}":
        what = "a second colon stands in this entry, or a comma is missing in front of it"
        if found != ":":
            what = "a comma is missing here"
        help = "Put a comma between two entries; quote a text that has a colon or a comma."
        return Slip(*word_at(lines.text, fault.offset), what, help)
    message = f"the {bracket} here has no closing {closing}"
    return Slip(start, start + 1, message, f"Add the closing {closing}.")


def bracket_open_at_end(lines: Lines, fault: SyntaxFault) -> Slip | None:
    """The file ends where a value in brackets should begin."""
    if not fault.context.startswith("while parsing a flow") or lines.text[fault.offset :].strip():
        return None
    waiting: list[int] = []
    for match in _SKIPPED_OR_BRACKET.finditer(lines.text):
        sign = match.group()
        if sign in _CLOSING:
            waiting.append(match.start())
        elif sign in _CLOSING.values() and waiting:
            waiting.pop()
    if not waiting:
        return None
    start = waiting[-1]
    bracket = lines.text[start]
    message = f"the {bracket} here has no closing {_CLOSING[bracket]}"
    return Slip(start, start + 1, message, f"Add the closing {_CLOSING[bracket]}.")


def end_mark(lines: Lines, fault: SyntaxFault) -> Slip | None:
    if not lines.text.startswith("...", fault.offset):
        return None
    message = "the end mark ... ends no document here"
    return Slip(fault.offset, fault.offset + 3, message, "Delete it.")


def indentation(lines: Lines, fault: SyntaxFault) -> Slip | None:
    if not fault.problem.startswith(("expected <block end>", "expected '<document start>'")):
        return None
    start, line = line_of(lines, fault.offset)
    word = word_at(lines.text, fault.offset)
    if line[: fault.offset - start].strip(" "):
        return Slip(
            *word, "this stands behind a value that is complete", "Put it on a line of its own."
        )
    if line.lstrip(" ").startswith("- "):
        return Slip(
            fault.offset,
            fault.offset + 1,
            "this list item fits no list above it",
            "Indent it like the other items of its list.",
        )
    return Slip(
        *word,
        "the indentation of this line fits none of the lines above",
        "Indent it like the other keys of its group.",
    )
