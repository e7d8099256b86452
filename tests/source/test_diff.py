"""Diffs of texts."""

from __future__ import annotations

from waterlint.source.diff import diff_text


def test_a_diff_says_where_the_last_line_has_no_end() -> None:
    assert diff_text("a\nb", "a\nc\n", "f") == (
        "--- a/f\n+++ b/f\n@@ -1,2 +1,2 @@\n a\n-b\n\\ No newline at end of file\n+c\n"
    )


def test_line_ends_are_part_of_a_line_and_only_lf_ends_one() -> None:
    assert diff_text("a\r\n", "a\r\n", "f") == ""
    assert diff_text("a\x0cb\r\nc\n", "a\x0cb\nc\n", "f").splitlines(keepends=False)[-1] == " c"
    assert "-a\r\n+a\n" in diff_text("a\r\n", "a\n", "f")
