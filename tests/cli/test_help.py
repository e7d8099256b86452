"""What `--help` says of each option, and what is said of an option that there is not."""

from __future__ import annotations

import importlib

import pytest

from waterlint.cli.main import COMMANDS, main
from waterlint.version import __version__


@pytest.mark.parametrize("command", COMMANDS)
def test_every_argument_is_explained(command: str) -> None:
    parser = importlib.import_module(COMMANDS[command][0]).parser()
    silent = [action.dest for action in parser._actions if not action.help]
    assert silent == [] and parser.description


def test_the_default_revision_is_named(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main(["init", "--help"])
    assert f"(default: the tag v{__version__})" in " ".join(capsys.readouterr().out.split())


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_tells_a_wrong_call(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main([command, "--xyzzy"]) == 2
    captured = capsys.readouterr()
    assert captured.out == "" and captured.err.startswith("waterlint: ")
    assert f"usage: waterlint {command}" in captured.err


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("check", "--frmat", "json"), "--frmat; did you mean --format?"),
        (("suggest", "a.yaml", "--alternativs=3"), "--alternativs=3; did you mean --alternatives?"),
        (("fix", "a.yaml", "--xyzzy"), "--xyzzy; --help lists the options"),
        (("schema", "recipe", "water"), "unrecognized arguments: water"),
    ],
)
def test_an_option_that_there_is_not(
    arguments: tuple[str, ...], told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(arguments) == 2
    captured = capsys.readouterr()
    assert captured.out == "" and captured.err.splitlines()[0].endswith(told)
