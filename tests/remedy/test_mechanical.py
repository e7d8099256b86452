"""Mechanical fixes in passes."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.test_check import RECIPE, WATER
from waterlint.finding import Edit, Finding, Fix, Span
from waterlint.linter import Linter, Options, Report
from waterlint.remedy import mechanical
from waterlint.remedy.mechanical import MOST_PASSES, mend


def linted_by(faults: dict[str, tuple[str, str]]) -> object:
    """A linter's `lint_text` that finds texts and offers others for them."""

    def lint_text(self: Linter, text: str, path: Path) -> Report:
        found = []
        for fault, (replacement, rule) in faults.items():
            place = text.find(fault)
            if place >= 0:
                edit = Edit(place, place + len(fault), replacement)
                span = Span(1, place + 1, 1, place + 1)
                fix = Fix(f"write {replacement}", (edit,)) if replacement != fault else None
                found.append(Finding(rule, "error", self.disk.shown(path), span, fault, fix=fix))
        return Report(tuple(found), files=1)

    return lint_text


def mended(text: str, faults: dict[str, tuple[str, str]], patch: pytest.MonkeyPatch) -> str:
    patch.setattr(mechanical.Linter, "lint_text", linted_by(faults))
    return mend(text, Path("a.yaml"), Options()).after


def test_overlapping_faults_are_mended_one_after_the_other(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    faults = {"abc": ("bc", "x"), "bcd": ("b", "y"), "z": ("s", "x")}
    assert mended("abcd z", faults, monkeypatch) == "b s"


def test_fixes_that_feed_each_other_come_to_an_end(monkeypatch: pytest.MonkeyPatch) -> None:
    # Each pass of `a` writes `b` and the other way round: the passes are counted.
    assert mended("a", {"a": ("b", "x"), "b": ("a", "x")}, monkeypatch) in ("a", "b")
    assert MOST_PASSES < 20


def test_a_fix_that_mends_nothing_is_taken_back(monkeypatch: pytest.MonkeyPatch) -> None:
    faults = {"a": ("aa", "x"), "q": ("p", "x")}
    assert mended("a q", faults, monkeypatch) == "a p"


def test_a_fix_that_makes_the_file_unreadable_is_taken_back(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    faults = {"a": ("{", "x"), "q": ("p", "x"), "{": ("{", "invalid-yaml")}
    assert mended("a q", faults, monkeypatch) == "a p"


def test_a_second_document_is_mended_too(tmp_path: Path) -> None:
    (tmp_path / "waters").mkdir()
    (tmp_path / "waters/well.yaml").write_text(WATER)
    broken = f"{RECIPE}---\n{RECIPE.replace('grist:', 'girst:')}"
    mending = mend(broken, tmp_path / "a.yaml", Options())
    assert mending.after == f"{RECIPE}---\n{RECIPE}"
    assert [finding.rule for finding in mending.applied] == ["unknown-key"]
