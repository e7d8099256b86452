"""The README's example of a remedy is what the command prints."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from waterlint.cli.main import main

pytest.importorskip("scipy.optimize")

ROOT = Path(__file__).resolve().parent.parent.parent


def test_the_proposal_of_the_readme(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    found = re.search(r"```console\n\$ \.venv/bin/waterlint (suggest .*)\n((?s:.*?))```", readme)
    assert found is not None
    monkeypatch.chdir(ROOT)
    monkeypatch.setenv("COLUMNS", "100")
    assert main(found.group(1).split()) == 0
    assert capsys.readouterr().out == found.group(2)
