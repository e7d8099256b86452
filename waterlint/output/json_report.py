"""Findings as the JSON that the contract and `findings.schema.json` describe."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping

from waterlint.finding import Finding, Fix
from waterlint.version import __version__


def render(
    findings: Iterable[Finding], accepted: Iterable[Finding], summary: Mapping[str, int]
) -> str:
    """The report as JSON text; the same findings give the same bytes."""
    report = {
        "waterlint": __version__,
        "summary": dict(summary),
        "findings": [as_data(finding) for finding in findings],
        "accepted": [
            as_data(finding) | {"reason": finding.accepted_because} for finding in accepted
        ],
    }
    return json.dumps(report, indent=2, ensure_ascii=True, allow_nan=False) + "\n"


def as_data(finding: Finding) -> dict[str, object]:
    """One finding as plain data, keys in the contract's order."""
    span = finding.span
    return {
        "rule": finding.rule,
        "level": finding.level,
        "path": finding.path,
        "document": finding.document,
        "pointer": finding.pointer,
        "line": span.line,
        "column": span.column,
        "end_line": span.end_line,
        "end_column": span.end_column,
        "message": finding.message,
        "help": finding.help,
        "quantity": finding.quantity,
        "vessel": finding.vessel,
        "value": rounded(finding.value),
        "value_low": rounded(finding.value_low),
        "value_high": rounded(finding.value_high),
        "low": finding.low,
        "high": finding.high,
        "unit": finding.unit,
        "basis": finding.basis,
        "related": [
            {
                "path": related.path,
                "line": related.span.line,
                "column": related.span.column,
                "message": related.message,
            }
            for related in finding.related
        ],
        "fix": _fix(finding.fix),
    }


def rounded(value: float | None) -> float | None:
    """A figure with six significant digits: the last bits of a float are nobody's business."""
    return None if value is None else float(f"{value:.6g}")


def _fix(fix: Fix | None) -> dict[str, object] | None:
    if fix is None:
        return None
    return {
        "description": fix.description,
        "edits": [
            {"start": edit.start, "end": edit.end, "replacement": edit.replacement}
            for edit in fix.edits
        ],
    }
