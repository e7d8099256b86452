"""What a rule of another package hands back, looked at before anything relies on it."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import islice
from math import isfinite
from typing import get_args

from waterlint.finding import Finding, Fix, Level, Related, Span

#: How many findings one rule may make of one document: the project's own bound. A rule that
#: never ends would stop the run.
MOST = 1000

_LEVELS = frozenset(get_args(Level))
_FIGURES = ("value", "value_low", "value_high", "low", "high")
_TEXTS = ("path", "message", "help", "pointer", "basis")


class BadAnswer(TypeError):
    """What a rule hands back is not what it must be."""


def checked(rule: str, answer: Iterable[Finding]) -> list[Finding]:
    """The findings of a rule.

    Raises
    ------
    BadAnswer
        If something else is among them.
    """
    findings = list(islice(answer, MOST + 1))
    if len(findings) > MOST:
        raise BadAnswer(f"it makes more than {MOST} findings of one document")
    for finding in findings:
        problem = _problem(rule, finding)
        if problem is not None:
            raise BadAnswer(problem)
    return findings


def _problem(rule: str, finding: object) -> str | None:
    if not isinstance(finding, Finding):
        return f"it yields something of the type {type(finding).__name__}, not a Finding"
    if finding.rule != rule:
        return f"it yields a finding under the name {finding.rule!r}"
    if finding.level not in _LEVELS:
        return f"it yields a finding with the level {finding.level!r}"
    if not isinstance(finding.span, Span) or not isinstance(finding.document, int):
        return "it yields a finding without a place"
    for name in _TEXTS:
        if not isinstance(getattr(finding, name), str):
            return f"it yields a finding whose {name} is no text"
    if not finding.message.strip():
        return "it yields a finding without a message"
    for name in ("quantity", "vessel", "unit"):
        text: object = getattr(finding, name)
        if text is not None and not isinstance(text, str):
            return f"it yields a finding whose {name} is no text"
    for name in _FIGURES:
        figure: object = getattr(finding, name)
        if figure is not None and not (isinstance(figure, int | float) and isfinite(figure)):
            return f"it yields a finding whose {name} is no finite number"
    if not all(isinstance(each, Related) for each in finding.related):
        return "it yields a finding with a related place that is none"
    if not isinstance(finding.fix, Fix | None):
        return "it yields a finding with a fix that is none"
    return None
