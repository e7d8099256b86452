"""An audit as a table for a terminal."""

from __future__ import annotations

import textwrap
import unicodedata
from collections.abc import Callable, Iterator, Mapping, Sequence

from waterlint.finding import LEVELS
from waterlint.hints import Final
from waterlint.output.audit import Audit, Row
from waterlint.output.text import PAINT, RESET, counted, one_line, path_text
from waterlint.records import Record
from waterlint.rules.wording import fixed

#: Between two columns.
_GAP: Final = 2

#: The least that the worst finding is given [columns].
_WORST: Final = 14

#: The least and the most that a recipe's name is given [columns].
_NAME: Final = (14, 40)


class _Column(Record):
    """A column: it is left out where there is no room, the largest `rank` first; 0 stays."""

    head: str
    rank: int
    cell: Callable[[Row], str]
    right: bool = True


def _figure(name: str, digits: int) -> Callable[[Row], str]:
    def cell(row: Row) -> str:
        figure = row.figures.get(name)
        if figure is None:
            return "–"
        return f"{fixed(figure.value, digits)}{_mark(row, name)}"

    return cell


def _mark(row: Row, name: str) -> str:
    """What tells a figure beyond its range; a blank keeps the figures in line."""
    level = row.beyond.get(name)
    return " " if level is None else {"note": "·", "warning": "!", "error": "‼"}[level]


def _mash_ph(row: Row) -> str:
    figure = row.figures.get("mash_ph")
    if figure is None:
        return "–"
    return f"{figure.value:.2f}{_mark(row, 'mash_ph')}({figure.low:.2f}–{figure.high:.2f})"


def _worst(row: Row) -> str:
    worst = row.worst
    return "" if worst is None else f"{worst.level} {worst.rule}"


_COLUMNS: Final = (
    _Column("style", 5, lambda row: one_line(row.style or "–"), right=False),
    _Column("mash pH (68 %)", 0, _mash_ph),
    _Column("RA", 2, _figure("residual_alkalinity", 0)),
    _Column("Ca", 1, _figure("calcium", 0)),
    _Column("Mg", 6, _figure("magnesium", 0)),
    _Column("Na", 4, _figure("sodium", 0)),
    _Column("K", 9, _figure("potassium", 0)),
    _Column("Cl", 3, _figure("chloride", 0)),
    _Column("SO4", 3, _figure("sulfate", 0)),
    _Column("NO3", 10, _figure("nitrate", 0)),
    _Column("HCO3", 7, _figure("bicarbonate", 0)),
    _Column("Cl:SO4", 3, _figure("chloride_to_sulfate", 2)),
    _Column("worst finding", 0, _worst, right=False),
)

_LEGEND: Final = (
    "Ions in mg/L of the whole batch; RA: residual alkalinity of the mash water in mg/L as CaCO3. "
    "The interval of the mash pH holds two times in three. Outside its range by · a note, "
    "! a warning."
)


def render(audit: Audit, *, color: bool = False, width: int = 120) -> str:
    """The rows as a table and a line that counts them.

    Parameters
    ----------
    audit : Audit
    color : bool
        Whether to colour levels.
    width : int
        Columns of the terminal; what does not fit is left out, the least telling first, and
        the last line says so.
    """
    if not audit.recipes:
        looked = f"{counted(audit.files, 'file')} looked at" if audit.files else "no file found"
        return f"There is no recipe: {looked}. `waterlint check --show-files` says why.\n"
    lines = [*_table(audit.rows, max(width, 40), color)] if audit.rows else []
    return "\n".join([*lines, *tally(audit)]) + "\n"


def tally(audit: Audit) -> Iterator[str]:
    """The counts in words."""
    states = audit.states()
    words: Mapping[str, str] = {
        "error": "with errors",
        "warning": "with warnings",
        "note": "with notes only",
        "none": "with nothing found",
    }
    parts = [f"{count} {words[level]}" for level, count in states.items() if count]
    shown = len(audit.rows)
    which = "" if shown == audit.recipes else f"{shown:,} of "
    recipes = counted(audit.recipes, "recipe")
    yield f"{which}{recipes}: {', '.join(parts) or 'none is as the filters ask'}"
    if audit.others:
        counts = [
            counted(number, level)
            for level in reversed(LEVELS)
            if (number := sum(each.level == level for each in audit.others))
        ]
        yield f"In files without recipes: {', '.join(counts)}; `waterlint check` tells them."


def _table(rows: Sequence[Row], width: int, color: bool) -> Iterator[str]:
    names = [one_line(row.name) or path_text(row.path) for row in rows]
    cells = {column: [column.cell(row) for row in rows] for column in _COLUMNS}
    wide = {
        column: max(_width(column.head), *(_width(cell) for cell in found))
        for column, found in cells.items()
    }
    kept = list(_COLUMNS)
    worst = _COLUMNS[-1]
    wide[worst] = min(wide[worst], max(_WORST, width // 6))
    while _GAP * len(kept) + sum(wide[each] for each in kept) + _NAME[0] > width:
        last = max(kept, key=lambda each: each.rank)
        if not last.rank:
            break
        kept.remove(last)
    room = width - sum(wide[each] + _GAP for each in kept)
    longest = max(_width("recipe"), *(_width(name) for name in names))
    name_width = max(_NAME[0], min(longest, room, max(_NAME[1], room // 3)))
    yield _line("recipe", name_width, [(each, each.head) for each in kept], wide)
    for at, (row, name) in enumerate(zip(rows, names, strict=True)):
        line = _line(name, name_width, [(each, cells[each][at]) for each in kept], wide)
        yield _painted(line, row) if color else line
    yield ""
    yield from textwrap.wrap(_LEGEND, min(width, 100))
    if len(kept) < len(_COLUMNS):
        left = ", ".join(each.head for each in _COLUMNS if each not in kept)
        yield f"No room for: {left}."


def _line(
    name: str, name_width: int, cells: Sequence[tuple[_Column, str]], wide: Mapping[_Column, int]
) -> str:
    parts = [_padded(_cut(name, name_width), name_width)]
    parts += [
        _padded(_cut(cell, wide[column]), wide[column], right=column.right)
        for column, cell in cells
    ]
    return (" " * _GAP).join(parts).rstrip()


def _painted(line: str, row: Row) -> str:
    worst = row.worst
    if worst is None:
        return line
    head, mark, tail = line.rpartition(f"  {worst.level} ")
    return f"{head}  \x1b[{PAINT[worst.level]}m{worst.level}{RESET} {tail}" if mark else line


def _padded(text: str, width: int, *, right: bool = False) -> str:
    blank = " " * max(0, width - _width(text))
    return blank + text if right else text + blank


def _cut(text: str, width: int) -> str:
    """`text` in at most so many columns, with … where something is left out."""
    if _width(text) <= width:
        return text
    kept, used = [], 1
    for character in text:
        used += _width(character)
        if used > width:
            break
        kept.append(character)
    return "".join(kept) + "…"


def _width(text: str) -> int:
    """The columns that a terminal gives a text."""
    if text.isascii():
        return len(text)
    return sum(
        0
        if unicodedata.combining(character)
        else 2
        if unicodedata.east_asian_width(character) in "WF"
        else 1
        for character in text
    )
