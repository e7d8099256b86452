"""The page of a collection: summary first, each recipe's figures when it is opened."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping, Sequence
from urllib.parse import quote

from waterlint.days import date
from waterlint.hints import Final
from waterlint.output.audit import FIGURES, Audit, Row
from waterlint.output.text import counted
from waterlint.page.charts import need_charts
from waterlint.page.details import Data, detail
from waterlint.page.frame import asset, closing, opening
from waterlint.page.markup import Markup, element, own_text, table
from waterlint.page.mash_chart import mash_chart
from waterlint.page.overview import TITLES, most_found, ranges_kept, state
from waterlint.page.packing import data_block, packed
from waterlint.page.plane import Spot, panels
from waterlint.page.standing import Standing, standing
from waterlint.paths import Path
from waterlint.prediction.result import Figure
from waterlint.records import Record
from waterlint.rules.registry import Case, Rule

#: Recipes whose details are packed together: opening one unpacks few, and packing finds what
#: they share.
_TOGETHER: Final = 64

#: Recipes in the plain table that a reader without scripts gets.
_MOST_PLAIN: Final = 300

#: Signs of a name in the list; the whole stands in the details.
_LONGEST: Final = 160

_LEVELS: Final = ("none", "note", "warning", "error")


class _Kept(Record):
    """What is kept of a recipe that was taken: where its details lie, and where it stands."""

    chunk: int
    place: int
    standing: Standing


class PageMaker:
    """Takes recipes one by one and keeps little of each, then makes the page.

    Parameters
    ----------
    target : Path
        Where the page will lie, for links to the recipes.
    rules : mapping of str to Rule
        What is told of the rules that found something.

    Raises
    ------
    ChartsMissing
        If the library that draws is not installed.
    """

    def __init__(self, target: Path, rules: Mapping[str, Rule]) -> None:
        need_charts()
        self._base = _base(target)
        self._rules = rules
        self._open: list[Data] = []
        self._chunks: list[bytes] = []
        self._kept: dict[tuple[str, int], _Kept] = {}

    def take(self, row: Row, case: Case | None) -> None:
        """Take a recipe, with the case of it that the rules look at."""
        key = (row.path, row.document)
        self._kept[key] = _Kept(len(self._chunks), len(self._open), standing(row, case))
        self._open.append(detail(row, case))
        if len(self._open) == _TOGETHER:
            self._close()

    def _close(self) -> None:
        if self._open:
            self._chunks.append(packed(self._open))
            self._open = []

    def render(self, audit: Audit, today: date) -> bytes:
        """The page of the recipes that were taken, in the order of `audit`."""
        self._close()
        standings = [(row, self._kept[row.path, row.document].standing) for row in audit.rows]
        scripts = (asset("audit_recipe.js") + asset("audit_list.js"),)
        title = _title(audit)
        parts = [
            opening(title, styles=(asset("audit.css"),), scripts=scripts),
            *self._body(audit, standings, today),
            closing(scripts=scripts, foot=_foot()),
        ]
        return "".join(parts).encode()

    def _body(
        self, audit: Audit, standings: Sequence[tuple[Row, Standing]], today: date
    ) -> Iterator[str]:
        shown, whole = len(audit.rows), audit.recipes
        which = "" if shown == whole else f" {shown:,} of its {whole:,} recipes are shown."
        day = f"{today.day} {today:%B %Y}"
        yield element("p", f"As of {day}.{which}", class_="small")
        if not audit.rows:
            empty = "There is no recipe in this collection." if not whole else "No recipe is shown."
            yield element("p", empty, class_="lead")
        yield from state(audit)
        if not audit.rows:
            return
        yield from self._recipes(audit)
        yield from _section("Figures and their ranges", ranges_kept(standings))
        chart = mash_chart(standings)
        if chart is not None:
            yield from _section("Mash pH", [chart])
        yield from _section("Chloride and sulfate", _plane(standings))
        found = list(most_found(audit, self._rules))
        if found:
            yield from _section("What is found", found)

    def _recipes(self, audit: Audit) -> Iterator[str]:
        yield element("h2", "Recipes", id="recipes")
        yield element("div", id="list")
        yield element("noscript", *_plain(audit.rows))
        index = {
            "base": self._base,
            "figures": [TITLES.get(name, name) for name in FIGURES],
            "rows": [self._entry(row) for row in audit.rows],
        }
        yield data_block("rows", packed(index))
        for at, chunk in enumerate(self._chunks):
            yield data_block(f"chunk-{at}", chunk)

    def _entry(self, row: Row) -> list[object]:
        kept = self._kept[row.path, row.document]
        worst = row.worst
        ph = row.figures.get("mash_ph")
        return [
            row.name[:_LONGEST] + ("…" if len(row.name) > _LONGEST else ""),
            row.path,
            row.document,
            (row.style or "")[:_LONGEST],
            row.gravity,
            "" if worst is None else worst.rule,
            [row.count(level) for level in ("error", "warning", "note")],
            # Rounded far behind what is shown, so that all formats show the same.
            0 if ph is None else [round(value, 5) for value in (ph.value, ph.low, ph.high)],
            list(kept.standing.mash_ph),
            [_cell(row.figures.get(name)) for name in FIGURES],
            [FIGURES.index(name) for name in row.beyond],
            kept.chunk,
            kept.place,
            " ".join(sorted({finding.rule for finding in row.findings})),
        ]


def _cell(figure: Figure | None) -> list[float] | int:
    if figure is None:
        return 0
    return [float(f"{figure.value:.4g}"), float(f"{figure.sd:.2g}")]


def _base(target: Path) -> str:
    """From the page's folder to the working directory, as the beginning of a link."""
    try:
        way = os.path.relpath(Path.cwd(), target.absolute().parent)
    except ValueError:  # on another drive
        return ""
    return "" if way == "." else quote(Path(way).as_posix()) + "/"


