"""Edits of a text: what is changed, and that nothing else is."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from waterlint.finding import Edit, Fix
from waterlint.source.document import read_text
from waterlint.source.edit import (
    CannotEdit,
    Change,
    apply_fixes,
    change_document,
    replace_stretches,
)
from waterlint.source.edit_data import (
    AddItem,
    AddKey,
    Remove,
    SetValue,
    changed_data,
    data_of,
    flow_text,
    scalar_text,
)

FLOW = """\
# head
a: {b: 1 g,  c: 'two'}   # beside
l:
  - {add: x,   mash: 1 g}   # first
  # between
  - {add: y, mash: 2 g}

z: 1
"""

BLOCK = """\
l:
    - add: x   # name
      mash: "1 g"
    # about y
    - add: y
      kettle: 2 g   # late
end: 3
"""

ITEM = {"add": "z", "mash": "3 g"}

CHANGES = [
    # flow style
    (FLOW, SetValue("/a/b", "1.5 g"), ("b: 1 g,", "b: 1.5 g,")),
    (FLOW, SetValue("/a/c", "it's"), ("'two'", "'it''s'")),
    (FLOW, SetValue("/z", [{"water": "w"}]), ("z: 1", "z: [{water: w}]")),
    (FLOW, SetValue("/a", "one"), ("{b: 1 g,  c: 'two'}", "one")),
    (FLOW, AddKey("/a", "d", "4 mL"), ("'two'}", "'two', d: 4 mL}")),
    (FLOW, AddKey("/l/0", "kettle", "1 g"), ("mash: 1 g}", "mash: 1 g, kettle: 1 g}")),
    (FLOW, AddItem("/l", ITEM), ("mash: 2 g}\n", "mash: 2 g}\n  - {add: z, mash: 3 g}\n")),
    (FLOW, Remove("/a/b"), ("b: 1 g,  c", "c")),
    (FLOW, Remove("/a/c"), (",  c: 'two'", "")),
    (FLOW, Remove("/l/1"), ("  - {add: y, mash: 2 g}\n", "")),
    (FLOW, Remove("/l/0"), ("  - {add: x,   mash: 1 g}   # first\n", "  # first\n")),
    (FLOW, Remove("/z"), ("z: 1\n", "")),
    (FLOW, AddKey("", "n", [ITEM]), ("z: 1\n", "z: 1\nn:\n  - {add: z, mash: 3 g}\n")),
    # block style
    (BLOCK, SetValue("/l/0/mash", "2 g"), ('"1 g"', '"2 g"')),
    (BLOCK, AddKey("/l/0", "sparge", "1 g"), ('"1 g"\n', '"1 g"\n      sparge: 1 g\n')),
    (BLOCK, AddKey("/l/1", "mash", "1 g"), ("# late\n", "# late\n      mash: 1 g\n")),
    (BLOCK, AddItem("/l", ITEM), ("# late\n", "# late\n    - add: z\n      mash: 3 g\n")),
    (BLOCK, Remove("/l/1/kettle"), ("      kettle: 2 g   # late\n", "      # late\n")),
    (BLOCK, Remove("/l/0/mash"), ('      mash: "1 g"\n', "")),
    (BLOCK, Remove("/end"), ("end: 3\n", "")),
    (BLOCK, AddKey("", "m", [ITEM]), ("end: 3\n", "end: 3\nm:\n    - {add: z, mash: 3 g}\n")),
    # lists between brackets
    ("l: [a, b]\n", AddItem("/l", "c"), ("b]", "b, c]")),
    ("l: []\n", AddItem("/l", "c"), ("[]", "[c]")),
    ("l: {}\n", AddKey("/l", "c", "1"), ("{}", "{c: 1}")),
    ("l: [\n  a,   # one\n  b,\n]\n", AddItem("/l", "c"), ("  b,\n", "  b,\n  c,\n")),
    ("l: [\n  a,   # one\n  b,\n]\n", Remove("/l/0"), ("  a,   # one", "     # one")),
    ("l: [\n  a,   # one\n  b\n]\n", Remove("/l/1"), ("  b\n", "  \n")),
    ("l: [a, b]\n", Remove("/l/0"), ("a, ", "")),
    # the whole file between brackets, no line end, an alias as the value
    ("{a: 1, b: 2}", AddKey("", "c", [ITEM]), ("2}", "2, c: [{add: z, mash: 3 g}]}")),
    ("l:\n- a", AddItem("/l", "b"), ("- a", "- a\n- b")),
    ("a: &x 1 g\nb: *x\n", SetValue("/b", "2 g"), ("*x", "2 g")),
    ("l:\n- a\n- b", Remove("/l/1"), ("\n- b", "")),
    ("l: [{a: 1}, &x {b: 1}]\n", AddKey("/l/1", "c", "2"), ("{b: 1}", "{b: 1, c: 2}")),
    ("l:\n- &x {b: 1}\n", AddItem("/l", "c"), ("{b: 1}\n", "{b: 1}\n- c\n")),
]


@pytest.mark.parametrize(("text", "change", "replaced"), CHANGES)
@pytest.mark.parametrize("bom", ["", "\ufeff"])
@pytest.mark.parametrize("line_end", ["\n", "\r\n", "\r"])
def test_a_change_and_nothing_else(
    text: str, change: Change, replaced: tuple[str, str], line_end: str, bom: str
) -> None:
    old, new = replaced
    assert text.count(old) == 1
    expected = bom + text.replace(old, new).replace("\n", line_end)
    assert change_document(bom + text.replace("\n", line_end), 0, [change]) == expected


@pytest.mark.parametrize(
    ("text", "change", "reason"),
    [
        ("a: &x {b: 1}\nc: *x\n", SetValue("/a/b", "2"), "repeated elsewhere"),
        ("a: &x {b: 1}\nc: *x\n", SetValue("/c/b", "2"), "through an alias"),
        ("a: &x {b: 1}\nc: *x\n", AddKey("/c", "d", "2"), "through an alias"),
        ("a: &x {b: 1}\nc: *x\n", AddKey("/a", "d", "2"), "repeated elsewhere"),
        ("a: &x {b: 1, d: 2}\nc: *x\n", Remove("/c/b"), "through an alias"),
        ("a: |\n  long\nb: 1\n", SetValue("/a", "2"), "several lines"),
        ("a:\n  b: 1\n", SetValue("/a", "2"), "several lines"),
        ("a:\nb: 1\n", SetValue("/a", "2"), "no value"),
        ("a:\n  b: 1\n", Remove("/a/b"), "nothing would be left"),
        ("a: 1\n", SetValue("/b", "2"), "nothing at /b"),
        ("a: 1\n", AddItem("/a", "2"), "no list"),
        ("a: 1\n", AddKey("/a", "b", "2"), "no group of keys"),
        ("a: {b: 1}\n", AddKey("/a", "b", "2"), "does not take"),
        ("l:\n- - a\n", AddItem("/l/0", "b"), "lines of their own"),
        ("- a: 1\n  # about b\n  b: 2\n- c\n", Remove("/0/b"), None),
        ("- a: 1   # why\n  b: 2\n", Remove("/0/a"), "comment would be lost"),
        ("a: 1\nb: |\n  long\n", AddKey("", "c", "1"), "several lines"),
        ("a: [1\n", SetValue("/a", "2"), "cannot be read"),
    ],
)
def test_it_says_where_it_cannot(text: str, change: Change, reason: str | None) -> None:
    if reason is None:
        assert change_document(text, 0, [change]) == text.replace("  b: 2\n", "")
        return
    with pytest.raises(CannotEdit, match=reason):
        change_document(text, 0, [change])


def test_changes_follow_one_another_in_the_document_meant() -> None:
    text = "a: 1\n---\nb: {c: 1}   # stays\nl: [x]\n---\na: 2\n"
    changes = [
        AddKey("/b", "d", "2"),
        SetValue("/b/d", "3"),
        AddItem("/l", "y"),
        Remove("/l/0"),
    ]
    expected = "a: 1\n---\nb: {c: 1, d: 3}   # stays\nl: [y]\n---\na: 2\n"
    assert change_document(text, 1, changes) == expected


def test_overlapping_fixes_wait_and_twins_count_once() -> None:
    text = "one two three"
    first = Fix("1", (Edit(0, 3, "1"),))
    overlapping = Fix("12", (Edit(2, 7, "x"),))
    meeting = Fix("space", (Edit(3, 4, "_"),))
    split = Fix("both ends", (Edit(8, 13, "3"), Edit(0, 1, "O")))
    apart = Fix("3", (Edit(8, 13, "3"),))
    mended = apply_fixes(text, [first, first, overlapping, meeting, split, apart])
    assert mended.text == "1 two 3"
    assert mended.applied == (first, apart)
    assert mended.waiting == (overlapping, meeting, split)


@pytest.mark.parametrize("edits", [[Edit(0, 2, ""), Edit(1, 3, "")], [Edit(0, 9, "")]])
def test_stretches_that_cannot_be_replaced_are_refused(edits: list[Edit]) -> None:
    with pytest.raises(ValueError, match="overlap"):
        replace_stretches("abc", edits)


WORDS = st.text(alphabet="ab1 .,:#-%°µ{}[]&*!|>'\"\\?@`~\t", min_size=1, max_size=12)


@settings(max_examples=150, deadline=None)
@given(WORDS, st.sampled_from(["plain: {a: x, b: y}\n", "a:\n  b: x\n", 'a: ["x"]\n']))
def test_whatever_is_written_reads_back(word: str, text: str) -> None:
    pointer = {"p": "/plain/b", "a": "/a/b"}[text[0]] if "b" in text else "/a/0"
    changed = change_document(text, 0, [SetValue(pointer, word)])
    found = read_text(changed, "").documents[0].find(pointer)
    assert found is not None
    assert data_of(found) == word


def test_texts_are_quoted_only_where_they_must_be() -> None:
    assert scalar_text("0.38 mL/L") == "0.38 mL/L"
    assert scalar_text("a: b") == '"a: b"'
    assert scalar_text("1 g", '"') == '"1 g"'
    assert flow_text({"add": "x", "l": ["a", {"b": "c,"}]}) == '{add: x, l: [a, {b: "c,"}]}'


def test_data_changes_refuse_what_is_not_there() -> None:
    with pytest.raises(LookupError):
        changed_data({"a": "1"}, SetValue("/a/b", "1"))
    with pytest.raises(LookupError):
        changed_data(["1"], Remove("/3"))
