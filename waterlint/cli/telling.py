"""What commands that need recipes say of files that give none."""

from __future__ import annotations

import sys
from collections.abc import Container, Sequence

from waterlint.cli.console import UsageError, wants_color, width, write
from waterlint.hints import TYPE_CHECKING

if TYPE_CHECKING:
    from waterlint.finding import Finding, Span
    from waterlint.linter import Linter
    from waterlint.project.discovery import Found


def tell_errors(errors: Sequence[Finding], linter: Linter) -> None:
    """Show what stands in the way on standard error, as `waterlint check` shows it."""
    from waterlint.linter import Report
    from waterlint.output import text

    report = Report(tuple(errors), files=len({finding.path for finding in errors}))
    shown = text.render(
        errors, report.summary(), linter.line, color=wants_color(sys.stderr), width=width()
    )
    write(shown, sys.stderr)


def no_recipe(paths: Sequence[str]) -> UsageError:
    """What is wrong with a call that names no recipe."""
    return UsageError(f"there is no recipe in {', '.join(paths) or 'this folder'}")


def tell_why_none(found: Sequence[Found], linter: Linter, paths: Sequence[str]) -> int:
    """Tell the errors of files that gave no recipe; the exit status.

    Raises
    ------
    UsageError
        If nothing is wrong with them but that they are no recipes.
    """
    report = linter.lint(found)
    errors = [finding for finding in report.findings if finding.level == "error"]
    if not errors:
        raise no_recipe(paths)
    tell_errors(errors, linter)
    return report.exit_status("error")


def tell_broken_configs(
    found: Sequence[Found], linter: Linter, told: Container[str] = frozenset()
) -> int:
    """Tell the errors of the configurations that hold for files; the exit status.

    What is made with defaults in the place of a house's own scale or ranges must not look as if
    the house had been asked. Files in `told` are told elsewhere.
    """
    errors: dict[tuple[str, str, Span, str], Finding] = {}
    for file in found:
        for finding in linter.configs.for_file(linter.disk.absolute(file.path)).findings:
            if finding.level == "error" and finding.path not in told:
                # Two keys that one block lacks are two findings of one place.
                place = finding.path, finding.rule, finding.span, finding.message
                errors[place] = finding
    if not errors:
        return 0
    tell_errors(list(errors.values()), linter)
    return 2
