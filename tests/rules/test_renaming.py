"""Misspelt names: which are mended by themselves, and which are only asked about."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.test_check import RECIPE, WATER
from waterlint.linter import Linter
from waterlint.rules.renaming import is_one_slip
from waterlint.source.edit import apply_fixes


@pytest.mark.parametrize(
    ("word", "meant"),
    [
        ("gypsm", "gypsum"),
        ("gypsuum", "gypsum"),
        ("gpysum", "gypsum"),
        ("gipsum", "gypsum"),
        ("GYPSUM", "gypsum"),
        ("gypsu", "gypsum"),
        ("gypsums", "gypsum"),
        ("calcium-chlorid", "calcium-chloride"),
        ("calcium-chloirde", "calcium-chloride"),
        ("calcium-chlaride", "calcium-chloride"),
    ],
)
def test_one_slip(word: str, meant: str) -> None:
    assert is_one_slip(word, meant)


@pytest.mark.parametrize(
    ("word", "meant"),
    [
        ("gypsum", "gypsum"),
        ("ypsum", "gypsum"),
        ("kypsum", "gypsum"),
        ("gips", "gypsum"),
        ("gipsun", "gypsum"),
        ("sodium-sulfite", "sodium-sulfate"),
        ("magnesium-chlorite", "magnesium-chloride"),
        ("sodium-chloride", "sodium-sulfate"),
        ("calcium-chlorids", "calcium-chloride"),
        ("sodium-sulfata", "sodium-sulfate"),
        ("potassium-metabisulfits", "potassium-metabisulfite"),
        ("", "gypsum"),
    ],
)
def test_more_than_a_slip(word: str, meant: str) -> None:
    assert not is_one_slip(word, meant)


def fixed(tmp_path: Path, text: str) -> str:
    (tmp_path / "waters").mkdir()
    (tmp_path / "waters/well.yaml").write_text(WATER)
    report = Linter().lint_text(text, tmp_path / "a.yaml")
    return apply_fixes(text, [each.fix for each in report.findings if each.fix]).text


STYLED = RECIPE.replace("batch:", "style: best-bitter\nbatch:")


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("add: calcium-chloride", "add: calcium-chlorid"),
        ("add: calcium-chloride", "add: 'calcium-chlorde'"),
        ("style: best-bitter", "style: best-biter"),
    ],
)
def test_a_name_with_one_slip_is_mended(tmp_path: Path, old: str, new: str) -> None:
    mended = STYLED.replace(old, "add: 'calcium-chloride'") if "'" in new else STYLED
    assert fixed(tmp_path, STYLED.replace(old, new)) == mended, "quotes stay"


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("add: calcium-chloride", "add: CaCl2"),
        ("add: calcium-chloride", "add: sodium-sulfite"),
        ("style: best-bitter", "style: bitter"),
    ],
)
def test_what_may_mean_something_else_is_left(tmp_path: Path, old: str, new: str) -> None:
    text = STYLED.replace(old, new)
    assert fixed(tmp_path, text) == text
