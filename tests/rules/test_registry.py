"""A rule is registered as it was written, and found by its name."""

from __future__ import annotations

import json
import subprocess
import sys
from datetime import date

import pytest

from waterlint.catalog.catalog import default_catalog
from waterlint.finding import Related, Span
from waterlint.project.config import Settings
from waterlint.records import replace
from waterlint.rules import registry
from waterlint.rules.registry import Case, Example, Rule, UsedWater, add, all_rules, rule

from .making import document_of

TEXT = "base: &all {grams: 5}\nother: *all\nlist:\n  - 7\n"


def case() -> Case:
    return Case("a.yaml", document_of(TEXT, "a.yaml"), Settings(), default_catalog(), date.min)


def entry(name: str, module: str) -> Rule:
    def check(case: Case) -> tuple[()]:
        return ()

    check.__module__ = module
    return replace(all_rules()["mash-ph"], name=name, check=check)


@pytest.fixture
def apart(monkeypatch: pytest.MonkeyPatch) -> None:
    """Registries that are thrown away afterwards."""
    all_rules()
    monkeypatch.setattr(registry, "_REGISTRY", dict(registry._REGISTRY))
    monkeypatch.setattr(registry, "_FOREIGN", {})


@pytest.mark.usefixtures("apart")
def test_all_that_the_decorator_is_told_is_kept() -> None:
    sound, broken = Example("a: 1\n"), Example("a: 2\n", files={"b.yaml": "c: 3\n"})

    @rule(
        "plover",
        subject="water",
        levels=("note", "error"),
        what="What.",
        why="Why.",
        limits=("a limit",),
        configure="How.",
        failing=broken,
        passing=sound,
        group="birds",
        excusable=False,
    )
    def check(case: Case) -> tuple[()]:
        return ()

    check.__module__ = "waterlint.rules.birds"
    (kept,) = registry.foreign_rules(__name__)
    assert kept == Rule(
        *("plover", "water", ("note", "error"), "What.", "Why.", ("a limit",), "How."),
        *(broken, sound, check, "birds", False),
    )
    assert (sound.files, replace(kept, group="").excusable) == ({}, False)


@pytest.mark.usefixtures("apart")
def test_a_rule_may_be_excused_and_has_no_group_unless_said() -> None:
    @rule(
        "curlew",
        subject="recipe",
        levels=("note",),
        what="",
        why="",
        limits=(),
        configure="",
        failing=None,
        passing=None,
    )
    def check(case: Case) -> tuple[()]:
        return ()

    (kept,) = registry.foreign_rules(__name__)
    assert (kept.group, kept.excusable, kept.check) == ("", True, check)


@pytest.mark.usefixtures("apart")
def test_rules_of_other_packages_are_kept_apart() -> None:
    for name, module in [
        ("heron", "birds.waders"),
        ("stork", "birds"),
        ("teal", "birdsong"),
        ("crake", "waterlint.rules.crake"),
        ("heron", "birds.others"),
    ]:
        add(entry(name, module))
    assert [each.name for each in registry.foreign_rules("birds")] == ["stork", "heron", "heron"]
    assert [each.name for each in registry.foreign_rules("birds.waders")] == ["heron"]
    assert "crake" in all_rules() and "heron" not in all_rules()
    add(replace(entry("rail", "birds"), check=None))
    assert "rail" in all_rules()


@pytest.mark.usefixtures("apart")
@pytest.mark.parametrize("module", ["birds", "waterlint.rules.mash"])
def test_two_rules_of_one_name(module: str) -> None:
    add(entry("snipe", module))
    with pytest.raises(ValueError, match=r"^two rules are named snipe$"):
        add(entry("snipe", module))


def test_the_built_in_rules_are_in_order() -> None:
    assert list(all_rules()) == sorted(all_rules())


def test_rules_are_found_without_a_folder_too() -> None:
    """In a fresh process, whose `os.listdir` knows no folder, as none is in a zip file."""
    code = (
        "import json, os, sys\n"
        "def listdir(path='.', real=os.listdir):\n"
        "    if str(path).endswith('rules') and sys._getframe(1).f_code.co_name == '_modules':\n"
        "        raise OSError\n"
        "    return real(path)\n"
        "os.listdir = listdir\n"
        "from waterlint.rules import registry\n"
        "print(json.dumps([registry._modules(), list(registry.all_rules())]))\n"
    )
    out = subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True)
    names, rules = json.loads(out.stdout)
    assert names == registry._modules()
    assert rules == list(all_rules())


def test_a_finding_says_where_it_stands() -> None:
    elsewhere = Related("b.yaml", Span(1, 1, 1, 2), "there")
    found = case().finding(
        *("plover", "warning", "/base/grams", "Too much."),
        help="Take less.",
        basis="a book",
        related=(elsewhere,),
        quantity="calcium",
        vessel="mash",
        unit="mg/L",
        value=5.0,
        value_low=4.0,
        value_high=6.0,
        low=1.0,
        high=2.0,
    )
    assert (found.rule, found.level, found.message) == ("plover", "warning", "Too much.")
    assert (found.path, found.document, found.pointer) == ("a.yaml", 0, "/base/grams")
    assert (found.span.line, found.span.column, found.span.end_column) == (1, 20, 21)
    assert (found.help, found.basis) == ("Take less.", "a book")
    assert (found.quantity, found.vessel, found.unit) == ("calcium", "mash", "mg/L")
    assert (found.value, found.value_low, found.value_high) == (5.0, 4.0, 6.0)
    assert (found.low, found.high) == (1.0, 2.0)
    assert found.related[0] == elsewhere


def test_a_finding_at_a_key_and_by_another_name() -> None:
    plain = case().finding("plover", "note", "/list/0", "Seven.")
    assert (plain.span.line, plain.span.column) == (4, 5)
    assert (plain.help, plain.basis, plain.related, plain.quantity) == ("", "", (), None)
    at_key = case().finding("plover", "note", "/base/grams", "Here.", key=True)
    assert (at_key.span.column, at_key.span.end_column) == (13, 18)
    assert case().place("/base/grams", key=True) == at_key.span
    assert case().place("/base/grams").column == 20
    aliased = case().finding("plover", "note", "/other/grams", "Five.")
    (named,) = aliased.related
    places = [(each.line, each.column) for each in (aliased.span, named.span)]
    assert (places, named.path) == ([(2, 8), (1, 20)], "a.yaml")


def test_a_water_that_was_not_found() -> None:
    water = UsedWater("a", None)
    assert (water.path, water.document, water.problem, water.help) == (None, None, None, "")
    assert not water.untracked
