"""`waterlint check`: lint files and folders."""

from __future__ import annotations

import os
import sys
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence

from waterlint.cli.console import (
    UsageError,
    add_common,
    add_judging,
    add_running,
    fail_on,
    options,
    paths_of,
    run_command,
    wants_color,
    width,
    write,
)
from waterlint.cli.progress import Progress
from waterlint.cli.running import in_processes, jobs, remembering
from waterlint.finding import Level
from waterlint.hints import TYPE_CHECKING
from waterlint.output.formats import FORMATS, pieces
from waterlint.output.outcome import Outcome
from waterlint.paths import Path
from waterlint.records import replace
from waterlint.report import Options, Report

if TYPE_CHECKING:
    import argparse

    from waterlint.cli.plain import Declared
    from waterlint.linter import Linter
    from waterlint.rules.registry import Rule
    from waterlint.source.lines import Lines


def run(argv: Sequence[str]) -> int:
    """Run the command; the exit status."""
    return run_command(parser, _run, argv, _declare)


def parser() -> argparse.ArgumentParser:
    """What the command takes."""
    # Imported late: most calls are plain.
    from waterlint.cli.parsing import Parser

    made = Parser(
        prog="waterlint check",
        description="Lint recipes, water reports and configurations (default: this folder).",
    )
    _declare(made)
    return made


def _declare(made: Declared) -> None:
    made.add_argument("paths", nargs="*", metavar="PATH", help="files and folders; - reads text")
    made.add_argument("--format", choices=tuple(FORMATS), default="text", help="default: text")
    made.add_argument(
        "--output",
        metavar="FORMAT=FILE",
        action="append",
        default=[],
        help="write a report in this format to a file besides (may be repeated)",
    )
    made.add_argument(
        "--stdin-name", metavar="PATH", help="where the text that - reads would stand"
    )
    made.add_argument(
        "--show-config", metavar="FILE", help="print what holds for a file, and why; lint nothing"
    )
    made.add_argument(
        "--show-files", action="store_true", help="print the files and why each; lint nothing"
    )
    made.add_argument(
        "--statistics", action="store_true", help="count the findings of each rule afterwards"
    )
    made.add_argument(
        "--update-baseline",
        action="store_true",
        help="record what is found today in the baseline, so that only new findings count",
    )
    add_judging(made)
    add_running(made)
    add_common(made)


def _run(arguments: argparse.Namespace) -> int:
    outputs = [_output(text) for text in arguments.output]
    _keep_apart([file for _, file in outputs])
    jobs(arguments)
    given = replace(options(arguments), update_baseline=arguments.update_baseline)
    least = fail_on(arguments)
    done = _recalled(arguments, given, least)
    linter: Linter | None = None
    if done is None:
        # Imported late: a run whose findings are all known does without.
        from waterlint.linter import Linter

        linter = Linter(given)
        if arguments.show_config is not None:
            write(linter.configs.describe(Path(arguments.show_config)), sys.stdout)
            return 0
        if arguments.show_files:
            return _show_files(linter, arguments)
        report = _report(linter, arguments)
        done = report, _outcome(report, least, linter.rules_of_run(), linter.lines)
    report, outcome = done
    for piece in pieces(arguments.format, outcome):
        write(piece, sys.stdout)
    for name, file in outputs:
        _write_output(file, FORMATS[name](replace(outcome, color=False)))
    if arguments.statistics:
        _write_statistics(report)
    if linter is not None and linter.memory is not None and linter.memory.has_news:
        from waterlint.cache.quick import keep_whole

        keep_whole(paths_of(arguments.paths), given, report.files)
    return report.exit_status(least)


def _recalled(
    arguments: argparse.Namespace, given: Options, least: Level | None
) -> tuple[Report, Outcome] | None:
    """The outcome of a run that has nothing to find out; `None` for any other."""
    asks = (arguments.show_config is not None, arguments.show_files, _reads_text(arguments))
    # SARIF tells all rules, which takes their modules.
    tells_rules = any(name.startswith("sarif") for name in (arguments.format, *arguments.output))
    if arguments.no_cache or tells_rules or any(asks):
        return None
    from waterlint.cache.quick import quick_run

    quick = quick_run(paths_of(arguments.paths), given)
    if quick is None:
        return None
    return quick.report, _outcome(quick.report, least, {}, quick.lines)


def _report(linter: Linter, arguments: argparse.Namespace) -> Report:
    if _reads_text(arguments):
        return _lint_standard_input(linter, arguments)
    from waterlint.project.discovery import survey

    paths = paths_of(arguments.paths)
    with remembering(linter, paths, arguments):
        looked = survey(paths, linter.exclusions(), linter.disk)
        linter.note_skipped(looked.skipped)
        found = looked.found
        if arguments.update_baseline and not any(linter.baseline_of(each.path) for each in found):
            raise UsageError(
                "--update-baseline needs a file to write: `baseline: waterlint-baseline.json` in "
                "waterlint.yaml, or --baseline FILE"
            )
        with Progress(sys.stderr) as linter.progress:
            return in_processes(linter, jobs(arguments), lambda: linter.lint(found))


def _show_files(linter: Linter, arguments: argparse.Namespace) -> int:
    from waterlint.output.files import render_files
    from waterlint.project.discovery import survey

    looked = survey(paths_of(arguments.paths), linter.configs, linter.disk)
    checked = [(linter.disk.shown(file.path), file.reason) for file in looked.found]
    skipped = [(linter.disk.shown(each.path), each.reason) for each in looked.skipped]
    write(render_files(checked, skipped), sys.stdout)
    return 0


def _reads_text(arguments: argparse.Namespace) -> bool:
    return arguments.paths == ["-"] or bool(arguments.stdin_name and not arguments.paths)


def _lint_standard_input(linter: Linter, arguments: argparse.Namespace) -> Report:
    if not arguments.stdin_name:
        raise UsageError("reading from - needs --stdin-name PATH, so that `from:` can be followed")
    if arguments.update_baseline:
        raise UsageError("--update-baseline records what is found in files, not in -")
    return linter.lint_bytes(sys.stdin.buffer.read(), Path(arguments.stdin_name))


def _outcome(
    report: Report,
    least: Level | None,
    rules: Mapping[str, Rule],
    lines: Callable[[str], Lines | None],
) -> Outcome:
    return Outcome(
        findings=report.findings,
        accepted=report.accepted,
        summary=report.summary(),
        paths=report.paths,
        rules=rules,
        lines=lines,
        weight=lambda finding: report.weight(finding, least),
        color=wants_color(sys.stdout),
        width=width(),
        known=report.known,
    )


def _output(option: str) -> tuple[str, Path]:
    name, sign, file = option.partition("=")
    if not sign or not file or name not in FORMATS:
        *names, last = FORMATS
        known = f"{', '.join(names)} or {last}"
        raise UsageError(f"--output takes FORMAT=FILE with {known}, not {option!r}")
    return name, Path(file)


def _keep_apart(files: Iterable[Path]) -> None:
    seen: set[str] = set()
    for file in files:
        place = os.path.realpath(file)
        if place in seen:
            from waterlint.output.text import path_text

            raise UsageError(f"--output: {path_text(str(file))} is named twice; name two files")
        seen.add(place)


def _write_output(file: Path, content: str) -> None:
    from waterlint.cli.writing import write_named

    write_named("--output", file, content.encode("utf-8", errors="backslashreplace"))


def _write_statistics(report: Report) -> None:
    counts = Counter(finding.rule for finding in report.findings)
    lines = [f"{number:6d}  {rule}\n" for rule, number in counts.most_common()]
    write("".join(lines), sys.stderr)
