"""The figures of a recipe that a comparison shows."""

from __future__ import annotations

from collections.abc import Iterator

from waterlint.hints import Final
from waterlint.model.water import IONS
from waterlint.output.comparison import FigureChange
from waterlint.rules.figures import figure_of
from waterlint.rules.range_findings import title_of, unit_of
from waterlint.rules.ranges import SIDES, Side, bounds_of
from waterlint.rules.registry import Case

#: By quantity and vessel, in the order in which they are shown.
SHOWN: Final[tuple[tuple[str, str], ...]] = (
    ("mash_ph", "mash"),
    ("residual_alkalinity", "mash"),
    ("alkalinity", "mash"),
    *((ion, "mash") for ion in IONS),
    ("alkalinity", "sparge"),
    *((ion, "batch") for ion in IONS),
    ("chloride_to_sulfate", "batch"),
)


def figure_changes(before: Case | None, after: Case | None) -> tuple[FigureChange, ...]:
    """Every figure that one side knows; the range is that of the later side."""
    return tuple(_changes(before, after))


def _changes(before: Case | None, after: Case | None) -> Iterator[FigureChange]:
    holds = before if after is None else after
    if holds is None:
        return
    for quantity, vessel in SHOWN:
        old = None if before is None else figure_of(before.prediction, quantity, vessel)
        new = None if after is None else figure_of(after.prediction, quantity, vessel)
        if old is None and new is None:
            continue
        low, high = (_bound(holds, quantity, vessel, side) for side in SIDES)
        yield FigureChange(
            title_of(quantity, vessel), quantity, vessel, unit_of(quantity), old, new, low, high
        )


def _bound(case: Case, quantity: str, vessel: str, side: Side) -> float | None:
    """Where a side of the range begins to warn."""
    for bound in bounds_of(case, quantity, vessel):
        if bound.side == side and bound.level == "warning":
            return bound.value
    return None
