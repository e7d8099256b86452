"""Values, their places, and the way about in a document."""

from __future__ import annotations

import pytest

from waterlint.finding import Span
from waterlint.source.document import Mapping, Scalar, Sequence, read_bytes, read_text, walk

from .outline import faults, outline, values

RECIPE = """\
waterlint: recipe/1
name: Tidewrack stout # the house's
water:
  mash:   {volume: 15.5 L, from: ../waters/mill-leat.yaml}
  sparge:
    volume: 16 L
    from:
    - water: distilled
      share: 40 %
grist:
  - {malt: pale, mass: 4.2 kg}
notes: |
  first
  second

batch:
"""


@pytest.mark.parametrize(
    ("pointer", "written", "line", "column"),
    [
        ("/waterlint", "recipe/1", 1, 12),
        ("/name", "Tidewrack stout", 2, 7),
        ("/water/mash", "{volume: 15.5 L, from: ../waters/mill-leat.yaml}", 4, 11),
        ("/water/mash/volume", "15.5 L", 4, 20),
        ("/water/sparge", None, 6, 5),
        ("/water/sparge/from", "- water: distilled\n      share: 40 %", 8, 5),
        ("/water/sparge/from/0", "water: distilled\n      share: 40 %", 8, 7),
        ("/water/sparge/from/0/share", "40 %", 9, 14),
        ("/grist/0/mass", "4.2 kg", 11, 24),
        ("/notes", "|\n  first\n  second", 12, 8),
        ("/batch", "", 16, 7),
    ],
)
def test_place_of_a_value(pointer: str, written: str | None, line: int, column: int) -> None:
    source = read_text(RECIPE, "a.yaml")
    span = source.documents[0].span_of(pointer)
    assert (span.line, span.column) == (line, column)
    if written is not None:
        assert source.text[span.start : span.end] == written


def test_root_reaches_from_the_first_key_to_the_last_value() -> None:
    span = read_text(RECIPE, "a.yaml").documents[0].root.span
    assert (span.line, span.column, span.end_line, span.end_column) == (1, 1, 16, 7)


def test_end_of_a_block_text_is_the_end_of_its_last_line() -> None:
    span = read_text(RECIPE, "a.yaml").documents[0].span_of("/notes")
    assert (span.end_line, span.end_column) == (14, 9)


def test_texts_and_kinds() -> None:
    told = values(read_text(RECIPE, "a.yaml"))
    assert told["/notes"] == ("str", "first\nsecond\n")
    assert told["/batch"] == ("null", "")
    assert told["/water/mash/volume"] == ("str", "15.5 L")
    assert list(told)[:3] == ["/waterlint", "/name", "/water/mash/volume"]


@pytest.mark.parametrize(
    ("pointer", "text"),
    [
        ("/water/mash", "mash"),
        ("/water/mash/volume", "volume"),
        ("/water/sparge/from/0/share", "share"),
        ("/water/mash/treat", "mash"),  # a missing key: its parent's
        ("/water/mash/treat/0", "mash"),
        ("/nowhere/at/all", RECIPE.rstrip("\n")),  # the root has no key: its value
    ],
)
def test_place_of_a_key(pointer: str, text: str) -> None:
    source = read_text(RECIPE, "a.yaml")
    span = source.documents[0].span_of(pointer, key=True)
    assert source.text[span.start : span.end] == text


@pytest.mark.parametrize(
    ("pointer", "parent"),
    [
        ("/water/mash/treat", "/water/mash"),
        ("/water/mash/volume/x", "/water/mash/volume"),
        ("/grist/1/mass", "/grist"),
        ("/grist/x", "/grist"),
        ("/grist/-1", "/grist"),
        ("/grist/٠", "/grist"),
        ("/grist/" + "9" * 5000, "/grist"),
        ("/", ""),
    ],
)
def test_a_pointer_to_nothing_falls_back_to_the_nearest_parent(pointer: str, parent: str) -> None:
    document = read_text(RECIPE, "a.yaml").documents[0]
    assert document.find(pointer) is None
    assert document.entry(pointer) is None
    assert document.span_of(pointer) == document.span_of(parent)


