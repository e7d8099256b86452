"""`waterlint fix`: write into the files what can be mended, and leave all else as it stands."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence

from waterlint.cli.console import (
    UsageError,
    add_common,
    add_judging,
    fail_on,
    options,
    paths_of,
    wants_color,
    width,
    write,
    wrong_call,
)
from waterlint.cli.parsing import Parser
from waterlint.cli.telling import no_recipe, tell_broken_configs
from waterlint.cli.writing import cannot_write
from waterlint.finding import Finding
from waterlint.linter import Linter, Options, Report
from waterlint.output import text as output_text
from waterlint.paths import Path
from waterlint.project.discovery import Found, discover
from waterlint.project.files import Disk, ReadProblem
from waterlint.project.write import write_whole
from waterlint.records import Record
from waterlint.remedy.mechanical import mend
from waterlint.source.diff import diff_text


def run(argv: Sequence[str]) -> int:
    """Run the command; the exit status."""
    try:
        arguments = parser().parse_args(argv)
        return _run_with_solver(arguments) if arguments.doses else _run(arguments)
    except UsageError as error:
        return wrong_call(error)


def _run_with_solver(arguments: argparse.Namespace) -> int:
    from waterlint.remedy.program import SolverMissing
    from waterlint.remedy.solver import need_solver

    try:
        need_solver()
        return _run(arguments)
    except SolverMissing as error:
        raise UsageError(f"fix --doses: {error}") from error


def parser() -> argparse.ArgumentParser:
    """What the command takes."""
    made = Parser(
        prog="waterlint fix",
        description=(
            "Write mechanical fixes into the files: misspelt keys and words, decimal commas, "
            "exceptions that are no longer needed. With --doses the suggested doses too."
        ),
    )
    made.add_argument("paths", nargs="+", metavar="FILE", help="files and folders")
    made.add_argument("--diff", action="store_true", help="show what would change; write nothing")
    made.add_argument(
        "--doses", action="store_true", help="write what `waterlint suggest` proposes too"
    )
    made.add_argument(
        "--hook",
        action="store_true",
        help="leave out files that are none of waterlint's, and only fix: findings are the lint "
        "hook's to tell",
    )
    add_judging(made)
    add_common(made)
    return made


class _Outcome(Record):
    """What became of one file; `trouble` says why it could not be written."""

    path: Path
    shown: str
    before: str
    after: str
    applied: tuple[Finding, ...]
    changes: tuple[str, ...]
    remarks: tuple[str, ...]
    report: Report
    linter: Linter
    trouble: str = ""


def _run(arguments: argparse.Namespace) -> int:
    chosen = options(arguments)
    linter = Linter(chosen)
    found = discover(
        paths_of(arguments.paths), linter.configs, linter.disk, handed_over=arguments.hook
    )
    if not found and not arguments.hook:
        raise no_recipe(arguments.paths)
    status = 0
    for file in found:
        outcome = _fix(file, linter, chosen, arguments)
        if outcome is None:
            # What cannot be read is told as `check` tells it.
            report = linter.lint([file])
            _tell(report, linter, arguments)
            status = max(status, 2)
            continue
        status = max(status, _tell_outcome(outcome, arguments))
    if arguments.hook:
        return status
    told = {linter.disk.shown(file.path) for file in found}
    return max(status, tell_broken_configs(found, linter, told))


def _fix(
    file: Found, linter: Linter, chosen: Options, arguments: argparse.Namespace
) -> _Outcome | None:
    """Mend one file; `None` where it cannot be read."""
    if linter.disk.is_refused(file.path):
        return None
    # Read anew: a file that has been parsed in this run is remembered without its mark.
    data = Disk().bytes_of(file.path)
    if isinstance(data, ReadProblem):
        return None
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError:
        return None
    mending = mend(text, file.path, chosen)
    after, report, judge = mending.after, mending.report, mending.linter
    changes: tuple[str, ...] = ()
    remarks: tuple[str, ...] = ()
    if arguments.doses:
        from waterlint.remedy.dosing import write_doses

        dosed = write_doses(after, file.path, chosen, fail_on(arguments) or "warning")
        after, report, judge = dosed.text, dosed.report, dosed.linter
        changes, remarks = dosed.changes, dosed.remarks
    trouble = ""
    if after != text and not arguments.diff:
        trouble = _write(file.path, data, after)
    return _Outcome(
        file.path,
        linter.disk.shown(file.path),
        text,
        after,
        mending.applied,
        changes,
        remarks,
        report,
        judge,
        trouble,
    )


def _write(path: Path, data: bytes, after: str) -> str:
    try:
        write_whole(path, after.encode("utf-8"), expected=data)
    except OSError as error:
        return str(error.strerror)
    return ""


def _tell_outcome(outcome: _Outcome, arguments: argparse.Namespace) -> int:
    """Show what became of a file; the exit status that it asks for."""
    if arguments.diff:
        write(diff_text(outcome.before, outcome.after, outcome.shown), sys.stdout)
    if outcome.trouble:
        write(f"waterlint: {cannot_write(outcome.shown, outcome.trouble)}\n", sys.stderr)
        return 2
    verb = "would fix" if arguments.diff else "fixed"
    file = output_text.path_text(outcome.shown)
    told = [
        f"{file}:{finding.span.line}:{finding.span.column}: {verb}: {_words(finding)}\n"
        for finding in outcome.applied
    ]
    verb = "would dose" if arguments.diff else "dosed"
    told += [f"{file}: {verb}: {output_text.one_line(change)}\n" for change in outcome.changes]
    told += [f"{file}: {output_text.one_line(each)}\n" for each in outcome.remarks]
    write("".join(told), sys.stderr)
    if arguments.hook:
        return 0
    own = tuple(each for each in outcome.report.findings if each.path == outcome.shown)
    least = fail_on(arguments)
    if own:
        _tell(Report(own, files=1), outcome.linter, arguments)
    status = max((outcome.report.weight(finding, least) for finding in own), default=0)
    return max(status, int(arguments.diff and outcome.before != outcome.after))


def _words(finding: Finding) -> str:
    assert finding.fix is not None
    return output_text.one_line(f"{finding.message}: {finding.fix.description} [{finding.rule}]")


def _tell(report: Report, linter: Linter, arguments: argparse.Namespace) -> None:
    """Show findings as `check` does; with --diff, standard output is a patch and nothing else."""
    stream = sys.stderr if arguments.diff else sys.stdout
    shown = output_text.render(
        report.findings, report.summary(), linter.line, color=wants_color(stream), width=width()
    )
    write(shown, stream)
