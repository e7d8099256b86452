"""Proposals for people and as JSON: doses and figures before and after, findings, cautions."""

from __future__ import annotations

import json
import textwrap
from collections.abc import Iterable, Iterator, Sequence

from waterlint.finding import Finding
from waterlint.output.json_report import as_data as finding_data
from waterlint.output.text import one_line
from waterlint.records import dataclass
from waterlint.version import __version__


@dataclass(frozen=True, slots=True)
class DoseRow:
    """A dose, or a share of water, before and after; `None` where there is none.

    `steps` is the change in steps of the scale.
    """

    additive: str
    form: str | None
    strength: str | None
    vessel: str
    before: str | None
    after: str | None
    steps: float


@dataclass(frozen=True, slots=True)
class FigureRow:
    """A figure before and after, and what it may be; `spread` is one standard deviation."""

    title: str
    quantity: str
    vessel: str
    unit: str
    before: float | None
    after: float | None
    spread: float | None
    low: float | None
    high: float | None


@dataclass(frozen=True, slots=True)
class Suggested:
    """A proposal, ready to be shown.

    `number` is 1 for the best. `changed` tells whether it changes anything. `diff` is a unified
    diff of the file.
    """

    path: str
    document: int
    name: str
    number: int
    level: str
    changed: bool
    additives: int
    steps: float
    doses: tuple[DoseRow, ...]
    figures: tuple[FigureRow, ...]
    cleared: tuple[Finding, ...]
    left: tuple[Finding, ...]
    new: tuple[Finding, ...]
    remarks: tuple[str, ...]
    cautions: tuple[str, ...]
    diff: str


def render_json(suggested: Iterable[Suggested]) -> str:
    """All proposals as JSON text."""
    data = {"waterlint": __version__, "suggestions": [as_data(each) for each in suggested]}
    return json.dumps(data, indent=2, ensure_ascii=True, allow_nan=False) + "\n"


def as_data(each: Suggested) -> dict[str, object]:
    """One proposal as plain data."""
    return {
        "path": each.path,
        "document": each.document,
        "name": each.name,
        "number": each.number,
        "level": each.level,
        "changed": each.changed,
        "additives_changed": each.additives,
        "steps_changed": _rounded(each.steps),
        "doses": [
            {
                "add": row.additive,
                "form": row.form,
                "strength": row.strength,
                "vessel": row.vessel,
                "before": row.before,
                "after": row.after,
                "steps": _rounded(row.steps),
            }
            for row in each.doses
        ],
        "figures": [
            {
                "quantity": row.quantity,
                "vessel": row.vessel,
                "unit": row.unit,
                "before": _rounded(row.before),
                "after": _rounded(row.after),
                "after_sd": _rounded(row.spread),
                "low": row.low,
                "high": row.high,
            }
            for row in each.figures
        ],
        "cleared": [finding_data(finding) for finding in each.cleared],
        "left": [finding_data(finding) for finding in each.left],
        "new": [finding_data(finding) for finding in each.new],
        "remarks": list(each.remarks),
        "cautions": list(each.cautions),
        "diff": each.diff,
    }


def _rounded(value: float | None) -> float | None:
    return None if value is None else float(f"{value:.6g}")


def render_diff(suggested: Iterable[Suggested]) -> str:
    """The diffs one after the other; of several proposals for one recipe they exclude each
    other."""
    return "".join(each.diff for each in suggested)


def render_text(suggested: Iterable[Suggested], width: int = 100) -> str:
    """Proposals for people."""
    return "\n".join("\n".join(_text(each, width)) + "\n" for each in suggested)


def _text(each: Suggested, width: int) -> Iterator[str]:
    heading = f"{one_line(each.name)} ({each.path})"
    yield heading if each.number == 1 else f"{heading}, alternative {each.number - 1}"
    if not each.changed:
        yield (
            "  No dose needs to change."
            if not each.left
            else "  No change of doses clears what is found."
        )
    else:
        yield f"  Change {_count(each.additives, 'additive')}, {each.steps:g} steps of the scale:"
        yield from _table(
            [("", "vessel", "before", "after")]
            + [
                (_product(row), row.vessel, row.before or "–", row.after or "–")
                for row in each.doses
            ]
        )
        yield "  What that does:"
        yield from _table(
            [("", "before", "after", "range", "unit")] + [_figure(row) for row in each.figures]
        )
    for title, findings in (
        ("Cleared", each.cleared),
        ("Left", each.left),
        ("New", each.new),
    ):
        for finding in findings:
            words = f"{title}: {one_line(finding.message)} [{finding.rule}]"
            yield from _wrapped(words, width)
    for remark in each.remarks:
        yield from _wrapped(f"In the way: {remark}.", width)
    for caution in each.cautions:
        yield from _wrapped(f"Caution: {caution}", width)


def _product(row: DoseRow) -> str:
    return " ".join(part for part in (row.additive, row.form, row.strength) if part)


def _figure(row: FigureRow) -> tuple[str, ...]:
    after = _number(row.after, row.unit)
    if row.spread:
        after += f" ± {_number(row.spread, row.unit)}"
    low, high = (None if side is None else f"{side:.4g}" for side in (row.low, row.high))
    allowed = " .. ".join(part for part in (low or "", high or "")).strip()
    return (row.title, _number(row.before, row.unit), after, allowed, row.unit)


def _number(value: float | None, unit: str) -> str:
    if value is None:
        return "–"
    return f"{value + 0.0:.2f}" if not unit else f"{value + 0.0:.1f}"


def _table(rows: Sequence[tuple[str, ...]]) -> Iterator[str]:
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    for row in rows:
        cells = [
            cell.ljust(wide) if place in (0, len(row) - 1) else cell.rjust(wide)
            for place, (cell, wide) in enumerate(zip(row, widths, strict=True))
        ]
        yield f"    {'  '.join(cells)}".rstrip()


def _wrapped(words: str, width: int) -> list[str]:
    return textwrap.wrap(
        one_line(words),
        max(width, 40),
        initial_indent="  ",
        subsequent_indent="    ",
        break_long_words=False,
        break_on_hyphens=False,
    )


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"