def test_find_and_entry() -> None:
    document = read_text(RECIPE, "a.yaml").documents[0]
    assert isinstance(document.find(""), Mapping)
    assert isinstance(document.find("/grist"), Sequence)
    assert document.entry("/grist/0") is None
    entry = document.entry("/water/mash")
    assert entry is not None and entry.value is document.find("/water/mash")


@pytest.mark.parametrize(
    ("pointer", "key", "text"),
    [
        ("/w", False, "w"),  # a mapping: its key
        ("/w/v", False, "15 L"),  # a single value: itself
        ("/w/v", True, "v"),
        ("/l", False, "l"),
        ("/l/0", False, "[1]"),  # no key: the value
        ("/m", False, "*w"),  # an alias, whatever it stands for
        ("/m/v", False, "*w"),
        ("/m/v", True, "*w"),
        ("/m/missing", False, "*w"),
        ("/w/missing", False, "w"),
    ],
)
def test_place_of_a_finding(pointer: str, key: bool, text: str) -> None:
    source = read_text("w: &w {v: 15 L}\nl: [[1]]\nm: *w\n", "a.yaml")
    span = source.documents[0].place_of(pointer, key)
    assert source.text[span.start : span.end] == text


def test_places_behind_an_alias() -> None:
    document = read_text("w: &w {v: 15 L}\nm: *w\n", "a.yaml").documents[0]
    assert document.alias_places("/w/v", "a.yaml") == ()
    (related,) = document.alias_places("/m/v", "b.yaml")
    assert (related.path, related.span) == ("b.yaml", document.span_of("/w/v"))


def test_steps_with_slash_and_tilde() -> None:
    document = read_text("a/b: {'c~d': 1}\n", "a.yaml").documents[0]
    assert [pointer for pointer, _ in walk(document.root)] == ["", "/a~1b", "/a~1b/c~0d"]
    assert isinstance(document.find("/a~1b/c~0d"), Scalar)


def test_a_quoted_key_is_a_key_and_its_place_has_the_quotes() -> None:
    source = read_text('"mash water" : 1\n', "a.yaml")
    entry = source.documents[0].entry("/mash water")
    assert entry is not None
    assert entry.key_span == Span(1, 1, 1, 13, 0, 12)
    assert source.findings == ()


# A decimal comma in flow style arrives as a key without value.


def test_decimal_comma_in_flow_style_stays_visible() -> None:
    document = read_text("batch: {volume: 15,5 L, boil: 60 min}\n", "a.yaml").documents[0]
    entry = document.entry("/batch/5 L")
    assert entry is not None and isinstance(entry.value, Scalar)
    assert (entry.value.kind, entry.value.text, entry.value.plain) == ("null", "", True)
    assert entry.key_span == Span(1, 20, 1, 23, 19, 22)
    assert entry.value.span == Span(1, 23, 1, 23, 22, 22)
    assert document.span_of("/batch/volume") == Span(1, 17, 1, 19, 16, 18)


def test_decimal_comma_with_a_number_as_key() -> None:
    source = read_text("{ph: 7,6}\n", "a.yaml")
    assert values(source) == {"/ph": ("int", "7"), "/6": ("null", "")}
    assert source.findings == ()


@pytest.mark.parametrize(
    ("text", "column"), [("a:\n", 3), ("a:   # c\n", 3), ("a :\n", 4), ("{a: , b}", 4), ("a:", 3)]
)
def test_place_of_a_value_that_is_not_written(text: str, column: int) -> None:
    span = read_text(text, "a.yaml").documents[0].span_of("/a")
    assert span == Span(1, column, 1, column, column - 1, column - 1)


@pytest.mark.parametrize("text", ["x: [a: b , c]\n", "x: [ a: b, c]\n", "x: [a: b\n, c]\n"])
def test_place_of_a_single_pair_in_a_list(text: str) -> None:
    source = read_text(text, "a.yaml")
    span = source.documents[0].span_of("/x/0")
    assert source.text[span.start : span.end] == "a: b"


