"""YAML that a recipe does not need: each is one finding, and the reading goes on."""

from __future__ import annotations

import pytest

from waterlint.finding import Span
from waterlint.source.document import Scalar, read_text

from .outline import excerpts, faults, values

Row = tuple[str, str, int, int, str, str, dict[str, str]]


@pytest.mark.parametrize(
    ("text", "rule", "line", "column", "excerpt", "pointer", "kept"),
    [
        # keys given twice
        ("a: 1\nb: 2\na: 3\n", "duplicate-key", 3, 1, "a", "/a", {"/a": "1", "/b": "2"}),
        ("{a: 1, a: 2}", "duplicate-key", 1, 8, "a", "/a", {"/a": "1"}),
        ("a: 1\n'a': 2\n", "duplicate-key", 2, 1, "'a'", "/a", {"/a": "1"}),
        ("x: [{a: 1, a: {b: 1}}]", "duplicate-key", 1, 12, "a", "/x/0/a", {"/x/0/a": "1"}),
        ("1: a\n1: b\n", "duplicate-key", 2, 1, "1", "/1", {"/1": "a"}),
        # merge keys
        ("a: &a {b: 1}\nc:\n  <<: *a\n  d: 2\n", "merge-key", 3, 3, "<<", "/c",
         {"/a/b": "1", "/c/d": "2"}),
        ("<<: [{a: 1}]\nb: 2\n", "merge-key", 1, 1, "<<", "", {"/b": "2"}),
        # keys that are no plain text
        ("? [a]\n: 1\nb: 2\n", "invalid-yaml", 1, 3, "[a]", "", {"/b": "2"}),
        ("x: {{a: 1}: 2, b: 3}", "invalid-yaml", 1, 5, "{a: 1}", "/x", {"/x/b": "3"}),
        ("? - a\n  - b\n: 1\nc: 2\n", "invalid-yaml", 1, 3, "- a\n  - b", "", {"/c": "2"}),
        ("? |\n  a\n: 1\nc: 2\n", "invalid-yaml", 1, 3, "|\n  a", "", {"/c": "2"}),
        ("? a\n  b\n: 1\nc: 2\n", "invalid-yaml", 1, 3, "a\n  b", "", {"/c": "2"}),
        ("~: 1\nb: 2\n", "invalid-yaml", 1, 1, "~", "", {"/b": "2"}),
        ("null: 1\nb: 2\n", "invalid-yaml", 1, 1, "null", "", {"/b": "2"}),
        (": 1\nb: 2\n", "invalid-yaml", 1, 1, "", "", {"/b": "2"}),
        ("b: 2\nx: {: 1}\n", "invalid-yaml", 2, 5, "", "/x", {"/b": "2"}),
        # anchors and aliases on keys
        ("&k a: 1\nb: 2\n", "invalid-yaml", 1, 4, "a", "/a", {"/a": "1", "/b": "2"}),
        ("a: &x k\n*x : 1\nb: 2\n", "invalid-yaml", 2, 1, "*x", "", {"/a": "k", "/b": "2"}),
        # aliases without anchor
        ("a: *x\nb: 2\n", "invalid-yaml", 1, 4, "*x", "/a", {"/a": "", "/b": "2"}),
        ("a: [1, *x]\n", "invalid-yaml", 1, 8, "*x", "/a/1", {"/a/0": "1", "/a/1": ""}),
        ("*x", "invalid-yaml", 1, 1, "*x", "", {"": ""}),
        # tags
        ("a: !!str 5\n", "invalid-yaml", 1, 4, "!!str", "/a", {"/a": "5"}),
        ("a: !volume 5 L\n", "invalid-yaml", 1, 4, "!volume", "/a", {"/a": "5 L"}),
        ("a: ! 5 L\n", "invalid-yaml", 1, 4, "!", "/a", {"/a": "5 L"}),
        ("a: !<tag:x,2026:y> 5\n", "invalid-yaml", 1, 4, "!<tag:x,2026:y>", "/a", {"/a": "5"}),
        ("a: !!python/object:os.system {b: 1}\n", "invalid-yaml", 1, 4,
         "!!python/object:os.system", "/a", {"/a/b": "1"}),
        ("a: &x !e!f 5\nb: *x\n", "invalid-yaml", 1, 7, "!e!f", "/a", {"/a": "5", "/b": "5"}),
        ("!t\na: 1\n", "invalid-yaml", 1, 1, "!t", "", {"/a": "1"}),
        ("- !t\n- 1\n", "invalid-yaml", 1, 3, "!t", "/0", {"/0": "", "/1": "1"}),
        # escapes for what cannot be written
        ('a: "x\\ud800y"\n', "invalid-yaml", 1, 6, "\\ud800", "/a", {"/a": "x\ufffdy"}),
        ('a: "\\ud83c\\udf7a"\n', "invalid-yaml", 1, 5, "\\ud83c", "/a", {"/a": "\ufffd\ufffd"}),
        ('a: "\\U0000dfff"\n', "invalid-yaml", 1, 5, "\\U0000dfff", "/a", {"/a": "\ufffd"}),
        ('a: "\\\\u0041 \\e[1m"\n', "invalid-yaml", 1, 13, "\\e", "/a",
         {"/a": "\\u0041 \ufffd[1m"}),
        ('a: "\\x1b\\0"\n', "invalid-yaml", 1, 5, "\\x1b", "/a", {"/a": "\ufffd\ufffd"}),
        ('a: "\\N"\n', "invalid-yaml", 1, 5, "\\N", "/a", {"/a": "\ufffd"}),
        ('"a\\L": 1\nb: 2\n', "invalid-yaml", 1, 3, "\\L", "", {"/a\ufffd": "1", "/b": "2"}),
        # a tab after a colon
        ("a:\t1\nb: 2\n", "invalid-yaml", 1, 3, "\t", "/a", {"/a": "1", "/b": "2"}),
        ("a: \t 1\n", "invalid-yaml", 1, 4, "\t ", "/a", {"/a": "1"}),
        ("{a:\t1}\n", "invalid-yaml", 1, 4, "\t", "/a", {"/a": "1"}),
        ("'a':\t1\n", "invalid-yaml", 1, 5, "\t", "/a", {"/a": "1"}),
    ],
)  # fmt: skip
def test_refused(
    text: str, rule: str, line: int, column: int, excerpt: str, pointer: str, kept: dict[str, str]
) -> None:
    source = read_text(text, "a.yaml")
    assert faults(source) == [(rule, line, column)]
    assert excerpts(source) == [excerpt]
    finding = source.findings[0]
    assert finding.pointer == pointer
    assert finding.message and finding.help.endswith(".")
    assert {where: text for where, (_, text) in values(source).items()} == kept


