"""Files as brewers break them: each is told at its place, with words that help, and only that.

The files stand in ``tests/broken``. Each begins with a comment on what happened and one line
for each finding: ``# expect: RULE LINE:COLUMN words; more words``, the words being parts of the
message or of the help.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from waterlint.finding import Finding
from waterlint.source.document import read_text
from waterlint.source.schema import check, kind_of

FILES = sorted((Path(__file__).parent.parent / "broken").glob("*.yaml"))
_EXPECT = re.compile(r"^# expect: (?P<rule>[a-z-]+) (?P<place>[0-9]+:[0-9]+) (?P<words>.+)$")


def _findings(text: str) -> list[Finding]:
    source = read_text(text, "a.yaml")
    findings = list(source.findings)
    for document in source.documents:
        kind = kind_of(document)
        assert kind is not None
        findings += check(document, source, kind)
    return sorted(findings, key=lambda finding: finding.order)


def test_there_are_enough() -> None:
    assert len(FILES) >= 40


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_broken_file(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    expected = [match for line in text.splitlines() if (match := _EXPECT.match(line))]
    assert expected
    findings = _findings(text)
    told = [(finding.rule, f"{finding.span.line}:{finding.span.column}") for finding in findings]
    assert told == [(match["rule"], match["place"]) for match in expected]
    for finding, match in zip(findings, expected, strict=True):
        assert finding.level == "error"
        said = f"{finding.message} {finding.help}"
        for words in match["words"].split("; "):
            assert words in said, said


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_fixes_leave_no_fault_of_theirs(path: Path) -> None:
    """A fix removes its finding, and brings none that was not there."""
    text = path.read_text(encoding="utf-8")
    for finding in _findings(text):
        if finding.fix is None:
            continue
        (edit,) = finding.fix.edits
        mended = text[: edit.start] + edit.replacement + text[edit.end :]
        left = {(other.rule, other.pointer) for other in _findings(mended)}
        before = {(other.rule, other.pointer) for other in _findings(text)}
        assert left == before - {(finding.rule, finding.pointer)}
