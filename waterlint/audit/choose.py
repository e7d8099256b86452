"""Which recipes of a collection are shown, and in which order."""

from __future__ import annotations

import operator
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from fnmatch import fnmatchcase
from math import isfinite

from waterlint.finding import LEVELS
from waterlint.hints import Final
from waterlint.output.audit import FIGURES, Row
from waterlint.project.nearest import nearest
from waterlint.records import Record

#: What rows can be sorted by.
KEYS: Final = ("path", "name", "style", "worst", *FIGURES)

_COMPARED: Final[Mapping[str, Callable[[float, float], bool]]] = {
    "<=": operator.le,
    ">=": operator.ge,
    "<": operator.lt,
    ">": operator.gt,
}

_CONDITION: Final = re.compile(r"([^<>]*)(<=|>=|<|>)(.*)", re.DOTALL)
_NUMBER: Final = re.compile(r"-?[0-9]+(?:\.[0-9]+)?")


class BadChoice(ValueError):
    """A filter that means nothing; the text says what to write."""


class Condition(Record):
    """A figure on one side of a number; a figure that is not known meets none."""

    figure: str
    sign: str
    number: float

    def holds(self, row: Row) -> bool:
        """Whether a row meets it."""
        found = row.figures.get(self.figure)
        return found is not None and _COMPARED[self.sign](found.value, self.number)


class Filter(Record):
    """What a row must meet to be shown; what is empty asks nothing.

    Attributes
    ----------
    worst : str
        The mildest level of a row's worst finding, or ``none`` for rows without any.
    styles : tuple of str
        Patterns such as ``*-stout``, one of which the style matches.
    rules : tuple of str
        One of which has found something.
    conditions : tuple of Condition
        All of them.
    """

    worst: str = ""
    styles: tuple[str, ...] = ()
    rules: tuple[str, ...] = ()
    conditions: tuple[Condition, ...] = ()

    def admits(self, row: Row) -> bool:
        """Whether a row is shown."""
        if self.worst == "none" and row.findings:
            return False
        if self.worst in LEVELS and row.gravity <= LEVELS.index(self.worst):
            return False
        if self.styles and not any(fnmatchcase(row.style or "", each) for each in self.styles):
            return False
        if self.rules and not any(each.rule in self.rules for each in row.findings):
            return False
        return all(condition.holds(row) for condition in self.conditions)


def read_condition(text: str) -> Condition:
    """Read a condition such as ``sodium > 60`` or ``mash_ph<=5.3``.

    Raises
    ------
    BadChoice
        If it is none.

    Examples
    --------
    >>> read_condition("sodium > 60")
    Condition(figure='sodium', sign='>', number=60.0)
    """
    match = _CONDITION.fullmatch(text)
    if match is None:
        raise BadChoice(
            f"--where takes a figure, <, <=, > or >= and a number without a unit, such as "
            f"'sodium > 60', not {text!r}; the figures are {', '.join(FIGURES)}"
        )
    name, sign, number = (each.strip() for each in match.groups())
    if name not in FIGURES:
        near = nearest("_".join(name.split()), FIGURES)
        guess = "" if near is None else f"; did you mean {near}?"
        raise BadChoice(f"--where knows {', '.join(FIGURES)}, not {name!r}{guess}")
    if not _NUMBER.fullmatch(number):
        raise BadChoice(
            f"--where takes a number without a unit, such as 'sodium > 60', not {number!r}; ions "
            "are in mg/L, residual alkalinity in mg/L as CaCO3"
        )
    value = float(number)
    if not isfinite(value):
        raise BadChoice(f"--where takes a finite number, not {number!r}")
    return Condition(name, sign, value)


def arranged(rows: Iterable[Row], key: str = "path", *, reverse: bool = False) -> Sequence[Row]:
    """Rows in order; those without the figure come last either way.

    Parameters
    ----------
    rows : iterable of Row
    key : str
        One of `KEYS`. By ``worst`` the gravest come first.
    reverse : bool
    """
    rows = sorted(rows, key=lambda row: (row.path, row.document))
    if key in FIGURES:
        known = [row for row in rows if key in row.figures]
        known.sort(key=lambda row: row.figures[key].value, reverse=reverse)
        return [*known, *(row for row in rows if key not in row.figures)]
    if key == "worst":
        return sorted(rows, key=lambda row: -row.gravity, reverse=reverse)
    if key == "path":
        return rows[::-1] if reverse else rows
    named = [row for row in rows if getattr(row, key)]
    named.sort(key=lambda row: str(getattr(row, key)).casefold(), reverse=reverse)
    return [*named, *(row for row in rows if not getattr(row, key))]
