"""One of two states that are compared: what its linter finds, by file and document."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping

from waterlint.finding import Finding
from waterlint.intake import Part
from waterlint.linter import Linter, Report
from waterlint.paths import Path
from waterlint.project.discovery import Found
from waterlint.records import Record
from waterlint.rules.registry import Case
from waterlint.source.document import Document


class Recipe(Record):
    """A recipe document of one side.

    `case` is `None` where errors stand in the way of its figures.
    """

    shown: str
    document: int
    name: str
    case: Case | None


class Side(Record):
    """A state of the project, linted.

    `counting` are the findings that count, `aside` those that are excused or known, both by the
    file's name as it is shown. On the earlier side what a baseline knows counts too: it was there.
    """

    linter: Linter
    report: Report
    counting: Mapping[str, tuple[Finding, ...]]
    aside: Mapping[str, tuple[Finding, ...]]

    def recipes(self, path: Path) -> list[Recipe]:
        """The recipes of a file; a file that holds none, or is not there, has none."""
        path = self.linter.disk.absolute(path)
        if not self.linter.disk.is_there(path):
            return []
        file = self.linter.intake.load(path)
        cases = {case.document.index: case for case in self.linter.cases(path)}
        return [
            Recipe(file.shown, part.document.index, _name(part), cases.get(part.document.index))
            for part in file.parts
            if part.kind == "recipe"
        ]

    def stand_in(self, path: Path | None, others: list[Recipe]) -> list[Recipe]:
        """What stands for the recipes of a file that is there and cannot be read as any.

        `others` are those of the other side: as these recipes are known, so they are still.
        """
        if path is None or not others or not self.linter.disk.is_there(path):
            return []
        file = self.linter.intake.load(self.linter.disk.absolute(path))
        if file.parts or not file.findings:
            return []
        return [Recipe(file.shown, each.document, each.name, None) for each in others]

    def forget(self, path: Path) -> None:
        """Keep nothing of a file that is done."""
        self.linter.intake.release(self.linter.disk.absolute(path))

    def document(self, finding: Finding) -> Document | None:
        """The document that a finding is about; `None` where it cannot be had."""
        path = self.linter.disk.path_shown_as(finding.path)
        if path is None or not self.linter.disk.is_there(path):
            return None
        for part in self.linter.intake.load(path).parts:
            if part.document.index == finding.document:
                return part.document
        return None


def lint_side(linter: Linter, files: Iterable[Found], *, earlier: bool) -> Side:
    """Lint a state."""
    report = linter.lint(files)
    there = (*report.findings, *report.known) if earlier else report.findings
    return Side(linter, report, _by_path(there), _by_path((*report.accepted, *report.known)))


def _by_path(findings: Iterable[Finding]) -> Mapping[str, tuple[Finding, ...]]:
    found: dict[str, list[Finding]] = defaultdict(list)
    for finding in findings:
        found[finding.path].append(finding)
    return {path: tuple(each) for path, each in found.items()}


def _name(part: Part) -> str:
    """A recipe's name, as far as there is one."""
    if part.recipe is not None:
        return part.recipe.name
    written = part.document.find("/name")
    return str(getattr(written, "text", "")) or f"recipe {part.document.index + 1}"
