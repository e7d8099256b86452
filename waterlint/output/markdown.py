"""Findings as Markdown, for a job's summary or a comment: a table for each file."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from itertools import groupby

from waterlint.finding import Finding
from waterlint.output.cleaning import place, sentence, sentences, shown_path
from waterlint.output.text import one_line, tally

#: The most that the tables may take [bytes]. GitHub refuses a job summary of more than 1 MiB.
LONGEST = 1_000_000

_TABLE = (
    "| Line | Level | What is wrong | What to do | Rule |",
    "| ---: | --- | --- | --- | --- |",
)
_ACCEPTED = ("| Place | What is accepted | Because | Rule |", "| --- | --- | --- | --- |")

#: What would be read as markup: escaped by a backslash, or where that would not do in a table,
#: in HTML or in formulas, as an entity.
_MARKS = re.compile(r"[\\`*_~\[\]]")
_ENTITIES = {"&": "&amp;", "<": "&lt;", ">": "&gt;", "|": "&#124;", "$": "&#36;"}

#: Code in a message. With a bar or a backslash in it, a table could end early: it is then plain.
_CODE = re.compile(r"(`[^`|\\]+`)")


def render(
    findings: Iterable[Finding],
    accepted: Iterable[Finding],
    summary: Mapping[str, int],
    paths: Iterable[str],
) -> str:
    """The findings as GitHub Flavored Markdown; the same findings give the same bytes."""
    findings, accepted = list(findings), list(accepted)
    blocks = ["## waterlint", sentence(tally(summary))]
    files = [(path, list(group)) for path, group in groupby(findings, lambda each: each.path)]
    sections = [(_section(path, each), len(each)) for path, each in files]
    clean = len({*paths} - {path for path, _ in files})
    if clean and files:
        line = f"{clean} other {'file has' if clean == 1 else 'files have'} no findings."
        sections.append((line, 0))
    if accepted:
        sections.append((_accepted(accepted), len(accepted)))
    blocks += within(LONGEST, sections)
    return "\n\n".join(blocks) + "\n"


def within(
    most: int,
    sections: Iterable[tuple[str, int]],
    why: str = "a summary may take 1 MiB at most",
) -> Iterator[str]:
    """As many sections, each with its number of findings, as fit; and what is left out, and why."""
    room, left_out = most, 0
    for section, findings in sections:
        room -= len(section.encode("utf-8"))
        if room >= 0:
            yield section
        else:
            left_out += findings
    if left_out:
        yield f"{left_out} more are left out here: {why}."


def _section(path: str, findings: Iterable[Finding]) -> str:
    rows = [
        row(
            str(finding.span.line),
            finding.level,
            *map(cell_text, _wrong_and_remedy(finding)),
            finding.rule,
        )
        for finding in findings
    ]
    return "\n".join([f"### {code(shown_path(path))}", "", *_TABLE, *rows])


def _wrong_and_remedy(finding: Finding) -> tuple[str, str]:
    wrong, *rest = sentences(finding)
    rest += [f"See {place(related)}: {sentence(related.message)}" for related in finding.related]
    return wrong, " ".join(rest)


def _accepted(findings: Iterable[Finding]) -> str:
    rows = [
        row(
            cell_text(place(finding)),
            cell_text(sentence(finding.message or finding.rule)),
            cell_text(one_line(finding.accepted_because or "")),
            finding.rule,
        )
        for finding in findings
    ]
    return "\n".join(["### Accepted, with reasons", "", *_ACCEPTED, *rows])


def row(*cells: str) -> str:
    """A table's row of cells that are fit for one."""
    return f"| {' | '.join(cells)} |"


def cell_text(text: str) -> str:
    """`text` as a table's cell shows it, code in it kept as code and nothing else as markup."""
    return "".join(
        part if _CODE.fullmatch(part) else _plain(part) for part in _CODE.split(text) if part
    )


def _plain(text: str) -> str:
    marked = _MARKS.sub(lambda match: f"\\{match.group()}", text)
    return "".join(_ENTITIES.get(character, character) for character in marked)


def code(text: str) -> str:
    """`text` as code, between more backticks than it has in a row."""
    longest = max((len(run) for run in re.findall("`+", text)), default=0)
    if not longest:
        return f"`{text}`"
    fence = "`" * (longest + 1)
    return f"{fence} {text} {fence}"
