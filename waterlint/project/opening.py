"""Telling waterlint's files from other YAML without parsing them.

A folder may hold a thousand YAML files of other programs, and all that has to be known of them
is that their first key is another one.
"""

from __future__ import annotations

import re

_MARK = b"waterlint"

#: Where one document ends and the next begins. At the start of a line these signs mean nothing
#: else in YAML, not even within a block text.
_BOUNDARY = re.compile(rb"^(?:---|\.\.\.)(?=[ \t\r\n]|\Z)", re.MULTILINE)

#: What may come before the first key: white space, comments, directives, an anchor or a tag,
#: and the brackets of a flow mapping.
_BEFORE = re.compile(rb"(?:[\s{?]|#[^\r\n]*|%[^\r\n]*|[&!][^\s{]*)*")

#: The colon after a bare word must end there; after quotes it need not.
_FIRST_KEY = re.compile(rb"""waterlint\s*:(?=[\s,}]|\Z)|(?:"waterlint"|'waterlint')\s*:""")

#: After that key: nothing more on its line, and a deeper line that begins a block. Such a key is
#: another program's, as a job of a CI service may be called; the kind of our files is a word.
_BLOCK = re.compile(
    rb"[ \t]*(?:#[^\r\n]*)?(?:[\r\n][ \t]*(?:#[^\r\n]*)?)*[\r\n](?P<indent>[ \t]+)"
    rb"(?:-[ \t]|[^\s#:][^:\r\n]*:(?:\s|\Z))"
)

_BYTE_ORDER_MARKS = (b"\xef\xbb\xbf", b"\xff\xfe", b"\xfe\xff")


def says_waterlint(data: bytes) -> bool:
    """Whether the first key of some document in a file is ``waterlint``.

    Parameters
    ----------
    data : bytes
        The file, or its beginning.

    Returns
    -------
    bool
        Also true for a file in an encoding that is refused later, so that it is told and not
        skipped.

    Examples
    --------
    >>> says_waterlint(b"# a comment\\nwaterlint: recipe/1\\n")
    True
    >>> says_waterlint(b"jobs:\\n  waterlint: recipe/1\\n")
    False
    """
    if b"\0" in data:
        # UTF-16 or UTF-32: what is left of ASCII characters without the zeros is ASCII.
        data = data.replace(b"\0", b"")
    if _MARK not in data:
        return False
    for mark in _BYTE_ORDER_MARKS:
        data = data.removeprefix(mark)
    # Only a document that begins before the last mention of the word can begin with it.
    start, last = 0, data.rfind(_MARK)
    while not _begins(data, start):
        boundary = _BOUNDARY.search(data, start)
        if boundary is None or boundary.end() > last:
            return False
        start = boundary.end()
    return True


def _begins(data: bytes, start: int) -> bool:
    before = _BEFORE.match(data, start)
    place = start if before is None else before.end()
    key = _FIRST_KEY.match(data, place)
    if key is None:
        return False
    block = _BLOCK.match(data, key.end())
    if block is None:
        return True
    column = place - max(data.rfind(b"\n", 0, place), data.rfind(b"\r", 0, place)) - 1
    return len(block["indent"]) <= column
