"""Characters and directives that are refused before a parser sees the text."""

from __future__ import annotations

import pytest

from waterlint.source.document import read_text

from .outline import excerpts, faults, values


@pytest.mark.parametrize(
    "sign",
    [
        *"\x01\x07\x08\x0b\x0c\x0e\x1b\x1f\x7f\x80\x84\x85\x86\x9f",
        "\u2028",
        "\u2029",
        "\ufeff",
        "\ufffe",
        "\uffff",
    ],
)
@pytest.mark.parametrize("before", ["a: x", "a: 'x", "# x", "a: |\n  x", "{a: [1, x"])
def test_a_character_that_parsers_disagree_on(sign: str, before: str) -> None:
    source = read_text(f"{before}{sign}y\n", "a.yaml")
    line = before.count("\n") + 1
    column = len(before.rsplit("\n", 1)[-1]) + 1
    assert faults(source) == [("invalid-yaml", line, column)]
    assert excerpts(source) == [sign]
    assert f"U+{ord(sign):04X}" in source.findings[0].message
    assert source.documents == ()


@pytest.mark.parametrize(
    ("sign", "words"),
    [
        ("\x85", "a line end to some programs only"),
        ("\u2028", "a line end to some programs only"),
        ("\ufeff", "byte order mark"),
        ("\x07", "the control character U+0007"),
        ("\uffff", "the character U+FFFF"),
    ],
)
def test_the_character_is_described(sign: str, words: str) -> None:
    assert words in read_text(f"a: x{sign}", "a.yaml").findings[0].message


def test_two_of_a_kind_are_counted() -> None:
    (finding,) = read_text("a: \x07\x07\n", "a.yaml").findings
    assert finding.message.endswith("and 1 more of them further on")


@pytest.mark.parametrize("before", ["", "a: 1\nb: \x07"])
def test_a_text_with_nul_is_no_text(before: str) -> None:
    source = read_text(f"{before}\0\0\ufeff", "a.yaml")
    assert [finding.rule for finding in source.findings] == ["unreadable-file"]
    assert source.findings[0].span.start == len(before)
    assert excerpts(source) == ["\0"]
    assert source.documents == ()


@pytest.mark.parametrize("sign", ["\ud800", "\udfff", "\udce9"])
def test_half_a_character(sign: str) -> None:
    source = read_text(f"a: 1\nb: {sign}", "a.yaml")
    assert faults(source) == [("unreadable-file", 2, 4)]
    source.findings[0].message.encode()  # can be printed


@pytest.mark.parametrize(
    "sign", ["\t", "\xa0", "\u200b", "\ue000", "\ufffd", "µ", "🍺", "\U0010ffff"]
)
def test_a_character_that_is_let_through(sign: str) -> None:
    assert read_text(f"a: 'x{sign}y'\n", "a.yaml").findings == ()


def test_one_finding_for_each_kind_of_character() -> None:
    source = read_text("a: \x07\x07\nb: \x1b\x07\n", "a.yaml")
    assert faults(source) == [("invalid-yaml", 1, 4), ("invalid-yaml", 2, 4)]
    assert "2 more" in source.findings[0].message
    assert "more" not in source.findings[1].message


@pytest.mark.parametrize(
    ("text", "line", "end_column"),
    [
        ("%YAML 1.1\n---\na: no\n", 1, 10),
        ("%YAML 1.2  \n---\na: no\n", 1, 10),
        ("# head\n\n%TAG ! tag:x,2026:\n---\na: no\n", 3, 19),
        ("%UNKNOWN\r\n---\r\na: no\r\n", 1, 9),
        ("%\n---\na: no\n", 1, 2),
    ],
)
def test_a_directive_is_reported_and_has_no_effect(text: str, line: int, end_column: int) -> None:
    source = read_text(text, "a.yaml")
    assert faults(source) == [("invalid-yaml", line, 1)]
    assert source.findings[0].span.end_column == end_column
    assert values(source) == {"/a": ("str", "no")}
    place = source.documents[0].span_of("/a")
    assert source.text[place.start : place.end] == "no"
    assert source.text == text


def test_a_directive_after_an_end_mark() -> None:
    source = read_text("a: 1\n...\n%YAML 1.1\n---\nb: yes\n", "a.yaml")
    assert faults(source) == [("invalid-yaml", 3, 1)]
    assert values(source, 1) == {"/b": ("str", "yes")}


def test_every_directive_is_reported() -> None:
    source = read_text("%YAML 1.2\n%TAG !e! tag:x:\n---\na: 1\n", "a.yaml")
    assert faults(source) == [("invalid-yaml", 1, 1), ("invalid-yaml", 2, 1)]


@pytest.mark.parametrize(
    "text", ["a: 40 %\n", "a: |\n  %YAML 1.1\n", "a: '\n  %x'\n", "a: 1 # %\n"]
)
def test_a_percent_sign_is_no_directive(text: str) -> None:
    assert read_text(text, "a.yaml").findings == ()


def test_a_text_that_starts_with_three_dots_is_no_end_mark() -> None:
    source = read_text("...x: 1\n%y: 2\n", "a.yaml")
    assert "cannot start with %" in source.findings[0].message


def test_no_line_is_skipped_for_a_directive() -> None:
    source = read_text("a: 1\n%b: 2\n---\nc: 3\n", "a.yaml")
    assert faults(source) == [("invalid-yaml", 2, 1)]
    assert [document.index for document in source.documents] == [1]
    assert read_text("a: 'x\n% y'\n", "a.yaml").findings == ()


def test_many_directives_make_a_few_findings() -> None:
    source = read_text("%x\n" * 1_000 + "---\na: 1\n", "a.yaml")
    assert len(source.findings) == 20
    assert values(source) == {"/a": ("int", "1")}


def test_a_percent_sign_after_content_is_the_parsers_business() -> None:
    source = read_text("a: 1\n%b: 2\n", "a.yaml")
    assert faults(source) == [("invalid-yaml", 2, 1)]
    assert "quotes" in source.findings[0].help
