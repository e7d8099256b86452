"""Findings as GitLab's code quality report: a JSON array with the fields that it documents.

What an exception accepts or a baseline holds is left out, as GitLab knows no such thing.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping

from waterlint.finding import Finding, Level
from waterlint.hints import Final
from waterlint.output.cleaning import sentence, shown_path
from waterlint.output.fingerprints import fingerprints

#: GitLab knows info, minor, major, critical and blocker. Ours stay in the lower half: a recipe
#: is no breach of security.
_SEVERITIES: Final[Mapping[Level, str]] = {"error": "major", "warning": "minor", "note": "info"}


def render(findings: Iterable[Finding], accepted: Iterable[Finding]) -> str:
    """The report as JSON text, in ASCII; the same findings give the same bytes.

    `accepted` findings, with those of a baseline, are counted among those alike, so that
    accepting one renames no other.
    """
    findings = list(findings)
    names = fingerprints([*findings, *accepted])
    report = [_entry(finding, names[finding]) for finding in findings]
    return json.dumps(report, indent=2, ensure_ascii=True, allow_nan=False) + "\n"


def _entry(finding: Finding, name: str) -> dict[str, object]:
    return {
        "description": sentence(finding.message or finding.rule),
        "check_name": finding.rule,
        "fingerprint": name,
        "severity": _SEVERITIES[finding.level],
        "location": {"path": shown_path(finding.path), "lines": {"begin": finding.span.line}},
    }
