"""Files that a call names, written whole; and the words for those that cannot be written."""

from __future__ import annotations

from waterlint.cli.console import UsageError
from waterlint.paths import Path


def cannot_write(what: str | Path, reason: str | None) -> str:
    """Say that a file cannot be written, and why."""
    return f"{what} cannot be written: {reason or 'the system does not say why'}"


def write_named(option: str, path: Path, data: bytes) -> None:
    """Write the file that an option names.

    Raises
    ------
    UsageError
        If it cannot be written; what was there stays.
    """
    from waterlint.project.write import write_report

    try:
        write_report(path, data)
    except OSError as error:
        raise UsageError(f"{option}: {cannot_write(path, error.strerror)}") from error


def check_page(path: Path | None) -> None:
    """Tell a place that cannot take a page before a long run, rather than after it.

    Raises
    ------
    UsageError
    """
    if path is None:
        return
    if path.is_dir():
        raise UsageError(f"--page: {path} is a folder; name a file in it")
    if not path.parent.is_dir():
        raise UsageError(f"--page: there is no folder {path.parent}")
