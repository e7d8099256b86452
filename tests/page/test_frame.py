"""The frame of a page: valid, closed to the outside, and no text becomes a tag."""

from __future__ import annotations

from base64 import b64encode
from hashlib import sha256
from html.parser import HTMLParser

import pytest

from waterlint.page.frame import level_mark, page
from waterlint.page.markup import Markup, element, join, own_text, table, text

HOSTILE = [
    "</script><script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "<!-- ]]> -->",
    "a \u202eright to left\u202c",
    "nul \x00, half \ud800, bell \x07",
    "&amp; &#60;b&#62;",
    "x" * 5000,
]


class Reader(HTMLParser):
    """What a parser makes of a page: its tags with attributes, and its text."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.open: list[str] = []
        self.texts: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag not in ("meta", "br", "input", "hr", "col", "link"):
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.texts.append(data)


def read(html: str) -> Reader:
    reader = Reader()
    reader.feed(html)
    reader.close()
    assert not reader.open
    return reader


def _made_with(word: str) -> str:
    body = [element("p", word, title=word), table(word, [word], [[own_text(word)]])]
    return page(word, body)


@pytest.mark.parametrize("hostile", HOSTILE)
def test_no_text_becomes_a_tag(hostile: str) -> None:
    made = _made_with(hostile)
    made.encode()
    reader = read(made)
    assert [tag for tag, _ in reader.tags] == [tag for tag, _ in read(_made_with("plain")).tags]
    shown = "".join(reader.texts)
    assert not any(sign in shown for sign in "\x00\x07\u202e\ud800")
    if hostile.isascii() and hostile.isprintable():
        assert shown.count(hostile) >= 4


def test_the_policy_allows_only_what_the_page_brings() -> None:
    script = "document.title;"
    made = page("t", [], styles=["p { color: red }"], scripts=[script])
    [policy] = [
        attributes["content"]
        for tag, attributes in read(made).tags
        if tag == "meta" and attributes.get("http-equiv") == "Content-Security-Policy"
    ]
    assert policy is not None
    style = made.partition("<style>")[2].partition("</style>")[0]

    def hashed(content: str) -> str:
        return f"'sha256-{b64encode(sha256(content.encode()).digest()).decode()}'"

    assert policy.split("; ") == [
        "default-src 'none'",
        f"script-src {hashed(script)}",
        f"style-src {hashed(style)}",
        "base-uri 'none'",
        "form-action 'none'",
    ]


@pytest.mark.parametrize("script", ["'</script>'", "<!-- x", "'</SCRIPT x'"])
def test_a_script_cannot_end_early(script: str) -> None:
    with pytest.raises(ValueError, match="end early"):
        page("t", [], scripts=[script])


def test_a_table_names_its_columns_and_rows() -> None:
    made = read(table("Ions", ["ion", "mash"], [["calcium", "42"]], figures=(1,)))
    heads = [attributes for tag, attributes in made.tags if tag == "th"]
    assert [head["scope"] for head in heads] == ["col", "col", "row"]
    cells = [attributes for tag, attributes in made.tags if tag == "td"]
    assert cells == [{"class": "figure"}]


def test_markup_is_not_escaped_again() -> None:
    assert element("p", element("b", "a & b")) == "<p><b>a &amp; b</b></p>"
    assert isinstance(text(Markup("<b>")), Markup)
    assert join(["<", Markup("<br>")]) == "&lt;<br>"


def test_a_level_is_told_by_mark_and_word() -> None:
    marks = {level_mark(level) for level in ("error", "warning", "note", "none")}
    assert len(marks) == 4
    assert "nothing found" in level_mark("none")
