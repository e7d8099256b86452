"""GitLab's code quality report: the fields that its documentation names, and names that last."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import jsonschema
import pytest
from hypothesis import given, settings

from tests.output.reported import (
    EXCESS,
    assert_golden,
    outcome,
    outcomes,
)
from waterlint.finding import Finding, Span
from waterlint.output.fingerprints import fingerprints
from waterlint.output.gitlab import render
from waterlint.output.outcome import Outcome

#: From GitLab's documentation, "Code Quality report format": an array of objects with these
#: properties, all of them required, and these values of `severity`.
SCHEMA = {
    "type": "array",
    "items": {
        "type": "object",
        "required": ["description", "check_name", "fingerprint", "severity", "location"],
        "additionalProperties": False,
        "properties": {
            "description": {"type": "string", "minLength": 1},
            "check_name": {"type": "string", "minLength": 1},
            "fingerprint": {"type": "string", "pattern": "^[0-9a-f]{32}$"},
            "severity": {"enum": ["info", "minor", "major", "critical", "blocker"]},
            "location": {
                "type": "object",
                "required": ["path", "lines"],
                "additionalProperties": False,
                "properties": {
                    "path": {"type": "string", "pattern": "^(?!\\./)", "minLength": 1},
                    "lines": {
                        "type": "object",
                        "required": ["begin"],
                        "additionalProperties": False,
                        "properties": {"begin": {"type": "integer", "minimum": 1}},
                    },
                },
            },
        },
    },
}


def report(given: Outcome) -> list[dict[str, Any]]:
    text = render(given.findings, given.accepted)
    text.encode("ascii")
    entries = json.loads(text)
    jsonschema.Draft7Validator(SCHEMA).validate(entries)
    return list(entries)


def test_byte_for_byte() -> None:
    report(outcome())
    assert_golden("gitlab")


def test_nothing_found_is_an_empty_array() -> None:
    assert render((), ()) == "[]\n"


@pytest.mark.parametrize(
    ("level", "severity"), [("error", "major"), ("warning", "minor"), ("note", "info")]
)
def test_severities(level: str, severity: str) -> None:
    (entry,) = report(outcome((replace(EXCESS, level=level),), ()))
    assert entry["severity"] == severity


def name_of(finding: Finding, *others: Finding) -> str:
    return fingerprints([finding, *others])[finding]


#: What may change about a finding while it stays the one that was seen before.
SAME = {
    "a line above": {"span": Span(15, 31, 15, 34)},
    "another item in front": {"pointer": "/additions/3/kettle"},
    "another figure": {"value": 139.0, "message": "sodium is 139 mg/L"},
    "other wording": {"message": "too much sodium", "help": "less", "basis": "nobody"},
    "another level": {"level": "error"},
    "another reason": {"accepted_because": "it is meant so"},
}
OTHER = {
    "rule": {"rule": "batch-sodium"},
    "file": {"path": "ales/mild.yaml"},
    "document": {"document": 1},
    "key": {"pointer": "/additions/0/mash"},
    "ion": {"quantity": "chloride"},
    "vessel": {"vessel": "mash"},
}


@pytest.mark.parametrize("change", SAME.values(), ids=SAME.keys())
def test_a_name_outlives(change: dict[str, Any]) -> None:
    assert name_of(replace(EXCESS, **change)) == name_of(EXCESS)


@pytest.mark.parametrize("change", OTHER.values(), ids=OTHER.keys())
def test_a_name_tells_apart(change: dict[str, Any]) -> None:
    assert name_of(replace(EXCESS, **change)) != name_of(EXCESS)


def test_findings_alike_have_names_by_their_order() -> None:
    again = replace(EXCESS, span=Span(6, 3, 6, 9), pointer="/additions/1/kettle")
    names = fingerprints([again, EXCESS])
    assert names[EXCESS] == name_of(EXCESS) != names[again]


def test_accepting_one_renames_no_other() -> None:
    again = replace(EXCESS, span=Span(6, 3, 6, 9), pointer="/additions/1/kettle")
    before = report(outcome((EXCESS, again), ()))
    (after,) = report(outcome((again,), (replace(EXCESS, accepted_because="so"),)))
    assert after["fingerprint"] == before[1]["fingerprint"]


def test_equal_findings_have_one_name() -> None:
    assert fingerprints([EXCESS, EXCESS]) == fingerprints([EXCESS])


@settings(max_examples=40, deadline=None)
@given(outcomes())
def test_whatever_is_found_the_report_is_valid(given: Outcome) -> None:
    entries = report(given)
    assert [entry["check_name"] for entry in entries] == [each.rule for each in given.findings]
    assert len({entry["fingerprint"] for entry in entries}) == len(entries)
    json.dumps(entries, ensure_ascii=False).encode("utf-8")  # no half character anywhere
