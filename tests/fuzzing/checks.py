"""What holds for any input at all: places lie in the text, reports are valid, figures are finite.

The fuzzer, the tests on the hostile files and those on generated recipes all ask these.
"""

from __future__ import annotations

import json
import math
import re
import xml.etree.ElementTree as ET
from collections.abc import Callable, Iterable
from functools import lru_cache
from typing import NoReturn

from jsonschema import Draft4Validator, Draft7Validator

from tests.output.reported import SCHEMAS
from waterlint.finding import LEVELS, Finding, Span
from waterlint.linter import Linter, Report
from waterlint.output.formats import FORMATS
from waterlint.output.outcome import Outcome
from waterlint.output.predictions import render_json, render_table
from waterlint.prediction.result import Prediction
from waterlint.source.lines import Lines
from waterlint.source.schema import load_schema

#: A figure that is none, as a word: `nan` and `inf` are written so by Python.
_NO_FIGURE = re.compile(r"(?<![\w-])[+-]?(?:nan|inf|infinity)(?![\w-])")
_COMMAND = re.compile(r"::(?:error|warning|notice) file=[^:\r]*::[^\r]*\Z")
_FIGURES = ("value", "value_low", "value_high", "low", "high")


class Broken(AssertionError):
    """What must hold for any input does not."""


def require(holds: object, what: str) -> None:
    """Raise unless it holds; an assertion that stays when assertions are switched off."""
    if not holds:
        raise Broken(what)


def check_span(span: Span, lines: Lines) -> None:
    """A place lies in its text, and its line and column agree with its offsets."""
    start = _offset(span.line, span.column, lines)
    end = _offset(span.end_line, span.end_column, lines)
    require(start <= end, f"{span} ends before it begins")
    if (span.start, span.end) != (0, 0):
        require((span.start, span.end) == (start, end), f"{span} has other offsets: {start}, {end}")


def _offset(line: int, column: int, lines: Lines) -> int:
    starts = lines.starts
    require(1 <= line <= len(starts), f"there is no line {line} of {len(starts)}")
    offset = starts[line - 1] + column - 1
    stop = starts[line] if line < len(starts) else len(lines.text) + 1
    require(starts[line - 1] <= offset < max(stop, starts[line - 1] + 1), f"no column {column}")
    return offset


def check_findings(findings: Iterable[Finding], lines: Callable[[str], Lines | None]) -> None:
    """Each finding has a place in its file, a sentence, and finite figures."""
    for finding in findings:
        require(finding.rule != "rule-crashed", finding.message)
        require(finding.level in LEVELS, f"{finding.level} is no level")
        require(finding.message.strip() and finding.help.strip(), f"{finding.rule} says too little")
        for name in _FIGURES:
            figure: float | None = getattr(finding, name)
            require(figure is None or math.isfinite(figure), f"{finding.rule}: {name} is {figure}")
        for path, span in (
            (finding.path, finding.span),
            *((related.path, related.span) for related in finding.related),
        ):
            check_span(span, lines(path) or Lines(""))


def check_report(report: Report, linter: Linter, written: str, *, deep: bool = True) -> None:
    """A run's findings, and every format's report of it.

    Parameters
    ----------
    report, linter
        Of the run.
    written : str
        The texts of the user, which may say ``nan`` themselves.
    deep : bool
        Whether reports are held against their schemas too, and SARIF tells every rule, which takes
        longer than all the rest.
    """
    findings = (*report.findings, *report.accepted, *report.known)
    check_findings(findings, linter.lines)
    for least in (*LEVELS, None):
        require(report.exit_status(least) in (0, 1, 2), "an exit status that is none")
    rules = linter.rules_of_run()
    outcome = Outcome(
        findings=report.findings,
        accepted=report.accepted,
        summary=report.summary(),
        paths=report.paths,
        rules=rules if deep else {name: rules[name] for name in {each.rule for each in findings}},
        lines=linter.lines,
        weight=lambda finding: report.weight(finding, "warning"),
        known=report.known,
    )
    check_formats(outcome, written, deep=deep)


def check_formats(outcome: Outcome, written: str, *, deep: bool = True) -> None:
    """Every format's report is valid in that format."""
    for name, render in FORMATS.items():
        text = render(outcome)
        require(text.endswith("\n"), f"{name} does not end its last line")
        if name in ("json", "sarif", "gitlab", "junit"):
            require(text.isascii(), f"{name} is not in ASCII")
        if name in _VALID:
            _VALID[name](text, deep)
        check_figures(text, written, name)


def check_predictions(predictions: Iterable[Prediction], written: str) -> None:
    """The reports of predictions hold figures and gaps, and no third thing."""
    made = list(predictions)
    text = render_json(made)
    loaded(text)
    check_figures(text, written, "predictions as JSON")
    check_figures(render_table(made), written, "predictions as tables")


def check_figures(text: str, written: str, what: str) -> None:
    """No figure is shown that is none, unless the user wrote the word."""
    found = _NO_FIGURE.search(text)
    if found is not None and found.group().lstrip("+-") not in written.lower():
        raise Broken(f"{what} shows {found.group()}: {text[max(found.start() - 60, 0) :][:120]!r}")


def loaded(text: str) -> object:
    """JSON as the standard has it, where Python would take ``NaN`` too."""
    value: object = json.loads(text, parse_constant=_no_constant)
    return value


def _no_constant(name: str) -> NoReturn:
    raise Broken(f"{name} is no JSON")


def _check_json(text: str, deep: bool) -> None:
    report = loaded(text)
    if deep:
        _validate(_findings_schema(), report)


def _check_sarif(text: str, deep: bool) -> None:
    log = loaded(text)
    if deep:
        _validate(_sarif_schema(), log)


def _check_gitlab(text: str, deep: bool) -> None:
    require(isinstance(loaded(text), list), "the report for GitLab is no list")


def _check_junit(text: str, deep: bool) -> None:
    require(ET.fromstring(text).tag == "testsuites", "the JUnit report holds something else")


def _check_github(text: str, deep: bool) -> None:
    *commands, _ = text.removesuffix("\n").split("\n")
    for line in commands:
        require(_COMMAND.match(line), f"a line of GitHub's report is no command: {line!r}")


_VALID: dict[str, Callable[[str, bool], None]] = {
    "json": _check_json,
    "sarif": _check_sarif,
    "gitlab": _check_gitlab,
    "junit": _check_junit,
    "github": _check_github,
}


def _validate(validator: Draft4Validator | Draft7Validator, value: object) -> None:
    for error in validator.iter_errors(value):
        raise Broken(f"the report is not valid: {error.message[:300]} at {error.json_path}")


@lru_cache(maxsize=1)
def _findings_schema() -> Draft7Validator:
    return Draft7Validator(load_schema("findings"))


@lru_cache(maxsize=1)
def _sarif_schema() -> Draft4Validator:
    return Draft4Validator(json.loads((SCHEMAS / "sarif-schema-2.1.0.json").read_bytes()))
