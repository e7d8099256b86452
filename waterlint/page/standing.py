"""Where the figures of a recipe stand in the ranges that hold for them."""

from __future__ import annotations

from collections.abc import Sequence

from waterlint.audit.collect import VESSEL_OF
from waterlint.hints import Final
from waterlint.output.audit import FIGURES, Row
from waterlint.records import Record
from waterlint.rules.ranges import SIDES, Bound, Side, bounds_of
from waterlint.rules.registry import Case

#: What a standing says: below its range, within, above, without a range, or not known.
BELOW, WITHIN, ABOVE, FREE, UNKNOWN = "below", "within", "above", "free", "unknown"

Span = tuple[float | None, float | None]

#: What bounds a recipe in the plane of chloride and sulfate.
_PLANE: Final = ("chloride", "sulfate", "chloride_to_sulfate")


class Ranges(Record):
    """The ranges of chloride [mg/L], sulfate [mg/L] and their ratio that hold for a recipe."""

    style: str
    chloride: Span
    sulfate: Span
    ratio: Span


class Standing(Record):
    """Where a recipe stands.

    Attributes
    ----------
    of : tuple of str
        The standing of each of `FIGURES`.
    mash_ph : Span
        The range of its mash pH.
    plane : Ranges or None
        `None` where chloride and sulfate are not known.
    """

    of: tuple[str, ...]
    mash_ph: Span = (None, None)
    plane: Ranges | None = None


#: The recipes of a collection, each with where it stands.
Standings = Sequence[tuple[Row, Standing]]


def standing(row: Row, case: Case | None) -> Standing:
    """Work out where a recipe stands; one with errors in the way stands nowhere."""
    if case is None:
        return Standing((UNKNOWN,) * len(FIGURES))
    bounds = {name: bounds_of(case, name, VESSEL_OF[name]) for name in FIGURES}
    plane = None
    if "chloride" in row.figures and "sulfate" in row.figures:
        plane = Ranges(row.style or "", *(span_of(bounds[name]) for name in _PLANE))
    return Standing(
        tuple(_standing(row, name, bounds[name]) for name in FIGURES),
        span_of(bounds["mash_ph"]),
        plane,
    )


def span_of(bounds: tuple[Bound, ...]) -> Span:
    """The widest range without a finding: of each side the first bound that is met."""
    return _nearest(bounds, "low"), _nearest(bounds, "high")


def _nearest(bounds: tuple[Bound, ...], side: Side) -> float | None:
    values = [bound.value for bound in bounds if bound.side == side]
    if not values:
        return None
    return max(values) if side == "low" else min(values)


def _standing(row: Row, name: str, bounds: tuple[Bound, ...]) -> str:
    figure = row.figures.get(name)
    if figure is None:
        return UNKNOWN
    if not bounds:
        return FREE
    for side, word in zip(SIDES, (BELOW, ABOVE), strict=True):
        if any(each.side == side and each.is_broken_by(figure.value) for each in bounds):
            return word
    return WITHIN