@pytest.mark.parametrize(
    "text",
    [
        "a: 'yes: no'\n",
        "a: 1\t# a tab before a comment\n",
        "a: 1\t\nb: 2\n",
        "a: x\ty\n",
        "a: 'x:\ty'\n",
        "a: |\n  x:\ty\n",
        "a: [1,\t2]\n",
        "a: x!y\n",
        "a: 'x' # !t\n",
        'a: "&x *y !z <<"\n',
        "'<<': 1\n",
        "'null': 1\n'': 2\n",
        "a: << x\n",
        "? a\n: 1\n",
        "a: {t: 1:30, u: http://x/?y#z}\n",
        'a: "\\u00e9\\U0001f37a\\x41\\t\\n\\/\\_"\n',
        "a: &a 1\nb: &a 2\nc: *a\n",
        "k: |\n \n  text\n",
        "Ca²⁺: 40 mg/L\n",
        "a: 5 % of it\n",
        "a: b & c, d * e, 3 > 2 | 1\n",
    ],
)
def test_look_alikes_stay_silent(text: str) -> None:
    source = read_text(text, "a.yaml")
    assert source.findings == ()
    assert len(source.documents) == 1


def test_a_duplicate_names_the_first() -> None:
    (finding,) = read_text("a: 1\nb: 2\na: 3\n", "a.yaml").findings
    assert finding.related[0].span == Span(1, 1, 1, 2, 0, 1)
    assert "line 1" in finding.message


def test_every_further_duplicate_is_a_finding() -> None:
    assert faults(read_text("a: 1\na: 2\na: 3\n", "a.yaml")) == [
        ("duplicate-key", 2, 1),
        ("duplicate-key", 3, 1),
    ]


def test_faults_in_a_value_that_is_left_out_are_found() -> None:
    source = read_text("a: 1\na: {b: 1, b: 2, c: *x}\n", "a.yaml")
    assert faults(source) == [
        ("duplicate-key", 2, 1),
        ("duplicate-key", 2, 11),
        ("invalid-yaml", 2, 20),
    ]


