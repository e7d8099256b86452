"""`waterlint predict`: the water and mash figures of recipes."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Sequence

from waterlint.cli.console import (
    UsageError,
    add_common,
    options,
    paths_of,
    run_command,
    write,
)
from waterlint.cli.parsing import Parser
from waterlint.cli.telling import no_recipe, tell_errors
from waterlint.hints import TYPE_CHECKING
from waterlint.linter import Linter
from waterlint.output import predictions
from waterlint.prediction.result import Prediction
from waterlint.project.discovery import discover

if TYPE_CHECKING:
    from waterlint.output.chances import Chances
    from waterlint.rules.registry import Case


def run(argv: Sequence[str]) -> int:
    """Run the command; the exit status."""
    return run_command(parser, _run, argv)


def parser() -> argparse.ArgumentParser:
    """What the command takes."""
    made = Parser(
        prog="waterlint predict",
        description="Show the predicted water of each vessel, the whole batch, and the mash pH.",
    )
    made.add_argument("paths", nargs="+", metavar="RECIPE", help="recipe files and folders")
    made.add_argument("--format", choices=("text", "json"), default="text", help="default: text")
    made.add_argument(
        "--chances",
        action="store_true",
        help="show how often each limit holds when all that is uncertain is drawn at random, and "
        "what decides it",
    )
    made.add_argument(
        "--samples", metavar="N", type=int, help="how many draws for --chances (default: 2000)"
    )
    made.add_argument(
        "--seed", metavar="N", type=int, help="other draws for --chances (default: 1)"
    )
    add_common(made)
    return made


def _run(arguments: argparse.Namespace) -> int:
    judge = _chances(arguments)
    linter = Linter(options(arguments))
    linter.keeps_files = True  # for their predictions
    found = discover(paths_of(arguments.paths), linter.configs, linter.disk)
    report = linter.lint(found)
    made: list[Prediction] = []
    chances: list[Chances] = []
    for file in found:
        for case in linter.cases(file.path):
            assert case.prediction is not None
            made.append(case.prediction)
            if judge is not None:
                chances.append(judge(case))
    errors = tuple(finding for finding in report.findings if finding.level == "error")
    if not made and not errors:
        raise no_recipe(arguments.paths)
    if arguments.format == "json":
        write(predictions.render_json(made, chances), sys.stdout)
    else:
        write(predictions.render_table(made, chances), sys.stdout)
    if errors:
        tell_errors(errors, linter)
    return report.exit_status("error")


def _chances(arguments: argparse.Namespace) -> Callable[[Case], Chances] | None:
    """What works out chances, if they are asked for."""
    if not arguments.chances:
        if arguments.samples is not None or arguments.seed is not None:
            raise UsageError("--samples and --seed say how --chances draws, which is not asked for")
        return None
    # Imported late: numpy comes with it.
    from waterlint.chances.chance import LEAST_SAMPLES, MOST_SAMPLES, SAMPLES, chances_of

    samples = SAMPLES if arguments.samples is None else arguments.samples
    if not LEAST_SAMPLES <= samples <= MOST_SAMPLES:
        raise UsageError(f"--samples takes a number from {LEAST_SAMPLES} to {MOST_SAMPLES}")
    seed = 1 if arguments.seed is None else arguments.seed
    return lambda case: chances_of(case, samples, seed)
