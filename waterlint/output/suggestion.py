"""Proposals for people and as JSON: doses and figures before and after, findings, cautions."""

from __future__ import annotations

import json
import textwrap
from collections.abc import Collection, Iterable, Iterator, Sequence

from waterlint.finding import Finding
from waterlint.hints import Final
from waterlint.output.json_report import as_data as finding_data
from waterlint.output.json_report import rounded
from waterlint.output.text import counted, one_line, path_text
from waterlint.records import Record
from waterlint.rules.wording import fixed, in_range, number, with_spread
from waterlint.version import __version__


class DoseRow(Record):
    """A dose, or a share of water, before and after; `None` where there is none.

    `steps` is the change in steps of the scale, `change` the same in words, and `note` says what
    helps to weigh it.
    """

    additive: str
    form: str | None
    strength: str | None
    vessel: str
    before: str | None
    after: str | None
    steps: float
    change: str = ""
    note: str = ""


class FigureRow(Record):
    """A figure before and after, and what it may be; `spread` is one standard deviation.

    `slight_before` and `slight_after` say that it does not count though it is outside: a ratio of
    little chloride and sulfate.
    """

    title: str
    quantity: str
    vessel: str
    unit: str
    before: float | None
    after: float | None
    spread: float | None
    low: float | None
    high: float | None
    slight_before: bool = False
    slight_after: bool = False

    def is_outside(self, value: float | None) -> bool:
        """Whether a value is outside the range."""
        if value is None:
            return False
        hair = 1e-9 * max(1.0, abs(value))
        low, high = self.low, self.high
        return (low is not None and value < low - hair) or (
            high is not None and value > high + hair
        )

    @property
    def marks(self) -> tuple[str, str]:
        """What stands behind the two values: a mark where one is outside the range."""
        return (
            _mark(self.is_outside(self.before), self.slight_before),
            _mark(self.is_outside(self.after), self.slight_after),
        )


def _mark(outside: bool, slight: bool) -> str:
    return "" if not outside else " ·" if slight else " !"