def test_place_of_an_empty_list_item() -> None:
    span = read_text("a:\n  -\n  - 1\n", "a.yaml").documents[0].span_of("/a/0")
    assert (span.line, span.column) == (2, 4)


# Line ends, byte order mark, several documents.


@pytest.mark.parametrize("end", ["\r\n", "\r"])
def test_line_ends_change_no_line_and_no_column(end: str) -> None:
    unix = read_text(RECIPE, "a.yaml").documents[0]
    other = read_text(RECIPE.replace("\n", end), "a.yaml").documents[0]
    for (pointer, mine), (_, theirs) in zip(walk(unix.root), walk(other.root), strict=True):
        ours = (mine.span.line, mine.span.column, mine.span.end_line, mine.span.end_column)
        span = theirs.span
        assert (span.line, span.column, span.end_line, span.end_column) == ours, pointer
    assert values(read_text(RECIPE.replace("\n", end), "a.yaml")) == values(
        read_text(RECIPE, "a.yaml")
    )


def test_a_byte_order_mark_moves_nothing() -> None:
    bare, marked = read_text(RECIPE, "a.yaml"), read_text("\ufeff" + RECIPE, "a.yaml")
    assert (bare.has_bom, marked.has_bom) == (False, True)
    assert outline(bare)[2:] == outline(marked)[2:]
    assert outline(marked) == outline(read_bytes(b"\xef\xbb\xbf" + RECIPE.encode(), "a.yaml"))


def test_columns_count_code_points() -> None:
    span = read_text("{bière 🍺: 15 µS/cm}", "a.yaml").documents[0].span_of("/bière 🍺")
    assert (span.column, span.end_column) == (11, 19)


def test_several_documents() -> None:
    source = read_text("a: 1\n---\n- x\n--- text\n...\n---\nb: 2\n", "a.yaml")
    assert [document.index for document in source.documents] == [0, 1, 2, 3]
    assert [document.root.span.line for document in source.documents] == [1, 3, 4, 7]
    assert source.findings == ()


@pytest.mark.parametrize(
    "text",
    [
        "",
        "\n",
        "  \n\n",
        "# nothing\n",
        "---\n",
        "--- # x\n",
        "---\n# x\n---\n",
        "\ufeff",
        "---\n...\n",
    ],
)
def test_a_file_that_says_nothing_has_no_documents(text: str) -> None:
    source = read_text(text, "a.yaml")
    assert (source.documents, source.findings) == ((), ())


def test_documents_that_say_nothing_are_not_counted() -> None:
    source = read_text("---\n# only this\n---\na: 1\n---\n", "a.yaml")
    assert [document.index for document in source.documents] == [0]
    assert source.documents[0].root.span.line == 4


def test_a_written_null_is_a_document() -> None:
    assert values(read_text("~\n", "a.yaml")) == {"": ("null", "~")}


def test_a_directive_of_one_file_does_not_reach_the_next() -> None:
    read_text("%YAML 1.1\n---\na: no\n", "a.yaml")
    assert values(read_text("a: no\n", "b.yaml")) == {"/a": ("str", "no")}


def test_findings_say_path_and_document() -> None:
    source = read_text("a: 1\n---\nb: 1\nb: 2\n", "waters/a.yaml")
    (finding,) = source.findings
    assert (finding.path, finding.document, finding.level) == ("waters/a.yaml", 1, "error")
    assert (finding.pointer, finding.related[0].path) == ("/b", "waters/a.yaml")


def test_findings_stand_in_the_order_of_their_places() -> None:
    source = read_text("a: 1\na: 2\nb: !t 1\nb: *x\n<<: 1\n", "a.yaml")
    assert faults(source) == [
        ("duplicate-key", 2, 1),
        ("invalid-yaml", 3, 4),
        ("duplicate-key", 4, 1),
        ("invalid-yaml", 4, 4),
        ("merge-key", 5, 1),
    ]
