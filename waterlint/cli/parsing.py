"""A command's parser, for every call that is not plain (`plain.py`)."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence

from waterlint.cli.console import UsageError, width
from waterlint.hints import Any, NoReturn


class _Help(argparse.HelpFormatter):
    """Help as wide as the terminal; told so, since finding it out takes a library."""

    def __init__(self, prog: str) -> None:
        super().__init__(prog, width=width() - 2)


class Parser(argparse.ArgumentParser):
    """A parser that raises instead of leaving the process."""

    def __init__(self, prog: str, description: str) -> None:
        super().__init__(prog=prog, description=description, formatter_class=_Help)

    def parse_args(  # type: ignore[override]
        self, args: Sequence[str] | None = None, namespace: Any = None
    ) -> Any:
        """The arguments of a call; files may stand before, between and after options."""
        given = sys.argv[1:] if args is None else args
        if "--" in given:  # what follows it would be taken for options
            return super().parse_args(given, namespace)
        return self.parse_intermixed_args(given, namespace)

    def error(self, message: str) -> NoReturn:
        guess = self._guess(message)
        raise UsageError(f"{message}{guess}\n{self.format_usage().strip()}")

    def _guess(self, message: str) -> str:
        """The option that was probably meant by one that there is not."""
        opening, sign, words = message.partition("unrecognized arguments: ")
        unknown = [word.partition("=")[0] for word in words.split() if word.startswith("--")]
        if opening or not sign or not unknown:
            return ""
        from difflib import get_close_matches

        # Its options have no other name; a parser tells them to nobody.
        near = get_close_matches(unknown[0], self._option_string_actions, 1)
        return f"; did you mean {near[0]}?" if near else "; --help lists the options"
