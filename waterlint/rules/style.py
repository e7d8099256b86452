"""The style a recipe names, and its colour: declared, predicted, and the style's."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from waterlint.catalog import limits
from waterlint.catalog.styles import BLACK_SRM, Style
from waterlint.chemistry.color import MOREY_LIMIT_SRM
from waterlint.finding import Finding
from waterlint.prediction.result import ColorFigures, Figure
from waterlint.rules.analyses import speaks_for
from waterlint.rules.figures import style_of
from waterlint.rules.limit_lines import lines
from waterlint.rules.ranges import Bound, bounds_of
from waterlint.rules.registry import Case, rule
from waterlint.rules.renaming import is_one_slip, with_name
from waterlint.rules.samples import recipe_example
from waterlint.rules.wording import apart, listed, number


@rule(
    "unknown-style",
    subject="recipe",
    needs=("style",),
    levels=("error",),
    group="Style and colour",
    what="A style that neither the catalogue nor the house's own `styles` know.",
    why=(
        "Half of the ranges come from the style; under a misspelt one a recipe would be judged "
        "by the general ranges only, and nobody would notice."
    ),
    limits=("the keys of the style catalogue — names of the BJCP guideline of 2021",),
    configure="A style of the house's own goes under `styles` in waterlint.yaml.",
    failing=recipe_example("style: bst-bitter"),
    passing=recipe_example("style: best-bitter"),
)
def unknown_style(case: Case) -> Iterator[Finding]:
    """The style that is not in the catalogue."""
    assert case.recipe is not None
    word = case.recipe.style
    if word is None or word in case.catalog.styles or case.catalog.has_faulty("styles", word):
        return
    near = case.catalog.nearest_styles(word)
    meant = f"Did you mean {listed([f'`{key}`' for key in near], 'or')}? " if near else ""
    finding = case.finding(
        "unknown-style",
        "error",
        "/style",
        f"`{word}` is no style of the catalogue, so only general ranges could be held to",
        help=f"{meant}A recipe without `style` is judged by the general ranges.",
        basis="the catalogue of styles",
        quantity="style",
    )
    slips = [key for key in near if is_one_slip(word, key)]
    yield with_name(case, finding, word, slips[0] if len(slips) == 1 else None)


@rule(
    "color-disagrees",
    subject="recipe",
    needs=("color",),
    levels=("warning",),
    group="Style and colour",
    what=(
        "The declared colour against the one that Morey's equation gives for the grist, where "
        "they are apart by more than both limits."
    ),
    why=(
        "A colour that the grist cannot give was copied from another beer, or a malt's mass or "
        "colour is wrong; then the mash pH is wrong too."
    ),
    limits=lines("color-disagrees"),
    configure="`levels: {color-disagrees: note}`, or leave `color` out.",
    failing=recipe_example("color: 20 SRM"),
    passing=recipe_example("color: 6 SRM"),
)
def color_disagrees(case: Case) -> Iterator[Finding]:
    """The declared colour far from the predicted one."""
    assert case.recipe is not None
    declared = case.recipe.color
    predicted = None if case.prediction is None else case.prediction.color
    if declared is None or predicted is None:
        return
    figure = _predicted(predicted, declared.value)
    percent, least = limits.COLOR_DISAGREES_PERCENT, limits.COLOR_DISAGREES_SRM
    slack = max(percent.ceiling / 100.0 * figure.value, least.ceiling)
    low, high = figure.value - slack, figure.value + slack
    broken = [
        bound
        for bound in (
            Bound("low", "warning", low, "general", percent.basis),
            Bound("high", "warning", high, "general", percent.basis),
        )
        if bound.is_broken_by(declared.value)
    ]
    if not broken:
        return
    beyond = "" if predicted.in_range else "more than "
    yield case.finding(
        "color-disagrees",
        "warning",
        "/color",
        f"the declared colour is {apart(declared.value, broken[0].value)} SRM, and the grist gives "
        f"{beyond}{number(figure.value)} SRM ({beyond}{number(_ebc(predicted, figure))} EBC): they "
        f"are apart by more than {number(percent.ceiling)} % and {number(least.ceiling)} SRM",
        help="Correct the colour, or look for a slip in the grist's masses and malt colours.",
        basis=f"Morey's equation; {percent.basis}",
        quantity="color",
        vessel="batch",
        value=declared.value,
        low=max(0.0, low),
        high=high,
        unit="SRM",
    )


def _predicted(color: ColorFigures, declared: float) -> Figure:
    """The grist's colour; past the equation's reach the declared one counts as right from there."""
    if color.in_range:
        return color.srm
    return Figure(max(MOREY_LIMIT_SRM, min(declared, color.srm.value)))


def _ebc(color: ColorFigures, figure: Figure) -> float:
    return color.ebc * figure.value / color.srm.value if color.srm.value else 0.0


@rule(
    "color-outside-style",
    subject="recipe",
    needs=("style",),
    levels=("note",),
    group="Style and colour",
    what=(
        "A colour that the style does not have: the predicted one, where its whole 68 % interval "
        "lies outside, else the declared one. Nothing is too dark for a style that may be black. "
        "A target or a house's range of colour replaces it, "
        "and where `color-disagrees` speaks, that is the fault."
    ),
    why="It is as often the wrong style as the wrong grist, and the style brings the ranges.",
    limits=("the style's own colour — BJCP 2021, read in a transcription; a note",),
    configure="`levels: {color-outside-style: off}`, or a target of `color` in the recipe.",
    failing=recipe_example("style: irish-stout"),
    passing=recipe_example("style: blonde-ale"),
)
def color_outside_style(case: Case) -> Iterator[Finding]:
    """The colour outside the style's."""
    style = style_of(case)
    if style is None or bounds_of(case, "color", "batch"):
        return
    assert case.recipe is not None
    declared = case.recipe.color
    disagrees = declared and any(True for _ in color_disagrees(case))
    if disagrees and speaks_for(case, "color-disagrees", "warning", "color-outside-style", "note"):
        return
    predicted = None if case.prediction is None else case.prediction.color
    candidates = [("predicted", predicted.srm)] if predicted is not None else []
    if declared is not None:
        candidates.append(("declared", Figure(declared.value)))
    for kind, figure in candidates:
        bound = _missed(style, figure)
        if bound is None:
            continue
        low, most = style.srm
        high = most if most < BLACK_SRM else None
        ends = " SRM and more" if high is None else f" to {number(high)} SRM"
        yield case.finding(
            "color-outside-style",
            "note",
            "/style" if declared is None else "/color",
            f"the {kind} colour is {apart(figure.value, bound.value)} SRM, outside the "
            f"{number(low)}{ends} of {style.key}",
            help="Name another style, or change the malts that colour the beer.",
            basis=style.basis,
            quantity="color",
            vessel="batch",
            value=figure.value,
            value_low=figure.low,
            value_high=figure.high,
            low=low,
            high=high,
            unit="SRM",
        )
        return


@lru_cache(maxsize=64)
def _colors_of(srm: tuple[float, float], basis: str) -> tuple[Bound, Bound]:
    low, high = srm
    return Bound("low", "note", low, "style", basis), Bound("high", "note", high, "style", basis)


def _missed(style: Style, figure: Figure) -> Bound | None:
    """The end of the style's colour that all of a figure's interval lies beyond."""
    low, high = _colors_of(style.srm, style.basis)
    if low.is_broken_by(figure.high):
        return low
    is_open = high.value >= BLACK_SRM
    return high if not is_open and high.is_broken_by(figure.low) else None
