"""Recipes and reports that are wrong in a known way: exactly that is said, at its place.

The first line of a file says what is wrong. Then come the warnings and errors that a good brewer
would name and no others, one a line: rule, level, pointer (`-` for the file itself) and line, and
after `in` the report where a fault is told in another file.
"""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path
from typing import NamedTuple

import pytest

from waterlint.finding import Finding
from waterlint.linter import Linter, Options
from waterlint.project.discovery import discover
from waterlint.rules.registry import all_rules

UNSOUND = Path(__file__).resolve().parent / "unsound"
FILES = sorted(UNSOUND.rglob("*.yaml"))

TODAY = date(2026, 11, 1)

#: Files about which more is said than a good brewer would, each with the reason. Such a test fails
#: when the rules are mended, and then the line goes.
PENDING: dict[str, str] = {}

_EXPECT = re.compile(
    r"# expect: (?P<rule>[a-z-]+) (?P<level>warning|error) (?P<pointer>-|/\S*) (?P<line>\d+)"
    r"(?: in (?P<file>\S+))?"
)


class Told(NamedTuple):
    """One finding as a header writes it."""

    rule: str
    level: str
    pointer: str
    line: int
    file: str


def named(path: Path) -> str:
    return path.relative_to(UNSOUND).as_posix()


def marked(path: Path) -> object:
    """The file as a parameter, expected to fail where the rules are known to say too much."""
    reason = PENDING.get(named(path))
    marks = () if reason is None else pytest.mark.xfail(reason=reason, strict=True)
    return pytest.param(path, id=named(path), marks=marks)


def expected(path: Path) -> list[Told]:
    told = []
    for line in path.read_text("utf-8").splitlines():
        if not line.startswith("# expect"):
            continue
        match = _EXPECT.fullmatch(line)
        assert match, f"{named(path)}: {line}"
        told.append(
            Told(
                match["rule"],
                match["level"],
                match["pointer"].removeprefix("-"),
                int(match["line"]),
                match["file"] or named(path),
            )
        )
    return sorted(told)


def found(path: Path) -> list[Told]:
    linter = Linter(Options(today=TODAY))
    report = linter.lint(discover([path], linter.configs, linter.disk))
    return sorted(told(each, linter) for each in report.findings if each.level != "note")


def told(finding: Finding, linter: Linter) -> Told:
    place = named(linter.disk.absolute(finding.path))
    return Told(finding.rule, finding.level, finding.pointer, finding.span.line, place)


def test_the_collection_is_large() -> None:
    wrong = [path for path in FILES if expected(path)]
    assert len(wrong) >= 40
    assert len({each.rule for path in wrong for each in expected(path)}) >= 30


def test_headers_name_rules_that_there_are() -> None:
    rules = all_rules()
    for path in FILES:
        assert all(each.rule in rules for each in expected(path)), path.name


@pytest.mark.parametrize("path", [marked(path) for path in FILES])
def test_what_is_wrong_is_said_and_nothing_else(path: Path) -> None:
    assert found(path) == expected(path)
