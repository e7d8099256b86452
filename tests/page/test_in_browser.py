"""The page of an audit in a real browser: silent, closed, drawn, and usable by everybody."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.page.pages import NAMES, hostile_files, make_page

sync_api = pytest.importorskip("playwright.sync_api", reason="needs pip install -e '.[test]'")
axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="needs axe, as above")
pytest.importorskip("vl_convert", reason="needs pip install -e '.[page]'")

_CHROMIUM = next(
    (found for name in ("chromium", "chromium-browser") if (found := shutil.which(name))), None
)
pytestmark = pytest.mark.skipif(
    _CHROMIUM is None, reason="needs Chromium: apt-get install chromium"
)

_QUIET = (
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)

#: How long a step may take on a busy machine [ms].
_PATIENCE = 60_000

DESKTOP = {"width": 1280, "height": 900}
PHONE = {"width": 390, "height": 844}


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    sandbox = [] if getattr(os, "geteuid", lambda: 1)() else ["--no-sandbox"]
    with sync_api.sync_playwright() as started:
        made = started.chromium.launch(executable_path=_CHROMIUM, args=[*_QUIET, *sandbox])
        yield made
        made.close()


@pytest.fixture(scope="module")
def hostile(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("hostile")
    for name, text in hostile_files().items():
        (folder / name).write_text(text, encoding="utf-8")
    return make_page(folder)


@pytest.fixture(scope="module")
def large(tmp_path_factory: pytest.TempPathFactory) -> Path:
    from tests.benchmarks.corpus import make_corpus

    folder = tmp_path_factory.mktemp("large")
    make_corpus(folder, 70)
    return make_page(folder)


class Opened:
    """A page in the browser, with all that it said and asked for."""

    def __init__(self, context: Any, path: Path, *, scripted: bool = True) -> None:
        self.said: list[str] = []
        self.asked: list[str] = []
        self.page = context.new_page()
        self.page.set_default_timeout(_PATIENCE)
        self.page.on("console", lambda message: self.said.append(message.text))
        self.page.on("pageerror", lambda error: self.said.append(str(error)))
        self.page.on("dialog", lambda dialog: self.said.append(f"dialog {dialog.message}"))
        context.on("request", lambda request: self.asked.append(request.url))
        context.on("requestfailed", self._failed)
        self.page.goto(path.as_uri())
        if scripted:
            self.page.wait_for_selector("html[data-ready]")

    def _failed(self, request: Any) -> None:
        if request.failure == "csp":  # the browser stopped it before it began
            self.asked.remove(request.url)

    def open_all(self) -> None:
        self.page.evaluate(
            "document.querySelectorAll('.recipe').forEach((each) => { each.open = true; })"
        )
        self.until_drawn()

    def until_drawn(self) -> None:
        """Wait for what is open; the page's policy forbids the usual way, which evaluates text."""
        sync_api.expect(self.page.locator(".recipe[open]:not(:has(h3))")).to_have_count(
            0, timeout=_PATIENCE
        )


@pytest.fixture
def opened(browser: Any) -> Iterator[Any]:
    contexts = []

    def open_(path: Path, **options: Any) -> Opened:
        context = browser.new_context(**{"viewport": DESKTOP, **options})
        contexts.append(context)
        return Opened(context, path, scripted=options.get("java_script_enabled", True))

    yield open_
    for context in contexts:
        context.close()


@pytest.fixture(scope="module")
def all_open(browser: Any, hostile: Path) -> Iterator[Opened]:
    """The hostile page with every recipe opened; for tests that leave it so."""
    context = browser.new_context(viewport=DESKTOP)
    made = Opened(context, hostile)
    made.open_all()
    yield made
    context.close()


def test_it_is_silent_closed_and_no_text_becomes_a_tag(all_open: Opened, hostile: Path) -> None:
    made, page = all_open, all_open.page
    assert made.said == []
    assert made.asked == [hostile.as_uri()]
    for tag in ("img", "b", "i", "u", "iframe", "object", "link"):
        assert page.locator(f"main {tag}").count() == 0
    assert page.evaluate("[...document.scripts].filter((each) => !each.type).length") == 1
    names = page.locator(".recipe .name > bdi").all_inner_texts()
    for shown in NAMES.values():
        assert any(name.startswith(shown) for name in names), shown
    assert "\u202e" not in page.inner_text("body")


@pytest.mark.parametrize(
    "attempt",
    [
        "fetch('https://example.org/').catch(() => {})",
        "new Image().src = 'https://example.org/x.png'",
        "document.head.append(Object.assign(document.createElement('script'), "
        "{textContent: 'window.went = true'}))",
        "document.body.append(Object.assign(document.createElement('iframe'), "
        "{src: 'https://example.org/'}))",
    ],
)
def test_its_policy_lets_nothing_out(attempt: str, opened: Any, hostile: Path) -> None:
    made = opened(hostile)
    blocked = made.page.evaluate(
        f"""() => new Promise((done) => {{
            document.addEventListener('securitypolicyviolation', () => done(true));
            {attempt};
            setTimeout(() => done(false), 10000); }})"""
    )
    assert blocked
    assert made.asked == [hostile.as_uri()]


