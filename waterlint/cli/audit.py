"""`waterlint audit`: a whole collection as a table, and as a page with charts."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from fnmatch import fnmatchcase

from waterlint.audit.choose import KEYS, BadChoice, Filter, arranged, read_condition
from waterlint.audit.collect import collect
from waterlint.catalog.styles import STYLES, nearest
from waterlint.cli.console import (
    UsageError,
    add_common,
    add_judging,
    fail_on,
    options,
    paths_of,
    wants_color,
    write,
    wrong_call,
)
from waterlint.cli.parsing import Parser
from waterlint.cli.progress import Progress
from waterlint.cli.telling import tell_why_none
from waterlint.cli.writing import check_page, write_named
from waterlint.linter import Linter
from waterlint.output import audit_csv, audit_json, audit_text
from waterlint.output.audit import Audit
from waterlint.paths import Path
from waterlint.project.discovery import Found, discover
from waterlint.records import replace

#: Columns of a table that goes to no terminal.
_WIDTH = 120


def run(argv: Sequence[str]) -> int:
    """Run the command; the exit status."""
    try:
        return _run(parser().parse_args(argv))
    except UsageError as error:
        return wrong_call(error)
    except BadChoice as error:
        return wrong_call(UsageError(str(error)))


def parser() -> argparse.ArgumentParser:
    """What the command takes."""
    made = Parser(
        prog="waterlint audit",
        description=(
            "Show every recipe of a collection in one row: mash pH, residual alkalinity, ions, and "
            "what is found. The exit status is that of `waterlint check`, whatever the filters."
        ),
    )
    made.add_argument("paths", nargs="*", metavar="PATH", help="files and folders (default: here)")
    made.add_argument(
        "--format", choices=("text", "csv", "json"), default="text", help="default: text"
    )
    made.add_argument(
        "--page", metavar="FILE", type=Path, help="write a page with charts that stands alone"
    )
    _add_choice(made)
    add_judging(made)
    add_common(made)
    return made


def _add_choice(made: argparse.ArgumentParser) -> None:
    """Which recipes are shown, and in which order."""
    made.add_argument(
        "--sort",
        metavar="BY",
        choices=KEYS,
        default="path",
        help=f"{', '.join(KEYS)} (default: path)",
    )
    made.add_argument("--reverse", action="store_true", help="turn the order round")
    made.add_argument(
        "--worst",
        choices=("error", "warning", "note", "none"),
        default="",
        help="only recipes with a finding at least this grave; none: only those without any",
    )
    made.add_argument(
        "--style",
        metavar="STYLE",
        action="append",
        default=[],
        help="only recipes of this style, such as '*-stout' (may be repeated)",
    )
    made.add_argument(
        "--found",
        metavar="RULE",
        action="append",
        default=[],
        help="only recipes in which this rule finds something (may be repeated)",
    )
    made.add_argument(
        "--where",
        metavar="CONDITION",
        action="append",
        default=[],
        help="only recipes whose figure is so, such as 'sodium > 60' (may be repeated)",
    )


def _run(arguments: argparse.Namespace) -> int:
    chosen = Filter(
        worst=arguments.worst,
        styles=tuple(arguments.style),
        rules=tuple(arguments.found),
        conditions=tuple(read_condition(text) for text in arguments.where),
    )
    linter = Linter(options(arguments))
    if arguments.page is not None:
        _check_page(arguments.page)
    found = discover(paths_of(arguments.paths), linter.configs, linter.disk)
    for file in found:
        linter.rules_for(file.path)  # plugins bring rules of their own
    _check_rules(chosen, linter)
    _check_styles(chosen, found, linter)
    missing = [file for file in found if not os.path.lexists(file.path)]
    status = tell_why_none(missing, linter, arguments.paths) if missing else 0
    if missing:
        # What is not there is no recipe of the collection.
        found = [file for file in found if file not in missing]
        if not found:
            return status
    return max(status, _audit(found, linter, chosen, arguments))


def _audit(
    found: Sequence[Found], linter: Linter, chosen: Filter, arguments: argparse.Namespace
) -> int:
    """Show what there is; the exit status."""
    maker = None
    if arguments.page is not None:
        from waterlint.page.audit import PageMaker

        maker = PageMaker(arguments.page, linter.rules_of_run())
    with Progress(sys.stderr) as progress:
        collected = collect(
            linter,
            found,
            is_wanted=chosen.admits,
            told=None if maker is None else maker.take,
            progress=progress,
        )
    rows = arranged(collected.audit.rows, arguments.sort, reverse=arguments.reverse)
    audit = replace(collected.audit, rows=tuple(rows))
    if maker is not None:
        write_named("--page", arguments.page, maker.render(audit, linter.today))
    write(_rendered(audit, arguments.format), sys.stdout)
    return collected.report.exit_status(fail_on(arguments))


def _check_rules(chosen: Filter, linter: Linter) -> None:
    """A misspelt rule finds nothing, which would read as good news."""
    for name in chosen.rules:
        if name not in linter.rules_of_run():
            from difflib import get_close_matches

            near = get_close_matches(name, list(linter.rules_of_run()), 1)
            guess = f"; did you mean {near[0]}?" if near else "; `waterlint explain` lists them"
            raise UsageError(f"--found: there is no rule named {name!r}{guess}")


def _check_styles(chosen: Filter, found: Sequence[Found], linter: Linter) -> None:
    """Nor is it good news that no recipe is of a style that there is not."""
    if not chosen.styles:
        return
    catalogs = [linter.configs.for_file(linter.disk.absolute(file.path)).catalog for file in found]
    known = {*STYLES}.union(*(catalog.styles for catalog in catalogs))
    for pattern in chosen.styles:
        if not any(fnmatchcase(style, pattern) for style in known):
            near = nearest(pattern, known, 1)
            guess = f"; did you mean {near[0]}?" if near else "; patterns such as '*-stout' do too"
            raise UsageError(f"--style: there is no style {pattern!r}{guess}")


def _rendered(audit: Audit, format_: str) -> str:
    if format_ == "csv":
        return audit_csv.render(audit)
    if format_ == "json":
        return audit_json.render(audit)
    return audit_text.render(audit, color=wants_color(sys.stdout), width=_columns())


def _columns() -> int:
    """The terminal's columns, all of them: a table is no text that grows hard to read."""
    try:
        columns = int(os.environ.get("COLUMNS", "0"))
        if columns <= 0:
            columns = os.get_terminal_size(sys.stdout.fileno()).columns
    except (AttributeError, ValueError, OSError):
        columns = 0
    return columns if columns > 0 else _WIDTH


def _check_page(path: Path) -> None:
    """Tell before a long run, rather than after it, that no page can come of it."""
    from waterlint.page.charts import ChartsMissing, need_charts

    try:
        need_charts()
    except ChartsMissing as error:
        raise UsageError(str(error)) from error
    check_page(path)
