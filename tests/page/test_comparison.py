"""The page of a comparison: closed, silent, and with no text that becomes a tag."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest

from tests.compare.state import DAY, FILES, HARD, PORTER
from waterlint.cli.main import main
from waterlint.output.comparison_figures import HEAD

Tree = Callable[..., Path]

HOSTILE = '"</section><script>alert(1)</script> \\u202e & <b>"'
CALL = ("compare", "--water", "waters/well.yaml=waters/2027.yaml", *DAY)


def written(tree: Tree) -> Path:
    """The page of the small project, with a hostile recipe besides."""
    hostile = PORTER.replace("Lock Cottage porter", HOSTILE)
    folder = tree({**FILES, "ales/<i>x.yaml": hostile})
    assert main([*CALL, "--page", "page.html"]) == 1
    return folder / "page.html"


class _Tags(HTMLParser):
    """What a page is made of."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.addresses: list[str] = []
        self.shown = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.addresses += [value or "" for name, value in attrs if name in ("src", "href")]
        assert not any(name == "style" or name.startswith("on") for name, _ in attrs)

    def handle_data(self, data: str) -> None:
        self.shown += data


def test_no_text_becomes_a_tag_and_nothing_is_loaded(
    tree: Tree, capsys: pytest.CaptureFixture[str]
) -> None:
    page = written(tree)
    assert capsys.readouterr().out.endswith(
        "2 recipes fall out; 1 recipe changes without falling out.\n"
    )
    parsed = _Tags()
    parsed.feed(page.read_text(encoding="utf-8"))
    assert {"script", "b", "i"}.isdisjoint(parsed.tags)
    assert parsed.addresses == ["#content"]
    assert "</section><script>alert(1)</script> \\u202e & <b>" in parsed.shown
    assert parsed.tags.count("section") == 3
    assert "2 recipes fall out; 1 recipe changes without falling out." in parsed.shown
    assert "".join(["figure", *HEAD, "before and after"]) in parsed.shown.replace("\n", "")
    # A picture for each figure that changes; three signs explain them.
    assert parsed.tags.count("svg") == 3 * 10 + 3


@pytest.mark.parametrize(
    ("place", "told"),
    [(".", "--page: . is a folder"), ("no/page.html", "--page: there is no folder no")],
)
def test_no_place_for_the_page(
    tree: Tree, capsys: pytest.CaptureFixture[str], place: str, told: str
) -> None:
    tree(FILES)
    assert main([*CALL, "--page", place]) == 2
    captured = capsys.readouterr()
    assert captured.out == "" and told in captured.err


def _look(browser: Any, axe: Any, page: Path, scheme: str, wide: int) -> None:
    """Open the page: silent, no wider than the window, and nothing that axe would fault."""
    context = browser.new_context(viewport={"width": wide, "height": 844}, color_scheme=scheme)
    tab = context.new_page()
    told: list[str] = []
    tab.on("console", lambda message: told.append(message.text))
    tab.on("request", lambda request: told.append(request.url))
    tab.goto(page.as_uri())
    assert told == [page.as_uri()]
    assert tab.evaluate("document.documentElement.scrollWidth") == wide
    assert axe.Axe().run(tab).response["violations"] == []


def test_in_a_browser(tree: Tree) -> None:
    sync_api = pytest.importorskip("playwright.sync_api", reason="needs playwright")
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="needs axe")
    chromium = shutil.which("chromium") or shutil.which("chromium-browser")
    if chromium is None:
        pytest.skip("needs Chromium: apt-get install chromium")
    page = written(tree)
    sandbox = [] if getattr(os, "geteuid", lambda: 1)() else ["--no-sandbox"]
    with sync_api.sync_playwright() as started:
        browser = started.chromium.launch(
            executable_path=chromium, args=["--disable-gpu", *sandbox]
        )
        _look(browser, axe, page, "light", 1280)
        _look(browser, axe, page, "dark", 390)
        browser.close()


def test_a_better_water_leaves_a_calm_page(tree: Tree) -> None:
    folder = tree({"waters/well.yaml": HARD, "waters/2027.yaml": HARD, "ales/a.yaml": PORTER})
    assert main([*CALL, "--page", "page.html"]) == 0
    shown = (folder / "page.html").read_text(encoding="utf-8")
    assert "No recipe falls out; 1 recipe stays as it is." in shown
    assert "<section" not in shown
