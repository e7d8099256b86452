"""How figures before and after are written, for people."""

from __future__ import annotations

from collections.abc import Sequence

from waterlint.output.comparison import FigureChange, RecipeChange, moving
from waterlint.prediction.result import Figure
from waterlint.rules.wording import fixed, in_range, number, with_spread

#: The head of a table of figures, after the column that names them.
HEAD = ("before", "after", "warns outside", "unit")


def figure_rows(recipe: RecipeChange) -> list[tuple[str, ...]]:
    """A row for each figure that changes, so far as it shows; the mash's first."""
    rows = [_row(figure) for figure in moving(recipe)]
    return [row for row in rows if row[1] != row[2]]


def standing(recipe: RecipeChange) -> int:
    """How many figures are known and look the same before and after."""
    known = [each for each in recipe.figures if each.before is not None or each.after is not None]
    return len(known) - len(figure_rows(recipe))


def _row(figure: FigureChange) -> tuple[str, ...]:
    digits = _digits(figure)
    return (
        figure.title,
        _text(figure.before, digits),
        _text(figure.after, digits),
        _range(figure),
        figure.unit,
    )


def _digits(figure: FigureChange) -> int:
    return 0 if figure.unit.startswith("mg/L") else 2


def _text(figure: Figure | None, digits: int) -> str:
    if figure is None:
        return "–"
    if figure.sd > 0.0:
        return with_spread(figure.value, figure.sd, digits)
    return fixed(figure.value, digits)


def _range(figure: FigureChange) -> str:
    return in_range(
        *("" if side is None else number(side, 4) for side in (figure.low, figure.high))
    )


def aligned(rows: Sequence[tuple[str, ...]], indent: str) -> list[str]:
    """Rows as lines of equal columns: the first and the last to the left, others to the right."""
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    lines: list[str] = []
    for row in rows:
        cells = [
            cell.ljust(wide) if place in (0, len(row) - 1) else cell.rjust(wide)
            for place, (cell, wide) in enumerate(zip(row, widths, strict=True))
        ]
        lines.append(f"{indent}{'  '.join(cells)}".rstrip())
    return lines
