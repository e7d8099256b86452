"""Verdicts as lists of plain values, and back.

What equals its default stands for nothing, so that a file without findings takes a line.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence

from waterlint.finding import Edit, Finding, Fix, Related, Span
from waterlint.hints import Any, TypeVar
from waterlint.verdict import Excuse, House, Late, Subject, Verdict

T = TypeVar("T")

#: JSON as it comes back. It is read from a file that is sealed, and with care nevertheless.
Data = Any


def of_verdict(verdict: Verdict, house: int) -> Data:
    """A verdict; its house goes by a number."""
    return [
        verdict.shown,
        verdict.role,
        house,
        _all(verdict.findings, of_finding),
        _all(verdict.subjects, _of_subject),
        _all(verdict.excuses, _of_excuse),
        list(verdict.used),
        _packed(
            [
                [path, of_finding(finding), _of_subject(about)]
                for path, finding, about in verdict.untracked
            ]
        ),
        None if verdict.late is None else of_late(verdict.late),
    ]


def of_late(late: Late) -> Data:
    """What depends on the day."""
    return [
        late.quiet_until,
        late.day,
        list(late.users),
        _all(late.findings, of_finding),
        _all(late.subjects, _of_subject),
        late.quiet_from,
    ]


def to_verdict(path: str, data: Data, houses: Sequence[Any], *, untracked: bool) -> Verdict:
    """The verdict about the file at `path`; on demand without what it says of git's index."""
    shown, role, house, findings, subjects, excuses, used, unkept, late = data
    return Verdict(
        path,
        shown,
        tuple(map(to_finding, findings)) if findings else (),
        tuple(map(_to_subject, subjects)) if subjects else (),
        tuple(map(_to_excuse, excuses)) if excuses else (),
        tuple(used),
        _to_untracked(unkept) if untracked else (),
        None if late is None else _to_late(late),
        houses[house],
        role,
    )


def _packed(data: list[Data]) -> str:
    """A list as a text within the JSON: what few runs ask for is taken apart by those only."""
    return json.dumps(data, separators=(",", ":")) if data else ""


def _to_untracked(text: str) -> tuple[tuple[str, Finding, Subject | None], ...]:
    data: list[Data] = json.loads(text) if text else []
    return tuple((path, to_finding(told), _to_subject(about)) for path, told, about in data)


def _to_late(data: Data) -> Late:
    quiet_until, day, users, findings, subjects, quiet_from = data
    return Late(
        quiet_until,
        day,
        tuple(users),
        tuple(map(to_finding, findings)),
        tuple(map(_to_subject, subjects)),
        quiet_from,
    )


def of_house(house: House) -> Data:
    """What the configuration of a verdict says."""
    return [
        _all(house.findings, of_finding),
        _all(house.subjects, _of_subject),
        house.paths,
        house.baseline,
        house.off,
        house.plugins,
    ]


def to_house(data: Data) -> House:
    """The house."""
    findings, subjects, paths, baseline, off, plugins = data
    return House(
        tuple(map(to_finding, findings)),
        tuple(map(_to_subject, subjects)),
        tuple(paths),
        baseline,
        tuple(off),
        tuple(plugins),
    )


def of_finding(finding: Finding) -> Data:
    """A finding; what is not said at the end is left out."""
    fix = finding.fix
    values = [
        finding.rule,
        finding.level,
        finding.path,
        _of_span(finding.span),
        finding.message,
        finding.help,
        finding.document,
        finding.pointer,
        finding.quantity,
        finding.vessel,
        finding.value,
        finding.value_low,
        finding.value_high,
        finding.low,
        finding.high,
        finding.unit,
        finding.basis,
        [[each.path, _of_span(each.span), each.message] for each in finding.related],
        None
        if fix is None
        else [fix.description, [[each.start, each.end, each.replacement] for each in fix.edits]],
        finding.accepted_because,
    ]
    while values[-1] is None or values[-1] == []:
        values.pop()
    return values


def to_finding(data: Data) -> Finding:
    """The finding."""
    values = list(data)
    values[3] = Span(*values[3])
    if len(values) > 17:
        values[17] = tuple(Related(path, Span(*span), text) for path, span, text in values[17])
    if len(values) > 18 and values[18] is not None:
        description, edits = values[18]
        values[18] = Fix(description, tuple(Edit(*edit) for edit in edits))
    return Finding(*values)


def _of_span(span: Span) -> list[int]:
    return [span.line, span.column, span.end_line, span.end_column, span.start, span.end]


def _of_subject(subject: Subject | None) -> Data:
    return None if subject is None else [subject.baseline, subject.path, subject.pointer]


def _to_subject(data: Data) -> Subject | None:
    return None if data is None else Subject(*data)


def _of_excuse(excuse: Excuse) -> Data:
    return [
        list(excuse.rules),
        excuse.reason,
        excuse.path,
        excuse.document,
        excuse.first_line,
        excuse.last_line,
        _all(excuse.unused, of_finding),
    ]


def _to_excuse(data: Data) -> Excuse:
    rules, reason, path, document, first, last, unused = data
    return Excuse(tuple(rules), reason, path, document, first, last, tuple(map(to_finding, unused)))


def _all(values: Sequence[T], one: Callable[[T], Data]) -> list[Data]:
    return [one(each) for each in values]
