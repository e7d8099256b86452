"""`waterlint suggest`: the smallest change of additions that clears what is found."""

from __future__ import annotations

import argparse
import shlex
import sys
from collections.abc import Sequence

from waterlint.cli.console import (
    UsageError,
    add_as_of,
    add_common,
    add_rule,
    options,
    paths_of,
    width,
    write,
    wrong_call,
)
from waterlint.cli.parsing import Parser
from waterlint.cli.telling import tell_broken_configs, tell_errors, tell_why_none
from waterlint.finding import Level
from waterlint.hints import cast
from waterlint.linter import Linter, Options, Report
from waterlint.output.suggestion import Suggested, render_json, render_text
from waterlint.paths import Path
from waterlint.project.discovery import Found, discover
from waterlint.project.files import Disk, ReadProblem
from waterlint.records import Record, field, replace
from waterlint.remedy.program import SolverMissing
from waterlint.remedy.proposal import propose
from waterlint.remedy.shown import show
from waterlint.remedy.situation import Situation, situations
from waterlint.remedy.solver import need_solver
from waterlint.remedy.wishes import BadWish, Wishes, read_aim, read_kept, read_name
from waterlint.remedy.writing import write_steps
from waterlint.source.diff import diff_text
from waterlint.source.edit import CannotEdit

_MOST_ALTERNATIVES = 20


def run(argv: Sequence[str]) -> int:
    """Run the command; the exit status."""
    try:
        return _run(parser().parse_args(argv))
    except UsageError as error:
        return wrong_call(error)
    except (BadWish, SolverMissing) as error:
        return wrong_call(UsageError(str(error)))


def parser() -> argparse.ArgumentParser:
    """What the command takes."""
    made = Parser(
        prog="waterlint suggest",
        description=(
            "Propose the smallest change of additions that clears the findings of each recipe. "
            "Only what is in stock, or in the recipe already, is used. Nothing is written; "
            "`waterlint fix --doses` writes it."
        ),
    )
    made.add_argument("paths", nargs="+", metavar="RECIPE", help="recipe files and folders")
    made.add_argument(
        "--format",
        choices=("text", "json", "diff"),
        default="text",
        help="diff: the best proposals, as `git apply` takes them",
    )
    made.add_argument(
        "--level",
        choices=("error", "warning", "note"),
        default="warning",
        help="the mildest findings to clear (default: warning)",
    )
    _add_wishes(made)
    add_rule(made)
    add_as_of(made)
    add_common(made)
    return made


def _add_wishes(made: argparse.ArgumentParser) -> None:
    """What the brewer wants besides clean findings."""
    made.add_argument(
        "--keep",
        metavar="ADDITIVE[.PLACE][=AMOUNT]",
        action="append",
        default=[],
        help="settle an amount, in one place or over all of them (may be repeated)",
    )
    made.add_argument(
        "--without",
        metavar="ADDITIVE",
        action="append",
        default=[],
        help="use none of it (may be repeated)",
    )
    made.add_argument(
        "--only",
        metavar="ADDITIVE[,ADDITIVE…]",
        action="append",
        default=[],
        help="change nothing but these; a soft water's name allows blending with it",
    )
    made.add_argument(
        "--aim",
        metavar="QUANTITY=VALUE",
        action="append",
        default=[],
        help="come as near to a figure as can be, such as mash_ph=5.4 (may be repeated)",
    )
    made.add_argument(
        "--alternatives",
        metavar="N",
        type=int,
        default=0,
        help="show up to N more proposals that change other additives",
    )


class _Shown(Record, frozen=False):
    """What is to be shown of all files: proposals, and the best ones of each file as one diff."""

    proposals: list[Suggested] = field(default_factory=list)
    diffs: list[str] = field(default_factory=list)
    recipes: int = 0


def _run(arguments: argparse.Namespace) -> int:
    need_solver()
    if not 0 <= arguments.alternatives <= _MOST_ALTERNATIVES:
        raise UsageError(f"--alternatives takes a number from 0 to {_MOST_ALTERNATIVES}")
    chosen = options(arguments)
    linter = Linter(chosen)
    found = discover(paths_of(arguments.paths), linter.configs, linter.disk)
    shown = _Shown()
    status = 0
    for file in found:
        status = max(status, _suggest(file, linter, chosen, arguments, shown))
    if not shown.recipes and status == 0:
        return tell_why_none(found, linter, arguments.paths)
    status = max(status, tell_broken_configs(found, linter))
    if arguments.format == "json":
        write(render_json(shown.proposals), sys.stdout)
    elif arguments.format == "diff":
        write("".join(shown.diffs), sys.stdout)
    else:
        write(render_text(shown.proposals, width()), sys.stdout)
        if any(each.changed for each in shown.proposals):
            write(_how_to_write(arguments), sys.stdout)
    return status


def _how_to_write(arguments: argparse.Namespace) -> str:
    own = (arguments.keep, arguments.without, arguments.only, arguments.aim, arguments.rule)
    if any(own) or arguments.level != "warning":
        how = "the same call with `--format diff`, piped into `git apply`"
    else:
        how = f"`waterlint fix --doses {' '.join(map(shlex.quote, arguments.paths))}`"
    return f"\nNothing is written yet. To write it: {how}.\n"


def _suggest(
    file: Found, linter: Linter, chosen: Options, arguments: argparse.Namespace, shown: _Shown
) -> int:
    """Add the proposals for one file to `shown`; the exit status that it asks for."""
    text = None if linter.disk.is_refused(file.path) else _text_of(file.path)
    if text is None:
        report = linter.lint([file])
        tell_errors(report.findings, linter)
        return 2
    wishes = _wishes(arguments, linter, file.path)
    status, written = 0, text
    for situation in situations(text, file.path, chosen, cast(Level, arguments.level)):
        shown.recipes += 1
        if not isinstance(situation, Situation):
            judge, errors = situation
            tell_errors(errors, judge)
            status = max(status, Report(errors).exit_status("error"))
            continue
        try:
            proposals = propose(situation, wishes)
            best = proposals[0]
            written = write_steps(
                replace(situation, text=written), best.after.levers, best.after.steps
            )
        except CannotEdit as error:
            words = f"{situation.shown}: a change has no place in this file: {error}"
            write(f"waterlint: {words}\n", sys.stderr)
            status = max(status, 1)
            continue
        shown.proposals += [show(each, number) for number, each in enumerate(proposals, 1)]
        short = best.left or best.new or best.after.missed_aims or best.remarks
        status = max(status, int(bool(short)))
    shown.diffs.append(diff_text(text, written, linter.disk.shown(file.path)))
    return status


def _text_of(path: Path) -> str | None:
    data = Disk().bytes_of(path)
    if isinstance(data, ReadProblem):
        return None
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        return None


def _wishes(arguments: argparse.Namespace, linter: Linter, path: Path) -> Wishes:
    """The wishes of the call, read with the additives that the file's house knows."""
    catalog = linter.configs.for_file(linter.disk.absolute(path)).catalog
    known = catalog.additives
    only: frozenset[str] | None = None
    if arguments.only:
        names = [name.strip() for text in arguments.only for name in text.split(",")]
        only = frozenset(read_name(name, [*known, *catalog.waters]) for name in names)
    return Wishes(
        keep=tuple(read_kept(text, known) for text in arguments.keep),
        without=frozenset(read_name(name, [*known, *catalog.waters]) for name in arguments.without),
        only=only,
        aims=tuple(read_aim(text) for text in arguments.aim),
        alternatives=arguments.alternatives,
    )
