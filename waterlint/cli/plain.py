"""Plain calls, taken without `argparse`.

Nearly all calls of the linter come from a hook or a script, and name files and a few options by
their full names. Importing `argparse`, making a parser and looking for a translation of its words
takes a tenth of such a run. So a command's arguments are declared on a `Plain` first, which takes a
call that leaves no question, just as `argparse` would, and says `None` of any other: an option
shortened, misspelt or without its value, a call for help.
"""

from __future__ import annotations

from types import SimpleNamespace

from waterlint.hints import TYPE_CHECKING, Any, cast
from waterlint.records import Record

if TYPE_CHECKING:
    import argparse
    from collections.abc import Callable, Sequence
    from typing import Protocol

    class Declared(Protocol):
        """What arguments are declared on: a parser, or a `Plain`."""

        def add_argument(self, *names: str, **given: Any) -> Any:
            """Take one more argument."""


class _Option(Record):
    """What is known of an option; without `takes` it stands alone."""

    place: str
    takes: Callable[[str], object] | None
    choices: tuple[str, ...] | None
    repeats: bool


class Plain:
    """The arguments of a command, declared as on a parser."""

    def __init__(self) -> None:
        self.options: dict[str, _Option] = {}
        self.defaults: dict[str, Any] = {}
        self.files = ""

    def add_argument(self, *names: str, **given: Any) -> None:
        """Take one more argument: files, or an option of the kinds that the commands have."""
        (name,) = names
        place = name.strip("-").replace("-", "_")
        if name == place:
            self.files = place
            self.defaults[place] = []
            return
        action = given.get("action")
        takes = None if action == "store_true" else given.get("type", str)
        self.options[name] = _Option(place, takes, given.get("choices"), action == "append")
        self.defaults[place] = False if takes is None else given.get("default")

    def take(self, argv: Sequence[str]) -> argparse.Namespace | None:
        """The arguments of a plain call; `None` of a call that is for `argparse` to judge."""
        found: dict[str, Any] = {
            place: list(value) if isinstance(value, list) else value
            for place, value in self.defaults.items()
        }
        files: list[str] = []
        ended = False
        words = iter(argv)
        for word in words:
            if word == "-" or not word.startswith("-"):
                if ended:  # files in two places
                    return None
                files.append(word)
                continue
            ended = bool(files)
            name, sign, value = word.partition("=")
            option = self.options.get(name)
            if option is None or (sign and (option.takes is None or not value)):
                return None
            if option.takes is None:
                found[option.place] = True
                continue
            if not sign:
                value = next(words, "-")
                if value.startswith("-") or not value:
                    return None
            if option.choices is not None and value not in option.choices:
                return None
            if option.repeats:
                found[option.place].append(option.takes(value))
            else:
                found[option.place] = option.takes(value)
        found[self.files] = files
        return cast("argparse.Namespace", SimpleNamespace(**found))
