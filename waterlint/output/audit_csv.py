"""An audit as comma-separated values, for a spreadsheet."""

from __future__ import annotations

import csv
import io

from waterlint.finding import LEVELS
from waterlint.hints import Final
from waterlint.output.audit import FIGURES, Audit, Row
from waterlint.output.text import one_line
from waterlint.prediction.result import Figure

#: By what a spreadsheet takes a text for a formula, in wide forms too; OWASP, CSV injection.
_STARTS: Final = ("=", "+", "-", "@", "\t", "\r", "＝", "＋", "－", "＠")

_UNITS: Final = {
    "mash_ph": "",
    "chloride_to_sulfate": "",
    "residual_alkalinity": "_mg_l_caco3",
}


def render(audit: Audit) -> str:
    """One line a recipe under a line of names; figures with their standard deviation."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(_head())
    for row in audit.rows:
        writer.writerow(_cells(row))
    return out.getvalue()


def _head() -> list[str]:
    names = ["path", "document", "recipe", "style", "worst", "worst_rule", "worst_message"]
    names += [f"{level}s" for level in reversed(LEVELS)]
    for figure in FIGURES:
        names += [_column(figure), _column(figure, "_sd")]
    return names


def _column(figure: str, more: str = "") -> str:
    return f"{figure}{more}{_UNITS.get(figure, '_mg_l')}"


def _cells(row: Row) -> list[str]:
    worst = row.worst
    cells = [
        _text(row.path),
        str(row.document),
        _text(row.name),
        _text(row.style or ""),
        "none" if worst is None else worst.level,
        "" if worst is None else _text(worst.rule),
        "" if worst is None else _text(worst.message),
        *(str(row.count(level)) for level in reversed(LEVELS)),
    ]
    for name in FIGURES:
        cells += _figure(row.figures.get(name))
    return cells


def _figure(figure: Figure | None) -> list[str]:
    if figure is None:
        return ["", ""]
    return [f"{round(figure.value, 4) + 0.0:.6g}", f"{figure.sd:.4g}"]


def _text(text: str) -> str:
    """A text that no spreadsheet takes for a formula.

    Examples
    --------
    >>> _text("=1+1"), _text("  @x"), _text("Tidewrack stout")
    ("'=1+1", "'@x", 'Tidewrack stout')
    """
    text = one_line(text)
    return f"'{text}" if text.startswith(_STARTS) else text
