"""Ranges as rows of the linear program."""

from __future__ import annotations

from collections.abc import Iterator
from math import inf
from typing import Final

from waterlint.catalog import limits
from waterlint.remedy.linear import Lines
from waterlint.remedy.program import Row
from waterlint.remedy.requirements import Requirement

#: What a line keeps from a limit, relative: the solver takes a millionth for nothing, a limit
#: does not.
MARGIN: Final = 2e-6


def limit_row(lines: Lines, each: Requirement, number: int, margin: float) -> Row:
    constant = lines.intercept(each.key)
    low = -inf if each.low is None else each.low + margin * max(1.0, abs(each.low)) - constant
    high = inf if each.high is None else each.high - margin * max(1.0, abs(each.high)) - constant
    return Row(lines.slopes[each.key], low, high, number)


def ratio_rows(
    lines: Lines, each: Requirement, number: int, unless: int | None, margin: float
) -> Iterator[Row]:
    """``chloride − ratio · sulfate`` above or below nothing."""
    chloride, sulfate = ("chloride", each.vessel), ("sulfate", each.vessel)
    if chloride not in lines.base or sulfate not in lines.base:
        return
    for ratio, is_low in ((each.low, True), (each.high, False)):
        if ratio is None:
            continue
        factors = tuple(
            one - ratio * other
            for one, other in zip(lines.slopes[chloride], lines.slopes[sulfate], strict=True)
        )
        constant = lines.intercept(chloride) - ratio * lines.intercept(sulfate)
        room = margin * 100.0
        low = room - constant if is_low else -inf
        high = inf if is_low else -room - constant
        yield Row(factors, low, high, number, unless)


def little_rows(lines: Lines, vessel: str) -> Iterator[Row]:
    """So little chloride and sulfate that their ratio says nothing."""
    for ion in ("chloride", "sulfate"):
        key = (ion, vessel)
        if key in lines.base:
            below = limits.RATIO_MEANINGLESS.floor - 0.01 - lines.intercept(key)
            yield Row(lines.slopes[key], -inf, below, None)
