"""What is refused, or defused, before a parser sees the text.

The parsers disagree about some characters, and one of them counts its lines by them; a text that
has such characters is refused whole. Directives change how a parser reads what follows, and one
parser keeps that for the next document: they are reported, and hidden from the parser.
"""

from __future__ import annotations

import re
from functools import lru_cache

from waterlint.source.faults import Faults, shorten

#: All that may stand in a text: tab, line ends, and what YAML 1.2.2 (section 5.1) calls
#: printable, without U+0085, U+2028, U+2029 and a byte order mark within the text.
_HOSTILE = (
    "[^\t\n\r\x20-\x7e\xa0-\u2027\u202a-\ud7ff\ue000-\ufefe\uff00-\ufffd\U00010000-\U0010ffff]"
)
_LINE_ENDS = {"\x85": "U+0085", "\u2028": "U+2028", "\u2029": "U+2029"}
_LINE = r"[^\r\n]*"
_NO_CONTENT = r"[ \t]*(?:#[^\r\n]*)?"
_END_MARK = r"\.\.\.(?:[ \t][^\r\n]*)?"
_NUL = ("a NUL character stands here: this is no text file", "Name a text file in UTF-8.")
#: The most directives that get a finding each; a file has none or two, unless it means harm.
_MAX_DIRECTIVES = 20


@lru_cache(maxsize=1)
def _hostile() -> re.Pattern[str]:
    return re.compile(_HOSTILE)


def is_allowed(text: str) -> bool:
    """Whether every character of a text is one that may stand in it."""
    # What Unicode calls printable is all allowed; this is asked first since it is asked fast, and
    # the pattern for the rest takes longer to compile than a recipe to read.
    if text.replace("\n", "").replace("\r", "").replace("\t", "").isprintable():
        return True
    return _hostile().search(text) is None


def refuse_characters(faults: Faults) -> bool:
    """Report each forbidden character at its first place; whether there was any.

    A text with NUL characters is no text: that alone is reported.
    """
    text = faults.lines.text
    if is_allowed(text):
        return False
    first = _hostile().search(text)
    assert first is not None
    nul = text.find("\0")
    if nul >= 0:
        faults.add("unreadable-file", nul, nul + 1, *_NUL)
        return True
    counts: dict[str, list[int]] = {}
    for match in _hostile().finditer(text, first.start()):
        counts.setdefault(match.group(), []).append(match.start())
    for character, places in counts.items():
        rule, message, help = _describe(character)
        if len(places) > 1:
            message += f", and {len(places) - 1:,} more of them further on"
        faults.add(rule, places[0], places[0] + 1, message, help)
    return True


def _describe(character: str) -> tuple[str, str, str]:
    code = f"U+{ord(character):04X}"
    if "\ud800" <= character <= "\udfff":
        return (
            "unreadable-file",
            f"the half character {code} (a lone surrogate) stands here",
            "Save the file as UTF-8 and write the character again.",
        )
    if character in _LINE_ENDS:
        return (
            "invalid-yaml",
            f"the character {code} stands here, a line end to some programs only",
            "Replace it by an ordinary line break or a space.",
        )
    if character == "\ufeff":
        return (
            "invalid-yaml",
            "a byte order mark (U+FEFF) stands in the middle of the file, where it is invisible",
            "Delete it; only the very start of a file may have one.",
        )
    import unicodedata

    kind = "control character" if unicodedata.category(character) == "Cc" else "character"
    return "invalid-yaml", f"the {kind} {code} is not allowed in YAML", "Delete it."


def hide_directives(faults: Faults) -> str:
    """Report every directive (``%YAML``, ``%TAG``); the text with comments in their place.

    The comment is as long as the directive, so that every place in the text stays true. A
    directive can stand at the start of a text or after an end mark (``...``) only.
    """
    text = faults.lines.text
    if not text.startswith("%") and "\n%" not in text and "\r%" not in text:
        return text
    kept = 0
    pieces: list[str] = []
    before_content = True
    for match in re.finditer(_LINE, text):
        line, start = match.group(), match.start()
        if before_content and line.startswith("%"):
            if len(faults.findings) < _MAX_DIRECTIVES:
                _refuse_directive(faults, start, line.rstrip())
            pieces += (text[kept:start], "#")
            kept = start + 1
        elif before_content:
            before_content = re.fullmatch(_NO_CONTENT, line) is not None
        if line.startswith("...") and re.fullmatch(_END_MARK, line):
            before_content = True
    return "".join((*pieces, text[kept:]))


def _refuse_directive(faults: Faults, start: int, line: str) -> None:
    faults.add(
        "invalid-yaml",
        start,
        start + len(line),
        f"the directive {shorten(line.split()[0])} is not allowed",
        "Delete the line: every file is read as YAML 1.2.",
    )