class Suggested(Record):
    """A proposal, ready to be shown.

    `number` is 1 for the best. `changed` tells whether it changes anything. `unchanged` are the
    doses that stay. `notes` are findings milder than `level` that come with the change. `diff` is
    a unified diff of the file.
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
    unchanged: tuple[DoseRow, ...]
    figures: tuple[FigureRow, ...]
    cleared: tuple[Finding, ...]
    left: tuple[Finding, ...]
    new: tuple[Finding, ...]
    notes: tuple[Finding, ...]
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
        "steps_changed": rounded(each.steps),
        "doses": [_dose_data(row) for row in each.doses],
        "unchanged_doses": [_dose_data(row) for row in each.unchanged],
        "figures": [
            {
                "quantity": row.quantity,
                "vessel": row.vessel,
                "unit": row.unit,
                "before": rounded(row.before),
                "after": rounded(row.after),
                "after_sd": rounded(row.spread),
                "low": row.low,
                "high": row.high,
            }
            for row in each.figures
        ],
        "cleared": [finding_data(finding) for finding in each.cleared],
        "left": [finding_data(finding) for finding in each.left],
        "new": [finding_data(finding) for finding in each.new],
        "new_notes": [finding_data(finding) for finding in each.notes],
        "remarks": list(each.remarks),
        "cautions": list(each.cautions),
        "diff": each.diff,
    }


def _dose_data(row: DoseRow) -> dict[str, object]:
    return {
        "add": row.additive,
        "form": row.form,
        "strength": row.strength,
        "vessel": row.vessel,
        "before": row.before,
        "after": row.after,
        "steps": rounded(row.steps),
    }


def render_text(suggested: Iterable[Suggested], width: int = 100) -> str:
    """Proposals for people."""
    return "\n".join("\n".join(_text(each, width)) + "\n" for each in suggested)


def _text(each: Suggested, width: int) -> Iterator[str]:
    heading = f"{one_line(each.name)} ({path_text(each.path)})"
    yield heading if each.number == 1 else f"{heading}, alternative {each.number - 1}"
    if each.changed:
        yield from _doses(each, width)
        yield from _figures(each, width)
        yield from _wrapped(_tally(each), width)
    elif each.left or each.remarks:
        yield "  No change of doses clears what is found."
    else:
        yield "  No dose needs to change."
    for title, findings in (
        ("Cleared", each.cleared),
        ("Left", each.left),
        ("New", each.new),
        ("Note", each.notes),
    ):
        for finding in findings:
            words = f"{title}: {one_line(finding.message)} [{finding.rule}]"
            yield from _wrapped(words, width)
    for remark in each.remarks:
        yield from _wrapped(f"In the way: {remark}.", width)
    for caution in each.cautions:
        yield from _wrapped(f"Caution: {caution}", width)


def _doses(each: Suggested, width: int) -> Iterator[str]:
    """What goes where, by vessel: what changes, and below what stays."""
    yield f"  Change {counted(len(each.doses), 'dose')}; all in all these go in:"
    rows = [("", "", "before", "after", "")]
    vessel = ""
    for row in sorted((*each.doses, *each.unchanged), key=lambda row: _VESSELS.index(row.vessel)):
        name = "" if row.vessel == vessel else row.vessel
        vessel = row.vessel
        change = ", ".join(part for part in (row.change, row.note) if part)
        rows.append((name, _product(row), row.before or "none", row.after or "none", change))
    yield from _table(rows, left=(0, 1, 4))


#: In the order of a brew day.
_VESSELS: Final = ("liquor", "mash", "sparge", "kettle", "fermenter")


def _tally(each: Suggested) -> str:
    left = len(each.left) + len(each.new)
    if not left and not each.cleared:
        return f"Nothing was found at the level of {each.level} or above, and nothing is now."
    clears = counted(len(each.cleared), "finding")
    rest = "none is left" if not left else f"{left} {'is' if left == 1 else 'are'} left"
    return f"This clears {clears} at the level of {each.level} or above; {rest}."


def _figures(each: Suggested, width: int) -> Iterator[str]:
    """The figures that move or are outside their range as a table, the others in a sentence."""
    shown: list[FigureRow] = []
    still: list[FigureRow] = []
    for row in each.figures:
        if not row.before and not row.after:
            continue  # an ion that nothing brings
        outside = row.is_outside(row.before) or row.is_outside(row.after)
        moves = _number(row.before, row.unit) != _number(row.after, row.unit)
        (shown if outside or moves else still).append(row)
    if shown:
        yield "  What that does:"
        head: tuple[str, ...] = ("", "before", "after", "range", "")
        yield from _table([head, *map(_figure, shown)], left=(0, 3, 4))
        marks = {mark for row in shown for mark in row.marks}
        if " !" in marks:
            yield "    ! outside its range"
        if " ·" in marks:
            yield "    · outside its range, which counts little or nothing with so little of both"
    if still:
        told = [
            f"{row.title} {_number(row.after, row.unit)}"
            + (f" ({_range(row)})" if _range(row) else "")
            for row in still
        ]
        yield from _wrapped(f"As before, with what is allowed: {'; '.join(told)}.", width)


def _product(row: DoseRow) -> str:
    return " ".join(part for part in (row.additive, row.form, row.strength) if part)


def _figure(row: FigureRow) -> tuple[str, ...]:
    before, after = (_number(value, row.unit) for value in (row.before, row.after))
    if row.spread and row.after is not None:
        after = with_spread(row.after, row.spread, _digits(row.unit))
    marks = row.marks
    return (row.title, f"{before}{marks[0]}", f"{after}{marks[1]}", _range(row), row.unit)


def _range(row: FigureRow) -> str:
    digits = _digits(row.unit)
    sides = (None if side is None else round(side, digits) for side in (row.low, row.high))
    return in_range(*("" if side is None else number(side, 6) for side in sides))


def _number(value: float | None, unit: str) -> str:
    if value is None:
        return "–"
    return fixed(value, _digits(unit))


def _digits(unit: str) -> int:
    return 1 if unit else 2


def _table(rows: Sequence[tuple[str, ...]], left: Collection[int]) -> Iterator[str]:
    """Rows as columns; those in `left` stand to the left."""
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    for row in rows:
        cells = [
            cell.ljust(wide) if place in left else cell.rjust(wide)
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
