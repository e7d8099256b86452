from __future__ import annotations

import re
from bisect import bisect_right

import pytest
from hypothesis import given
from hypothesis import strategies as st

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


@given(text=st.text("ab\n\r\u2028", max_size=60), data=st.data())
def test_places_are_the_same_counted_out_and_from_the_table(text: str, data: st.DataObject) -> None:
    counted, tabled = Lines(text), Lines(text)
    assert len(tabled.starts) == len(re.findall(r"\r\n|\n|\r", text)) + 1
    for offset in data.draw(st.lists(st.integers(0, len(text)), min_size=25, max_size=40)):
        line = bisect_right(tabled.starts, offset)
        place = line, offset - tabled.starts[line - 1] + 1
        assert counted.position(offset) == place
        assert counted.line(line) == Lines(text).line(line)
