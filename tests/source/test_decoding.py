"""Bytes that are no UTF-8 text, and how large a file may be."""

from __future__ import annotations

import codecs

import pytest

from waterlint.source.decoding import MAX_BYTES
from waterlint.source.document import line_text, read_bytes, read_text

from .outline import excerpts, faults


@pytest.mark.parametrize(
    ("data", "line", "column"),
    [
        (b"\xff", 1, 1),
        (b"name: caf\xe9\n", 1, 10),
        (b"a: 1\nb: 55 \xb0C\n", 2, 7),
        (b"a: 1\r\nb: 55 \xb0C\r\n", 2, 7),
        (b"\xef\xbb\xbfname: caf\xe9\n", 1, 10),
        ("µ: ü ".encode() + b"\xe9", 1, 6),
        (b"a: \xc0\xaf", 1, 4),  # an overlong slash
        (b"a: \xed\xa0\x80", 1, 4),  # a surrogate
        (b"a: \xe2\x82", 1, 4),  # cut off
        (b"a: \xf4\x90\x80\x80", 1, 4),  # past the last character
    ],
)
def test_a_byte_that_is_not_utf8(data: bytes, line: int, column: int) -> None:
    source = read_bytes(data, "a.yaml")
    assert faults(source) == [("unreadable-file", line, column)]
    assert excerpts(source) == ["\ufffd"]
    assert source.documents == ()


def test_the_byte_is_named_with_what_it_would_be_in_windows_1252() -> None:
    (finding,) = read_bytes(b"color: 55 \xb0L\n", "a.yaml").findings
    assert finding.message == "the byte 0xB0 is not UTF-8 (byte 11 of the file)"
    assert finding.help == "Save the file as UTF-8. In Windows-1252 that byte is °."


def test_the_line_of_the_byte_can_be_shown() -> None:
    source = read_bytes(b"a: 1\nname: caf\xe9 x\n", "a.yaml")
    assert line_text(source, 2) == "name: caf\ufffd x"


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le", "utf-16-be"])
def test_utf16_is_refused(encoding: str) -> None:
    source = read_bytes("waterlint: recipe/1\n".encode(encoding), "a.yaml")
    (finding,) = source.findings
    assert (finding.rule, finding.message) == (
        "unreadable-file",
        "the file is UTF-16, not UTF-8",
    )
    assert (finding.span.line, finding.span.column) == (1, 1)


@pytest.mark.parametrize("encoding", ["utf-32", "utf-32-le", "utf-32-be"])
def test_utf32_is_refused(encoding: str) -> None:
    (finding,) = read_bytes("waterlint: recipe/1\n".encode(encoding), "a.yaml").findings
    assert finding.message == "the file is UTF-32, not UTF-8"


@pytest.mark.parametrize("mark", [codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE])
def test_a_lone_mark_of_utf16_is_refused(mark: bytes) -> None:
    assert faults(read_bytes(mark, "a.yaml")) == [("unreadable-file", 1, 1)]


@pytest.mark.parametrize(
    ("data", "line", "column"),
    [(b"\0", 1, 1), (b"a: 1\nb: \0\n", 2, 4), (b"\x7fELF\x01\0\0\0", 1, 6), (b"ab\0\0\0c", 1, 3)],
)
def test_nul_makes_a_file_no_text(data: bytes, line: int, column: int) -> None:
    assert faults(read_bytes(data, "a.yaml")) == [("unreadable-file", line, column)]


def test_a_file_of_the_largest_size_is_read() -> None:
    data = b"a: " + b"x" * (MAX_BYTES - 3)
    assert len(read_bytes(data, "a.yaml").documents) == 1
    assert len(read_text(data.decode(), "a.yaml").documents) == 1


@pytest.mark.parametrize("letter", ["x", "µ", "🍺"])
def test_a_larger_file_is_not_read(letter: str) -> None:
    text = "a: " + letter * (MAX_BYTES // len(letter.encode()))
    for source in (read_bytes(text.encode(), "a.yaml"), read_text(text, "a.yaml")):
        assert faults(source) == [("unreadable-file", 1, 1)]
        assert (source.text, source.documents) == ("", ())
        assert "1 MiB" in source.findings[0].message


def test_size_is_counted_in_bytes_not_in_characters() -> None:
    text = "a: " + "🍺" * (MAX_BYTES // 4 - 1)
    assert len(read_text(text, "a.yaml").documents) == 1


def test_empty_bytes() -> None:
    source = read_bytes(b"", "a.yaml")
    assert (source.text, source.documents, source.findings) == ("", (), ())
