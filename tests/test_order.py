"""What is found in a file, whatever was looked at before it, in whatever order, by any thread."""

from __future__ import annotations

import io
import os
import re
import sys
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import AbstractContextManager
from datetime import date
from pathlib import Path

import pytest

from tests.conftest import Tree
from tests.plugins.conftest import Install, rule_module
from tests.plugins.conftest import install as install
from waterlint.cli.main import main
from waterlint.finding import FILE_START, Finding
from waterlint.linter import Linter, Options
from waterlint.output.audit import Audit, Row
from waterlint.page.overview import most_found
from waterlint.plugins.answers import aside
from waterlint.plugins.origin import Surroundings
from waterlint.project.config_store import ConfigStore
from waterlint.project.discovery import discover
from waterlint.project.files import Disk
from waterlint.rules import registry
from waterlint.rules.samples import recipe, report
from waterlint.source import block_lines

CONFIG = "waterlint: config/1\n"


def found(*names: str) -> list[Finding]:
    linter = Linter(Options(today=date(2026, 11, 1)))
    paths = [Path(name) for name in names]
    return list(linter.lint(discover(paths, linter.configs, linter.disk)).findings)


def test_an_old_report_names_its_recipes_in_their_own_order(tree: Tree) -> None:
    tree({"well.yaml": report("sampled: 2019-03-14"), "a.yaml": recipe(), "b.yaml": recipe()})
    (told,) = found("a.yaml", "b.yaml")
    assert told.message.endswith("It is used by a.yaml and b.yaml")
    assert found("b.yaml", "a.yaml") == [told]


def test_a_project_that_is_reached_by_two_names(tree: Tree, tmp_path: Path) -> None:
    names = {f"{name}.yaml": recipe() for name in "abc"}
    folder = tree({"well.yaml": report("sampled: 2019-03-14"), **names})
    (folder / ".git").mkdir()
    (tmp_path / "link").symlink_to(folder)
    other = os.path.relpath(tmp_path / "link" / "b.yaml")
    for order in ("a.yaml", other, "c.yaml"), ("c.yaml", "a.yaml", other), (other, "a.yaml"):
        told = {each.message.partition("used by ")[2] for each in found(*order)}
        assert told == {"b.yaml", "a.yaml and c.yaml" if "c.yaml" in order else "a.yaml"}


def test_houses_that_share_a_configuration(tree: Tree) -> None:
    style = "styles: {%s: {emphasis: malt, color: 2 .. 19 SRM, basis: panel}}\n"
    tree(
        {
            "waterlint.yaml": CONFIG + "ranges: {sodium: {moor-al: .. 50 mg/L}}\n",
            "a/waterlint.yaml": CONFIG + "extends: ../waterlint.yaml\n" + style % "moor-ale",
            "b/waterlint.yaml": CONFIG + "extends: ../waterlint.yaml\n" + style % "moor-alt",
            **{f"{name}.yaml": recipe() for name in ("a/a", "b/b")},
            **{f"{name}/well.yaml": report() for name in "ab"},
        }
    )
    told = found("a/a.yaml", "b/b.yaml")
    assert [each.help for each in told] == ["Did you mean moor-ale?", "Did you mean moor-alt?"]
    assert found("b/b.yaml", "a/a.yaml") == told


def store() -> ConfigStore:
    return ConfigStore(
        Disk(), frozenset({"report-age"}), offered=lambda name, _: frozenset({f"{name}-rule"})
    )


def said(store: ConfigStore, folder: str) -> list[tuple[str, str]]:
    findings = store.for_file(Path(folder, "a.yaml")).findings
    return [(each.path, each.pointer) for each in findings]


def test_configurations_that_build_on_each_other_in_a_circle(tree: Tree) -> None:
    tree(
        {
            f"{one}/waterlint.yaml": (
                f"{CONFIG}extends: ../{other}/waterlint.yaml\nrules: [{one}]\n"
                f"levels: {{{other}-rule: note}}\n"
            )
            for one, other in ("ab", "ba")
        }
    )
    one, other = store(), store()
    before, after = said(one, "a"), said(other, "b")
    assert before == [("b/waterlint.yaml", "/extends")]
    assert after == [("a/waterlint.yaml", "/extends")]
    assert (said(other, "a"), said(one, "b")) == (before, after)


def test_configurations_that_a_chain_is_too_long_for(tree: Tree) -> None:
    files = {
        f"c{number}/waterlint.yaml": (
            f"{CONFIG}extends: ../c{number + 1}/waterlint.yaml\nlevels: {{last-rule: note}}\n"
        )
        for number in range(29)
    }
    tree({**files, "c29/waterlint.yaml": f"{CONFIG}rules: [last]\n"})
    for order in ((0, 5, 20), (20, 5, 0), (5, 20, 0)):
        one = store()
        told = {number: said(one, f"c{number}") for number in order}
        assert told[20] == []
        # What is too far away to be built on is not known either.
        assert ("c9/waterlint.yaml", "/levels/last-rule") in told[5]
        assert ("c10/waterlint.yaml", "/levels/last-rule") not in told[5]
        assert {number: said(store(), f"c{number}") for number in order} == told


