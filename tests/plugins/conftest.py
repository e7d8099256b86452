"""Packages that offer rules, installed beside the project that is linted."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from waterlint.rules import registry

RULE = """
from waterlint.rules.registry import Case, rule
from waterlint.rules.samples import recipe_example

@rule(
    "{name}", subject="recipe", levels=("warning",), what="What is looked at here.",
    why="Why it is looked at.", limits=(), configure="Not at all.", failing=None, passing=None,
)
def check(case):
    {body}
"""

FINDING = 'yield case.finding("{name}", "warning", "/name", "the name is wrong")'


def rule_module(name: str, body: str = FINDING) -> str:
    """A module with one rule of this name."""
    return RULE.format(name=name, body=body.format(name=name))


Install = Callable[..., Path]


@pytest.fixture
def install(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Install]:
    """Put a package into a folder of Python's search path, as pip would leave it there."""
    modules: list[str] = []

    def put(module: str, text: str, *, name: str | None = None, folder: Path | None = None) -> Path:
        site = tmp_path / "installed" if folder is None else folder
        info = site / f"{module}-1.0.dist-info"
        info.mkdir(parents=True)
        (info / "METADATA").write_text(f"Metadata-Version: 2.1\nName: {module}\nVersion: 1.0\n")
        (info / "entry_points.txt").write_text(f"[waterlint.rules]\n{name or module} = {module}\n")
        (site / f"{module}.py").write_text(text)
        if str(site) not in sys.path:
            monkeypatch.syspath_prepend(str(site))
        modules.append(module)
        return site

    yield put
    for module in modules:
        sys.modules.pop(module, None)
        registry._FOREIGN.pop(module, None)
