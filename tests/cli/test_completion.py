"""Completion by the shell, asked for as the shell does."""

from __future__ import annotations

import importlib
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from waterlint.cli.main import COMMANDS

Tree = Callable[..., Path]

PROGRAM = "import sys; sys.argv[0] = 'waterlint'; from waterlint.cli.main import main; main()"


def _complete(line: str, folder: Path, program: str = PROGRAM) -> tuple[int, list[str], str]:
    answer = folder / "answer"
    answer.write_bytes(b"")
    environment = {
        **os.environ,
        "_ARGCOMPLETE": "1",
        "_ARGCOMPLETE_IFS": "\n",
        "_ARGCOMPLETE_STDOUT_FILENAME": os.fspath(answer),
        "COMP_LINE": line,
        "COMP_POINT": str(len(line)),
    }
    done = subprocess.run(
        [sys.executable, "-c", program],
        cwd=folder,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )
    return done.returncode, answer.read_text("utf-8").split("\n"), done.stdout


@pytest.mark.parametrize(
    ("line", "some", "none"),
    [
        ("waterlint ", ["check", "init", "hook"], ["porter.yaml"]),
        ("waterlint sch", ["schema "], ["check"]),
        ("waterlint check --fail-on ", ["error", "never"], ["--rule"]),
        ("waterlint check por", ["porter.yaml "], []),
        ("waterlint explain batch-sod", ["batch-sodium "], []),
        ("waterlint check --rule batch-sod", ["batch-sodium=off", "batch-sodium=note"], []),
        ("waterlint init --only pre", ["pre-commit "], []),
    ],
)
def test_the_shell_is_answered(tree: Tree, line: str, some: list[str], none: list[str]) -> None:
    folder = tree({"porter.yaml": "waterlint: recipe/1\n"})
    status, answers, output = _complete(line, folder)
    assert status == 0
    assert set(some) <= set(answers) and not set(none) & set(answers)
    assert output == ""


def test_without_the_library_nothing_runs(tree: Tree) -> None:
    """The line is unfinished; running it could write files."""
    folder = tree({})
    program = "import sys; sys.modules['argcomplete'] = None; " + PROGRAM.replace(
        "'waterlint'", "'waterlint', 'init'"
    ).replace("sys.argv[0]", "sys.argv[:]")
    status, answers, output = _complete("waterlint init", folder, program)
    assert (status, answers, output) == (1, [""], "")
    assert [path.name for path in folder.iterdir()] == ["answer"]


@pytest.mark.parametrize("name", list(COMMANDS))
def test_every_command_can_be_completed(name: str) -> None:
    parser = importlib.import_module(COMMANDS[name][0]).parser()
    assert parser.prog == f"waterlint {name}"
