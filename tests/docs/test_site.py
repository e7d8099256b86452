"""The documentation's pages: the rules' texts, every number's basis, and a site that builds."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

from waterlint.catalog.additives import ADDITIVES
from waterlint.catalog.limits import GENERAL
from waterlint.catalog.malts import MALT_KINDS
from waterlint.catalog.styles import STYLES
from waterlint.catalog.waters import WATERS
from waterlint.docs import site
from waterlint.docs.markdown import flat
from waterlint.docs.rule_pages import rule_page
from waterlint.output import explanation
from waterlint.rules.registry import Rule, all_rules

PAGES = site.sources(site.repository())


def plain(markdown: str) -> str:
    """A page without its marks, and without white space: terminals wrap at hyphens too."""
    lines = []
    inside = False
    for line in markdown.splitlines():
        if line.startswith("```"):
            inside = not inside
        else:
            lines.append(line if inside else re.sub(r"\\(.)", r"\1", line.removeprefix("# ")))
    return without_space(" ".join(lines))


def without_space(text: str) -> str:
    return "".join(text.split())


@pytest.mark.parametrize("rule", all_rules().values(), ids=lambda rule: rule.name)
def test_a_rule_page_has_the_text_that_explain_prints(rule: Rule) -> None:
    assert PAGES[f"rules/{rule.name}"] == rule_page(rule)
    assert plain(rule_page(rule)) == without_space(explanation.render(rule))


def test_every_rule_is_listed() -> None:
    listed = re.findall(r"^\| \[([a-z-]+)\]\(\1\.md\)", PAGES["rules/index"], re.MULTILINE)
    assert sorted(listed) == sorted(all_rules())


def test_the_catalogue_has_everything_with_its_basis() -> None:
    page = PAGES["catalogue"]
    for name in (*STYLES, *ADDITIVES, *MALT_KINDS, *WATERS):
        assert f"| `{name}` |" in page, name
    for style in STYLES.values():
        for limit in style.limits.values():
            assert flat(limit.basis) in page, (style.key, limit.quantity)
    for limit in GENERAL:
        assert flat(limit.line) in page


def test_a_row_of_the_styles() -> None:
    (row,) = (line for line in PAGES["catalogue"].splitlines() if "| `german-pils` |" in line)
    limit = STYLES["german-pils"].limits["sulfate"]
    (number,) = re.findall(rf"at most {limit.high:g} \\\[(\d+)\\\]", row)
    assert f"\n{number}. {flat(limit.basis)}\n" in PAGES["catalogue"]


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("a * b _c_ [d](e) <f> #g", r"a \* b \_c\_ \[d\](e) \<f\> \#g"),
        ("take `a_b * {c}` out", "take `a_b * {c}` out"),
        ("two\n  lines", "two lines"),
        ("`.. 90 mg/L` | x", r"`.. 90 mg/L` \| x"),
    ],
)
def test_a_text_is_shown_as_it_is(text: str, shown: str) -> None:
    assert flat(text) == shown


def test_links_between_the_texts_lead_to_pages() -> None:
    assert "[DEVELOPERS.md](developers.md)" in PAGES["readme"]
    assert "](chemistry.md)" in PAGES["readme"]
    assert "](LICENSE)" not in PAGES["readme"] and "[LICENSE]" in PAGES["readme"]


def test_the_site_is_built_and_loads_nothing_from_elsewhere(tmp_path: Path) -> None:
    pytest.importorskip("sphinx")
    pytest.importorskip("myst_parser")
    command = [sys.executable, "-m", "waterlint.docs", str(tmp_path / "site")]
    done = subprocess.run(command, check=False, capture_output=True, text=True, cwd=tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
    pages = {each: each.read_text(encoding="utf-8") for each in (tmp_path / "site").rglob("*.html")}
    assert {f"rules/{name}.html" for name in all_rules()} <= {
        each.relative_to(tmp_path / "site").as_posix() for each in pages
    }
    for page, text in pages.items():
        assert not re.search(
            r'<(?:script|link|img|iframe)[^>]*(?:src|href)="(?:https?:)?//', text
        ), page
    for style in (tmp_path / "site").rglob("*.css"):
        assert not re.search(r"url\([\"']?(?:https?:)?//", style.read_text(encoding="utf-8")), style


def test_without_sphinx_the_line_that_installs_it_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(site.importlib.util, "find_spec", lambda name: None)
    with pytest.raises(site.SiteError, match=r"pip install -e '\.\[docs\]' in /"):
        site.build(tmp_path)


def test_without_a_clone_nothing_else_is_asked_for(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(site, "__file__", str(tmp_path / "waterlint" / "docs" / "site.py"))
    monkeypatch.setattr(site.importlib.util, "find_spec", lambda name: None)
    with pytest.raises(site.SiteError, match=r"from a clone: pip install -e '\.\[docs\]' there"):
        site.build(tmp_path)


def test_a_page_that_sphinx_faults_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("sphinx")
    pytest.importorskip("myst_parser")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(site, "sources", lambda root: {"index": "# A\n\n[b](nowhere.md)\n"})
    with pytest.raises(site.SiteError, match="nowhere"):
        site.build(tmp_path / "out")
