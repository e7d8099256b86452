"""Workflow commands: one a line, whatever the findings say."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from hypothesis import given, settings

from tests.output.reported import EXCESS, MISSPELT, assert_golden, outcome, outcomes
from waterlint.finding import Finding, Span
from waterlint.output.cleaning import shown_path
from waterlint.output.github import render
from waterlint.output.outcome import Outcome

COMMAND = re.compile(
    r"::(?P<level>error|warning|notice) "
    r"(?P<properties>[a-zA-Z]+=[^:,\r\n]*(?:,[a-zA-Z]+=[^:,\r\n]*)*)::(?P<data>[^\r\n]*)"
)


def report(given: Outcome) -> str:
    return render(given.findings, given.summary)


def properties_of(command: str) -> dict[str, str]:
    """The properties of a command, their escapes undone in the runner's order."""
    match = COMMAND.fullmatch(command)
    assert match is not None
    pairs = (each.split("=", 1) for each in match["properties"].split(","))
    return {name: unescaped(value) for name, value in pairs}


def unescaped(text: str) -> str:
    for escape, character in (("%0D", "\r"), ("%0A", "\n"), ("%3A", ":"), ("%2C", ",")):
        text = text.replace(escape, character)
    return text.replace("%25", "%")


def commands(*findings: Finding) -> list[str]:
    """The commands of a report; its last line counts and is none."""
    given = outcome(findings)
    *told, last = report(given).removesuffix("\n").split("\n")
    assert not last.startswith("::")
    return told


def test_byte_for_byte() -> None:
    assert_golden("github")


def test_nothing_to_report_is_said() -> None:
    assert report(outcome((), ())) == "4 files: nothing to report\n"


def test_a_place_on_one_line_has_columns() -> None:
    (command,) = commands(MISSPELT)
    assert properties_of(command) == {
        "file": "ales/stout.yaml",
        "line": "3",
        "endLine": "3",
        "col": "16",
        "endColumn": "23",
        "title": "waterlint: unknown-key",
    }


def test_a_place_over_several_lines_has_none() -> None:
    (command,) = commands(replace(MISSPELT, span=Span(3, 16, 5, 2)))
    assert properties_of(command) == {
        "file": "ales/stout.yaml",
        "line": "3",
        "endLine": "5",
        "title": "waterlint: unknown-key",
    }


def test_the_signs_of_a_command_are_escaped() -> None:
    (command,) = commands(replace(EXCESS, path="a:b,c%.yaml", message="5 % :: more", related=()))
    assert "file=a%3Ab%2Cc%25.yaml," in command
    assert "::5 %25 :: more.%0ATake 2.5 g" in command


@pytest.mark.parametrize(
    ("level", "command"), [("error", "error"), ("warning", "warning"), ("note", "notice")]
)
def test_levels(level: str, command: str) -> None:
    (line,) = commands(replace(EXCESS, level=level))
    assert line.startswith(f"::{command} ")


@settings(max_examples=40, deadline=None)
@given(outcomes())
def test_whatever_is_found_each_line_is_one_command(given: Outcome) -> None:
    text = report(given)
    text.encode("utf-8")
    *told, last, end = re.split("\r\n|\r|\n", text)
    assert end == "" and COMMAND.fullmatch(last) is None
    assert len(told) == len(given.findings)
    for line, finding in zip(told, given.findings, strict=True):
        assert properties_of(line)["file"] == shown_path(finding.path)
        assert not re.search("[\x00-\x1f\x7f-\x9f]", line)
