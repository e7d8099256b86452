"""The single lines of plain block style, kept from one file to the next."""

from __future__ import annotations

from waterlint.hints import TYPE_CHECKING, Final
from waterlint.source.brackets import Brackets
from waterlint.source.content import content_of
from waterlint.source.gate import is_allowed
from waterlint.source.lines import Lines
from waterlint.source.plain import NotPlain, end_of_quoted, is_plain, is_word
from waterlint.source.scalars import kind_of

if TYPE_CHECKING:
    from waterlint.hints import TypeAlias
    from waterlint.source.content import Content

    #: Of a key with a value and no dash in front the column of the key, else -2; the key, empty
    #: for an item without; the value, `None` where it is on later lines or missing; and the
    #: indent, the column behind the dash (0 without), and where the value starts and ends.
    Line: TypeAlias = tuple[int, str, Content | None, tuple[int, int, int, int]]

#: Lines that are kept, and the longest of them; recipes of one house have most in common.
_MOST: Final = 4096
_LONGEST: Final = 200

#: The lines that are kept, by what is written. Read it; `line_of` fills it.
KNOWN: Final[dict[str, Line | None]] = {}


def line_of(written: str) -> Line | None:
    """What a line holds, `None` for an empty one or a comment.

    Raises
    ------
    NotPlain
        When a parser is needed to understand it.

    Examples
    --------
    >>> line_of("  mash: 15.5 L  # by the meter")
    (2, 'mash', ('15.5 L', 'str'), (2, 0, 8, 14))
    >>> line_of("  - add: gypsum")
    (-2, 'add', ('gypsum', 'str'), (2, 4, 9, 15))
    """
    try:
        return KNOWN[written]  # not asked for first: another thread may clear it in between
    except KeyError:
        line = _read(written)
    if len(written) <= _LONGEST:
        if len(KNOWN) >= _MOST:
            KNOWN.clear()
        KNOWN[written] = line
    return line


def _read(written: str) -> Line | None:
    if "\t" in written or "\r" in written or not is_allowed(written):
        raise NotPlain
    rest = written.lstrip(" ")
    if not rest or rest[0] == "#":
        return None
    indent, dash = len(written) - len(rest), 0
    if rest.startswith("- "):
        rest = rest[2:].lstrip(" ")
        dash = len(written) - len(rest)
    key, colon, value = rest.partition(":")
    if not (colon and value[:1] in ("", " ") and is_word(key)):
        if not dash:
            raise NotPlain
        key, value = "", rest
    value = value.lstrip(" ")
    start = len(written) - len(value)
    value = _without_comment(value)
    if not (key or value):
        raise NotPlain
    content = _content(value) if value else None
    column = indent if value and not dash else -2
    return column, key, content, (indent, dash, start, start + len(value))


def _without_comment(value: str) -> str:
    """A value without the comment and the spaces behind it."""
    if not value or value[0] == "#":
        return ""
    if value[0] in "\"'":
        end = end_of_quoted(value, 0)
        rest = value[end:]
        if rest.lstrip(" ") and not (rest[0] == " " and rest.lstrip(" ")[0] == "#"):
            raise NotPlain
        return value[:end]
    value = value.partition(" #")[0].rstrip(" ")
    if value[0] not in "[{" and not is_plain(value):
        raise NotPlain
    return value


def _content(value: str) -> Content:
    if value[0] in "[{":
        return content_of(Brackets(Lines(value), value, 0, []).read())
    if value[0] in "\"'":
        return value[1:-1], "str"
    return value, kind_of(value)
