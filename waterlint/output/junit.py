"""Findings as JUnit XML: a test case for each file, the clean ones too.

A file fails by its findings that make the run fail; milder ones are output of a test that
passes. What could not be read or computed is an error instead of a failure.
"""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections.abc import Callable, Iterable, Mapping, Sequence

from waterlint.finding import Finding
from waterlint.output.cleaning import place, sentence, sentences, shown_path
from waterlint.output.text import one_line

_BROKEN = 2


def render(
    findings: Iterable[Finding],
    accepted: Iterable[Finding],
    paths: Iterable[str],
    weight: Callable[[Finding], int],
) -> str:
    """The report as XML, in ASCII with character references; the same findings, the same bytes.

    Parameters
    ----------
    findings, accepted : iterable of Finding
    paths : iterable of str
        Every file that was checked; files with findings are added.
    weight : callable
        The exit status that a finding asks for by itself.
    """
    told = _by_path(findings)
    excused = _by_path(accepted)
    suite = ET.Element("testsuite", {"name": "waterlint"})
    for path in sorted({*paths, *told, *excused}):
        suite.append(_case(path, told.get(path, ()), excused.get(path, ()), weight))
    counts = {
        "tests": str(len(suite)),
        "failures": str(len(suite.findall("testcase/failure"))),
        "errors": str(len(suite.findall("testcase/error"))),
    }
    suite.attrib |= counts | {"skipped": "0"}
    root = ET.Element("testsuites", {"name": "waterlint", **counts})
    root.append(suite)
    ET.indent(root)
    xml: bytes = ET.tostring(root, encoding="us-ascii", xml_declaration=True)
    return xml.decode("ascii") + "\n"


def _by_path(findings: Iterable[Finding]) -> Mapping[str, Sequence[Finding]]:
    sorted_in: dict[str, list[Finding]] = {}
    for finding in findings:
        sorted_in.setdefault(finding.path, []).append(finding)
    return sorted_in


def _case(
    path: str,
    findings: Sequence[Finding],
    accepted: Sequence[Finding],
    weight: Callable[[Finding], int],
) -> ET.Element:
    case = ET.Element("testcase", {"name": shown_path(path), "classname": "waterlint"})
    failing = [finding for finding in findings if weight(finding)]
    if failing:
        # One element only, since readers take the first of several.
        broken = any(weight(finding) >= _BROKEN for finding in failing)
        element = ET.SubElement(case, "error" if broken else "failure")
        element.set("message", _headline(failing))
        element.set("type", failing[0].rule)
        element.text = "\n\n".join(map(_told, failing))
    passing = [_told(finding) for finding in findings if not weight(finding)]
    passing += [
        f"{_told(finding)}\nAccepted: {one_line(finding.accepted_because or '')}"
        for finding in accepted
    ]
    if passing:
        ET.SubElement(case, "system-out").text = "\n\n".join(passing)
    return case


def _headline(findings: Sequence[Finding]) -> str:
    first = one_line(findings[0].message) or findings[0].rule
    return first if len(findings) == 1 else f"{first} (and {len(findings) - 1} more)"


def _told(finding: Finding) -> str:
    first, *rest = sentences(finding)
    lines = [f"{place(finding)}: {finding.level}: {first} [{finding.rule}]", *rest]
    lines += [f"See {place(related)}: {sentence(related.message)}" for related in finding.related]
    return "\n".join(lines)
