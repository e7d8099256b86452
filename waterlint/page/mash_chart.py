"""The mash pH of a collection, drawn against the range that holds for each recipe."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence

from waterlint.hints import Final
from waterlint.output.audit import Row
from waterlint.page.charts import drawing, figure
from waterlint.page.markup import Markup
from waterlint.page.standing import ABOVE, BELOW, FREE, UNKNOWN, WITHIN, Standing, Standings

#: Recipes whose mash pH is drawn one by one; more are counted.
_MOST_LINES: Final = 30

#: Width of a bar of mash pH.
_STEP: Final = 0.05

#: Ends of the axis where no recipe lies beyond them, and what stays free beside one that does.
_AXIS: Final = (5.0, 5.9)
_BESIDE: Final = 0.05

#: How far a range without an end is drawn, and any range at most.
_FAR: Final = (4.8, 6.2)

#: Signs of a recipe's name beside its line.
_LONGEST: Final = 30

#: Mark and filling of each standing; what lies outside differs in both.
_MARKS: Final[Mapping[str, tuple[str, str]]] = {
    BELOW: ("triangle-down", "var(--warning)"),
    WITHIN: ("circle", "var(--card)"),
    ABOVE: ("triangle-up", "var(--warning)"),
    FREE: ("circle", "var(--card)"),
    UNKNOWN: ("circle", "var(--card)"),
}

#: The rows of counted recipes, as they are headed.
_HEADS: Final[Mapping[str, str]] = {
    BELOW: BELOW,
    WITHIN: WITHIN,
    ABOVE: ABOVE,
    FREE: "no range",
    UNKNOWN: "range not known",
}

_LINES: Final = (
    "Predicted mash pH with its 68 % interval, and the range that holds for it (the bar). "
    "Filled marks lie outside: ▲ above, ▼ below."
)
_COUNTS: Final = (
    "Recipes by predicted mash pH: below, within and above the range that holds for each."
)

#: A part of what Vega-Lite is given.
Spec = dict[str, object]


def mash_chart(standings: Standings) -> Markup | None:
    """Mash pH against its range: recipe by recipe, or counted where they are many."""
    known = [(row, each) for row, each in standings if "mash_ph" in row.figures]
    if not known:
        return None
    few = len(known) <= _MOST_LINES
    spec = _lines(known) if few else _counts(known)
    told = in_words(each.of[0] for _, each in known)
    return figure(_LINES if few else _COUNTS, drawing(spec, "mash-ph"), told, wide=True)


def in_words(states: Iterable[str]) -> str:
    """How many recipes lie within their range; who has none, or is not known, is not among them."""
    counts = Counter(states)
    told = f"Mash pH of {counts.total():,} recipes; {counts[WITHIN]:,} lie within their range"
    if counts[FREE]:
        told += f"; no range holds for {counts[FREE]:,}"
    if counts[UNKNOWN]:
        told += f"; the range of {counts[UNKNOWN]:,} is not known"
    return f"{told}."


def _lines(known: Standings) -> Spec:
    """A line for each recipe: its range, the interval of its pH, and the pH."""
    domain = _domain(known)
    y = _named_lines()

    def x(field: str) -> Spec:
        scale = {"domain": domain, "zero": False, "clamp": True}
        return {"field": field, "type": "quantitative", "title": "mash pH", "scale": scale}

    range_ = {
        "type": "bar",
        "fill": "var(--range)",
        "stroke": "var(--range-edge)",
        "strokeWidth": 0.8,
        "height": 14,
    }
    interval = {"type": "rule", "stroke": "var(--ink)", "strokeWidth": 2}
    point = {
        "type": "point",
        "size": 70,
        "opacity": 1,
        "stroke": "var(--ink)",
        "strokeWidth": 1.5,
    }
    layer = [
        {"mark": range_, "encoding": {"y": y, "x": x("from"), "x2": {"field": "to"}}},
        {"mark": interval, "encoding": {"y": y, "x": x("low"), "x2": {"field": "high"}}},
        {"mark": point, "encoding": {"y": y, "x": x("ph"), **_by_state()}},
    ]
    values = [_line(at, row, each) for at, (row, each) in enumerate(known)]
    return {"width": 460, "height": {"step": 22}, "data": {"values": values}, "layer": layer}


def _line(at: int, row: Row, standing: Standing) -> Spec:
    ph = row.figures["mash_ph"]
    low, high = standing.mash_ph
    label = "".join(sign for sign in row.name if sign.isprintable())
    least, most = _FAR
    return {
        "recipe": f"{at:02d} {label[:_LONGEST]}{'…' if len(label) > _LONGEST else ''}",
        "ph": round(ph.value, 3),
        "low": round(ph.low, 3),
        "high": round(ph.high, 3),
        "from": max(least, low if low is not None else least),
        "to": min(most, high if high is not None else most),
        "state": standing.of[0],
    }


def _domain(known: Standings) -> Sequence[float]:
    """The ends of the axis: those that fit most collections, or further out."""
    figures = [row.figures["mash_ph"] for row, _ in known]
    ends = [round(end, 3) for each in figures for end in (each.low, each.high)]
    return [min(_AXIS[0], min(ends) - _BESIDE), max(_AXIS[1], max(ends) + _BESIDE)]


def _named_lines() -> Spec:
    """Recipes from above to below, named without the number that keeps equal names apart."""
    axis = {
        "labelExpr": "slice(datum.label, 3)",
        "labelLimit": 230,
        "labelColor": "var(--ink)",
        "domain": False,
        "ticks": False,
        "grid": True,
    }
    return {"field": "recipe", "type": "nominal", "sort": None, "title": None, "axis": axis}


def _by_state() -> Spec:
    domain = list(_MARKS)
    shapes, fills = ([mark[at] for mark in _MARKS.values()] for at in (0, 1))
    common = {"field": "state", "type": "nominal", "legend": None}
    return {
        "shape": common | {"scale": {"domain": domain, "range": shapes}},
        "fill": common | {"scale": {"domain": domain, "range": fills}},
    }


def _counts(known: Standings) -> Spec:
    """A row of bars for each standing: what a colour alone tells is not told to everybody."""
    x = {"bin": {"binned": True, "step": _STEP}, "title": "mash pH"}
    header = {
        "labelColor": "var(--ink)",
        "labelFontSize": 12,
        "labelAngle": 0,
        "labelAlign": "left",
    }
    row = {
        "field": "state",
        "type": "nominal",
        "sort": list(_HEADS.values()),
        "title": None,
        "header": header,
    }
    return {
        "width": 520,
        "height": 100,
        "data": {"values": _bars(known)},
        "mark": {"type": "bar", "fill": "var(--range-edge)", "stroke": "var(--card)"},
        "encoding": {
            "x": {"field": "from", **x},
            "x2": {"field": "to"},
            "y": {"field": "recipes", "type": "quantitative", "title": "recipes"},
            "row": row,
        },
    }


def _bars(known: Standings) -> list[Spec]:
    counts: Counter[tuple[float, str]] = Counter()
    for row, each in known:
        start = round(_STEP * (row.figures["mash_ph"].value // _STEP), 2)
        counts[start, _HEADS[each.of[0]]] += 1
    return [
        {"from": start, "to": round(start + _STEP, 2), "state": state, "recipes": count}
        for (start, state), count in sorted(counts.items())
    ]
