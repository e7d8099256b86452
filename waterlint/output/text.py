"""Findings for people: place, message, the line with a caret, where the limit comes from."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from functools import lru_cache

from waterlint.finding import Finding
from waterlint.hints import TYPE_CHECKING

if TYPE_CHECKING:
    from waterlint.output.excerpt import LineSource

#: ANSI colours of the levels; used on a terminal only.
PAINT = {"error": "31;1", "warning": "33;1", "note": "36"}
RESET = "\x1b[0m"
_BOLD = "\x1b[1m"


def render(
    findings: Iterable[Finding],
    summary: Mapping[str, int],
    lines: LineSource,
    *,
    color: bool = False,
    width: int = 100,
) -> str:
    """The findings as text, and a line that counts them.

    Parameters
    ----------
    findings : iterable of Finding
        In the order in which they are shown.
    summary : mapping
        The counts of `waterlint.linter.Report.summary`.
    lines : callable
        Gives a line of a file by path and number.
    color : bool
        Whether to colour levels.
    width : int
        Columns that explanations are wrapped to; messages are not wrapped, so that editors
        and scripts find one finding a line.
    """
    return "".join(pieces(findings, summary, lines, color=color, width=width))


def pieces(
    findings: Iterable[Finding],
    summary: Mapping[str, int],
    lines: LineSource,
    *,
    color: bool = False,
    width: int = 100,
) -> Iterator[str]:
    """The same piece by piece, each made when the one before is done with."""
    for finding in findings:
        block = _block(finding, lines, color=color, width=max(width, 40))
        yield "\n".join(block) + "\n\n"
    yield tally(summary) + "\n"


def _block(finding: Finding, lines: LineSource, *, color: bool, width: int) -> Iterator[str]:
    # Imported late, as what else only findings need.
    from waterlint.output.excerpt import excerpt

    span = finding.span
    place = f"{path_text(finding.path)}:{span.line}:{span.column}:"
    level: str = finding.level
    if color:
        place = f"{_BOLD}{place}{RESET}"
        level = f"\x1b[{PAINT[finding.level]}m{level}{RESET}"
    yield f"{place} {level}: {one_line(finding.message)} [{finding.rule}]"
    if line := lines(finding.path, span.line):
        # Under an empty line, or a text that could not be decoded, a caret would point at nothing.
        yield from excerpt(line, span)
    for heading, text in (("do", finding.help), ("basis", finding.basis)):
        if text:
            yield from _wrapped(heading, text, width)
    for related in finding.related:
        where = f"{path_text(related.path)}:{related.span.line}:{related.span.column}"
        yield from _wrapped("see", f"{where}: {related.message}", width)


@lru_cache(maxsize=256)  # many findings come with the same advice
def _wrapped(heading: str, text: str, width: int) -> tuple[str, ...]:
    """A text under a heading, broken between words; as `textwrap` does it, in a third of the time.

    A word that is longer than a line has one of its own.
    """
    line = first = f"  {heading + ':':<6} "
    lines: list[str] = []
    for word in one_line(text).split(" "):
        if len(line) > len(first):
            if len(line) + 1 + len(word) <= width:
                line = f"{line} {word}"
                continue
            lines.append(line)
            line = " " * len(first)
        line += word
    return (*lines, line)


def one_line(text: str) -> str:
    """`text` on one line, its control characters shown by their escapes."""
    return path_text(" ".join(text.split()))


def path_text(path: str) -> str:
    """A path as it is, but for what a terminal or a CI service would take for a command.

    Who sends a change chooses the names of files: a line end in one would begin a line of its own.
    """
    if path.isprintable():
        return path
    return "".join(each if each.isprintable() else ascii(each)[1:-1] for each in path)


def tally(summary: Mapping[str, int]) -> str:
    """The counts of `waterlint.linter.Report.summary` in words.

    That nothing is found where nothing was looked at is no good news, and is not told as such.
    """
    files = counted(summary["files"], "file")
    parts = [
        counted(summary[level], level) for level in ("error", "warning", "note") if summary[level]
    ]
    set_aside = [
        f"{summary[key]} {word}"
        for key, word in (("accepted", "accepted"), ("baseline", "in the baseline"))
        if summary[key]
    ]
    told = ", ".join([*parts, *set_aside])
    if not told and not summary["files"]:
        told = "nothing was looked at; `waterlint check --show-files` says why"
    return f"{files}: {told or 'nothing to report'}"


def counted(number: int, noun: str) -> str:
    """How many there are of something, in words.

    Examples
    --------
    >>> counted(1, "file"), counted(12345, "file")
    ('1 file', '12,345 files')
    """
    return f"{number:,} {noun}{'' if number == 1 else 's'}"
