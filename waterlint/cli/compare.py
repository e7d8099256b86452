"""`waterlint compare`: what a new water report, or what has changed since a revision, does."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager

from waterlint.cli.console import (
    UsageError,
    add_common,
    add_judging,
    fail_on,
    options,
    paths_of,
    run_command,
    wants_color,
    width,
    write,
)
from waterlint.cli.parsing import Parser
from waterlint.cli.progress import Progress
from waterlint.cli.writing import check_page, write_named
from waterlint.hints import TYPE_CHECKING
from waterlint.paths import Path

if TYPE_CHECKING:
    from waterlint.compare.comparing import Mend, Question
    from waterlint.output.comparison import Comparison

FORMATS = ("text", "markdown", "json")


def run(argv: Sequence[str]) -> int:
    """Run the command; the exit status."""
    return run_command(parser, _run, argv)


def parser() -> argparse.ArgumentParser:
    """What the command takes."""
    made = Parser(
        prog="waterlint compare",
        description=(
            "Show what changes in every recipe that uses a water report when another is read in "
            "its place, or what has changed since a revision of git: figures before and after, "
            "findings that appear and that go. No recipe is written. Exit status 1 when a recipe "
            "gets a new finding that fails."
        ),
    )
    what = made.add_mutually_exclusive_group(required=True)
    what.add_argument(
        "--water",
        metavar="OLD=NEW",
        action="append",
        default=[],
        help="read the report NEW wherever a recipe uses OLD (may be repeated)",
    )
    what.add_argument(
        "--rev",
        metavar="REVISION",
        help="compare with the files at this revision: HEAD~1, a tag, a commit, or for a branch "
        "where it began, $(git merge-base main HEAD)",
    )
    made.add_argument(
        "paths", nargs="*", metavar="PATH", help="recipe files and folders (default: this folder)"
    )
    made.add_argument("--format", choices=FORMATS, default="text", help="default: text")
    made.add_argument(
        "--page", metavar="FILE", type=Path, help="write a page that stands alone, besides"
    )
    made.add_argument(
        "--suggest",
        action="store_true",
        help="propose the smallest change of doses for each recipe that falls out",
    )
    add_judging(made)
    add_common(made)
    return made


def _run(arguments: argparse.Namespace) -> int:
    # Imported late: help and completion do without.
    from waterlint.compare.comparing import compare, exit_status

    check_page(arguments.page)
    with _question(arguments) as question:
        comparison = compare(question, _mend(arguments, question))
        status = exit_status(comparison, question.after)
    write(_shown(comparison, arguments.format), sys.stdout)
    if arguments.page is not None:
        _write_page(arguments.page, comparison)
    return status


def _write_page(path: Path, comparison: Comparison) -> None:
    from waterlint.page.comparison import render

    write_named("--page", path, render(comparison).encode("utf-8", errors="backslashreplace"))


@contextmanager
def _question(arguments: argparse.Namespace) -> Iterator[Question]:
    from waterlint.compare.since import ask_since
    from waterlint.compare.water import ask_water, replacement_of
    from waterlint.compare.wrong import WrongQuestion

    given, least = options(arguments), fail_on(arguments)
    paths = [_there(path, arguments) for path in paths_of(arguments.paths)]
    try:
        with Progress(sys.stderr) as progress:
            if arguments.water:
                reports = [replacement_of(text) for text in arguments.water]
                yield ask_water(reports, paths, given, least, progress)
            else:
                with ask_since(arguments.rev, paths, given, least, progress) as question:
                    yield question
    except WrongQuestion as error:
        raise UsageError(str(error)) from None


def _there(path: Path, arguments: argparse.Namespace) -> Path:
    """A path that can be looked at: with --rev also one that is there no more."""
    if arguments.rev is None and not path.exists():
        raise UsageError(f"there is no file or folder {path}")
    return path


def _mend(arguments: argparse.Namespace, question: Question) -> Mend | None:
    if not arguments.suggest:
        return None
    from waterlint.compare.remedies import mender
    from waterlint.remedy.program import SolverMissing

    try:
        return mender(question.after.linter.options, fail_on(arguments) or "warning")
    except SolverMissing as error:
        raise UsageError(str(error)) from None


def _shown(comparison: Comparison, name: str) -> str:
    if name == "json":
        from waterlint.output import comparison_json

        return comparison_json.render(comparison)
    if name == "markdown":
        from waterlint.output import comparison_markdown

        return comparison_markdown.render(comparison)
    from waterlint.output import comparison_text

    return comparison_text.render(comparison, color=wants_color(sys.stdout), width=width())
