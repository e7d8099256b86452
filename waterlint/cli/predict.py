"""`waterlint predict`: the water and mash figures of recipes."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence

from waterlint.cli.console import (
    Parser,
    UsageError,
    add_common,
    options,
    paths_of,
    wants_color,
    width,
    write,
    wrong_call,
)
from waterlint.finding import Finding
from waterlint.linter import Linter, Report
from waterlint.output import predictions, text
from waterlint.prediction.result import Prediction
from waterlint.project.discovery import discover


def run(argv: Sequence[str]) -> int:
    """Run the command; the exit status."""
    try:
        return _run(parser().parse_args(argv))
    except UsageError as error:
        return wrong_call(error)


def parser() -> argparse.ArgumentParser:
    """What the command takes."""
    made = Parser(
        prog="waterlint predict",
        description="Show the predicted water of each vessel, the whole batch, and the mash pH.",
    )
    made.add_argument("paths", nargs="+", metavar="RECIPE", help="recipe files and folders")
    made.add_argument("--format", choices=("text", "json"), default="text")
    add_common(made)
    return made


def _run(arguments: argparse.Namespace) -> int:
    linter = Linter(options(arguments))
    linter.keeps_files = True  # for their predictions
    found = discover(paths_of(arguments.paths), linter.configs, linter.disk)
    report = linter.lint(found)
    made: list[Prediction] = []
    for file in found:
        made += linter.predictions(file.path)
    errors = tuple(finding for finding in report.findings if finding.level == "error")
    if not made and not errors:
        raise UsageError(f"there is no recipe in {', '.join(arguments.paths)}")
    if arguments.format == "json":
        write(predictions.render_json(made), sys.stdout)
    else:
        write(predictions.render_table(made), sys.stdout)
    if errors:
        _tell(errors, linter)
    return _status(report)


def _tell(errors: tuple[Finding, ...], linter: Linter) -> None:
    summary = Report(errors, files=len({finding.path for finding in errors})).summary()
    shown = text.render(errors, summary, linter.line, color=wants_color(sys.stderr), width=width())
    write(shown, sys.stderr)


def _status(report: Report) -> int:
    return report.exit_status("error")
