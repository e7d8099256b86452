"""HTML put together so that no text of a user can become a tag.

A `str` is a text and is escaped; only `Markup`, which the functions here make, is taken as it is.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from html import escape

from waterlint.hints import Final

#: Control characters, half characters and what is no character would make a page invalid; marks
#: that turn the direction of writing would turn what stands beside the text.
_UNFIT: Final = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069"
    "\ud800-\udfff\ufdd0-\ufdef\ufeff\ufffe\uffff]"
)

#: Elements without an end tag.
_VOID: Final = frozenset({"br", "col", "hr", "input", "meta", "link"})


class Markup(str):
    """HTML that is ready: it is not escaped again."""

    __slots__ = ()


Content = str | Markup


def text(value: str) -> Markup:
    """A text as HTML, with its unfit characters shown by their escapes.

    Examples
    --------
    >>> text("<b> & \\u202e")
    '&lt;b&gt; &amp; \\\\u202e'
    """
    if isinstance(value, Markup):
        return value
    return Markup(escape(_UNFIT.sub(lambda match: ascii(match.group())[1:-1], value)))


def join(parts: Iterable[Content]) -> Markup:
    """Several pieces as one."""
    return Markup("".join(text(part) for part in parts))


def element(tag: str, *content: Content, **attributes: str | bool | None) -> Markup:
    """An element; an attribute that is `None` or false is left out, a true one has no value.

    A trailing underscore of a name is dropped (``class_``), others become hyphens
    (``aria_label``).

    Examples
    --------
    >>> element("p", "a < b", class_="small", hidden=True, title=None)
    '<p class="small" hidden>a &lt; b</p>'
    """
    shown = "".join(
        f" {name.rstrip('_').replace('_', '-')}" + ("" if value is True else f'="{text(value)}"')
        for name, value in attributes.items()
        if value is not None and value is not False
    )
    if tag in _VOID:
        return Markup(f"<{tag}{shown}>")
    return Markup(f"<{tag}{shown}>{join(content)}</{tag}>")


def own_text(value: str, longest: int = 0) -> Markup:
    """A user's own text, kept to its own direction of writing; cut where `longest` is given.

    Examples
    --------
    >>> own_text("Tidewrack stout", 9)
    '<bdi>Tidewrac…</bdi>'
    """
    if longest and len(value) > longest:
        value = value[: longest - 1] + "…"
    return element("bdi", value)


def table(
    caption: Content,
    head: Sequence[Content],
    rows: Iterable[Sequence[Content]],
    *,
    figures: Sequence[int] = (),
    class_: str | None = None,
) -> Markup:
    """A table whose columns and rows have headings; it scrolls by itself where it is too wide.

    Parameters
    ----------
    caption : str or Markup
        What the table is about; always shown, since a screen reader names the table by it.
    head : sequence of str or Markup
        The columns' headings, the first over the rows' own.
    rows : iterable of sequences
        The first cell of each is the row's heading.
    figures : sequence of int
        The columns, from 0, that hold figures and are set flush right.
    class_ : str, optional
        Of the table.
    """
    kinds = ["figure" if place in figures else None for place in range(len(head))]
    heads = (
        element("th", cell, scope="col", class_=kind)
        for cell, kind in zip(head, kinds, strict=True)
    )
    made = element(
        "table",
        element("caption", element("span", caption)),
        element("thead", element("tr", *heads)),
        element("tbody", *(_row(row, kinds) for row in rows)),
        class_=class_,
    )
    # What scrolls must be reachable by keyboard, and what is reachable must have a name.
    return element("div", made, class_="scroll", tabindex="0", role="group", aria_label="table")


def _row(cells: Sequence[Content], kinds: Sequence[str | None]) -> Markup:
    first, *others = cells
    figures = (
        element("td", cell, class_=kind) for cell, kind in zip(others, kinds[1:], strict=True)
    )
    return element("tr", element("th", first, scope="row"), *figures)
