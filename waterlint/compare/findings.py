"""Which findings of two states are the same one."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence

from waterlint.baseline import named_pointer
from waterlint.finding import LEVELS, Finding
from waterlint.output.comparison import FindingChange
from waterlint.records import Record
from waterlint.source.document import Document

#: Gives the document that a finding is about.
Documents = Callable[[Finding], Document | None]


class Difference(Record):
    """What appears, what goes, and how many stay at the same level."""

    appearing: tuple[FindingChange, ...]
    going: tuple[FindingChange, ...]
    staying: int


def difference(
    before: Sequence[Finding],
    after: Sequence[Finding],
    set_aside: Sequence[Finding],
    documents_before: Documents,
    documents_after: Documents,
) -> Difference:
    """Tell the findings of two states apart.

    Parameters
    ----------
    before, after : sequence of Finding
        About the same document, or file.
    set_aside : sequence of Finding
        Those of the later state that an exception excuses or a baseline holds: they have not
        gone.
    documents_before, documents_after : callable

    Notes
    -----
    A finding is the same where rule, figure, vessel and the side of the limit are, and where it
    is about no figure or about a dose or malt, what it points at; not by its line or its number.
    Of several alike the first of both are paired.
    """
    waiting: dict[object, list[Finding]] = defaultdict(list)
    for finding in (*after, *set_aside):
        waiting[_subject(finding, documents_after)].append(finding)
    aside = set(map(id, set_aside))
    appearing: list[FindingChange] = []
    going: list[FindingChange] = []
    paired: set[int] = set()
    staying = 0
    for old in before:
        alike = waiting[_subject(old, documents_before)]
        new = alike.pop(0) if alike else None
        if new is None:
            going.append(FindingChange(old))
            continue
        paired.add(id(new))
        if id(new) in aside:
            continue
        rise = LEVELS.index(new.level) - LEVELS.index(old.level)
        if rise > 0:
            appearing.append(FindingChange(new, old.level))
        elif rise < 0:
            going.append(FindingChange(old, new.level))
        else:
            staying += 1
    appearing += [FindingChange(each) for each in after if id(each) not in paired]
    return Difference(_sorted(appearing), _sorted(going), staying)


def _subject(finding: Finding, documents: Documents) -> tuple[object, ...]:
    return (
        finding.rule,
        finding.quantity,
        finding.vessel,
        _side(finding),
        _what(finding, documents),
    )


def _side(finding: Finding) -> str:
    """Which side of its range a figure lies beyond; empty where that does not apply."""
    if finding.value is None:
        return ""
    if finding.low is not None and finding.value < finding.low:
        return "low"
    return "high" if finding.high is not None and finding.value > finding.high else ""


def _what(finding: Finding, documents: Documents) -> str:
    pointer = finding.pointer
    if finding.quantity is not None and not pointer.startswith(("/additions/", "/grist/")):
        # A figure may be told at the style, at a target or at a vessel's water.
        return ""
    document = documents(finding)
    return pointer if document is None else named_pointer(document, pointer)


def _sorted(changes: Iterable[FindingChange]) -> tuple[FindingChange, ...]:
    """The gravest first."""
    return tuple(
        sorted(
            changes,
            key=lambda each: (-LEVELS.index(each.finding.level), each.finding.order),
        )
    )
