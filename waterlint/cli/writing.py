"""Files that a call names, written whole; and the words for those that cannot be written."""

from __future__ import annotations

import os

from waterlint.cli.console import UsageError
from waterlint.output.text import path_text
from waterlint.paths import Path


def cannot_write(what: str | Path, reason: str | None) -> str:
    """Say that a file cannot be written, and why."""
    return f"{path_text(str(what))} cannot be written: {reason or 'the system does not say why'}"


def write_named(option: str, path: Path, data: bytes) -> None:
    """Write the file that an option names.

    Raises
    ------
    UsageError
        If it cannot be written; what was there stays.
    """
    from waterlint.project.write import write_report

    keep_yaml(option, path)
    try:
        write_report(path, data)
    except OSError as error:
        raise UsageError(f"{option}: {cannot_write(path, error.strerror)}") from error


def keep_yaml(option: str, path: Path) -> None:
    """Refuse to write a report over a YAML file: no report is one, and it may be a recipe.

    Raises
    ------
    UsageError
    """
    if path.suffix.lower() in (".yaml", ".yml") and os.path.lexists(path):
        raise UsageError(
            f"{option}: {path_text(str(path))} is a YAML file that is there already; a report "
            "does not take its place. Name another file"
        )


def check_page(path: Path | None) -> None:
    """Tell a place that cannot take a page before a long run, rather than after it.

    Raises
    ------
    UsageError
    """
    if path is None:
        return
    keep_yaml("--page", path)
    if path.is_dir():
        raise UsageError(f"--page: {path} is a folder; name a file in it")
    if not path.parent.is_dir():
        raise UsageError(f"--page: there is no folder {path.parent}")
