"""`waterlint init`: the files that a recipe repository starts with."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence

from waterlint.cli.console import UsageError, write, wrong_call
from waterlint.cli.parsing import Parser
from waterlint.cli.writing import cannot_write
from waterlint.paths import Path
from waterlint.project.root import absolute, project_root
from waterlint.starting.files import KINDS, StartingFile, starting_files
from waterlint.starting.origin import PLACEHOLDER, Origin, UnsafeText
from waterlint.starting.placing import Placed, place

#: The kinds whose files install waterlint by themselves.
_INSTALLING = frozenset({"github", "gitlab", "script"})


def run(argv: Sequence[str]) -> int:
    """Run the command; the exit status."""
    try:
        return _run(parser().parse_args(argv))
    except UsageError as error:
        return wrong_call(error)


def parser() -> argparse.ArgumentParser:
    """What the command takes."""
    made = Parser(
        prog="waterlint init",
        description="Write the files that a recipe repository starts with: a configuration, the "
        "commit hook, checks for CI, an editor's settings. What is there already stays as it is.",
    )
    made.add_argument(
        "folder", nargs="?", default=".", metavar="FOLDER", help="where the recipes are"
    )
    made.add_argument(
        "--only",
        metavar="KIND",
        choices=tuple(KINDS),
        action="append",
        default=[],
        help=f"write this kind only (may be repeated): {', '.join(KINDS)}",
    )
    made.add_argument("--yes", action="store_true", help="write all without asking")
    made.add_argument(
        "--print",
        dest="shown",
        metavar="KIND",
        choices=tuple(KINDS),
        help="print what would be written of this kind; write nothing",
    )
    made.add_argument(
        "--repo",
        metavar="ADDRESS",
        help="the git repository that hook and CI install waterlint from",
    )
    made.add_argument(
        "--rev",
        metavar="REVISION",
        help=f"a tag or commit of it (default: the tag {Origin().revision})",
    )
    return made


def _run(arguments: argparse.Namespace) -> int:
    folder = absolute(arguments.folder)
    if not folder.is_dir():
        raise UsageError(f"there is no folder {arguments.folder}")
    root = project_root(folder / "waterlint.yaml", folder)
    origin = _origin(arguments)
    if arguments.shown:
        files = starting_files([arguments.shown], folder, root, origin)
        write("\n".join(_headed(file, len(files) > 1) for file in files), sys.stdout)
        return 0
    kinds = arguments.only or list(KINDS)
    files = starting_files(kinds, folder, root, origin)
    if not (arguments.only or arguments.yes) and _can_ask():
        files = _chosen(files)
    placed = [place(file, root) for file in files]
    for one in placed:
        write(f"{_line(one, origin)}\n", sys.stderr if one.fate == "failed" else sys.stdout)
    write("".join(f"{line}\n" for line in _next(placed, origin)), sys.stdout)
    return 2 if any(one.fate == "failed" for one in placed) else 0


def _origin(arguments: argparse.Namespace) -> Origin:
    try:
        if arguments.rev is None:
            return Origin(arguments.repo)
        return Origin(arguments.repo, arguments.rev)
    except UnsafeText as error:
        raise UsageError(
            f"--repo takes the address of a git repository and --rev a tag or a commit, "
            f"not {str(error)!r}. Blanks and signs but ._~:/@%+- are written as in an address: "
            "file:///my%20folder/waterlint"
        ) from None


def _can_ask() -> bool:
    return sys.stdin.isatty() and sys.stdout.isatty()


def _chosen(files: Sequence[StartingFile]) -> list[StartingFile]:
    """The files of the kinds that the user wants; without an answer, none of that kind."""
    chosen: list[StartingFile] = []
    for kind in dict.fromkeys(file.kind for file in files):
        ours = [file for file in files if file.kind == kind]
        write(f"{_shown(ours[0].path)}, to {_purpose(kind)}? [Y/n] ", sys.stdout)
        sys.stdout.flush()
        answer = sys.stdin.readline()
        if answer and answer.strip().lower() in ("", "y", "yes"):
            chosen += ours
    return chosen


def _purpose(kind: str) -> str:
    return KINDS[kind] if KINDS[kind].startswith("lint") else f"have {KINDS[kind]}"


def _headed(file: StartingFile, several: bool) -> str:
    return f"{_shown(file.path)}:\n{file.text}" if several else file.text


def _line(placed: Placed, origin: Origin) -> str:
    shown = _shown(placed.file.path)
    if placed.fate == "written":
        return f"wrote {shown}"
    if placed.fate == "same":
        return f"left {shown}, which holds the same already"
    if placed.fate == "different":
        address = f" --repo {origin.repository}" if origin.repository else ""
        call = f"waterlint init{address} --print {placed.file.kind}"
        return f"left {shown} as it is; `{call}` shows what would be in it"
    return f"waterlint: {cannot_write(shown, placed.reason)}"


def _next(placed: Sequence[Placed], origin: Origin) -> list[str]:
    """What is left to do by hand."""
    written = [one.file for one in placed if one.fate == "written"]
    lines = []
    if any(file.kind == "pre-commit" for file in written):
        lines.append("Next: `pre-commit install` lets git run the hook.")
    unnamed = [_shown(file.path) for file in written if file.kind in _INSTALLING]
    if unnamed and origin.repository is None:
        lines.append(
            f"Next: put the address of your copy of waterlint's repository in place of "
            f"{PLACEHOLDER} in {', '.join(unnamed)}."
        )
    return lines


def _shown(path: Path) -> str:
    return Path(os.path.relpath(path)).as_posix()
