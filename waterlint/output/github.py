"""Findings as workflow commands, which GitHub Actions turns into annotations of the files.

The log shows a line for each; of annotations it shows the first few of each level only.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from waterlint.finding import Finding, Level
from waterlint.hints import Final
from waterlint.output.cleaning import place, sentence, sentences, shown_path
from waterlint.output.text import tally

_COMMANDS: Final[Mapping[Level, str]] = {"error": "error", "warning": "warning", "note": "notice"}


def render(findings: Iterable[Finding], summary: Mapping[str, int]) -> str:
    """A workflow command for each finding, and a line that counts them."""
    return "".join(f"{line}\n" for line in (*map(_command, findings), tally(summary)))


def _command(finding: Finding) -> str:
    span = finding.span
    properties: dict[str, object] = {"file": shown_path(finding.path), "line": span.line}
    if span.end_line <= span.line:
        # Columns are taken for a place within one line only.
        properties |= {"endLine": span.line, "col": span.column}
        properties["endColumn"] = max(span.column, span.end_column)
    else:
        properties["endLine"] = span.end_line
    properties["title"] = f"waterlint: {finding.rule}"
    listed = ",".join(f"{name}={_property(str(value))}" for name, value in properties.items())
    lines = [
        *sentences(finding),
        *(f"See {place(related)}: {sentence(related.message)}" for related in finding.related),
    ]
    return f"::{_COMMANDS[finding.level]} {listed}::{_data(chr(10).join(lines))}"


def _data(text: str) -> str:
    """The text of a command; the sign of the escapes itself comes first."""
    return text.replace("%", "%25").replace("\r", "%0D").replace("\n", "%0A")


def _property(text: str) -> str:
    return _data(text).replace(":", "%3A").replace(",", "%2C")
