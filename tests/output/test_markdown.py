"""Markdown: tables that no message breaks out of, and that say what the findings say."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from markdown_it import MarkdownIt
from markdown_it.token import Token

from tests.output.reported import (
    EXCESS,
    EXCUSED,
    HOSTILE,
    MISSPELT,
    assert_golden,
    outcome,
    outcomes,
)
from waterlint.finding import Finding
from waterlint.output import markdown
from waterlint.output.cleaning import sentence, shown_path
from waterlint.output.markdown import render
from waterlint.output.outcome import Outcome
from waterlint.output.text import one_line

PARSER = MarkdownIt("commonmark").enable(["table", "strikethrough"])

#: What a cell or a heading may be made of.
PLAIN = {"text", "text_special", "code_inline", "softbreak"}


def report(given: Outcome) -> str:
    return render(given.findings, given.accepted, given.summary, given.paths)


def told(*findings: Finding) -> str:
    return report(outcome(findings, ()))


def shown(token: Token) -> str:
    """The text that a reader sees of a cell or a heading that holds no markup."""
    children = token.children or []
    assert {child.type for child in children} <= PLAIN
    return "".join(child.content for child in children)


def without_code(text: str) -> str:
    """`text` without its backticks and spaces, which code may lose at its ends."""
    return text.replace("`", "").replace(" ", "")


def tables(text: str) -> list[list[list[str]]]:
    """The rows of every table, without its head, as a reader sees them."""
    found: list[list[list[str]]] = []
    for number, token in enumerate(tokens := PARSER.parse(text)):
        if token.type == "tbody_open":
            found.append([])
        elif token.type == "tr_open" and found:
            found[-1].append([])
        elif token.type == "td_open":
            found[-1][-1].append(shown(tokens[number + 1]))
    return [[row for row in table if row] for table in found]


def headings(text: str) -> list[str]:
    tokens = PARSER.parse(text)
    return [
        shown(tokens[number + 1])
        for number, token in enumerate(tokens)
        if token.type == "heading_open"
    ]


def test_byte_for_byte() -> None:
    assert_golden("markdown")


def test_nothing_to_report() -> None:
    assert report(outcome((), ())) == "## waterlint\n\n4 files: nothing to report.\n"


def test_files_without_findings_are_counted() -> None:
    assert "\n3 other files have no findings.\n" in told(EXCESS)
    others = [replace(EXCESS, path=path) for path in ("ales/clean.yaml", "lagers/broken.yaml")]
    assert "\n1 other file has no findings.\n" in told(EXCESS, *others)


def test_code_stays_code_and_bars_stay_bars() -> None:
    finding = replace(EXCESS, message="`a: b` | *c* <d> `e|f`", help="", basis="", related=())
    assert "| `a: b` &#124; \\*c\\* &lt;d&gt; \\`e&#124;f\\`. |" in told(finding)


def test_a_path_with_backticks_is_code() -> None:
    assert "### ``` a``b.yaml ```\n" in told(replace(EXCESS, path="a``b.yaml"))


def test_what_is_accepted_has_a_table() -> None:
    (table,) = tables(report(outcome((), (EXCUSED,))))
    assert table == [
        [
            "ales/stout.yaml:6:25",
            "sulfate is high.",
            "this beer | is meant so",
            "kettle-only-excess",
        ]
    ]


def test_what_goes_beyond_a_summary_is_counted(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(markdown, "LONGEST", 400)
    text = report(outcome((MISSPELT, replace(EXCESS, path="b.yaml")), (EXCUSED,)))
    assert len(tables(text)) == 1
    assert "\n2 more are left out here: a summary may take 1 MiB at most.\n" in text


@settings(max_examples=40, deadline=None)
@given(outcomes())
def test_whatever_is_found_the_tables_hold(given: Outcome) -> None:
    text = report(given)
    text.encode("utf-8")
    paths = list(dict.fromkeys(finding.path for finding in given.findings))
    found = tables(text)
    assert len(found) == len(paths) + bool(given.accepted)
    for path, table in zip(paths, found, strict=False):
        findings = [finding for finding in given.findings if finding.path == path]
        for row, finding in zip(table, findings, strict=True):
            line, level, wrong, _, rule = row
            assert (line, level, rule) == (str(finding.span.line), finding.level, finding.rule)
            assert without_code(wrong) == without_code(sentence(finding.message or finding.rule))
    titles = [without_code(title) for title in headings(text)]
    assert titles[1 : len(paths) + 1] == [without_code(shown_path(path)) for path in paths]


@settings(max_examples=40, deadline=None)
@given(HOSTILE)
def test_a_reason_is_shown_as_it_stands(reason: str) -> None:
    text = report(outcome((), (replace(EXCUSED, accepted_because=reason),)))
    (((_, _, because, _),),) = tables(text)
    assert without_code(because) == without_code(one_line(reason))
