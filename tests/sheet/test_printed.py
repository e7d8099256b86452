"""The page on paper: one sheet a recipe, in a real browser where there is one."""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import pytest

from waterlint.cli.main import main

ROOT = Path(__file__).resolve().parent.parent.parent
CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")


@pytest.mark.skipif(CHROMIUM is None, reason="there is no chromium to print with")
def test_each_example_recipe_fits_one_sheet(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(ROOT)
    page, printed = tmp_path / "sheets.html", tmp_path / "sheets.pdf"
    folders = ("example-recipes/ales", "example-recipes/lagers")
    assert main(["sheet", *folders, "--as-of", "2026-11-01", "--page", str(page)]) == 0
    capsys.readouterr()
    assert CHROMIUM is not None
    subprocess.run(
        [
            CHROMIUM,
            "--headless",
            "--no-sandbox",
            "--disable-gpu",
            f"--user-data-dir={tmp_path / 'profile'}",
            "--no-pdf-header-footer",
            f"--print-to-pdf={printed}",
            page.as_uri(),
        ],
        check=True,
        capture_output=True,
        timeout=120,
    )
    sheets = page.read_text(encoding="utf-8").count("<article>")
    pages = len(re.findall(rb"/Type\s*/Page\b", printed.read_bytes()))
    assert sheets == 12 and pages == sheets