def test_two_merge_keys_are_two_findings_of_their_own_kind() -> None:
    source = read_text("<<: {a: 1}\n<<: {b: 1}\n", "a.yaml")
    assert faults(source) == [("merge-key", 1, 1), ("merge-key", 2, 1)]


def test_a_merge_key_says_what_to_write_instead() -> None:
    text = "base: &w {volume: 15 L, from: distilled}\nmash:\n  <<: *w\n"
    (finding,) = read_text(text, "a.yaml").findings
    assert finding.help == "Write out here what it stands for: volume, from."
    (finding,) = read_text("<<: 1\n", "a.yaml").findings
    assert finding.help.startswith("Write the keys out here")


@pytest.mark.parametrize(
    ("text", "uncertain"),
    [
        ("a: 1\n", []),
        ("a: 1\na: 2\n", []),
        ("x:\n  <<: {a: 1}\n  b: 1\n", ["/x"]),
        ("x: {[a]: 1}\n", ["/x"]),
        ("x: {~: 1}\n", ["/x"]),
        ("x: {*a : 1}\n", ["/x"]),
        ("a: *x\n", ["/a"]),
        ("a: [!t 1]\n", ["/a/0"]),
        ('a: "\\0"\n', ["/a"]),
        ("a: &a {b: *x}\nc: [*a]\n", ["/a/b", "/c/0/b"]),
        ("a: &a {<<: 1}\nab: &b *a\n".replace("&b ", ""), ["/a", "/ab"]),
    ],
)
def test_what_a_fault_leaves_in_doubt(text: str, uncertain: list[str]) -> None:
    (document,) = read_text(text, "a.yaml").documents
    assert sorted(document.uncertain) == uncertain


def test_long_and_broken_names_make_short_messages_of_one_line() -> None:
    name = "x" * 100_000
    for text in (f"a: *{name}\n", f"a: !{name} 1\n", f'"{name}\\n": 1\n? "{name}\\n"\n: 2\n'):
        (finding,) = read_text(text, "a.yaml").findings
        assert len(finding.message) < 150 and len(finding.help) < 150
        assert "\n" not in finding.message


# Aliases: every use is a copy that knows both places.


ALIASES = """\
water: &w
  volume: 15 L   # here
  from: [a, b]
mash: *w
list:
- &n 5 L
- *n
"""


def test_an_alias_stands_at_its_use_and_knows_its_anchor() -> None:
    document = read_text(ALIASES, "a.yaml").documents[0]
    node = document.find("/mash")
    assert node is not None
    use = Span(4, 7, 4, 9, 55, 57)
    assert (node.span, node.via, node.place) == (use, use, use)
    assert node.anchor == document.span_of("/water")


def test_values_within_an_alias_keep_their_places_and_know_the_use() -> None:
    document = read_text(ALIASES, "a.yaml").documents[0]
    copy, original = document.find("/mash/from/1"), document.find("/water/from/1")
    assert isinstance(copy, Scalar) and isinstance(original, Scalar)
    assert copy is not original
    assert copy.span == original.span == copy.anchor
    assert copy.via == copy.place == Span(4, 7, 4, 9, 55, 57)
    assert (original.anchor, original.via, original.place) == (None, None, original.span)
    assert document.span_of("/mash/volume", key=True) == document.span_of("/water/volume", key=True)


def test_an_anchor_is_not_part_of_the_value() -> None:
    source = read_text(ALIASES, "a.yaml")
    span = source.documents[0].span_of("/list/0")
    assert source.text[span.start : span.end] == "5 L"
    assert (source.documents[0].span_of("/water").line) == 2


def test_an_alias_within_an_aliased_value_points_at_the_outer_use() -> None:
    document = read_text("a: &a 1\nb: &b [*a]\nc: *b\n", "a.yaml").documents[0]
    inner = document.find("/c/0")
    assert inner is not None
    assert inner.span == document.span_of("/b/0")  # the inner use, within b
    assert inner.anchor == document.span_of("/a")
    assert inner.via == document.span_of("/c")


def test_an_alias_repeats_the_latest_anchor_of_its_name() -> None:
    told = values(read_text("a: &x 1\nb: *x\nc: &x 2\nd: *x\n", "a.yaml"))
    assert [told[f"/{key}"][1] for key in "abcd"] == ["1", "1", "2", "2"]


def test_anchors_end_with_their_document() -> None:
    source = read_text("a: &x 1\n---\nb: *x\n", "a.yaml")
    assert faults(source) == [("invalid-yaml", 3, 4)]
    assert source.findings[0].document == 1
