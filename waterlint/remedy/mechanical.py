"""The safe class of fixes: what is meant stays, and only how it is written is mended."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from waterlint.finding import Finding, Fix
from waterlint.hints import Final
from waterlint.linter import Linter, Options, Report
from waterlint.paths import Path
from waterlint.records import Record
from waterlint.source.edit import apply_fixes

#: How often a text is mended and looked at again. Mending a key can uncover a fault within, and
#: a list of ten faults on one stretch takes ten passes; what is then left is left, and told.
MOST_PASSES: Final = 12


class Mending(Record):
    """A text after its mechanical fixes.

    Attributes
    ----------
    before, after : str
        With the byte order mark, if there is one.
    applied : tuple of Finding
        What was mended, each with its fix, in the order of the passes.
    report : Report
        Of the text as it is afterwards.
    linter : Linter
        That has made this report, and knows the lines it speaks of.
    """

    before: str
    after: str
    applied: tuple[Finding, ...]
    report: Report
    linter: Linter


def mend(text: str, path: Path, options: Options) -> Mending:
    """Apply every mechanical fix to a text that stands at `path`, pass after pass.

    Parameters
    ----------
    text : str
    path : Path
        What it refers to is looked for from there.
    options : Options
        Of the linter.

    Returns
    -------
    Mending

    Notes
    -----
    A pass whose outcome can be read less well than before is taken back, and its fixes are tried
    one by one; one that then still does harm is left out.
    """
    before = text
    linter, report = _lint(text, path, options)
    applied: list[Finding] = []
    refused: set[Fix] = set()
    for _ in range(MOST_PASSES):
        found = [
            finding
            for finding in _own(report, linter, path)
            if finding.fix is not None and finding.fix not in refused
        ]
        if not found:
            break
        for attempt in (found, *([each] for each in found)):
            changed, used = _applied(text, attempt)
            linter_after, report_after = _lint(changed, path, options)
            helps = _is_better(
                used, _own(report, linter, path), _own(report_after, linter_after, path)
            )
            if helps:
                text, linter, report = changed, linter_after, report_after
                applied += used
                break
        else:
            refused.update(finding.fix for finding in found if finding.fix is not None)
    return Mending(before, text, tuple(applied), report, linter)


def _lint(text: str, path: Path, options: Options) -> tuple[Linter, Report]:
    linter = Linter(options)
    return linter, linter.lint_text(text, path)


def _own(report: Report, linter: Linter, path: Path) -> list[Finding]:
    """The findings about the text itself, not about the reports that it uses."""
    shown = linter.disk.shown(path)
    return [finding for finding in report.findings if finding.path == shown]


def _applied(text: str, findings: Iterable[Finding]) -> tuple[str, list[Finding]]:
    bom = "\ufeff" if text.startswith("\ufeff") else ""
    by_fix = {finding.fix: finding for finding in findings if finding.fix is not None}
    mended = apply_fixes(text.removeprefix("\ufeff"), by_fix)
    return bom + mended.text, [by_fix[fix] for fix in mended.applied]


#: What keeps a file or a document from being read at all.
_UNREADABLE: Final = frozenset(
    {"unreadable-file", "invalid-yaml", "expansion-limit", "not-a-waterlint-file"}
)


def _is_better(applied: list[Finding], before: list[Finding], after: list[Finding]) -> bool:
    """Whether a pass did what it should: its faults are gone, and nothing has become unreadable.

    A mended document is looked at by rules that could not see it before, so more findings than
    there were are no harm.
    """
    was, now = (
        Counter((finding.rule, finding.message) for finding in findings)
        for findings in (before, after)
    )
    gone = all(
        now[finding.rule, finding.message] < was[finding.rule, finding.message]
        for finding in applied
    )
    return gone and _unreadable(after) <= _unreadable(before)


def _unreadable(findings: list[Finding]) -> int:
    return sum(finding.rule in _UNREADABLE for finding in findings)
