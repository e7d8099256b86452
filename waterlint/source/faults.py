"""Findings about the file itself, in one shape."""

from __future__ import annotations

from waterlint.finding import Finding, Related
from waterlint.records import Record, field
from waterlint.source.lines import Lines


class Faults(Record, frozen=False):
    """Collects what is wrong with one text; every fault is an error.

    `document` is the number of the document being read.
    """

    lines: Lines
    path: str
    document: int = 0
    findings: list[Finding] = field(default_factory=list)

    def add(
        self,
        rule: str,
        start: int,
        end: int,
        message: str,
        help: str,
        pointer: str = "",
        first: tuple[int, int] | None = None,
    ) -> None:
        """Report a fault from `start` to `end`; `first` is the place that it collides with."""
        related: tuple[Related, ...] = ()
        if first is not None:
            related = (Related(self.path, self.lines.span(*first), "the first one"),)
        self.findings.append(
            Finding(
                rule,
                "error",
                self.path,
                self.lines.span(start, end),
                message,
                help,
                document=self.document,
                pointer=pointer,
                related=related,
            )
        )


def shorten(text: str, width: int = 40) -> str:
    """A text of the file as a message shows it: on one line, and not too long."""
    line = " ".join(text[: width * 4].split())
    return line if len(line) <= width else f"{line[: width - 1]}…"
