"""Slips that make a text no YAML: told at their own place, in words about what was written."""

from __future__ import annotations

import pytest

from waterlint.source.document import read_text

from .outline import excerpts, faults, values

# text; line and column; what is pointed at; words of the message; words of the help
SLIPS = [
    # tabs
    ("a:\n\tb: 2\n", 2, 1, "\t", "tab stands in the indentation", "spaces"),
    ("a:\n  b: 1\n \t c: 2\n", 3, 2, "\t ", "tab stands in the indentation", "spaces"),
    ("a: 1\n\t\nb: 2\n", 2, 1, "\t", "tab stands in the indentation", "spaces"),
    ("-\ta\n", 1, 2, "\t", "tab stands where only spaces", "space"),
    # quotes
    ("a: 'x\nb: 2\n", 1, 4, "'", "has no closing '", "closing '"),
    ('a: 1\nb: "x\nc: 2\n', 2, 4, '"', 'has no closing "', 'closing "'),
    ("a: {b: 'x}\nc: 1\n", 1, 8, "'", "has no closing '", "closing '"),
    ('a: "x\n--- y\n', 1, 4, '"', 'has no closing "', 'closing "'),
    ('x: 1\ny: 2\nz: "3"\na: "p" "x\nb: 1\nc: "y"\n', 4, 8, '"x', "behind", "twice"),
    (
        '# 1\n# 2\nx: 1\ny: 2\nz: "3"\na: "p\nb: 1\nc: "y"\n',
        6,
        4,
        '"',
        'has no closing "',
        'closing "',
    ),
    ('a: "x\nb: "y"\n', 1, 4, '"', 'has no closing "', 'closing "'),
    ("a: 'Brewer's pale'\nb: 1\n", 1, 12, "s", "behind the closing '", "twice"),
    ('a: "x" y\n', 1, 8, "y", 'behind the closing "', "twice"),
    # escapes
    ('a: "C:\\data"\n', 1, 7, "\\d", "\\d is no escape", "\\\\"),
    ('a: "\\x4"\n', 1, 5, "\\x", "too few hexadecimal", "\\\\"),
    ('a: "\\U99999999"\n', 1, 5, "\\U99999999", "stands for no character", "\\\\"),
    # colons
    ("volume:15 L\nb: 1\n", 1, 7, ":", "space is missing after the colon", "a space"),
    ("b: 1\nvolume:15 L\nc: 1\n", 2, 7, ":", "space is missing after the colon", "a space"),
    ("b: 1\nvolume:15 L\n", 2, 7, ":", "space is missing after the colon", "a space"),
    ("b:\n  - x\n  volume:15 L # c\nc: 1", 3, 9, ":", "space is missing after the", "a space"),
    ("volume 15 L\nb: 1\n", 1, 1, "volume 15 L", "no colon", "a colon"),
    ("b: 1\nvolume 15 L  # c\nc: 1\n", 2, 1, "volume 15 L", "no colon", "a colon"),
    ("b: 1\nvolume 15 L\n", 2, 1, "volume 15 L", "no colon", "a colon"),
    ("# c\n# d\n# e\n  volume 15 L\n  b: 1\n", 4, 3, "volume 15 L", "no colon", "a colon"),
    ("volume 15 L\n\n \nb: 1\n", 1, 1, "volume 15 L", "no colon", "a colon"),
    ("a: x: y\n", 1, 5, ":", "second colon", "quotes"),
    ("---\na: x: y\n", 2, 5, ":", "second colon", "quotes"),
    ("note: Mash at 66 °C: slowly\n", 1, 20, ":", "second colon", "quotes"),
    ("'a': 'b': 'c'\n", 1, 9, ":", "second colon", "quotes"),
    ("a: 1\n--- b: 1\n", 2, 1, "---", "document mark", "next line"),
    # indentation
    ("a: 1\n  b: 2\n", 2, 3, "b", "indented below a value", "Indent"),
    ("a:\n  b: 1\n   c: 2\n", 3, 4, "c", "indented below a value", "Indent"),
    ("a:\n  b: 1\n c: 2\n", 3, 2, "c:", "fits none of the lines above", "Indent"),
    ("  a: 1\nb: 2\n", 2, 1, "b:", "fits none of the lines above", "Indent"),
    ("- a\nb: 1\n", 2, 1, "b:", "fits none of the lines above", "Indent"),
    ("a: 1\n- b\n", 2, 1, "-", "fits no list", "Indent"),
    ("- - x\n - y\n", 2, 2, "-", "fits no list", "Indent"),
    ("a: - b\n", 1, 4, "-", "list item cannot start here", "line of its own"),
    # brackets
    ("a: {b: 1\nc: 2\n", 1, 4, "{", "has no closing }", "closing }"),
    ("a: {b: 1\n", 1, 4, "{", "has no closing }", "closing }"),
    ("a: [\n", 1, 4, "[", "has no closing ]", "closing ]"),
    ("a: '['\nb: {c: [], d:\n", 2, 4, "{", "has no closing }", "closing }"),
    ("a: [1, 2\nc: 2\n", 1, 4, "[", "has no closing ]", "closing ]"),
    ("a: [1, 2}\n", 1, 4, "[", "has no closing ]", "closing ]"),
    ("a: [b: {c]}\n", 1, 8, "{", "has no closing }", "closing }"),
    ("a: {b: 1 c: 2}\n", 1, 11, ":", "comma is missing", "comma"),
    ("a: {b: 'x' c: 2}\n", 1, 12, "c:", "comma is missing", "comma"),
    ("a: {b: 1}}\n", 1, 10, "}", "no opening bracket", "Delete"),
    ("a: ]\n", 1, 4, "]", "no opening bracket", "Delete"),
    ("a: [1,,2]\n", 1, 7, ",", "comma stands where a value", "Delete"),
    ("a: ,b\n", 1, 4, ",", "comma stands where a value", "Delete"),
    ("[a] b\n", 1, 5, "b", "behind a value that is complete", "line of its own"),
    # signs that start something else
    ("a: @x\n", 1, 4, "@", "cannot start with @", "quotes"),
    ("a: `x`\n", 1, 4, "`", "cannot start with `", "quotes"),
    ("a: %5\n", 1, 4, "%", "cannot start with %", "quotes"),
    ("a: *\n", 1, 4, "*", "starts an alias", "quotes"),
    ("a: & b\n", 1, 4, "&", "starts an anchor", "quotes"),
    ("a: | text\n", 1, 6, "text", "starts on the line after", "next line"),
    ("a: >x\n  b\n", 1, 5, "x", "starts on the line after", "next line"),
    ("a: 1\n%b: 2\n", 2, 1, "%", "cannot start with %", "quotes"),
    ("a: 1\n# x\n# y\n%b: 2\n\n  # c\n", 4, 1, "%", "cannot start with %", "quotes"),
    ("a: 1\n...\n...\n", 3, 1, "...", "ends no document", "Delete"),
]


