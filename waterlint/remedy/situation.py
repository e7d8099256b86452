"""What a search starts from: a recipe in its text, with what is found and predicted for it."""

from __future__ import annotations

from collections.abc import Iterator

from waterlint.finding import LEVELS, Finding, Level
from waterlint.hints import Final
from waterlint.linter import Linter, Options, Report
from waterlint.model.recipe import Recipe
from waterlint.model.water import WaterReport
from waterlint.paths import Path
from waterlint.prediction.predict import predict
from waterlint.prediction.result import Prediction
from waterlint.records import Record
from waterlint.rules.registry import Case
from waterlint.source.document import Document

#: Rules about what was measured after the brew day.
_OF_MEASUREMENTS: Final = frozenset({"measured-ph-disagrees", "measured-ph-temperature"})


class Situation(Record):
    """One recipe document of a text.

    Attributes
    ----------
    text : str
        Of the whole file.
    path : Path
        Where it stands.
    shown : str
        As findings name it.
    options : Options
        Of the linter.
    level : Level
        The mildest that is to be cleared.
    case : Case
        Of the recipe.
    report : Report
        Of the text.
    """

    text: str
    path: Path
    shown: str
    options: Options
    level: Level
    case: Case
    report: Report

    @property
    def recipe(self) -> Recipe:
        """The recipe as it stands."""
        assert self.case.recipe is not None
        return self.case.recipe

    @property
    def document(self) -> Document:
        """Its place in the text."""
        return self.case.document

    @property
    def prediction(self) -> Prediction:
        """What is predicted as it stands."""
        assert self.case.prediction is not None
        return self.case.prediction

    def predict(self, recipe: Recipe) -> Prediction:
        """What would be predicted for another recipe with the same waters."""
        return predict(recipe, self._reports(), self.case.catalog, self.case.settings.scale)

    def _reports(self) -> dict[str, WaterReport]:
        return {
            name: water.report
            for name, water in self.case.waters.items()
            if water.report is not None
        }

    def lint(self, text: str) -> Report:
        """What a fresh linter finds in another text at the same place."""
        return Linter(self.options).lint_text(text, self.path)

    def counted(self, report: Report) -> list[Finding]:
        """The findings of a report about this document at or above the level asked for.

        What was measured is left out: it speaks of the mash as it was brewed, and no change of
        doses makes it right or wrong.
        """
        return [each for each in self._asked(report) if each.rule not in _OF_MEASUREMENTS]

    def measured(self) -> list[Finding]:
        """The findings about what was measured, at or above the level asked for."""
        return [each for each in self._asked(self.report) if each.rule in _OF_MEASUREMENTS]

    def _asked(self, report: Report) -> Iterator[Finding]:
        least = LEVELS.index(self.level)
        for finding in report.findings:
            if self.is_own(finding) and LEVELS.index(finding.level) >= least:
                yield finding

    def line_of(self, pointer: str) -> int:
        """The line on which something of the recipe stands."""
        return self.document.place_of(pointer).line

    def asks(self, rule: str, level: Level) -> bool:
        """Whether what a rule reports at a level is to be cleared, by the house's levels."""
        set_level = self.case.settings.levels.get(rule, level)
        return set_level != "off" and LEVELS.index(set_level) >= LEVELS.index(self.level)

    def is_own(self, finding: Finding) -> bool:
        """Whether a finding is about this document."""
        return finding.path == self.shown and finding.document == self.document.index

    def errors(self, report: Report) -> list[Finding]:
        """The errors of this document in a report."""
        return [each for each in report.findings if self.is_own(each) and each.level == "error"]


def situations(
    text: str, path: Path, options: Options, level: Level
) -> Iterator[Situation | tuple[Linter, tuple[Finding, ...]]]:
    """Each recipe of a text; or the errors that stand in its way, with the linter that found them.

    Parameters
    ----------
    text : str
    path : Path
        Where it stands or would stand.
    options : Options
    level : Level
        The mildest that is to be cleared.

    Yields
    ------
    Situation or tuple
        In the order of the documents; documents of other kinds are left out.
    """
    linter = Linter(options)
    report = linter.lint_text(text, path)
    absolute = linter.disk.absolute(path)
    loaded = linter.intake.load(absolute)
    errors = tuple(
        each for each in report.findings if each.level == "error" and each.path == loaded.shown
    )
    if not loaded.parts:
        yield linter, errors
    for part in loaded.parts:
        if part.kind not in ("recipe", None):
            continue
        in_the_way = tuple(
            finding
            for finding in errors
            if finding.document == part.document.index and _stands_in_the_way(linter, finding)
        )
        if part.recipe is None or in_the_way:
            yield linter, in_the_way
            continue
        case = _case(linter, absolute, part.document, part.recipe, loaded.shown)
        yield Situation(text, path, loaded.shown, options, level, case, report)


def _case(linter: Linter, absolute: Path, document: Document, recipe: Recipe, shown: str) -> Case:
    config = linter.configs.for_file(absolute)
    waters = linter.intake.waters(recipe, absolute, config.catalog)
    reports = {name: water.report for name, water in waters.items() if water.report is not None}
    return Case(
        path=shown,
        document=document,
        settings=config.settings,
        catalog=config.catalog,
        today=linter.today,
        recipe=recipe,
        prediction=predict(recipe, reports, config.catalog, config.settings.scale),
        waters=waters,
    )


def _stands_in_the_way(linter: Linter, finding: Finding) -> bool:
    """Whether an error keeps figures from being known.

    That of the mash pH is about a figure, and so is every one that a house has made an error.
    """
    rule = linter.rules.get(finding.rule)
    return finding.rule != "mash-ph" and (rule is None or "error" in rule.levels)
