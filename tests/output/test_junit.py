"""JUnit XML: valid by a public schema, a case for each file, only characters that XML has."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest
import xmlschema
from hypothesis import given, settings

from tests.output.reported import (
    EXCESS,
    EXCUSED,
    MISSPELT,
    SCHEMAS,
    TEXTS,
    UNREAD,
    WIDE,
    assert_golden,
    outcome,
    outcomes,
)
from waterlint.output.cleaning import shown_path
from waterlint.output.junit import render
from waterlint.output.outcome import Outcome

SCHEMA = xmlschema.XMLSchema10(str(SCHEMAS / "junit-10.xsd"))

#: What no XML 1.0 text may have (section 2.2), and two code points that only look like characters.
UNFIT = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x84\x86-\x9f\ud800-\udfff\ufffe\uffff]")


def report(given: Outcome) -> str:
    return render(given.findings, given.accepted, given.paths, given.weight)


def parsed(given: Outcome) -> dict[str, ET.Element]:
    """The test cases by name, of a report that is valid."""
    text = report(given)
    text.encode("ascii")
    SCHEMA.validate(text)
    root = ET.fromstring(text)
    (suite,) = root
    cases = suite.findall("testcase")
    for element in (root, suite):
        assert element.get("tests") == str(len(cases))
        assert element.get("failures") == str(len(suite.findall("testcase/failure")))
        assert element.get("errors") == str(len(suite.findall("testcase/error")))
    by_name = {str(case.get("name")): case for case in cases}
    return by_name


def test_byte_for_byte() -> None:
    parsed(outcome())
    assert_golden("junit")


def test_the_schema_would_tell() -> None:
    broken = report(outcome()).replace('tests="4"', "")
    with pytest.raises(xmlschema.XMLSchemaValidationError):
        SCHEMA.validate(broken)


def test_each_file_is_a_case_and_clean_ones_pass() -> None:
    cases = parsed(outcome((EXCESS,), ()))
    assert list(cases) == sorted(TEXTS)
    assert [name for name, case in cases.items() if len(case)] == ["ales/stout.yaml"]


def test_a_file_that_only_a_finding_names_is_a_case_too() -> None:
    cases = parsed(outcome((replace(EXCESS, path="waterlint.yaml"),), ()))
    assert list(cases) == sorted([*TEXTS, "waterlint.yaml"])


def test_a_file_has_one_failure_with_all_that_fails() -> None:
    (failure,) = parsed(outcome((MISSPELT, EXCESS), ()))["ales/stout.yaml"]
    assert failure.tag == "failure"
    assert failure.get("message") == "`vollume` is no key of `mash` (and 1 more)"
    assert failure.get("type") == "unknown-key"
    assert str(failure.text).startswith("ales/stout.yaml:3:16: error: `vollume` is no key of")
    assert "\n\nales/stout.yaml:5:31: warning: sodium" in str(failure.text)
    assert "\nSee waters/leat run.yaml:4:11: the water brings 11 mg/L." in str(failure.text)


def test_what_does_not_fail_the_run_fails_no_case() -> None:
    (output,) = parsed(outcome((WIDE,), ()))["ales/stout.yaml"]
    assert output.tag == "system-out"
    assert str(output.text).startswith("ales/stout.yaml:2:22: note: ")


def test_what_could_not_be_read_is_an_error() -> None:
    (error,) = parsed(outcome((UNREAD,), ()))["lagers/broken.yaml"]
    assert (error.tag, error.get("type")) == ("error", "unreadable-file")


def test_what_is_accepted_is_told_with_its_reason() -> None:
    (output,) = parsed(outcome((), (EXCUSED,)))["ales/stout.yaml"]
    assert str(output.text).endswith("\nAccepted: this beer | is meant so")


@settings(max_examples=40, deadline=None)
@given(outcomes())
def test_whatever_is_found_the_report_is_valid(given: Outcome) -> None:
    cases = parsed(given)
    everything = (*given.findings, *given.accepted)
    assert set(cases) == {shown_path(each) for each in (*TEXTS, *(f.path for f in everything))}
    for case in cases.values():
        for element in case.iter():
            texts = (element.text or "", *element.attrib.values())
            assert not any(UNFIT.search(text) for text in texts)
