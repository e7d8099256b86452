"""Weighing sheets as one HTML page to print; it loads nothing from elsewhere."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from html import escape

from waterlint.hints import Final
from waterlint.output.cleaning import shown_path
from waterlint.output.sheet import Blank, Line, Sheet, Step, warnings
from waterlint.output.sheet_text import MEASURED_HINT
from waterlint.output.text import one_line

#: Large figures for wet hands; on paper two columns, on a phone one. Nothing is told by colour.
_STYLE: Final = """
:root { color-scheme: light dark; --ink: #14181c; --paper: #fff; --faint: #5a646e;
  --rule: #9aa4ae; --mark: #f1f3f4; }
@media (prefers-color-scheme: dark) { :root { --ink: #e9edf0; --paper: #14181c;
  --faint: #aab4bd; --rule: #66717b; --mark: #22292f; } }
* { box-sizing: border-box; }
body { margin: 0; background: var(--paper); color: var(--ink);
  font: 1rem/1.35 system-ui, "Liberation Sans", Arial, sans-serif; }
article { max-width: 62rem; margin: 0 auto; padding: 1.25rem; }
article + article { border-top: 3px solid var(--ink); }
header { display: flex; flex-wrap: wrap; justify-content: space-between; gap: 0 2rem;
  align-items: baseline; border-bottom: 3px solid var(--ink); }
h1 { margin: 0; font-size: 1.9rem; line-height: 1.2; overflow-wrap: anywhere; }
header strong { font-size: 1.9rem; white-space: nowrap; }
p { margin: .3rem 0; }
.small, .remark { font-size: .85rem; color: var(--faint); overflow-wrap: anywhere; }
.remark { color: inherit; }
.sign { display: flex; flex-wrap: wrap; gap: .4rem 1.5rem; margin: .9rem 0 .2rem; }
.sign span { flex: 1 1 12rem; border-bottom: 1px solid var(--rule); padding-bottom: .1rem;
  color: var(--faint); font-size: .85rem; }
.look { border: 2px solid var(--ink); padding: .3rem .6rem; }
.columns { display: grid; grid-template-columns: 1fr; gap: 0 2rem; }
@media (min-width: 50rem) { .columns { grid-template-columns: 3fr 2fr; } }
section { break-inside: avoid; margin: .8rem 0 0; }
h2 { margin: 0 0 .15rem; font-size: 1rem; padding: .15rem .5rem; background: var(--mark);
  border-left: .4rem solid var(--ink); display: flex; justify-content: space-between; gap: 1rem; }
h2 b { white-space: nowrap; font-size: 1.15rem; }
ul { list-style: none; margin: 0; padding: 0; }
li label { display: grid; grid-template-columns: 1.6rem 6.2rem 1fr; gap: 0 .6rem;
  align-items: baseline; padding: .12rem 0; border-bottom: 1px dotted var(--rule); }
li input { width: 1.25rem; height: 1.25rem; align-self: center; margin: 0; }
li b { font-size: 1.35rem; text-align: right; font-variant-numeric: tabular-nums;
  white-space: nowrap; }
li span { font-size: 1.1rem; overflow-wrap: anywhere; }
li small { display: block; font-size: .8rem; color: var(--faint); }
.ph { font-size: 1.05rem; margin: .3rem 0; }
.ph b { font-size: 1.9rem; }
table { width: 100%; border-collapse: collapse; }
th { text-align: left; font-weight: normal; padding: .5rem .4rem .1rem 0; vertical-align: bottom; }
td { border-bottom: 1px solid var(--rule); width: 45%; text-align: right; vertical-align: bottom;
  color: var(--faint); font-size: .85rem; white-space: nowrap; }
th small { color: var(--faint); white-space: nowrap; }
@media print {
  @page { size: auto; margin: 11mm; }
  :root { color-scheme: light; --ink: #000; --paper: #fff; --faint: #333; --rule: #777;
    --mark: #eee; }
  body { font-size: 10pt; line-height: 1.28; }
  h1, header strong { font-size: 17pt; }
  section { margin-top: .5rem; }
  .sign { margin-top: .6rem; }
  li label { padding: .04rem 0; }
  li b { font-size: 1.2rem; }
  .ph b { font-size: 1.6rem; }
  th { padding-top: .4rem; }
  article { max-width: none; padding: 0; }
  article + article { border: 0; break-before: page; }
  .columns { grid-template-columns: 3fr 2fr; gap: 0 6mm; }
  h2 { print-color-adjust: exact; }
  li input { appearance: none; border: 1.5px solid #000; border-radius: 2px; }
}
"""

_POLICY: Final = "default-src 'none'; style-src 'unsafe-inline'"


def render_page(sheets: Sequence[Sheet]) -> str:
    """The page as a whole.

    Parameters
    ----------
    sheets : sequence of Sheet
        At least one; each begins a sheet of paper.
    """
    title = sheets[0].name if len(sheets) == 1 else f"{len(sheets)} weighing sheets"
    return "\n".join(
        [
            "<!DOCTYPE html>",
            '<html lang="en">',
            "<head>",
            '<meta charset="utf-8">',
            f'<meta http-equiv="Content-Security-Policy" content="{_POLICY}">',
            '<meta name="viewport" content="width=device-width, initial-scale=1">',
            f"<title>{_text(title)}</title>",
            f"<style>{_STYLE}</style>",
            "</head>",
            "<body>",
            "<main>",
            *(line for sheet in sheets for line in _article(sheet)),
            "</main>",
            "</body>",
            "</html>",
            "",
        ]
    )


def _text(text: str) -> str:
    return escape(one_line(text))


def _prose(text: str) -> str:
    """A sentence; what stands between backticks is set as what is typed."""
    return re.sub(r"`([^`]+)`", r"<code>\1</code>", _text(text))


def _unbroken(text: str) -> str:
    """A range on one line."""
    return _text(text).replace(" ", "\u00a0")


def _article(sheet: Sheet) -> Iterator[str]:
    yield "<article>"
    yield f"<header><h1>{_text(sheet.name)}</h1><strong>{_text(sheet.batch)}</strong></header>"
    yield f'<p class="small">{_text(shown_path(sheet.path))}. {_text(sheet.tools)}</p>'
    if sheet.scaled_from:
        yield f'<p class="small">{_text(sheet.scaled_from)}</p>'
    yield '<div class="sign"><span>Date</span><span>Brewed by</span><span>Batch no.</span></div>'
    for message, rule, todo in warnings(sheet):
        yield (
            f'<p class="look"><b>Look first:</b> {_text(message)} '
            f'<span class="small">[{_text(rule)}]</span> {_prose(todo)}</p>'
        )
    yield '<div class="columns"><div>'
    for step in sheet.steps:
        yield from _section(step, sheet)
    yield "</div><div>"
    if sheet.measuring:
        yield "<section><h2>Measure the mash</h2>"
        yield from _paragraphs(sheet.measuring)
        yield "</section>"
    yield from _blanks(sheet)
    yield "</div></div>"
    if sheet.cautions:
        yield "<section><h2>Take care</h2>"
        yield from _paragraphs(sheet.cautions)
        yield "</section>"
    yield "</article>"


def _section(step: Step, sheet: Sheet) -> Iterator[str]:
    aim = f"<b>{_text(step.aim)}</b>" if step.aim else ""
    yield f"<section><h2><span>{_text(step.title)}</span>{aim}</h2>"
    if step.waters:
        yield f"<p>{'<br>'.join(_text(water) for water in step.waters)}</p>"
    if step.lines:
        yield "<ul>"
        yield from (_item(line) for line in step.lines)
        yield "</ul>"
    if step.place == "mash" and sheet.mash is not None:
        mash = sheet.mash
        aim = f"; the recipe aims at {_unbroken(mash.aim)}" if mash.aim else ""
        yield (
            f'<p class="ph">Expect pH <b>{mash.value:.2f}</b> at {mash.temperature:.0f} °C: two '
            f"mashes in three fall between {mash.low:.2f} and {mash.high:.2f}{aim}.</p>"
        )
    yield from _paragraphs(step.remarks)
    yield "</section>"


def _item(line: Line) -> str:
    note = f"<small>{_text(line.note)}</small>" if line.note else ""
    return (
        f'<li><label><input type="checkbox"><b>{_text(line.amount)}</b>'
        f"<span>{_text(line.name)}{note}</span></label></li>"
    )


def _paragraphs(texts: Iterable[str]) -> Iterator[str]:
    for text in texts:
        yield f'<p class="remark">{_prose(text)}</p>'


def _blanks(sheet: Sheet) -> Iterator[str]:
    yield "<section><h2>Write down</h2><table>"
    for blank in sheet.blanks:
        yield _row(blank)
    yield "</table>"
    if sheet.mash is not None:
        yield f'<p class="small">{_prose(MEASURED_HINT)}</p>'
    yield "</section>"


def _row(blank: Blank) -> str:
    aim = f" <small>{_text(blank.aim)}</small>" if blank.aim else ""
    return f'<tr><th scope="row">{_text(blank.label)}{aim}</th><td>{_text(blank.unit)}</td></tr>'
