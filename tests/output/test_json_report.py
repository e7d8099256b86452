"""What machines read."""

from __future__ import annotations

import json
from dataclasses import replace

from waterlint.finding import Edit, Finding, Fix, Related, Span
from waterlint.output.json_report import render

FINDING = Finding(
    rule="batch-sodium",
    level="note",
    path="a.yaml",
    span=Span(12, 5, 12, 31),
    message="m",
    help="h",
    pointer="/water/mash/from",
    quantity="sodium",
    vessel="batch",
    value=141.23456789,
    value_low=133.0,
    value_high=149.4,
    high=100,
    unit="mg/L",
    basis="b",
    related=(Related("w.yaml", Span(4, 3, 4, 9), "there"),),
)

SUMMARY = {"files": 1, "error": 0, "warning": 0, "note": 1, "accepted": 0, "baseline": 0}


def test_every_key_of_the_contract() -> None:
    (finding,) = json.loads(render([FINDING], [], SUMMARY))["findings"]
    assert finding == {
        "rule": "batch-sodium",
        "level": "note",
        "path": "a.yaml",
        "document": 0,
        "pointer": "/water/mash/from",
        "line": 12,
        "column": 5,
        "end_line": 12,
        "end_column": 31,
        "message": "m",
        "help": "h",
        "quantity": "sodium",
        "vessel": "batch",
        "value": 141.235,
        "value_low": 133.0,
        "value_high": 149.4,
        "low": None,
        "high": 100,
        "unit": "mg/L",
        "basis": "b",
        "related": [{"path": "w.yaml", "line": 4, "column": 3, "message": "there"}],
        "fix": None,
    }


def test_an_accepted_finding_keeps_its_reason() -> None:
    accepted = replace(FINDING, accepted_because="it is a gose")
    report = json.loads(render([], [accepted], SUMMARY))
    assert report["accepted"][0]["reason"] == "it is a gose"
    assert report["summary"] == SUMMARY


def test_a_fix_is_given_as_edits() -> None:
    fixed = replace(FINDING, fix=Fix("write `volume`", (Edit(3, 10, "volume"),)))
    (finding,) = json.loads(render([fixed], [], SUMMARY))["findings"]
    assert finding["fix"] == {
        "description": "write `volume`",
        "edits": [{"start": 3, "end": 10, "replacement": "volume"}],
    }


def test_a_lone_surrogate_can_be_written() -> None:
    render([replace(FINDING, message="\ud800")], [], SUMMARY).encode("utf-8")
