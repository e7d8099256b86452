"""The line that says how far a long run is."""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.cli.hooked import RECIPE, WATER
from waterlint.cli.progress import Progress
from waterlint.linter import Linter
from waterlint.project.discovery import Found

Tree = Callable[..., Path]


class _Stream(io.StringIO):
    def __init__(self, terminal: bool) -> None:
        super().__init__()
        self.terminal = terminal

    def isatty(self) -> bool:
        return self.terminal


class _Clock:
    def __init__(self) -> None:
        self.now = 100.0

    def __call__(self) -> float:
        return self.now


def _run(stream: _Stream, step: float, steps: int = 20) -> str:
    clock = _Clock()
    with Progress(stream, clock) as progress:
        for number in range(1, steps + 1):
            clock.now += step
            progress(number / steps, 3000)
    return stream.getvalue()


@pytest.fixture(autouse=True)
def _terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TERM", "xterm")


def test_a_long_run_at_a_terminal_says_how_far_it_is() -> None:
    shown = _run(_Stream(True), 0.3)
    parts = shown.split("\r\x1b[K")
    assert parts[0] == "" and parts[-1] == ""  # the line is gone at the end
    assert parts[1] == "checking 3,000 files: 20 %"  # after a second
    assert parts[-2] == "checking 3,000 files: 100 %"
    assert len(parts) == 2 + 17


def test_it_does_not_flicker() -> None:
    assert _run(_Stream(True), 0.001, 3000).count("checking") <= 21


def test_a_short_run_says_nothing() -> None:
    assert _run(_Stream(True), 0.04) == ""


def test_nobody_looks() -> None:
    assert _run(_Stream(False), 0.3) == ""


def test_a_terminal_that_cannot_erase(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TERM", "dumb")
    assert _run(_Stream(True), 0.3) == ""


def test_an_interrupted_run_leaves_no_line() -> None:
    stream, clock = _Stream(True), _Clock()
    with pytest.raises(KeyboardInterrupt), Progress(stream, clock) as progress:
        clock.now += 2
        progress(0.1, 10)
        raise KeyboardInterrupt
    assert stream.getvalue().endswith("10 %\r\x1b[K")


def test_the_linter_tells_each_step(tree: Tree) -> None:
    folder = tree({"a.yaml": RECIPE, "b.yaml": RECIPE, "waters/well.yaml": WATER})
    told: list[tuple[float, int]] = []
    linter = Linter()
    linter.progress = lambda share, files: told.append((share, files))
    found = [Found(folder / name, "named", True) for name in ("a.yaml", "b.yaml")]
    with_progress = linter.lint(found)
    assert told == [(0.5, 2), (1.0, 2)]
    assert with_progress == Linter().lint(found)
    assert Linter().lint([]).files == 0
