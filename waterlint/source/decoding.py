"""From bytes to text: UTF-8 with or without byte order mark, and nothing else."""

from __future__ import annotations

import codecs

from waterlint.source.faults import Faults
from waterlint.source.lines import Lines

#: The largest file that is read [bytes]: 1 MiB, over a hundred times a long recipe.
MAX_BYTES = 1024 * 1024

#: The longer marks first: the mark of UTF-32 (little end first) begins with that of UTF-16.
_FOREIGN_MARKS = (
    (codecs.BOM_UTF32_LE, "UTF-32"),
    (codecs.BOM_UTF32_BE, "UTF-32"),
    (codecs.BOM_UTF16_LE, "UTF-16"),
    (codecs.BOM_UTF16_BE, "UTF-16"),
)
_SAVE_AS_UTF8 = "Save the file as UTF-8."


def decode(data: bytes, path: str) -> tuple[str, Faults | None]:
    """The text of `data`, or what keeps it from being text.

    Returns
    -------
    text : str
        The text, with its byte order mark if it has one. With a fault, as much of it as helps to
        show the place.
    faults : Faults or None
        One finding about why it cannot be read.
    """
    if len(data) > MAX_BYTES:
        return "", too_large(path)
    if (encoding := _foreign_encoding(data)) is not None:
        return "", _whole_file(path, f"the file is {encoding}, not UTF-8", _SAVE_AS_UTF8)
    try:
        return data.decode("utf-8"), None
    except UnicodeDecodeError as error:
        return _undecodable(data, path, error.start)


def too_large(path: str) -> Faults:
    """The finding about a file of more than `MAX_BYTES`."""
    return _whole_file(
        path,
        "the file is larger than 1 MiB, the most that is read",
        "Split it into several files, or leave it out of the check.",
    )


def exceeds_limit(text: str) -> bool:
    """Whether `text` would be more than `MAX_BYTES` in UTF-8 (at most four bytes a character)."""
    if len(text) * 4 <= MAX_BYTES:
        return False
    return len(text) > MAX_BYTES or len(text.encode("utf-8", "surrogatepass")) > MAX_BYTES


def _whole_file(path: str, message: str, help: str) -> Faults:
    faults = Faults(Lines(""), path)
    faults.add("unreadable-file", 0, 0, message, help)
    return faults


def _foreign_encoding(data: bytes) -> str | None:
    for mark, name in _FOREIGN_MARKS:
        if data.startswith(mark):
            return name
    # Without a mark: the first letters of any YAML are ASCII, and every other byte is then NUL.
    zeros = [byte == 0 for byte in data[:4]]
    if sum(zeros) == 3 and len(zeros) == 4:
        return "UTF-32"
    if zeros in ([True, False, True, False], [False, True, False, True]):
        return "UTF-16"
    return None


def _undecodable(data: bytes, path: str, offset: int) -> tuple[str, Faults]:
    before = data[:offset].decode("utf-8").removeprefix("\ufeff")
    text = data.decode("utf-8", "replace").removeprefix("\ufeff")
    byte = data[offset : offset + 1]
    looks_like = byte.decode("windows-1252", "replace")
    hint = "" if looks_like == "\ufffd" else f" In Windows-1252 that byte is {looks_like}."
    faults = Faults(Lines(text), path)
    faults.add(
        "unreadable-file",
        len(before),
        len(before) + 1,
        f"the byte 0x{byte[0]:02X} is not UTF-8 (byte {offset + 1:,} of the file)",
        _SAVE_AS_UTF8 + hint,
    )
    return text, faults
