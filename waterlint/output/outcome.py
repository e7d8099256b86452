"""What a format is given: the outcome of a run, and how to look up what it is about."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from waterlint.finding import Finding
from waterlint.hints import TYPE_CHECKING
from waterlint.records import Record
from waterlint.source.lines import Lines, line_of

if TYPE_CHECKING:
    from waterlint.rules.registry import Rule


class Outcome(Record):
    """The outcome of a run, for every format alike.

    Attributes
    ----------
    findings, accepted : tuple of Finding
        What counts, and what an exception excuses; both sorted.
    known : tuple of Finding
        What a baseline holds; sorted.
    summary : mapping
        The counts of `waterlint.linter.Report.summary`.
    paths : tuple of str
        Every file that was checked, the clean ones too.
    rules : mapping
        The known rules by name.
    lines : callable
        Gives the line table of a file by its shown path; `None` where it could not be read.
    weight : callable
        The exit status that a finding asks for by itself: 0, 1 or 2.
    color : bool
        Whether a terminal shows it that takes colours.
    width : int
        Columns that text for people is wrapped to.
    """

    findings: tuple[Finding, ...]
    accepted: tuple[Finding, ...]
    summary: Mapping[str, int]
    paths: tuple[str, ...]
    rules: Mapping[str, Rule]
    lines: Callable[[str], Lines | None]
    weight: Callable[[Finding], int]
    color: bool = False
    width: int = 100
    known: tuple[Finding, ...] = ()

    def line(self, path: str, number: int) -> str | None:
        """A line of a file, counted from 1, without its line end."""
        return line_of(self.lines(path), number)
