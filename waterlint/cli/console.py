"""What the commands share: options, streams, and the words for a wrong call."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterable, Mapping, Sequence

from waterlint.cli.plain import Plain
from waterlint.finding import LEVELS, Level
from waterlint.hints import TYPE_CHECKING, TextIO, cast
from waterlint.paths import Path

if TYPE_CHECKING:
    import argparse

    from waterlint.cli.plain import Declared
    from waterlint.days import date
    from waterlint.project.config import LevelOrOff
    from waterlint.report import Options
    from waterlint.rules.registry import Rule


class UsageError(Exception):
    """The call is wrong; the text says how, and what to write instead."""


def run_command(
    parser: Callable[[], argparse.ArgumentParser],
    command: Callable[[argparse.Namespace], int],
    argv: Sequence[str],
    declare: Callable[[Declared], None] | None = None,
) -> int:
    """Run a command on what is made of a call; the exit status.

    With `declare`, which declares the arguments of `parser`, a plain call does without a parser.
    """
    try:
        taken = None
        if declare is not None:
            plain = Plain()
            declare(plain)
            taken = plain.take(argv)
        return command(parser().parse_args(argv) if taken is None else taken)
    except UsageError as error:
        return wrong_call(error)


def wrong_call(error: UsageError) -> int:
    """Tell a wrong call on standard error; the exit status."""
    write(f"waterlint: {error}\n", sys.stderr)
    return 2


def write(text: str, stream: TextIO) -> None:
    """Write a text whatever the stream's encoding can show; what it cannot is escaped."""
    encoding = stream.encoding or "utf-8"
    stream.write(text.encode(encoding, errors="backslashreplace").decode(encoding))


def wants_color(stream: TextIO) -> bool:
    """Whether to colour: a terminal that is not dumb, and no NO_COLOR."""
    return stream.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def width() -> int:
    """Columns to wrap explanations to: the terminal's, at most 100."""
    try:
        columns = int(os.environ.get("COLUMNS", "0"))
        if columns <= 0:
            columns = os.get_terminal_size(sys.stdout.fileno()).columns
    except (AttributeError, ValueError, OSError):
        columns = 0
    return min(columns, 100) if columns > 0 else 100


def add_common(parser: Declared) -> None:
    """The options that every command that reads recipes takes."""
    parser.add_argument(
        "--config",
        metavar="FILE",
        type=Path,
        help="use this configuration for every file instead of the nearest waterlint.yaml",
    )
    parser.add_argument(
        "--allow-root",
        metavar="DIR",
        type=Path,
        action="append",
        default=[],
        help="let files refer to files below this folder too (may be repeated)",
    )


def add_judging(parser: Declared) -> None:
    """The options of every command that judges findings."""
    parser.add_argument(
        "--fail-on",
        choices=("error", "warning", "note", "never"),
        default="warning",
        help="the mildest level that gives exit status 1 (default: warning)",
    )
    add_rule(parser)
    parser.add_argument(
        "--baseline",
        metavar="FILE",
        type=Path,
        help="set aside the findings that this file holds, instead of the configuration's",
    )
    add_as_of(parser)


def add_rule(parser: Declared) -> None:
    """The option that gives rules other levels."""
    parser.add_argument(
        "--rule",
        metavar="NAME=LEVEL",
        action="append",
        default=[],
        help="give a rule another level: off, note, warning or error (may be repeated)",
    )


def add_as_of(parser: Declared) -> None:
    """The option that says which day it is."""
    parser.add_argument(
        "--as-of",
        metavar="DATE",
        help="judge ages as of this day, YYYY-MM-DD (default: today)",
    )


def add_running(parser: Declared) -> None:
    """The options of every command that looks at a whole collection."""
    parser.add_argument(
        "--jobs",
        metavar="N",
        default="auto",
        help="judge files in so many processes (default: auto, all cores for many files)",
    )
    parser.add_argument(
        "--no-cache",
        action="store_true",
        help="neither use nor keep what was found in earlier runs (in .waterlint-cache)",
    )


