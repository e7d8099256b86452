"""What a parser's refusal means to a person who writes recipes.

A parser says what it missed at the place where it noticed, which is often not the place of the
slip: an open bracket shows at the end of the file, a missing colon one line later. Each function
here knows one kind of slip, looks at the text around, and tells the place of the slip and what to
write instead.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from waterlint.source.lines import Lines
from waterlint.source.parsing import SyntaxFault


@dataclass(frozen=True, slots=True)
class Slip:
    """The place of a slip, what it is, and what to write instead."""

    start: int
    end: int
    message: str
    help: str


_WORD = re.compile(r"[^\s,\[\]{}]+|[,\[\]{}]")
_GLUED_COLON = re.compile(r"[ ]*(?:- +)*[\w-]+(?P<colon>:)[^\s:/]")
_INDENTATION = re.compile(r"[ \t]*")
_KEY_ONLY_ON_ITS_LINE = re.compile(r"[ ]*(?:- +)*[^\s#\"'\[{][^#\"']*$")
_CLOSING = {"{": "}", "[": "]"}


def explain(lines: Lines, fault: SyntaxFault) -> Slip:
    """The slip behind a parser's refusal."""
    for recognise in _RECOGNISERS:
        slip = recognise(lines, fault)
        if slip is not None:
            return slip
    return Slip(
        *_word_at(lines.text, fault.offset),
        "this is not valid YAML",
        "Compare the indentation, the quotes and the brackets here with the lines around.",
    )


def _word_at(text: str, offset: int) -> tuple[int, int]:
    match = _WORD.match(text, offset)
    return (offset, offset) if match is None else match.span()


def _line_of(lines: Lines, offset: int) -> tuple[int, str]:
    """The start and the text of the line that an offset is in."""
    number = lines.position(offset)[0]
    return lines.starts[number - 1], lines.line(number)


def _tab(lines: Lines, fault: SyntaxFault) -> Slip | None:
    if lines.text[fault.offset : fault.offset + 1] != "\t":
        return None
    start, line = _line_of(lines, fault.offset)
    match = _INDENTATION.match(line)
    if match is not None and start + match.end() > fault.offset:
        message = "a tab stands in the indentation, where only spaces count"
        return Slip(fault.offset, start + match.end(), message, "Indent with spaces.")
    message = "a tab stands where only spaces can"
    return Slip(fault.offset, fault.offset + 1, message, "Put a space there.")


def _open_quote(lines: Lines, fault: SyntaxFault) -> Slip | None:
    if fault.context != "while scanning a quoted scalar" or fault.context_offset is None:
        return None
    return _unclosed(lines, fault.context_offset)


def _unclosed(lines: Lines, start: int) -> Slip:
    quote = lines.text[start : start + 1]
    return Slip(
        start,
        start + 1,
        f"the text in quotes that starts here has no closing {quote}",
        f"Add the closing {quote}; an apostrophe within single quotes is written twice.",
    )


def _escape(lines: Lines, fault: SyntaxFault) -> Slip | None:
    help = "Write \\\\ for a backslash, or put the text in single quotes."
    if fault.problem.startswith("found unknown escape character"):
        start, end = fault.offset - 1, fault.offset + 1
        return Slip(start, end, f"{lines.text[start:end]} is no escape", help)
    if fault.problem.startswith("expected escape sequence"):
        start, end = fault.offset - 2, fault.offset
        message = f"{lines.text[start:end]} is followed by too few hexadecimal digits"
        return Slip(start, end, message, help)
    if fault.problem in ("OverflowError", "ValueError"):
        match = re.compile(r"\\U[0-9A-Fa-f]{8}").search(lines.text, fault.offset)
        if match is not None:
            return Slip(*match.span(), f"{match.group()} stands for no character", help)
    return None


def _missing_colon(lines: Lines, fault: SyntaxFault) -> Slip | None:
    """A line that should be a key with a value but has no colon, or none with a space behind."""
    if fault.problem == "could not find expected ':'" and fault.context_offset is not None:
        return _without_colon(lines, fault.context_offset)
    if fault.problem != "mapping values are not allowed here":
        return None
    # The text that the colon ends may have begun one or several lines above.
    number = lines.position(fault.offset)[0]
    start, line = _line_of(lines, fault.offset)
    if ": " in line[: fault.offset - start] or number == 1:
        return None
    above = lines.line(number - 1)
    indentation = len(above) - len(above.lstrip(" "))
    if indentation != len(line) - len(line.lstrip(" ")) or not above.strip():
        return None
    if ": " in above or above.rstrip().endswith(":") or above.lstrip().startswith(("#", "- ")):
        return None
    return _without_colon(lines, lines.starts[number - 2] + indentation)


def _without_colon(lines: Lines, start: int) -> Slip:
    line_start, line = _line_of(lines, start)
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


