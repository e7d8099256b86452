"""The frame of every page: one HTML file that loads nothing and connects to nothing.

How to make a page with it::

    from waterlint.page.frame import page
    from waterlint.page.markup import element, own_text, table

    body = element("p", "Brewed as ", own_text(recipe.name))
    html = page("A title", [body, table("Ions", ["", "mg/L"], rows, figures=(1,))])
    write_report(path, html.encode())

Every `str` that goes into `element`, `table` or `page` is escaped; what these functions give is
`Markup` and is not escaped again, so pieces nest. The frame brings the look: light and dark by the
reader's own setting, paper, small screens, and the styles of headings, tables (`td.figure` for
numbers), ``details``, ``.small`` (remarks) and ``.level-error``, ``.level-warning``,
``.level-note``, ``.level-none`` (`level_mark` makes these: a mark and a word, since colour alone
tells nothing). Further styles are handed to `page` as CSS that uses the same custom properties
(``--ink``, ``--faint``, ``--line``, ``--wash``, ``--accent`` …), a script as JavaScript. Style
*attributes* and ``on…`` attributes are refused by the page's own policy: use classes.
"""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterable, Sequence
from functools import cache
from hashlib import sha256
from importlib.resources import files

from waterlint.hints import Final
from waterlint.page.markup import Content, Markup, element, join
from waterlint.version import __version__

#: What stands for each level; the shapes differ, so that they can be told apart without colour.
MARKS: Final = {"error": "✖", "warning": "▲", "note": "●", "none": "✓"}

#: What a level is called on a page.
WORDS: Final = {"error": "error", "warning": "warning", "note": "note", "none": "nothing found"}


def page(
    title: str,
    body: Iterable[Content],
    *,
    styles: Sequence[str] = (),
    scripts: Sequence[str] = (),
    foot: Iterable[Content] = (),
) -> str:
    """A whole page.

    Parameters
    ----------
    title : str
        Its heading and the name of its window.
    body : iterable of str or Markup
        What stands below the heading.
    styles, scripts : sequence of str
        CSS and JavaScript of this page, beside the frame's own style; ours, never a user's.
    foot : iterable of str or Markup
        What stands at the end, before the name of the program.

    Returns
    -------
    str
        HTML for a file in UTF-8.

    Notes
    -----
    Its policy allows just these styles and scripts, by their hashes, and forbids every
    connection, frame, form, image and plugin.
    """
    return "".join(
        [
            opening(title, styles=styles, scripts=scripts),
            *(join([part]) for part in body),
            closing(scripts=scripts, foot=foot),
        ]
    )


def opening(title: str, *, styles: Sequence[str] = (), scripts: Sequence[str] = ()) -> str:
    """A page up to its heading, for a page that is written piece by piece."""
    style = "\n".join([_style(), *styles])
    head = [
        element("meta", charset="utf-8"),
        element("meta", http_equiv="Content-Security-Policy", content=_policy(style, scripts)),
        element("meta", name="viewport", content="width=device-width, initial-scale=1"),
        element("meta", name="color-scheme", content="light dark"),
        element("meta", name="referrer", content="no-referrer"),
        element("meta", name="generator", content=f"waterlint {__version__}"),
        element("title", f"{title} – waterlint"),
        _raw("style", style),
    ]
    skip = element("a", "To the content", href="#content", class_="skip")
    start = "<!doctype html>\n<html lang=en dir=ltr>\n<head>\n" + "\n".join(head) + "\n</head>\n"
    heading = element("h1", title)
    return f'{start}<body>\n{skip}\n<main id="content" tabindex="-1">\n{heading}\n'


def closing(*, scripts: Sequence[str] = (), foot: Iterable[Content] = ()) -> str:
    """The end of a page that `opening` began, with the same scripts."""
    signed = element("p", f"Made by waterlint {__version__}.", class_="small")
    return (
        f"\n</main>\n{element('footer', *foot, signed)}\n"
        + "\n".join(_raw("script", script) for script in scripts)
        + "\n</body>\n</html>\n"
    )


def level_mark(level: str, words: str = "") -> Markup:
    """A level as a mark and a word; `words` replaces the level's own.

    Examples
    --------
    >>> level_mark("note")
    '<span class="level level-note"><span aria-hidden="true">●</span> note</span>'
    """
    return element(
        "span",
        element("span", MARKS[level], aria_hidden="true"),
        " ",
        words or WORDS[level],
        class_=f"level level-{level}",
    )


def asset(name: str) -> str:
    """A style or script that stands beside this module."""
    return files(__package__).joinpath(name).read_text(encoding="utf-8")


@cache
def _style() -> str:
    return asset("frame.css")


def _policy(style: str, scripts: Sequence[str]) -> str:
    allowed = " ".join(_hash(script) for script in scripts) or "'none'"
    return (
        f"default-src 'none'; script-src {allowed}; style-src {_hash(style)}; "
        "base-uri 'none'; form-action 'none'"
    )


def _hash(content: str) -> str:
    return f"'sha256-{b64encode(sha256(content.encode()).digest()).decode()}'"


def _raw(tag: str, content: str) -> str:
    # A style or script ends at the first end tag, whatever it stands in.
    if f"</{tag}" in content.lower() or "<!--" in content:
        raise ValueError(f"the {tag} would end early")
    return f"<{tag}>{content}</{tag}>"
