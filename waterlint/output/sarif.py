"""Findings as a SARIF 2.1.0 log, the format of code scanning services and editors.

What an exception accepts is in the log too, as a result with a suppression and its reason, and
so is what a baseline holds, which stands outside the source.
Some services show suppressed results as open unless they are told not to.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping

from waterlint.finding import Edit, Finding, Fix, Related
from waterlint.output.cleaning import sentence, sentences, shown_path
from waterlint.output.fingerprints import fingerprints
from waterlint.output.outcome import Outcome
from waterlint.output.sarif_places import artifact, region
from waterlint.output.sarif_rules import descriptor
from waterlint.output.text import one_line
from waterlint.source.lines import Lines
from waterlint.version import __version__

_SCHEMA = (
    "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
)

#: The name and version of our fingerprints, in the form that section 3.5.4 gives such names.
_FINGERPRINT = "waterlint/v1"


def render(outcome: Outcome) -> str:
    """The outcome as the text of a log file, in ASCII; the same findings give the same bytes."""
    log = {
        "$schema": _SCHEMA,
        "version": "2.1.0",
        "runs": [
            {
                "tool": {
                    "driver": {
                        "name": "waterlint",
                        "version": __version__,
                        "semanticVersion": __version__,
                        "rules": [descriptor(rule) for rule in outcome.rules.values()],
                    }
                },
                "columnKind": "utf16CodeUnits",
                "newlineSequences": ["\r\n", "\n", "\r"],
                "results": list(_results(outcome)),
            }
        ],
    }
    return json.dumps(log, indent=2, ensure_ascii=True, allow_nan=False) + "\n"


def _results(outcome: Outcome) -> Iterator[dict[str, object]]:
    everything = (*outcome.findings, *outcome.accepted, *outcome.known)
    known = frozenset(outcome.known)
    names = fingerprints(everything)
    indexes = {name: index for index, name in enumerate(outcome.rules)}
    for finding in sorted(everything, key=lambda finding: finding.order):
        result = _result(finding, names[finding], indexes, outcome)
        if finding in known:
            result["suppressions"] = [{"kind": "external", "justification": "in the baseline"}]
        yield result


def _result(
    finding: Finding, name: str, indexes: Mapping[str, int], outcome: Outcome
) -> dict[str, object]:
    lines = outcome.lines(finding.path)
    result: dict[str, object] = {"ruleId": finding.rule}
    if finding.rule in indexes:
        result["ruleIndex"] = indexes[finding.rule]
    result |= {
        "level": finding.level,
        "message": {"text": _message(finding)},
        "locations": [
            {
                "physicalLocation": {
                    "artifactLocation": artifact(finding.path),
                    "region": region(finding.span, lines),
                }
            }
        ],
    }
    if finding.related:
        result["relatedLocations"] = [
            _related(number, related, outcome)
            for number, related in enumerate(finding.related, start=1)
        ]
    result["partialFingerprints"] = {_FINGERPRINT: name}
    # Section 3.27.23: where one result has the property, all have it.
    result["suppressions"] = (
        []
        if finding.accepted_because is None
        else [{"kind": "inSource", "justification": one_line(finding.accepted_because)}]
    )
    fix = _fix(finding, lines)
    if fix is not None:
        result["fixes"] = [fix]
    return result


def _related(number: int, related: Related, outcome: Outcome) -> dict[str, object]:
    return {
        "id": number,
        "physicalLocation": {
            "artifactLocation": artifact(related.path),
            "region": region(related.span, outcome.lines(related.path)),
        },
        "message": {"text": _literal(sentence(related.message))},
    }


def _message(finding: Finding) -> str:
    """The finding in sentences, with a link to each related place."""
    parts = [_literal(text) for text in sentences(finding)]
    for number, related in enumerate(finding.related, start=1):
        where = _literal(f"{shown_path(related.path)}:{related.span.line}")
        for mark in "\\[]":
            where = where.replace(mark, f"\\{mark}")
        parts.append(f"See [{where}]({number}): {_literal(sentence(related.message))}")
    return " ".join(parts)


def _literal(text: str) -> str:
    """`text` without anything that a message takes for a placeholder or a link.

    Braces are doubled, as section 3.11.5 asks. A link (section 3.11.6) has no escape that leaves
    other text alone, so it is taken apart.
    """
    return text.replace("{", "{{").replace("}", "}}").replace("](", "] (")


def _fix(finding: Finding, lines: Lines | None) -> dict[str, object] | None:
    fix = finding.fix
    if fix is None or lines is None or not _is_whole(fix):
        return None
    return {
        "description": {"text": _literal(sentence(fix.description))},
        "artifactChanges": [
            {
                "artifactLocation": artifact(finding.path),
                "replacements": [_replacement(edit, lines) for edit in fix.edits],
            }
        ],
    }


def _is_whole(fix: Fix) -> bool:
    """Whether there is an edit, and all of them can be written without changing a character."""
    try:
        "".join(edit.replacement for edit in fix.edits).encode("utf-8")
    except UnicodeEncodeError:
        return False
    return bool(fix.edits)


def _replacement(edit: Edit, lines: Lines) -> dict[str, object]:
    deleted = region(lines.span(edit.start, edit.end), lines, widen=False)
    return {"deletedRegion": deleted, "insertedContent": {"text": edit.replacement}}
