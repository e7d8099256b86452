"""A comparison as one page that stands alone: what falls out first, figures before and after."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from waterlint.output.comparison import (
    Comparison,
    FigureChange,
    FileChange,
    FindingChange,
    RecipeChange,
    moving,
    tally,
    words,
)
from waterlint.output.comparison_figures import HEAD, figure_rows, standing
from waterlint.output.suggestion import Suggested
from waterlint.output.text import one_line
from waterlint.page.frame import asset, level_mark, page
from waterlint.page.markup import Content, Markup, element, join, own_text, table
from waterlint.prediction.result import Figure

_WIDE, _HIGH = 208.0, 24.0
#: What is left free at both ends of a picture.
_EDGE = 8.0


def render(comparison: Comparison) -> str:
    """A comparison as HTML for a file in UTF-8; the same comparison gives the same bytes."""
    body: list[Content] = [element("p", tally(comparison), class_="lead")]
    if comparison.recipes:
        body.append(_key())
    body += [_recipe(each) for each in comparison.recipes]
    if comparison.files:
        body.append(element("h2", "Water reports and configurations"))
        body += [_file(each) for each in comparison.files]
    body += [element("p", f"Not known: {each}.", class_="small") for each in comparison.remarks]
    return page(one_line(comparison.question), body, styles=(asset("comparison.css"),))


def _key() -> Markup:
    return element(
        "p",
        element("span", _sample(_mark(12.0, "was")), " before, ± one standard deviation"),
        element("span", _sample(_mark(12.0, "now")), " after"),
        element("span", _sample(_band(2.0, 20.0)), " range without a warning"),
        class_="small key",
    )


def _sample(drawn: Markup) -> Markup:
    return element("svg", drawn, viewBox="0 0 24 24", aria_hidden="true", focusable="false")


def _recipe(recipe: RecipeChange) -> Markup:
    verdict = "falls out" if recipe.falls_out else recipe.state
    parts: list[Content] = [
        element("h2", own_text(one_line(recipe.name)), element("span", verdict, class_="verdict")),
        element("p", *_where(recipe), class_="small"),
    ]
    if recipe.appearing or recipe.going:
        parts.append(_findings(recipe.appearing, recipe.going))
    rows = figure_rows(recipe)
    if rows:
        parts.append(_figures(recipe, rows))
    if recipe.remedy is not None:
        parts.append(_remedy(recipe.remedy))
    elif recipe.without_remedy:
        parts.append(element("p", f"No remedy: {recipe.without_remedy}."))
    return element("section", *parts, class_="falls" if recipe.falls_out else "stays")


def _where(recipe: RecipeChange) -> Iterator[Content]:
    yield own_text(recipe.path)
    if recipe.old_path is not None:
        yield join([", before ", own_text(recipe.old_path)])
    if recipe.because:
        yield join([": ", own_text(one_line(recipe.because))])


def _file(file: FileChange) -> Markup:
    before = [] if file.old_path is None else [", before ", own_text(file.old_path)]
    return element(
        "section",
        element("h3", own_text(file.path), *before),
        _findings(file.appearing, file.going),
        class_="stays",
    )


def _findings(appearing: tuple[FindingChange, ...], going: tuple[FindingChange, ...]) -> Markup:
    return element(
        "ul",
        *(_finding(each, appears=True) for each in appearing),
        *(_finding(each, appears=False) for each in going),
        class_="changes",
    )


def _finding(change: FindingChange, *, appears: bool) -> Markup:
    finding = change.finding
    return element(
        "li",
        level_mark(finding.level, words(change, appears=appears)),
        ": ",
        own_text(one_line(finding.message)),
        element("span", f" [{finding.rule}]", class_="small"),
        class_=None if appears else "gone",
    )


def _figures(recipe: RecipeChange, rows: list[tuple[str, ...]]) -> Markup:
    pictures = {figure.title: _picture(figure) for figure in moving(recipe)}
    stay = standing(recipe)
    others = f"; {stay} {'figure stays' if stay == 1 else 'figures stay'}" if stay else ""
    return table(
        f"Figures that change{others}",
        ("figure", *HEAD, "before and after"),
        [(*row, pictures[row[0]]) for row in rows],
        figures=(1, 2, 3),
    )


def _picture(figure: FigureChange) -> Content:
    """The figure before and after with their spreads, over the range; the table has the numbers."""
    known = [each for each in (figure.before, figure.after) if each is not None]
    sides = [side for side in (figure.low, figure.high) if side is not None]
    ends = [end for each in known for end in (each.low, each.high)] + sides
    least, most = min(ends), max(ends)
    span = (most - least) or 1.0

    def at(value: float) -> float:
        return round(_EDGE + (_WIDE - 2.0 * _EDGE) * (value - least) / span, 1)

    drawn: list[Content] = []
    if sides:
        # An open side reaches to the edge of the picture.
        left = 0.0 if figure.low is None else at(figure.low)
        right = _WIDE if figure.high is None else at(figure.high)
        drawn.append(_band(left, right - left))
    drawn.append(_line(0.0, _WIDE, 12.0, "axis"))
    for each, name, height in ((figure.before, "was", 7.5), (figure.after, "now", 16.5)):
        if each is not None:
            drawn += [_spread(each, at, height, name), _mark(at(each.value), name, height)]
    return element(
        "svg",
        *drawn,
        viewBox=f"0 0 {_WIDE:g} {_HIGH:g}",
        aria_hidden="true",
        focusable="false",
    )


def _spread(figure: Figure, at: Callable[[float], float], height: float, name: str) -> Markup:
    return _line(at(figure.low), at(figure.high), height, name)


def _line(left: float, right: float, height: float, name: str) -> Markup:
    return element(
        "line", x1=f"{left:g}", x2=f"{right:g}", y1=f"{height:g}", y2=f"{height:g}", class_=name
    )


def _band(left: float, wide: float) -> Markup:
    return element(
        "rect", x=f"{left:g}", y="1", width=f"{max(wide, 0.0):.1f}", height="22", class_="band"
    )


def _mark(place: float, name: str, height: float = 12.0) -> Markup:
    """A ring before, a full diamond after: told apart without colour."""
    if name == "was":
        return element("circle", cx=f"{place:g}", cy=f"{height:g}", r="3.6", class_=name)
    corners = ((0.0, -4.2), (4.2, 0.0), (0.0, 4.2), (-4.2, 0.0))
    points = " ".join(f"{place + x:g},{height + y:g}" for x, y in corners)
    return element("polygon", points=points, class_=name)


def _remedy(remedy: Suggested) -> Markup:
    rows = [
        (
            " ".join(filter(None, (dose.additive, dose.form, dose.strength))),
            dose.vessel,
            dose.before or "–",
            dose.after or "–",
        )
        for dose in remedy.doses
    ]
    left = len(remedy.left) + len(remedy.new)
    notes = [f"Caution: {each}" for each in remedy.cautions]
    notes += [f"In the way: {each}." for each in remedy.remarks]
    return element(
        "div",
        element("h3", "Remedy"),
        element(
            "p",
            f"The smallest change of doses that was found clears {len(remedy.cleared)} "
            f"and leaves {left}.",
        ),
        table("Doses", ("dose", "vessel", "before", "after"), rows, figures=(2, 3)),
        *(element("p", one_line(each)) for each in notes),
        class_="keep",
    )
