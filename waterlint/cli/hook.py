"""`waterlint hook`: lint what a commit touches, and what depends on it.

Called by the git hook with the files that changed. What the staged changes touch besides is
added: recipes that use a water report or a configuration that changes, is renamed or deleted.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from waterlint.cli.console import (
    Parser,
    UsageError,
    add_common,
    add_judging,
    fail_on,
    options,
    wants_color,
    width,
    write,
    wrong_call,
)

if TYPE_CHECKING:
    from waterlint.project.git import Change


def run(argv: Sequence[str]) -> int:
    """Run the command; the exit status."""
    parser = Parser(
        prog="waterlint hook",
        description="Lint the given files and every recipe that depends on what is staged.",
    )
    parser.add_argument("files", nargs="*", metavar="FILE", help="what the commit changes")
    add_judging(parser)
    add_common(parser)
    try:
        return _run(parser.parse_args(argv))
    except UsageError as error:
        return wrong_call(error)


def _run(arguments: argparse.Namespace) -> int:
    from waterlint.project.git import staged_changes

    changes = staged_changes(Path.cwd()) or []
    # A commit that concerns no YAML file is none of ours, and costs no more than this.
    touched = [*arguments.files]
    for change in changes:
        touched += [str(path) for path in (change.path, change.old_path) if path is not None]
    if not any(name.lower().endswith((".yaml", ".yml")) for name in touched):
        return 0
    return _lint(arguments, changes)


def _lint(arguments: argparse.Namespace, changes: list[Change]) -> int:
    from waterlint.hooking import lint_staged
    from waterlint.output import text

    files = [Path(name) for name in arguments.files]
    linter, report, reasons = lint_staged(files, changes, options(arguments), Path.cwd())
    if report.findings:
        shown = text.render(
            report.findings,
            report.summary(),
            linter.line,
            color=wants_color(sys.stdout),
            width=width(),
        )
        write("".join(f"{reason}\n" for reason in reasons) + shown, sys.stdout)
    return report.exit_status(fail_on(arguments))
