"""`waterlint hook`: lint what a commit touches, and what depends on it.

Called by the git hook with the files that changed. What the staged changes touch besides is
added: recipes that use a water report or a configuration that changes, is renamed or deleted.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence

from waterlint.cli.console import (
    add_common,
    add_judging,
    add_running,
    fail_on,
    options,
    run_command,
    wants_color,
    width,
    write,
)
from waterlint.hints import TYPE_CHECKING
from waterlint.paths import Path

if TYPE_CHECKING:
    import argparse

    from waterlint.cli.plain import Declared
    from waterlint.output.excerpt import LineSource
    from waterlint.project.git import Change
    from waterlint.report import Options, Report


def run(argv: Sequence[str]) -> int:
    """Run the command; the exit status."""
    return run_command(parser, _run, [_as_file(text) for text in argv], _declare)


def parser() -> argparse.ArgumentParser:
    """What the command takes."""
    # Imported late: most calls are plain.
    from waterlint.cli.parsing import Parser

    made = Parser(
        prog="waterlint hook",
        description="Lint the given files and every recipe that depends on what is staged.",
    )
    _declare(made)
    return made


def _declare(made: Declared) -> None:
    made.add_argument("files", nargs="*", metavar="FILE", help="what the commit changes")
    made.add_argument(
        "--show-files", action="store_true", help="print the files and why each; lint nothing"
    )
    add_judging(made)
    add_running(made)
    add_common(made)


def _as_file(text: str) -> str:
    """An argument that names a file at the top of the repository is no option, whatever its name.

    The hook passes on file names as they are, and who sends a change chooses them.
    """
    return f"./{text}" if text.startswith("-") and os.path.lexists(text) else text


def _run(arguments: argparse.Namespace) -> int:
    from waterlint.project.git import names_one, staged_changes, top_of

    changes = staged_changes(Path.cwd())
    if changes is None and top_of(Path.cwd()) is not None:
        # Silence would look as if nothing depended on the commit.
        write(
            "waterlint: git does not say what is staged, so only the files that are named are "
            "checked; `git status` tells why\n",
            sys.stderr,
        )
    changes = changes or []
    touched = [*arguments.files]
    for change in changes:
        touched += [str(path) for path in (change.path, change.old_path) if path is not None]
    # A commit that concerns no YAML file is none of ours, and costs no more than this: a report
    # may have any name, but some YAML file must say it.
    is_yaml = any(name.lower().endswith((".yaml", ".yml")) for name in touched)
    if not is_yaml and not (touched and names_one(touched, Path.cwd())):
        return 0
    if arguments.show_files:
        return _show_files(arguments, changes)
    return _lint(arguments, changes)


def _lint(arguments: argparse.Namespace, changes: list[Change]) -> int:
    from waterlint.cli.running import jobs
    from waterlint.project.git import tracked
    from waterlint.records import replace

    jobs(arguments)
    files = [Path(name) for name in arguments.files]
    given = replace(options(arguments), tracked=tracked(Path.cwd()))
    if not arguments.no_cache:
        from waterlint.cache.quick_hook import quick_hook

        quick = quick_hook(files, changes, given)
        if quick is not None:
            return _tell(arguments, quick.report, quick.line, [])
    return _lint_anew(arguments, changes, given)


def _lint_anew(arguments: argparse.Namespace, changes: list[Change], given: Options) -> int:
    from waterlint.cli.running import in_processes, jobs, remembering
    from waterlint.hooking import reasons, select
    from waterlint.linter import Linter

    linter = Linter(given)
    files = [Path(name) for name in arguments.files]
    with remembering(linter, [Path.cwd()], arguments):
        selection = select(files, changes, linter, Path.cwd())
        found = selection.found()
        report = in_processes(linter, jobs(arguments), lambda: linter.lint(found))
    faulty = {finding.path for finding in report.findings}
    told = [f"{reason}\n" for reason in reasons(linter, selection, faulty)]
    return _tell(arguments, report, linter.line, told)


def _tell(
    arguments: argparse.Namespace, report: Report, line: LineSource, told: Sequence[str]
) -> int:
    shown = "".join(told)
    if report.findings:
        from waterlint.output import text

        shown += text.render(
            report.findings,
            report.summary(),
            line,
            color=wants_color(sys.stdout),
            width=width(),
        )
    write(shown, sys.stdout)
    return report.exit_status(fail_on(arguments))


def _show_files(arguments: argparse.Namespace, changes: list[Change]) -> int:
    from waterlint.hooking import select
    from waterlint.linter import Linter
    from waterlint.output.files import render_files

    linter = Linter(options(arguments))
    files = [Path(name) for name in arguments.files]
    selection = select(files, changes, linter, Path.cwd())
    checked = [(linter.disk.shown(file.path), file.reason) for file in selection.found()]
    skipped = [(linter.disk.shown(each.path), each.reason) for each in selection.skipped]
    write(render_files(checked, skipped), sys.stdout)
    return 0
