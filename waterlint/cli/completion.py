"""Completion of a command line by the shell, through `argcomplete` (the extra ``completion``).

The shell calls the program anew at each press of the key, with what is written so far; so this is
imported only then, and no other call pays for it.
"""

from __future__ import annotations

import argparse
import importlib
from collections.abc import Callable, Iterable, Mapping


def complete(commands: Mapping[str, tuple[str, str]]) -> None:
    """Answer the shell and leave the process; without `argcomplete`, with no answer.

    Parameters
    ----------
    commands : mapping
        Module and purpose of each command.
    """
    try:
        import argcomplete
    except ImportError:
        # The line is unfinished: never run it.
        raise SystemExit(1) from None
    argcomplete.autocomplete(whole_parser(commands), always_complete_options="long")


def whole_parser(commands: Mapping[str, tuple[str, str]]) -> argparse.ArgumentParser:
    """One parser for all commands, each as its own module makes it."""
    whole = argparse.ArgumentParser(prog="waterlint")
    whole.add_argument("--version", action="store_true")
    branches = whole.add_subparsers(dest="command")
    for name, (module, purpose) in commands.items():
        own: argparse.ArgumentParser = importlib.import_module(module).parser()
        _offer_rules(own)
        branches.add_parser(name, parents=[own], add_help=False, help=purpose)
    return whole


def _offer_rules(parser: argparse.ArgumentParser) -> None:
    # The actions have no other name; it is the one that argcomplete itself reads.
    for action in parser._actions:
        if action.metavar in ("RULE", "NAME=LEVEL"):
            # `explain RULE` takes a name, `--rule NAME=LEVEL` a name and more.
            action.completer = _rules("=" if action.option_strings else "")  # type: ignore[attr-defined]


def _rules(ending: str) -> Callable[..., Iterable[str]]:
    def names(**_call: object) -> Iterable[str]:
        from waterlint.finding import LEVELS
        from waterlint.rules.registry import all_rules

        if not ending:
            return list(all_rules())
        levels = ("off", *LEVELS)
        return [f"{name}={level}" for name in all_rules() for level in levels]

    return names