@pytest.mark.parametrize(("text", "line", "column", "excerpt", "message", "help"), SLIPS)
def test_slip(text: str, line: int, column: int, excerpt: str, message: str, help: str) -> None:
    source = read_text(text, "a.yaml")
    assert faults(source) == [("invalid-yaml", line, column)]
    assert excerpts(source) == [excerpt]
    assert message in source.findings[0].message
    assert help in source.findings[0].help


@pytest.mark.parametrize(("text", "line", "column"), [row[:3] for row in SLIPS])
def test_slip_with_other_line_ends(text: str, line: int, column: int) -> None:
    source = read_text("\ufeff" + text.replace("\n", "\r\n"), "a.yaml")
    assert faults(source) == [("invalid-yaml", line, column)]


@pytest.mark.parametrize(
    "text", [row[0] for row in SLIPS if "---" not in row[0] and "..." not in row[0]]
)
def test_reading_goes_on_with_the_next_document(text: str) -> None:
    source = read_text(f"first: 1\n---\n{text}\n---\nlast: 2\n---\nb: 1\nb: 2\n", "a.yaml")
    assert [finding.rule for finding in source.findings] == ["invalid-yaml", "duplicate-key"]
    assert [document.index for document in source.documents] == [0, 2, 3]
    assert [finding.document for finding in source.findings] == [1, 3]
    assert values(source, 1) == {"/last": ("int", "2")}
    after = source.text.rindex("last")
    assert source.documents[1].root.span.line == source.text.count("\n", 0, after) + 1


@pytest.mark.parametrize("quote", ["'", '"'])
def test_the_missing_quote_is_named(quote: str) -> None:
    (finding,) = read_text(f"a: {quote}x y\n", "a.yaml").findings
    assert finding.message == f"the text in quotes that starts here has no closing {quote}"


def test_what_stands_before_a_broken_document_is_kept() -> None:
    source = read_text("a: 1\n---\nb: {c\n", "a.yaml")
    assert values(source) == {"/a": ("int", "1")}
    assert (source.findings[0].document, len(source.documents)) == (1, 1)


def test_a_document_with_something_behind_it_is_broken_as_a_whole() -> None:
    source = read_text("x: 1\n---\n  a: 1\nb: 2\n---\nc: 1\n", "a.yaml")
    assert [document.index for document in source.documents] == [0, 2]
    assert [finding.document for finding in source.findings] == [1]


def test_no_message_repeats_the_words_of_a_parser() -> None:
    for text, *_ in SLIPS:
        for finding in read_text(text, "a.yaml").findings:
            assert "token" not in finding.message and "block end" not in finding.message
            assert finding.help.endswith(".")