def options(arguments: argparse.Namespace) -> Options:
    """The linter's options from a parsed call.

    Raises
    ------
    UsageError
        If a rule, a level, a date or a folder is not what it should be.
    """
    # Imported late: a hook call that finds nothing to do never comes here.
    from waterlint.report import Options

    allow_roots = tuple(_existing_folder(folder) for folder in arguments.allow_root)
    return Options(
        today=_day(getattr(arguments, "as_of", None)),
        levels=_levels(getattr(arguments, "rule", []), arguments, allow_roots),
        config=_existing_file(arguments.config),
        allow_roots=allow_roots,
        baseline=_baseline(arguments, allow_roots),
    )


def fail_on(arguments: argparse.Namespace) -> Level | None:
    """The mildest level that fails, or `None` for never."""
    chosen = arguments.fail_on
    return cast(Level, chosen) if chosen in LEVELS else None


def _day(text: str | None) -> date | None:
    if text is None:
        return None
    try:
        # Imported late: a hook with nothing to do asks for no day.
        from waterlint.days import date

        return date.fromisoformat(text)
    except ValueError:
        raise UsageError(f"--as-of takes a day such as 2026-03-14, not {text!r}") from None


def _levels(
    texts: Iterable[str], arguments: argparse.Namespace, allow_roots: tuple[Path, ...]
) -> Mapping[str, LevelOrOff]:
    texts = list(texts)
    if not texts:
        return {}
    from waterlint.project.config import FIXED_RULES
    from waterlint.rules.registry import all_rules

    levels: dict[str, LevelOrOff] = {}
    rules = all_rules()
    if any(text.partition("=")[0] not in rules for text in texts):
        rules = _with_plugins(arguments, allow_roots)
    for text in texts:
        name, sign, level = text.partition("=")
        if not sign or level not in ("off", *LEVELS):
            raise UsageError(
                f"--rule takes NAME=LEVEL with off, note, warning or error, not {text!r}"
            )
        if name not in rules:
            from difflib import get_close_matches

            near = get_close_matches(name, list(rules), 1)
            guess = f"; did you mean {near[0]}?" if near else "; `waterlint explain` lists them"
            raise UsageError(f"there is no rule named {name!r}{guess}")
        if name in FIXED_RULES:
            raise UsageError(f"{name} concerns whether a file can be read, and keeps its level")
        levels[name] = cast("LevelOrOff", level)
    return levels


def _with_plugins(
    arguments: argparse.Namespace, allow_roots: tuple[Path, ...]
) -> Mapping[str, Rule]:
    """All rules, those included that the configurations of the call's files bring along."""
    from waterlint.linter import Linter, Options
    from waterlint.project.discovery import discover

    linter = Linter(Options(config=_existing_file(arguments.config), allow_roots=allow_roots))
    named = [*getattr(arguments, "paths", ()), *getattr(arguments, "files", ())]
    paths = [each for each in paths_of(named) if each != Path("-")]
    given = Path(getattr(arguments, "stdin_name", None) or "here.yaml")
    linter.rules_for(given)
    for found in discover(paths, linter.configs, linter.disk):
        linter.rules_for(found.path)
    return linter.rules_of_run()


def _baseline(arguments: argparse.Namespace, allow_roots: tuple[Path, ...]) -> Path | None:
    path: Path | None = getattr(arguments, "baseline", None)
    if path is None:
        return None
    from waterlint.project.root import is_inside, project_root

    if not is_inside(path, (project_root(Path("here")), *allow_roots)):
        raise UsageError(f"--baseline: {path} lies outside the project; --allow-root allows it")
    if not path.is_file() and not getattr(arguments, "update_baseline", False):
        raise UsageError(f"--baseline: there is no file {path}; --update-baseline makes it")
    return path


def _existing_file(path: Path | None) -> Path | None:
    if path is not None and not path.is_file():
        raise UsageError(f"--config: there is no file {path}")
    return path


def _existing_folder(path: Path) -> Path:
    if not path.is_dir():
        raise UsageError(f"--allow-root: there is no folder {path}")
    return path


def paths_of(texts: Sequence[str]) -> list[Path]:
    """The paths of a call; here when none is given."""
    return [Path(text) for text in texts] or [Path()]
