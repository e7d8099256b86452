from __future__ import annotations

import pytest

from waterlint.source.document import read_text


def comments(text: str, index: int = 0) -> list[tuple[int, int, str]]:
    return [tuple(comment) for comment in read_text(text, "a.yaml").documents[index].comments]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("# head\na: 1\n", [(1, 1, "# head")]),
        ("a: 1 # tail\n", [(1, 6, "# tail")]),
        ("a: 1\t# after a tab \n", [(1, 6, "# after a tab")]),
        ("a:  # before the value\n  1\n", [(1, 5, "# before the value")]),
        ("a: [1, # inside\n  2]\n", [(1, 8, "# inside")]),
        ("a: 1\r\n# second\r\nb: 2\r\n", [(2, 1, "# second")]),
        ("a: 1\n# last", [(2, 1, "# last")]),
        ("a: 1 ## two # more\n", [(1, 6, "## two # more")]),
        ("a: &x # anchored\n  b: 1\n", [(1, 7, "# anchored")]),
    ],
)
def test_a_comment_and_its_place(text: str, expected: list[tuple[int, int, str]]) -> None:
    assert comments(text) == expected


@pytest.mark.parametrize(
    "text",
    [
        "a: b#c\n",
        "a: 'x # y'\n",
        'a: "x # y"\n',
        'a: "x\n  # y"\n',
        "'a # b': 1\n",
        "a: |\n  # text\n  more # text\n",
        "a: >-\n  x\n\n  # y\n",
        "a: x\u00a0# y\n",
        "a: ['#', \" #\"]\n",
    ],
)
def test_what_is_no_comment(text: str) -> None:
    assert comments(text) == []


def test_a_block_ends_before_the_comment_behind_it() -> None:
    text = "a: | # header\n  x # text\n# between\nb: 'c' # end\n"
    assert comments(text) == [(1, 6, "# header"), (3, 1, "# between"), (4, 8, "# end")]


def test_each_document_has_the_comments_around_it() -> None:
    text = "# one\n---\na: 1 # in one\n# still one\n---\n# two\nb: 1\n# end\n"
    assert comments(text, 0) == [(1, 1, "# one"), (3, 6, "# in one"), (4, 1, "# still one")]
    assert comments(text, 1) == [(6, 1, "# two"), (8, 1, "# end")]


def test_the_mark_of_bytes_moves_no_comment() -> None:
    assert comments("\ufeff# head\na: 1\n") == [(1, 1, "# head")]
