"""Slips within a text or at its edges: tabs, quotes, escapes, signs that start something else."""

from __future__ import annotations

import re

from waterlint.source.lines import Lines
from waterlint.source.parsing import SyntaxFault
from waterlint.source.slip import Slip, line_of, word_at

_INDENTATION = re.compile(r"[ \t]*")


def tab(lines: Lines, fault: SyntaxFault) -> Slip | None:
    if lines.text[fault.offset : fault.offset + 1] != "\t":
        return None
    start, line = line_of(lines, fault.offset)
    match = _INDENTATION.match(line)
    if match is not None and start + match.end() > fault.offset:
        message = "a tab stands in the indentation, where only spaces count"
        return Slip(fault.offset, start + match.end(), message, "Indent with spaces.")
    message = "a tab stands where only spaces can"
    return Slip(fault.offset, fault.offset + 1, message, "Put a space there.")


def open_quote(lines: Lines, fault: SyntaxFault) -> Slip | None:
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


def after_quote(lines: Lines, fault: SyntaxFault) -> Slip | None:
    if "<scalar>" not in fault.problem or fault.offset == 0:
        return None
    before = lines.text[: fault.offset].rstrip(" ")[-1:]
    if before not in ("'", '"'):
        return None
    number = lines.position(fault.offset)[0]
    start, line = line_of(lines, fault.offset)
    if line.count(before, 0, fault.offset - start) % 2:
        # The quote that closed there was meant to open: its partner is missing further up.
        for above in range(number - 1, 0, -1):
            if lines.line(above).count(before) % 2:
                return _unclosed(lines, lines.starts[above - 1] + lines.line(above).rfind(before))
    return Slip(
        *word_at(lines.text, fault.offset),
        f"text stands behind the closing {before}",
        "Write an apostrophe within single quotes twice, or use double quotes.",
    )


def escape(lines: Lines, fault: SyntaxFault) -> Slip | None:
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


def stray_sign(lines: Lines, fault: SyntaxFault) -> Slip | None:
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


def block_header(lines: Lines, fault: SyntaxFault) -> Slip | None:
    if fault.context != "while scanning a block scalar":
        return None
    return Slip(
        *word_at(lines.text, fault.offset),
        "a block text (| or >) starts on the line after its sign",
        "Move the text to the next line, indented; quote a value that starts with | or >.",
    )


def anchor_name(lines: Lines, fault: SyntaxFault) -> Slip | None:
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
