"""Recipes in the plane of chloride and sulfate, each group with the ranges that hold for it.

The ranges are numbers with a source; the plane names no taste.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from itertools import pairwise
from math import ceil, log10

from waterlint.hints import Final
from waterlint.output.text import counted
from waterlint.page.charts import SHAPES, drawing, figure
from waterlint.page.markup import Markup, element, join, own_text
from waterlint.page.standing import Ranges, Span
from waterlint.records import Record
from waterlint.rules.wording import in_range, number

#: Panels that are drawn; what has a range that fewer recipes share is told in its own details.
MOST_PANELS: Final = 12

#: Points that are drawn one by one; more are counted in squares.
_MOST_POINTS: Final = 300
_SQUARES: Final = 24

#: How many times the length of an axis an open range goes on.
_FAR: Final = 9.0

Point = tuple[float, float]


class Spot(Record):
    """A recipe in the plane: chloride and sulfate [mg/L], its worst level or ``none``."""

    chloride: float
    sulfate: float
    level: str
    ranges: Ranges


def panels(spots: Iterable[Spot]) -> tuple[list[Markup], int]:
    """A drawing for each group of recipes that share their ranges, and how many recipes are left.

    The largest groups come first.
    """
    groups: dict[Ranges, list[Spot]] = defaultdict(list)
    for spot in spots:
        groups[spot.ranges].append(spot)
    ordered = sorted(groups.items(), key=lambda item: (-len(item[1]), item[0].style))
    left = sum(len(group) for _, group in ordered[MOST_PANELS:])
    drawn = [
        _panel(ranges, group, f"panel-{at}")
        for at, (ranges, group) in enumerate(ordered[:MOST_PANELS], 1)
    ]
    return drawn, left


def _panel(ranges: Ranges, group: Sequence[Spot], name: str) -> Markup:
    ends = (
        _end([*(spot.chloride for spot in group), ranges.chloride[0] or 0.0]),
        _end([*(spot.sulfate for spot in group), ranges.sulfate[0] or 0.0]),
    )
    inside = sum(_is_inside(spot, ranges) for spot in group)
    count = counted(len(group), "recipe")
    style = own_text(ranges.style, 60) if ranges.style else Markup("without a style")
    words = in_words(ranges)
    caption = join(
        [element("strong", style), f" · {count}, {inside:,} within. ", words or "No range holds."]
    )
    told = f"Chloride against sulfate of {count}; {inside} lie within the ranges."
    return figure(caption, drawing(_spec(ranges, group, ends), name), told)


def in_words(ranges: Ranges) -> str:
    """The ranges in a sentence; empty where nothing bounds anything.

    Examples
    --------
    >>> in_words(Ranges("", (None, 150.0), (None, None), (0.5, 1.5)))
    'Chloride at most 150 mg/L; chloride to sulfate 0.5 to 1.5.'
    """
    parts = [
        f"{title} {text}"
        for title, span, unit in (
            ("chloride", ranges.chloride, " mg/L"),
            ("sulfate", ranges.sulfate, " mg/L"),
            ("chloride to sulfate", ranges.ratio, ""),
        )
        if (text := span_in_words(span, unit))
    ]
    sentence = "; ".join(parts)
    return f"{sentence[0].upper()}{sentence[1:]}." if sentence else ""


def span_in_words(span: Span, unit: str) -> str:
    """A range in words; empty where it is open on both sides."""
    words = in_range(*("" if side is None else number(side) for side in span))
    return f"{words}{unit}" if words else ""


def _is_inside(spot: Spot, ranges: Ranges) -> bool:
    ratio = spot.chloride / spot.sulfate if spot.sulfate else float("inf")
    return all(
        (low is None or value >= low) and (high is None or value <= high)
        for value, (low, high) in (
            (spot.chloride, ranges.chloride),
            (spot.sulfate, ranges.sulfate),
            (ratio, ranges.ratio),
        )
    )


def _end(values: Sequence[float]) -> float:
    """The end of an axis that shows all values, a round number [mg/L]."""
    most = max(60.0, 1.1 * max(values))
    step = 10.0 ** (ceil(log10(most)) - 1) / 2.0
    return step * ceil(most / step)


def region(ranges: Ranges, ends: tuple[float, float]) -> list[Point]:
    """The corners of what lies within the ranges; empty where nothing does.

    Where nothing bounds it, it goes on far beyond the axes, so that an edge is seen only where
    there is a limit.

    Parameters
    ----------
    ranges : Ranges
    ends : tuple of float
        Where the axes of chloride and sulfate end [mg/L].
    """
    far = [_FAR * end for end in ends]
    left, right = ranges.chloride[0] or 0.0, ranges.chloride[1] or far[0]
    bottom, top = ranges.sulfate[0] or 0.0, ranges.sulfate[1] or far[1]
    corners: list[Point] = [(left, bottom), (right, bottom), (right, top), (left, top)]
    low, high = ranges.ratio
    # Chloride over sulfate of at least `low` is the half plane chloride - low * sulfate >= 0.
    for factor, sign in ((low, 1.0), (high, -1.0)):
        if factor is not None:
            corners = _cut(corners, sign, -sign * factor)
    return corners


def _cut(corners: Sequence[Point], a: float, b: float) -> list[Point]:
    """The part of a convex shape where `a` x + `b` y is not negative."""
    kept: list[Point] = []
    for start, end in pairwise([*corners, *corners[:1]]):
        before, after = (a * x + b * y for x, y in (start, end))
        if before >= 0.0:
            kept.append(start)
        if before * after < 0.0:
            share = before / (before - after)
            kept.append(
                (
                    start[0] + share * (end[0] - start[0]),
                    start[1] + share * (end[1] - start[1]),
                )
            )
    return kept


def _spec(ranges: Ranges, group: Sequence[Spot], ends: tuple[float, float]) -> dict[str, object]:
    corners = region(ranges, ends)
    closed = [*corners, *corners[:1]]
    layers: list[dict[str, object]] = []
    if len(corners) > 2 and in_words(ranges):
        layers.append(
            {
                "data": {"values": [{"x": x, "y": y, "at": n} for n, (x, y) in enumerate(closed)]},
                "mark": {
                    "type": "line",
                    "fill": "var(--range)",
                    "stroke": "var(--range-edge)",
                    "strokeWidth": 1.2,
                    "clip": True,
                },
                "encoding": {
                    "x": _axis("chloride [mg/L]", ends[0]),
                    "y": _axis("sulfate [mg/L]", ends[1]),
                    "order": {"field": "at", "type": "quantitative"},
                },
            }
        )
    layers += [_points(group, ends)] if len(group) <= _MOST_POINTS else [_counted(group, ends)]
    return {"width": 250, "height": 200, "layer": layers}


def _axis(title: str, end: float) -> dict[str, object]:
    return {
        "field": "x" if title.startswith("chloride") else "y",
        "type": "quantitative",
        "title": title,
        "scale": {"domain": [0, end], "nice": False, "zero": True},
        "axis": {"tickCount": 4},
    }


def _points(group: Sequence[Spot], ends: tuple[float, float]) -> dict[str, object]:
    present = [level for level in SHAPES if any(spot.level == level for spot in group)]
    by_level = {"field": "level", "type": "nominal", "legend": None}
    return {
        "data": {
            "values": [
                {"x": round(spot.chloride, 1), "y": round(spot.sulfate, 1), "level": spot.level}
                for spot in group
            ]
        },
        "mark": {
            "type": "point",
            "size": 95,
            "opacity": 1,
            "strokeWidth": 1.2,
            "stroke": "var(--card)",
        },
        "encoding": {
            "x": _axis("chloride [mg/L]", ends[0]),
            "y": _axis("sulfate [mg/L]", ends[1]),
            "shape": by_level
            | {"scale": {"domain": present, "range": [SHAPES[level] for level in present]}},
            "fill": by_level
            | {"scale": {"domain": present, "range": [f"var(--{level})" for level in present]}},
        },
    }


def _counted(group: Sequence[Spot], ends: tuple[float, float]) -> dict[str, object]:
    """How many recipes there are in each small square of the plane."""
    counts: dict[tuple[int, int], int] = defaultdict(int)
    for spot in group:
        place = tuple(
            min(_SQUARES - 1, int(_SQUARES * value / end))
            for value, end in zip((spot.chloride, spot.sulfate), ends, strict=True)
        )
        counts[place[0], place[1]] += 1
    side = [end / _SQUARES for end in ends]
    return {
        "data": {
            "values": [
                {"x": (x + 0.5) * side[0], "y": (y + 0.5) * side[1], "recipes": count}
                for (x, y), count in sorted(counts.items())
            ]
        },
        "mark": {"type": "circle", "fill": "var(--accent)", "opacity": 0.75},
        "encoding": {
            "x": _axis("chloride [mg/L]", ends[0]),
            "y": _axis("sulfate [mg/L]", ends[1]),
            "size": {
                "field": "recipes",
                "type": "quantitative",
                "legend": None,
                "scale": {"range": [4, 90], "domain": [0, max(counts.values())]},
            },
        },
    }
