from __future__ import annotations

import pytest

from waterlint.finding import Span
from waterlint.source.document import line_text, read_text
from waterlint.source.lines import Lines


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_each_kind_of_line_end_counts_once(end: str) -> None:
    lines = Lines(end.join(["ab", "", "c"]))
    assert [lines.line(number) for number in (1, 2, 3)] == ["ab", "", "c"]
    assert lines.position(lines.text.index("c")) == (3, 1)


@pytest.mark.parametrize("sign", ["\u2028", "\u2029", "\x85", "\x0b", "\x0c", "\x1c"])
def test_only_cr_and_lf_end_a_line(sign: str) -> None:
    lines = Lines(f"a{sign}b\nc")
    assert lines.line(1) == f"a{sign}b"
    assert lines.position(lines.text.index("c")) == (2, 1)


def test_columns_count_code_points() -> None:
    lines = Lines("🍺µ: x")
    assert lines.span(4, 5) == Span(1, 5, 1, 6, 4, 5)


def test_a_span_over_two_lines() -> None:
    assert Lines("ab\ncd\n").span(1, 4) == Span(1, 2, 2, 2, 1, 4)


@pytest.mark.parametrize(
    ("number", "text"), [(0, ""), (1, "a: 1"), (2, "b: 2"), (3, ""), (4, ""), (-1, "")]
)
def test_line_text_of_a_file(number: int, text: str) -> None:
    assert line_text(read_text("a: 1\r\nb: 2\r\n", "a.yaml"), number) == text


def test_line_text_is_without_byte_order_mark() -> None:
    assert line_text(read_text("\ufeffa: 1\n", "a.yaml"), 1) == "a: 1"
