"""What a plain call is taken for is what `argparse` takes it for."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from types import ModuleType

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from waterlint.cli import check, hook
from waterlint.cli.plain import Plain

COMMANDS = (check, hook)
CONFIG = Path(__file__).parents[2] / "example-recipes" / "waterlint.yaml"

WORDS = st.sampled_from(
    (
        *("a.yaml", "b c.yaml", "", "-", "--", "-1", "-x", "-h", "--help", "--no-cache"),
        *("--no-cach", "--no-cache=", "--jobs", "--jobs=2", "--jobs=", "4", "--rule", "--rules"),
        *("--rule=a=off", "a=note", "--fail-on", "--fail-on=never", "--fail-on=ever", "note"),
        *("--config", "--config=x", "--allow-root=.", "--allow-root", "--format", "json", "yaml"),
        *("--format=sarif", "--output", "--output=json=r", "--stdin-name", "--as-of=2026-01-02"),
        *(
            "--show-files",
            "--statistics",
            "--update-baseline",
            "--baseline=b",
            "é.yaml",
            "=",
            "--=",
        ),
    )
)


def taken(command: ModuleType, words: list[str]) -> dict[str, object] | None:
    """A plain call's arguments; `None` where it is not plain."""
    plain = Plain()
    command._declare(plain)
    found = plain.take(words)
    return None if found is None else vars(found)


@given(st.sampled_from(COMMANDS), st.lists(WORDS, max_size=6))
@settings(max_examples=1500, deadline=None)
def test_plain_call_is_taken_as_by_argparse(command: ModuleType, words: list[str]) -> None:
    """Where it takes a call, `argparse` takes the same; what that refuses, it leaves alone."""
    found = taken(command, words)
    if found is not None:
        assert found == vars(command.parser().parse_args(words))
        # What is appended to in one call is not there in the next.
        assert found == taken(command, words)


@pytest.mark.parametrize("command", COMMANDS)
@pytest.mark.parametrize(
    "words",
    [
        [],
        ["a.yaml"],
        ["a.yaml", "b c.yaml", "-"],
        ["--no-cache", "a.yaml"],
        ["a.yaml", "--jobs=1", "--no-cache"],
        ["--rule", "a=off", "--rule=b=note", "--fail-on", "note", "a.yaml"],
        ["--config", "x.yaml", "--allow-root", "..", "--allow-root=/x", "--as-of=2026-01-02"],
    ],
)
def test_these_calls_are_plain(command: ModuleType, words: list[str]) -> None:
    """What hooks and scripts write."""
    assert taken(command, words) == vars(command.parser().parse_args(words))


@pytest.mark.parametrize(
    "words",
    [
        ["--help"],
        ["--no-cach"],
        ["--jobs"],
        ["--jobs", "--no-cache"],
        ["--fail-on=ever"],
        ["a.yaml", "--no-cache", "b.yaml"],
        ["--", "a.yaml"],
        ["-x"],
    ],
)
def test_these_are_not(words: list[str]) -> None:
    """They are left to `argparse`, to refuse or to take its way."""
    assert taken(check, words) is None


def test_files_stand_before_between_and_after_options() -> None:
    parser = check.parser()
    found = parser.parse_args(["a.yaml", "--no-cache", "b.yaml", "--format", "json", "-"])
    assert (found.paths, found.no_cache, found.format) == (["a.yaml", "b.yaml", "-"], True, "json")
    found = parser.parse_args(["--no-cache", "a.yaml", "--", "--format", "b.yaml"])
    assert (found.paths, found.format) == (["a.yaml", "--format", "b.yaml"], "text")
    assert parser.parse_args(["--", "--format", "b.yaml"]).paths == ["--format", "b.yaml"]


def test_plain_call_does_without_argparse() -> None:
    """It is what the whole is for."""
    program = (
        "import sys; from waterlint.cli.main import main; main(sys.argv[1:]);"
        "print(sorted({'argparse', 'gettext', 'locale'} & set(sys.modules)))"
    )
    said = {}
    for option in ("--no-cache", "--no-cach"):
        call = [sys.executable, "-c", program, "check", option, str(CONFIG)]
        done = subprocess.run(call, capture_output=True, text=True, check=True)
        said[option] = done.stdout.splitlines()[-1]
    assert said["--no-cache"] == "[]"
    assert "argparse" in said["--no-cach"]