def test_the_line_of_a_configuration_that_was_judged_itself(
    tree: Tree, capsys: pytest.CaptureFixture[str]
) -> None:
    circle = {
        f"{one}/waterlint.yaml": f"{CONFIG}extends: ../{other}/waterlint.yaml\n"
        for one, other in ("ab", "ba")
    }
    tree({**circle, "a/a.yaml": recipe(), "a/well.yaml": report()})
    for names in (["a/a.yaml"], ["a/a.yaml", "b"], ["b", "a/a.yaml"]):
        main(["check", "--no-cache", *names])
        assert "\n  2 | extends: ../a/waterlint.yaml\n" in capsys.readouterr().out, names


def test_a_water_that_becomes_a_report(tree: Tree) -> None:
    tree({"a.yaml": recipe(), "well.yaml": recipe()})
    linter = Linter(Options(today=date(2026, 11, 1)))
    files = discover([Path()], linter.configs, linter.disk)
    (told,) = {each.message for each in linter.lint(files).findings}
    assert "well.yaml is no water report" in told
    linter.lint_text(report(), Path("well.yaml"))
    assert linter.lint_text(recipe(), Path("a.yaml")).findings == ()


def offer(install: Install, package: str, modules: dict[str, str]) -> None:
    """Install a package that offers several modules."""
    site = install(package, "")
    (site / f"{package}.py").unlink()
    (site / package).mkdir()
    (site / package / "__init__.py").write_text("")
    for name, text in modules.items():
        (site / package / f"{name}.py").write_text(text)
    lines = "".join(f"{name} = {package}.{name}\n" for name in modules)
    info = site / f"{package}-1.0.dist-info"
    (info / "entry_points.txt").write_text(f"[waterlint.rules]\n{lines}")


@pytest.fixture
def forgets(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Have this test's modules, and their rules, forgotten after it."""
    monkeypatch.setattr(registry, "_FOREIGN", {})
    yield
    for name in [each for each in sys.modules if each.partition(".")[0] == "brewkit"]:
        del sys.modules[name]


@pytest.mark.usefixtures("forgets")
@pytest.mark.parametrize("order", ["lh", "hl"])
def test_two_plugins_of_one_package(tree: Tree, install: Install, order: str) -> None:
    offer(install, "brewkit", {each: rule_module(f"{each}-rule") for each in ("light", "heavy")})
    tree(
        {
            "l/waterlint.yaml": f"{CONFIG}rules: [light]\n",
            "h/waterlint.yaml": f"{CONFIG}rules: [heavy]\n",
            **{f"{name}/a.yaml": recipe() for name in "lh"},
            **{f"{name}/well.yaml": report() for name in "lh"},
        }
    )
    for folder in order:
        assert [each.rule for each in found(f"{folder}/a.yaml")] == ["heavy-rule", "light-rule"]


def test_a_plugin_that_fails_says_the_same_each_time(tree: Tree, install: Install) -> None:
    install("failing_rules", rule_module("some-rule") + "\n1 / 0\n")
    tree({"waterlint.yaml": f"{CONFIG}rules: [failing_rules]\n"})
    first = found("waterlint.yaml")
    assert "ZeroDivisionError" in first[0].message
    assert found("waterlint.yaml") == first
    assert registry.foreign_rules("failing_rules") == ()


class _Forgetful(dict[str, object]):
    """Loses a line whenever somebody has asked whether it is there, as to another thread."""

    def __contains__(self, key: object) -> bool:
        known = super().__contains__(key)
        self.clear()
        return known


def test_a_line_that_another_thread_forgets(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(block_lines, "KNOWN", _Forgetful())
    line = block_lines.line_of("name: Pale")
    assert block_lines.line_of("name: Pale") == line


def _overlapping(make: Callable[[], AbstractContextManager[object]]) -> None:
    """Enter a context, and have another thread enter one before this leaves, and leave after it."""
    entered, leave = threading.Event(), threading.Event()

    def other() -> None:
        with make():
            entered.set()
            assert leave.wait(10)

    with ThreadPoolExecutor(1) as pool:
        with make():
            done = pool.submit(other)
            # Where only one thread may be inside, the other waits until this has left.
            entered.wait(0.2)
        leave.set()
        done.result()


def test_what_plugins_print_in_two_threads(monkeypatch: pytest.MonkeyPatch) -> None:
    out = io.StringIO()
    monkeypatch.setattr(sys, "stdout", out)
    with aside():
        assert sys.stdout is sys.stderr
    _overlapping(aside)
    assert sys.stdout is out


def test_the_search_path_of_two_threads(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.syspath_prepend(str(tmp_path))
    before = [*sys.path]
    _overlapping(lambda: Surroundings([tmp_path]).only_installed())
    assert sys.path == before


def test_rules_that_find_as_much_stand_in_the_order_of_their_names() -> None:
    # Texts in a set stand in another order in each process.
    names = [f"rule-{letter}" for letter in "fbhacgde"]
    findings = tuple(Finding(name, "note", "a.yaml", FILE_START, "so") for name in names)
    audit = Audit((Row("a.yaml", 0, "Pale", None, findings=findings),), 1, 1)
    shown = "".join(most_found(audit, {}))
    assert re.findall(r"rule-\w", shown) == sorted(names)
