"""`waterlint sheet`: what to weigh into which vessel, in the order of its use."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence

from waterlint.cli.console import (
    UsageError,
    add_as_of,
    add_common,
    options,
    paths_of,
    run_command,
    write,
)
from waterlint.cli.parsing import Parser
from waterlint.cli.telling import no_recipe, tell_broken_configs, tell_errors, tell_why_none
from waterlint.cli.writing import check_page, write_named
from waterlint.linter import Linter, Options, Report
from waterlint.output.sheet import Sheet, render_json
from waterlint.output.sheet_text import render_text
from waterlint.paths import Path
from waterlint.project.discovery import Found, discover
from waterlint.project.files import Disk, ReadProblem
from waterlint.remedy.situation import Situation, situations
from waterlint.sheet.build import make_sheet
from waterlint.units import Quantity, QuantityError, parse


def run(argv: Sequence[str]) -> int:
    """Run the command; the exit status."""
    return run_command(parser, _run, argv)


def parser() -> argparse.ArgumentParser:
    """What the command takes."""
    made = Parser(
        prog="waterlint sheet",
        description=(
            "Print the weighing sheet of each recipe: what goes into which vessel, in the order "
            "of its use, with the mash pH to expect and room for what is measured. Nothing is "
            "written to the recipe."
        ),
    )
    made.add_argument("paths", nargs="+", metavar="RECIPE", help="recipe files and folders")
    made.add_argument(
        "--batch",
        metavar="VOLUME",
        help="for a batch of this size, such as '40 L': water, grist and doses in proportion",
    )
    made.add_argument(
        "--page", metavar="FILE", type=Path, help="write a page to print instead, as HTML"
    )
    made.add_argument("--format", choices=("text", "json"), help="default: text")
    add_as_of(made)
    add_common(made)
    return made


def _run(arguments: argparse.Namespace) -> int:
    batch = _batch(arguments.batch)
    if arguments.page is not None and arguments.format is not None:
        raise UsageError("--page writes a page and prints nothing: --format has no use with it")
    check_page(arguments.page)
    chosen = options(arguments)
    linter = Linter(chosen)
    found = discover(paths_of(arguments.paths), linter.configs, linter.disk)
    if not found:
        raise no_recipe(arguments.paths)
    sheets: list[Sheet] = []
    status = 0
    for file in found:
        status = max(status, _sheets_of(file, linter, chosen, batch, sheets))
    if not (sheets or status):
        return tell_why_none(found, linter, arguments.paths)
    status = max(status, tell_broken_configs(found, linter))
    if not sheets:
        return status
    if arguments.page is not None:
        _write_page(arguments.page, sheets)
    elif arguments.format == "json":
        write(render_json(sheets), sys.stdout)
    else:
        write(render_text(sheets, sys.stdout.encoding or "utf-8"), sys.stdout)
    return status


def _batch(text: str | None) -> Quantity | None:
    if text is None:
        return None
    try:
        batch = parse("volume", text)
    except QuantityError as error:
        raise UsageError(f"--batch: {error.message}. {error.help}") from None
    if not batch.value > 0.0:
        raise UsageError("--batch takes a volume above 0, such as '40 L'")
    return batch


def _sheets_of(
    file: Found, linter: Linter, chosen: Options, batch: Quantity | None, sheets: list[Sheet]
) -> int:
    """Add the sheets of one file; the exit status that it asks for."""
    data = None if linter.disk.is_refused(file.path) else Disk().bytes_of(file.path)
    text = None if data is None or isinstance(data, ReadProblem) else _decoded(data)
    if text is None:
        tell_errors(linter.lint([file]).findings, linter)
        return 2
    status = 0
    for situation in situations(text, file.path, chosen, "warning"):
        if isinstance(situation, Situation):
            sheets.append(make_sheet(situation, batch))
            continue
        judge, errors = situation
        tell_errors(errors, judge)
        status = max(status, Report(errors).exit_status("error"))
    return status


def _decoded(data: bytes) -> str | None:
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        return None


def _write_page(path: Path, sheets: Sequence[Sheet]) -> None:
    from waterlint.output.sheet_page import render_page

    write_named("--page", path, render_page(sheets).encode("utf-8"))
    write(f"wrote {path}\n", sys.stderr)
