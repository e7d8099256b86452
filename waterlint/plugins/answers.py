"""What a rule of another package hands back, looked at before anything relies on it."""

from __future__ import annotations

import sys
import threading
from collections.abc import Iterable
from contextlib import AbstractContextManager
from itertools import islice
from math import isfinite

from waterlint.finding import Edit, Finding, Fix, Level, Related, Span
from waterlint.hints import TYPE_CHECKING, Final, get_args
from waterlint.source.faults import shorten
from waterlint.source.lines import Lines

if TYPE_CHECKING:
    from typing import TextIO

#: How many findings one rule may make of one document: the project's own bound. A rule that
#: never ends would stop the run.
MOST = 1000

#: Letters of what an error says that are shown.
_LONGEST = 300

_LEVELS = frozenset(get_args(Level))
_FIGURES = ("value", "value_low", "value_high", "low", "high")
_TEXTS = ("path", "message", "help", "pointer", "basis")


class BadAnswer(TypeError):
    """What a rule hands back is not what it must be."""


class _Aside:
    """Used as a context, by several threads at a time: the last that leaves puts all back."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._inside = 0
        self._before: TextIO | None = None

    def __enter__(self) -> None:
        with self._lock:
            if not self._inside:
                self._before, sys.stdout = sys.stdout, sys.stderr
            self._inside += 1

    def __exit__(self, *failure: object) -> None:
        with self._lock:
            self._inside -= 1
            if not self._inside:
                sys.stdout, self._before = self._before, None


_ASIDE: Final = _Aside()


def aside() -> AbstractContextManager[None]:
    """While code of another package runs, what it prints goes to standard error.

    Standard output is the report's alone: a word between would make its JSON unreadable.
    """
    return _ASIDE


def checked(rule: str, answer: Iterable[Finding], lines: Lines) -> list[Finding]:
    """The findings of a rule about a text with these lines.

    Raises
    ------
    BadAnswer
        If something else is among them.
    """
    findings = list(islice(answer, MOST + 1))
    if len(findings) > MOST:
        raise BadAnswer(f"it makes more than {MOST} findings of one document")
    for finding in findings:
        problem = _problem(rule, finding) or _misplaced(finding, lines)
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
    if not _is_place(finding.span) or not isinstance(finding.document, int):
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
    if not all(map(_is_related, finding.related)):
        return "it yields a finding with a related place that is none"
    if finding.fix is not None and not _is_fix(finding.fix):
        return "it yields a finding with a fix that is none"
    return None


def _misplaced(finding: Finding, lines: Lines) -> str | None:
    """What of a finding, right in itself, lies outside the text."""
    if finding.document < 0 or finding.span.line > len(lines.starts):
        return "it yields a finding with a place outside the file"
    edits = () if finding.fix is None else finding.fix.edits
    ends = [0, *(end for edit in sorted(edits, key=_order) for end in _order(edit))]
    if ends != sorted(ends) or ends[-1] > len(lines.text):
        return "it yields a finding with a fix whose edits overlap, or lie outside the file"
    return None


def _order(edit: Edit) -> tuple[int, int]:
    return edit.start, edit.end


def _is_place(span: object) -> bool:
    if not isinstance(span, Span):
        return False
    numbers = (span.line, span.column, span.end_line, span.end_column, span.start, span.end)
    if not all(isinstance(number, int) for number in numbers):
        return False
    begins = span.line >= 1 and span.column >= 1 and span.start >= 0
    return begins and numbers[:2] <= numbers[2:4] and span.end_column >= 1


def _is_related(related: object) -> bool:
    return (
        isinstance(related, Related)
        and isinstance(related.path, str)
        and isinstance(related.message, str)
        and _is_place(related.span)
    )


def _is_fix(fix: object) -> bool:
    return (
        isinstance(fix, Fix)
        and isinstance(fix.description, str)
        and isinstance(fix.edits, tuple)
        and all(
            isinstance(edit, Edit)
            and isinstance(edit.start, int)
            and isinstance(edit.end, int)
            and isinstance(edit.replacement, str)
            for edit in fix.edits
        )
    )


def words_of(error: BaseException) -> str:
    """An error in one line that is not too long, whatever it says of itself."""
    try:
        said = str(error)
    except Exception:
        said = "it cannot say what is wrong"
    return f"{type(error).__name__}: {shorten(said, _LONGEST)}"