def test_everything_is_drawn(all_open: Opened) -> None:
    page = all_open.page
    assert page.locator("section .picture svg path").count() > 10  # the collection's charts
    assert page.locator(".states li").count() == 4
    salted = page.locator(".recipe", has_text="Sluice")
    for chart in (
        ".strip svg .zone",
        ".plot svg .point",
        ".stack svg .segment",
        ".plane svg .zone",
    ):
        assert salted.locator(chart).count() >= 1, chart
    assert salted.locator(".shift").count() >= 2  # the kettle's sodium and chloride, and a legend
    assert salted.locator(".stack .segment.water").count() >= 5
    assert "kettle-only-excess" in salted.inner_text()
    link = salted.locator(".findings a").first
    assert link.get_attribute("href") == "%3Cb%3Ea%23b%20%3F.yaml#L3"
    table = salted.locator("table.waters").first.inner_text()
    assert "sodium" in table and "±" in table
    salted.locator("details.basis > summary").last.click()
    assert "sodium of the whole batch above" in salted.locator("details.basis[open]").inner_text()
    broken = page.locator(".recipe", has_text="broken.yaml")
    assert "invalid-yaml" in broken.inner_text()


def test_milligrams_add_up_to_what_the_batch_holds(all_open: Opened) -> None:
    salted = all_open.page.locator(".recipe", has_text="Sluice")
    rows = salted.locator("table", has_text="together").locator("tbody tr")
    sodium = [
        float(text.replace("\u202f", "").replace("–", "0"))
        for text in rows.locator("td:nth-child(4)").all_inner_texts()
    ]
    assert sum(sodium[:-1]) == pytest.approx(sodium[-1], abs=3)
    salt_is_sodium = 22.99 / 58.44
    assert max(sodium[:-1]) == pytest.approx(9000 * salt_is_sodium, rel=0.01)


def test_the_keyboard_is_enough(opened: Any, hostile: Path) -> None:
    page = opened(hostile).page
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    seen = []
    for _ in range(40):
        page.keyboard.press("Tab")
        place = page.evaluate(
            """() => { const at = document.activeElement, style = getComputedStyle(at);
            const order = [...document.querySelectorAll('*')].indexOf(at);
            const isSeen = style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2;
            return [at.tagName, order, isSeen, at.closest('.recipe') !== null]; }"""
        )
        seen.append(place)
        if place[3]:
            break
    assert seen[-1][0] == "SUMMARY" and seen[-1][3]
    assert [place[1] for place in seen] == sorted(place[1] for place in seen)
    assert all(place[2] for place in seen)  # where one is can be seen
    page.keyboard.press("Enter")
    page.wait_for_selector(".recipe[open] h3")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.closest('.recipe[open]') !== null")
    page.keyboard.press("Shift+Tab")
    page.keyboard.press("Enter")
    assert page.locator(".recipe[open]").count() == 0
    for word in ("img", "kettle-only-excess"):
        page.fill("input[type=search]", word)
        assert page.locator(".recipe").count() == 1


@pytest.mark.parametrize(("viewport", "scheme"), [(DESKTOP, "light"), (PHONE, "dark")])
def test_nothing_shuts_anybody_out(
    viewport: dict[str, int], scheme: str, opened: Any, hostile: Path
) -> None:
    made = opened(hostile, color_scheme=scheme, viewport=viewport)
    page = made.page
    page.locator(".recipe", has_text="Sluice").locator("summary").first.click()
    made.until_drawn()
    found = axe.Axe().run(page).response
    told = [
        (each["id"], node["html"][:200]) for each in found["violations"] for node in each["nodes"]
    ]
    assert told == []
    assert len(found["passes"]) >= 20  # it did look
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    paper = page.evaluate("getComputedStyle(document.body).backgroundColor")
    assert (sum(int(part) for part in paper[4:-1].split(",")) > 384) == (scheme == "light")


def test_many_recipes_are_found_sorted_and_leafed_through(opened: Any, large: Path) -> None:
    made = opened(large)
    page = made.page
    assert page.locator(".recipe").count() == 50
    page.get_by_role("button", name="Next").click()
    assert page.locator(".recipe").count() == 20
    assert page.get_by_role("status").inner_text() == "51 to 70 of 70 recipes"
    page.get_by_label("In the order of").select_option("1")
    values = [
        float(text.replace("−", "-").replace("residual alkalinity", "").strip(" !"))
        for text in page.locator(".recipe .value:nth-child(3)").all_text_contents()
    ]
    assert len(values) == 50 and values == sorted(values)
    page.get_by_role("button", name="Turn round").click()
    assert page.locator(".recipe .value:nth-child(3)").first.inner_text() != str(values[0])
    page.get_by_label("Worst finding").select_option("none")
    assert page.locator(".recipe .level-none").count() == page.locator(".recipe").count()
    page.get_by_label("Worst finding").select_option("0")
    page.get_by_label("Name, file, style or rule").fill("irish-stout recipe-0000")
    assert 0 < page.locator(".recipe").count() < 10
    page.locator(".recipe > summary").first.click()
    page.wait_for_selector(".recipe[open] .stack")
    assert made.said == []


def test_it_prints_and_needs_no_scripts(opened: Any, large: Path, hostile: Path) -> None:
    page = opened(large).page
    assert page.pdf(format="A4").startswith(b"%PDF")
    page.emulate_media(media="print")
    assert not page.locator(".tools").is_visible()
    page.emulate_media(media="screen")
    plain = opened(hostile, java_script_enabled=False)
    assert plain.said == [] and plain.asked == [hostile.as_uri()]
    assert plain.page.locator("noscript table tbody tr").count() == len(hostile_files()) - 1
    assert plain.page.locator("section .picture svg").first.is_visible()
