"""`waterlint learn`: what the measured mashes of a house tell of its malts."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence

from waterlint.cli.console import (
    add_common,
    options,
    paths_of,
    run_command,
    width,
    write,
)
from waterlint.cli.parsing import Parser
from waterlint.cli.telling import no_recipe, tell_broken_configs, tell_why_none
from waterlint.learning.entries import learned_from
from waterlint.learning.mashes import LeftOut, Mash, measured_mash
from waterlint.linter import Linter
from waterlint.output.learned import Learned, render_json, render_text
from waterlint.output.sheet_text import fitted
from waterlint.output.text import path_text
from waterlint.project.discovery import Found, discover
from waterlint.rules.registry import Case


def run(argv: Sequence[str]) -> int:
    """Run the command; the exit status."""
    return run_command(parser, _run, argv)


def parser() -> argparse.ArgumentParser:
    """What the command takes."""
    made = Parser(
        prog="waterlint learn",
        description=(
            "Learn the own pH of the house's malts from recipes with a measured mash pH, say "
            "whether that predicts better than the defaults, and print what to put into "
            "waterlint.yaml. All files are taken as of one house. Nothing is written."
        ),
    )
    made.add_argument("paths", nargs="*", metavar="PATH", help="files and folders (default: here)")
    made.add_argument("--format", choices=("text", "json"), default="text", help="default: text")
    add_common(made)
    return made


def _run(arguments: argparse.Namespace) -> int:
    linter = Linter(options(arguments))
    # All files are of one house, so the order in which the call names them says nothing.
    found = sorted(
        discover(paths_of(arguments.paths), linter.configs, linter.disk),
        key=lambda file: linter.disk.shown(file.path),
    )
    if not found:
        raise no_recipe(arguments.paths)
    mashes: list[Mash] = []
    left_out: list[LeftOut] = []
    faulty: list[str] = []
    unread: list[Found] = []
    for file in found:
        if linter.intake.load(file.path).source is None:
            unread.append(file)
        else:
            _look(file, linter, mashes, left_out, faulty)
    status = tell_why_none(unread, linter, arguments.paths) if unread else 0
    if len(unread) == len(found):
        return status
    status = max(status, tell_broken_configs(found, linter))
    learned = learned_from(mashes, left_out)
    _print(learned, arguments.format)
    for path in faulty:
        write(
            f"waterlint: {path_text(str(path))} has errors; `waterlint check` tells them\n",
            sys.stderr,
        )
    return max(status, int(bool(learned.too_few or faulty)))


def _print(learned: Learned, format_: str) -> None:
    if format_ == "json":
        write(render_json(learned), sys.stdout)
    else:
        encoding = sys.stdout.encoding or "utf-8"
        write(fitted(render_text(learned, min(width(), 80)), encoding), sys.stdout)


def _look(
    file: Found,
    linter: Linter,
    mashes: list[Mash],
    left_out: list[LeftOut],
    faulty: list[str],
) -> None:
    """Sort what a file has measured."""
    loaded = linter.intake.load(file.path)
    parts = loaded.parts
    if any(part.kind == "recipe" and not part.recipe for part in parts):
        faulty.append(loaded.shown)
    if any(part.recipe is not None and part.recipe.measured_ph is not None for part in parts):
        for case in linter.cases(file.path):
            told = _measured(case)
            if isinstance(told, Mash):
                mashes.append(told)
            elif told is not None:
                left_out.append(told)
    if not any(part.kind == "water" for part in parts):
        # Ten thousand recipes need not be in memory at once; a report is asked for again.
        linter.intake.release(file.path)


def _measured(case: Case) -> Mash | LeftOut | None:
    assert case.recipe is not None
    reports = {
        name: water.report for name, water in case.waters.items() if water.report is not None
    }
    return measured_mash(case.recipe, reports, case.catalog, case.settings.scale)
