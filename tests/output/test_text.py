"""What people read: byte for byte."""

from __future__ import annotations

import pytest

from waterlint.finding import Finding, Related, Span
from waterlint.output.excerpt import LONGEST_LINE, excerpt, width_of
from waterlint.output.text import one_line, render

SUMMARY = {"files": 2, "error": 0, "warning": 1, "note": 0, "accepted": 0, "baseline": 0}

FINDING = Finding(
    rule="kettle-only-excess",
    level="warning",
    path="ales/stout.yaml",
    span=Span(3, 30, 3, 33),
    message="sodium of the whole batch is 141 mg/L, above 100 mg/L",
    help="Take 2.5 g at most.",
    basis="Taylor, Handbook of Brewing",
    related=(Related("waters/leat.yaml", Span(9, 3, 9, 9), "the water brings 11 mg/L"),),
)

LINES = {("ales/stout.yaml", 3): "  - {add: table-salt, kettle: 9 g}"}


def lines(path: str, number: int) -> str | None:
    return LINES.get((path, number))


def test_a_finding_as_text() -> None:
    assert render([FINDING], SUMMARY, lines) == (
        "ales/stout.yaml:3:30: warning: sodium of the whole batch is 141 mg/L, above 100 mg/L "
        "[kettle-only-excess]\n"
        "  3 |   - {add: table-salt, kettle: 9 g}\n"
        "    |                              ^^^\n"
        "  do:    Take 2.5 g at most.\n"
        "  basis: Taylor, Handbook of Brewing\n"
        "  see:   waters/leat.yaml:9:3: the water brings 11 mg/L\n"
        "\n"
        "2 files: 1 warning\n"
    )


def test_nothing_to_report() -> None:
    summary = {**SUMMARY, "files": 1, "warning": 0}
    assert render([], summary, lines) == "1 file: nothing to report\n"


def test_to_have_looked_at_nothing_is_no_good_news() -> None:
    summary = {**SUMMARY, "files": 0, "warning": 0}
    assert render([], summary, lines) == (
        "0 files: nothing was looked at; `waterlint check --show-files` says why\n"
    )
    assert render([], {**summary, "error": 1}, lines) == "0 files: 1 error\n"


def test_no_caret_points_at_nothing() -> None:
    """A text that could not be decoded, as one in UTF-16, has no line to show."""
    shown = render([FINDING], SUMMARY, lambda path, number: "")
    assert "^" not in shown and " | " not in shown
    assert shown.splitlines()[1] == "  do:    Take 2.5 g at most."


def test_what_is_set_aside_is_counted() -> None:
    summary = {**SUMMARY, "warning": 0, "accepted": 2, "baseline": 1}
    assert render([], summary, lines) == "2 files: 2 accepted, 1 in the baseline\n"


def test_colour_only_when_asked() -> None:
    assert "\x1b" not in render([FINDING], SUMMARY, lines)
    assert "\x1b[33;1mwarning\x1b[0m" in render([FINDING], SUMMARY, lines, color=True)


def test_explanations_are_wrapped_and_messages_are_not() -> None:
    shown = render([FINDING], SUMMARY, lines, width=40).splitlines()
    assert shown[0].endswith("[kettle-only-excess]")
    assert all(len(line) <= 40 for line in shown if line.startswith("  see:"))


@pytest.mark.parametrize(
    ("text", "width"), [("abc", 3), ("å", 1), ("a\u0301", 1), ("水", 2), ("🍺", 2)]
)
def test_columns_of_a_terminal(text: str, width: int) -> None:
    assert width_of(text) == width


def test_the_caret_stands_under_wide_characters() -> None:
    shown = excerpt("name: 水水 x", Span(1, 10, 1, 11))
    assert shown[1].index("^") - shown[1].index("|") - 2 == width_of("name: 水水 ")


def test_a_span_over_several_lines_is_marked_to_the_end_of_its_first() -> None:
    assert excerpt("ions:", Span(1, 1, 4, 3))[1].count("^") == 5


def test_a_caret_past_the_end_of_the_line() -> None:
    assert excerpt("", Span(1, 1, 1, 1)) == ["  1 | ", "    | ^"]


def test_a_long_line_is_cut_around_the_place() -> None:
    line = "x" * 1000 + "HERE" + "y" * 1000
    text, carets = excerpt(line, Span(1, 1001, 1, 1005))
    assert len(text) <= LONGEST_LINE + 10
    start = carets.index("^")
    assert text[start : start + carets.count("^")] == "HERE"


def test_control_characters_are_shown_by_their_escapes() -> None:
    assert one_line("a\x1b[31m\nb") == "a\\x1b[31m b"
