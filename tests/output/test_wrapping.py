"""Explanations are broken into lines as `textwrap` breaks them."""

from __future__ import annotations

import textwrap

from hypothesis import given
from hypothesis import strategies as st

from waterlint.output.text import _wrapped, one_line

WORDS = st.text(st.characters(codec="utf-8"), max_size=50)


@given(st.lists(WORDS, max_size=30).map(" ".join), st.integers(40, 100))
def test_as_the_standard_library_does_it(text: str, width: int) -> None:
    line = one_line(text)
    expected = textwrap.wrap(
        line,
        width,
        initial_indent="  do:    ",
        subsequent_indent=" " * 9,
        break_long_words=False,
        break_on_hyphens=False,
    )
    # Of nothing but space there is a heading still.
    assert list(_wrapped("do", text, width)) == (expected if line else ["  do:    "])
