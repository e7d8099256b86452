"""What a git hook lints: the files that a commit changes, and all that depends on them."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from waterlint.linter import Linter, Options, Report
from waterlint.project.dependents import dependents
from waterlint.project.discovery import Found, discover
from waterlint.project.git import Change, tracked
from waterlint.project.root import project_root
from waterlint.records import replace


def lint_staged(
    files: Sequence[Path], changes: Sequence[Change], options: Options, folder: Path
) -> tuple[Linter, Report, list[str]]:
    """Lint files handed over by a hook, and what the staged changes touch besides.

    Parameters
    ----------
    files : sequence of Path
        As the hook hands them over; those that are none of waterlint's are left out.
    changes : sequence of Change
        What is staged, deletions and renames included.
    options : Options
        Of the call.
    folder : Path
        The folder that the hook runs in.

    Returns
    -------
    linter : Linter
        For the lines of the files.
    report : Report
    reasons : list of str
        For each file that was not handed over, why it was checked.
    """
    linter = Linter(replace(options, tracked=tracked(folder)))
    found = discover(files, linter.configs, linter.disk, handed_over=True)
    known = {file.path for file in found}
    root = project_root(linter.disk.absolute(folder))
    added = [
        file
        for file in dependents(changes, root, linter.configs, linter.disk)
        if file.path not in known
    ]
    report = linter.lint([*found, *(Found(file.path, file.because, False) for file in added)])
    reasons = [f"{linter.disk.shown(file.path)}: {file.because}" for file in added]
    return linter, report, reasons