def _title(audit: Audit) -> str:
    return f"Audit of {counted(len(audit.rows), 'recipe')}"


def _section(title: str, parts: Iterator[Markup] | Sequence[Markup]) -> Iterator[Markup]:
    yield element("section", element("h2", title), *parts)


def _plane(standings: Sequence[tuple[Row, Standing]]) -> Iterator[Markup]:
    spots = [
        Spot(
            row.figures["chloride"].value,
            row.figures["sulfate"].value,
            _LEVELS[row.gravity],
            each.plane,
        )
        for row, each in standings
        if each.plane is not None
    ]
    drawn, left = panels(spots)
    if not drawn:
        yield element("p", "Chloride and sulfate of no recipe are known.")
        return
    yield element(
        "p",
        "Recipes of the same style and ranges share a panel; the tinted area is what their ranges "
        "leave of chloride and sulfate in the whole batch. A recipe is drawn by its worst finding "
        "of any kind (■ error, ▲ warning, ● note, ◆ nothing found); where there are very many, "
        "a dot's size says how many recipes lie there.",
        class_="small",
    )
    yield element("div", *drawn, class_="panels")
    if left:
        yield element(
            "p", f"{left:,} recipes more, with other ranges, are drawn in their own details."
        )


def _plain(rows: Sequence[Row]) -> Iterator[Markup]:
    """What a reader without scripts gets."""
    yield element("p", "Details of each recipe need scripts; this table is what there is without.")
    heads = ["recipe", "worst finding", "mash pH", *FIGURES[1:]]
    cells = [
        [
            own_text(row.name or row.path, _LONGEST),
            "nothing found" if row.worst is None else f"{row.worst.level}: {row.worst.rule}",
            *(_plain_figure(row.figures.get(name), name) for name in FIGURES),
        ]
        for row in rows[:_MOST_PLAIN]
    ]
    caption = "Ions of the whole batch and residual alkalinity of the mash water, with 68 % spread."
    yield table(caption, [head.replace("_", " ") for head in heads], cells)
    if len(rows) > _MOST_PLAIN:
        yield element("p", f"{len(rows) - _MOST_PLAIN:,} recipes more are not shown.")


def _plain_figure(figure: Figure | None, name: str) -> str:
    if figure is None:
        return "–"
    digits = 2 if name in ("mash_ph", "chloride_to_sulfate") else 0
    return f"{round(figure.value, digits) + 0.0:.{digits}f} ± {figure.sd:.{max(digits, 1)}f}"


def _foot() -> Iterator[Markup]:
    yield element(
        "p",
        "Intervals hold two times in three (68 %, one standard deviation). A predicted pH is no "
        "measurement: measure a cooled sample. Nothing here says that a water is safe to drink.",
        class_="small",
    )
