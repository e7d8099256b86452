"""The core schema of YAML 1.2, section 10.3.2, and what older versions read otherwise."""

from __future__ import annotations

import pytest

from waterlint.source.document import Scalar, read_text
from waterlint.source.scalars import kind_of

KINDS = {
    "null": ["", "~", "null", "Null", "NULL"],
    "bool": ["true", "True", "TRUE", "false", "False", "FALSE"],
    "int": ["0", "010", "-3", "+12", "0o17", "0x1F", "1999", "9" * 5000],
    "float": ["1.5", "1.", ".5", "1e3", "-1.5E-7", "1e999", ".inf", "-.INF", "+.Inf",
              ".nan", ".NaN"],
    "str": [
        "no", "yes", "on", "Off", "nULL", "tRUE", "1_000", "1:30", "12:30:45", "2026-03-14",
        "15,5", "15.5 L", "+", "-", ".", "e5", "0o8", "0xG", "-.nan", "<<", "=", "1e", "1.2.3",
        "١٢", "１２", "5 ", "1\n2",
    ],
}  # fmt: skip


@pytest.mark.parametrize(("kind", "text"), [(kind, t) for kind, ts in KINDS.items() for t in ts])
def test_kind_of_plain_text(kind: str, text: str) -> None:
    assert kind_of(text) == kind


@pytest.mark.parametrize("written", ['"1"', "'true'", '"null"', "|\n  1", ">\n  ~", "''"])
def test_quoted_and_block_texts_are_text(written: str) -> None:
    node = read_text(f"a: {written}\n", "a.yaml").documents[0].find("/a")
    assert isinstance(node, Scalar)
    assert (node.kind, node.plain) == ("str", False)


@pytest.mark.parametrize(
    ("text", "kind"), [("1e999", "float"), (".nan", "float"), ("9" * 5000, "int"), ("010", "int")]
)
def test_numbers_stay_as_they_are_written(text: str, kind: str) -> None:
    node = read_text(f"a: {text}\n", "a.yaml").documents[0].find("/a")
    assert isinstance(node, Scalar)
    assert (node.kind, node.text, node.plain) == (kind, text, True)
