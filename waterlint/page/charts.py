"""Charts as static SVG that takes its colours from the page.

Vega-Lite draws them when the page is made, so that a page carries no plotting library and shows
its charts without a script too. A colour is the name of a custom property of the page's style:
the same drawing serves light, dark and paper.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from waterlint.hints import Final
from waterlint.page.markup import Content, Markup, element

#: Mark and outline of each level; the shapes differ, so that they are told apart without colour.
SHAPES: Final = {
    "error": "square",
    "warning": "triangle-up",
    "note": "circle",
    "none": "diamond",
}

_CONFIG: Final[Mapping[str, object]] = {
    "background": "transparent",
    "font": "inherit",
    "aria": False,
    "view": {"stroke": None},
    "axis": {
        "labelColor": "var(--faint)",
        "titleColor": "var(--ink)",
        "titleFontWeight": "normal",
        "titleFontSize": 12,
        "labelFontSize": 11.5,
        "gridColor": "var(--line)",
        "gridOpacity": 0.5,
        "domainColor": "var(--faint)",
        "tickColor": "var(--faint)",
    },
    "legend": {"labelColor": "var(--ink)", "titleColor": "var(--ink)"},
}

#: What a drawing says for others than readers of the page: the frame around it says it better.
_UNWANTED: Final = re.compile(
    r' (?:role|aria-[a-z]+|xmlns:xlink|version|pointer-events|font-family)="[^"]*"'
)
_CLIP: Final = re.compile(r"\bclip[0-9]+\b")
_SIZE: Final = re.compile(r'<svg ([^>]*?)width="[^"]*" height="[^"]*"')


class ChartsMissing(Exception):
    """The library that draws is not installed; the text says what installs it."""


def need_charts() -> None:
    """See that charts can be drawn.

    Raises
    ------
    ChartsMissing
        If the extra is not installed.
    """
    try:
        import vl_convert  # noqa: F401
    except ImportError as error:
        raise ChartsMissing(
            "a page needs a library for charts: python -m pip install 'waterlint[page]'"
        ) from error


def drawing(spec: Mapping[str, object], name: str) -> Markup:
    """A Vega-Lite specification as SVG that grows with the page; hidden from screen readers.

    `name` is this drawing's own on the page: what it refers to in itself is named after it, where
    the library would count on from drawing to drawing.

    The specification holds numbers and words of ours only: what it draws needs no cleaning
    beyond what the library does itself.
    """
    import vl_convert

    whole = {
        "$schema": "https://vega.github.io/schema/vega-lite/v5.json",
        "config": _CONFIG,
        **spec,
    }
    numbers: dict[str, int] = {}

    def named(match: re.Match[str]) -> str:
        return f"{name}-{numbers.setdefault(match[0], len(numbers) + 1)}"

    svg = _UNWANTED.sub("", vl_convert.vegalite_to_svg(whole, show_warnings=False))
    svg = _CLIP.sub(named, svg)
    return Markup(_SIZE.sub(r'<svg aria-hidden="true" focusable="false" \1', svg, count=1))


def figure(caption: Content, svg: Markup, words: str, *, wide: bool = False) -> Markup:
    """A chart with its caption; `words` say to a screen reader what it shows."""
    picture = element("div", svg, role="img", aria_label=words, class_="picture")
    if wide:
        picture = element(
            "div", picture, class_="scroll", tabindex="0", role="group", aria_label="chart"
        )
    return element(
        "figure", element("figcaption", caption), picture, class_="wide" if wide else None
    )