def _second_colon(lines: Lines, fault: SyntaxFault) -> Slip | None:
    if fault.problem != "mapping values are not allowed here":
        return None
    start, line = _line_of(lines, fault.offset)
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


def _list_on_key_line(lines: Lines, fault: SyntaxFault) -> Slip | None:
    if fault.problem != "sequence entries are not allowed here":
        return None
    return Slip(
        fault.offset,
        fault.offset + 1,
        "a list item cannot start here",
        "Start each item on a line of its own, or quote a text that starts with a dash.",
    )


def _open_bracket(lines: Lines, fault: SyntaxFault) -> Slip | None:
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
        return Slip(*_word_at(lines.text, fault.offset), what, help)
    message = f"the {bracket} here has no closing {closing}"
    return Slip(start, start + 1, message, f"Add the closing {closing}.")


def _stray_sign(lines: Lines, fault: SyntaxFault) -> Slip | None:
    """A sign that cannot stand here, in brackets or out of them."""
    found = lines.text[fault.offset : fault.offset + 1]
    start, end = fault.offset, fault.offset + 1
    if not found:
        return None
    if "cannot start any token" in fault.problem:
        message = f"a text without quotes cannot start with {found}"
        return Slip(start, end, message, "Put the text in quotes.")
    if found in "]}" and fault.problem.startswith(("expected the node", "expected <block end>")):
        return Slip(start, end, f"this {found} has no opening bracket", "Delete it.")
    if found == "," and fault.problem.startswith(("expected the node", "expected <block end>")):
        message = "a comma stands where a value is expected"
        return Slip(start, end, message, "Delete it, or write the value in front of it.")
    return None


def _after_quote(lines: Lines, fault: SyntaxFault) -> Slip | None:
    if "<scalar>" not in fault.problem or fault.offset == 0:
        return None
    before = lines.text[: fault.offset].rstrip(" ")[-1:]
    if before not in ("'", '"'):
        return None
    number = lines.position(fault.offset)[0]
    start, line = _line_of(lines, fault.offset)
    if line.count(before, 0, fault.offset - start) % 2:
        # The quote that closed there was meant to open: its partner is missing further up.
        for above in range(number - 1, 0, -1):
            if lines.line(above).count(before) % 2:
                return _unclosed(lines, lines.starts[above - 1] + lines.line(above).rfind(before))
    return Slip(
        *_word_at(lines.text, fault.offset),
        f"text stands behind the closing {before}",
        "Write an apostrophe within single quotes twice, or use double quotes.",
    )


def _block_header(lines: Lines, fault: SyntaxFault) -> Slip | None:
    if fault.context != "while scanning a block scalar":
        return None
    return Slip(
        *_word_at(lines.text, fault.offset),
        "a block text (| or >) starts on the line after its sign",
        "Move the text to the next line, indented; quote a value that starts with | or >.",
    )


def _anchor_name(lines: Lines, fault: SyntaxFault) -> Slip | None:
    if fault.context not in ("while scanning an alias", "while scanning an anchor"):
        return None
    start = fault.offset if fault.context_offset is None else fault.context_offset
    sign = lines.text[start : start + 1]
    what = "an alias" if sign == "*" else "an anchor"
    return Slip(
        start,
        start + 1,
        f"{sign} starts {what}, and no name of letters and digits follows",
        f"Put a text that starts with {sign} in quotes.",
    )


def _indentation(lines: Lines, fault: SyntaxFault) -> Slip | None:
    if not fault.problem.startswith(("expected <block end>", "expected '<document start>'")):
        return None
    start, line = _line_of(lines, fault.offset)
    word = _word_at(lines.text, fault.offset)
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


def _percent_line(lines: Lines, fault: SyntaxFault) -> Slip | None:
    """A line that starts with a percent sign is taken for a directive, and a mark must follow."""
    if not fault.problem.startswith("expected '<document start>'"):
        return None
    for number in range(lines.position(fault.offset)[0] - 1, 0, -1):
        line = lines.line(number)
        if line.startswith("%"):
            start = lines.starts[number - 1]
            message = "a line cannot start with a percent sign"
            return Slip(start, start + 1, message, "Put the text in quotes, or indent it.")
        if line.strip() and not line.lstrip().startswith("#"):
            return None
    return None


def _end_mark(lines: Lines, fault: SyntaxFault) -> Slip | None:
    if not lines.text.startswith("...", fault.offset):
        return None
    message = "the end mark ... ends no document here"
    return Slip(fault.offset, fault.offset + 3, message, "Delete it.")


_RECOGNISERS: tuple[Callable[[Lines, SyntaxFault], Slip | None], ...] = (
    _tab,
    _open_quote,
    _escape,
    _missing_colon,
    _second_colon,
    _list_on_key_line,
    _open_bracket,
    _stray_sign,
    _after_quote,
    _block_header,
    _anchor_name,
    _end_mark,
    _percent_line,
    _indentation,
)
