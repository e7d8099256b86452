"""One file after the other: from its documents to what is found in it."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence

from waterlint.applying import looking, run_rule, run_rules
from waterlint.catalog.catalog import Catalog
from waterlint.days import date
from waterlint.finding import Finding
from waterlint.intake import Intake, Loaded, Part, faults_of
from waterlint.paths import Path
from waterlint.prediction.predict import predict
from waterlint.prediction.result import Prediction
from waterlint.project.config import Settings
from waterlint.project.config_store import ConfigStore
from waterlint.project.files import Disk
from waterlint.project.probes import kept
from waterlint.project.settings import FileConfig
from waterlint.records import Record, field, replace
from waterlint.rules.registry import Case, Rule, UsedWater
from waterlint.rules.supply import quiet_from, quiet_until
from waterlint.rules.traits import traits_of
from waterlint.verdict import ANY, BROUGHT, FOUND, OURS, Excuse, House, Late, Subject, Verdict

#: The built-in rules that look at the day, and at git's index.
AGING, TRACKING = "report-age", "untracked-water"


class Judge(Record, frozen=False):
    """Judges files one by one; what it needs to know of the run is given to it.

    `rules_for` gives the rules that look at a file, and `built_in` those of this package among
    them. With `tells_untracked` a verdict says what is to be told of reports that git does not
    keep.
    """

    disk: Disk
    configs: ConfigStore
    intake: Intake
    today: Callable[[], date]
    rules_for: Callable[[Path], Mapping[str, Rule]]
    built_in: Callable[[], Mapping[str, Rule]]
    tells_untracked: bool = False
    #: The rules that look early at a document, by what it has.
    _looking_early: dict[frozenset[str], tuple[Rule, ...]] = field(default_factory=dict, init=False)
    _houses: dict[int, House] = field(default_factory=dict, init=False)

    def verdict(self, path: Path, role: str) -> Verdict:
        """What is found in the file at `path`, which has this part in the run."""
        file = self.intake.load(path)
        config = self.configs.for_file(path)
        parts = [part for part in file.parts if role != BROUGHT or part.kind == "water"]
        malformed, excuses = self._excuses(file, path)
        findings = [*faults_of(file, named=role != FOUND)]
        used: list[str] = []
        untracked: list[tuple[str, Finding, Subject | None]] = []
        for part in parts:
            case = self.case(path, file, part, config)
            if case is not None:
                early = self._early(case)
                findings += self._said(early, config) if early else []
                used += self._used(case)
                untracked += self._untracked(case, config)
        findings += malformed
        return Verdict(
            path=os.fspath(path),
            shown=file.shown,
            findings=tuple(findings),
            subjects=self.subjects(findings),
            excuses=tuple(excuses),
            used=tuple(dict.fromkeys(used)),
            untracked=tuple(untracked),
            late=self._late(path, file, parts, config),
            house=self._house(config),
            role=_holds_for(file, role),
        )

    def _excuses(self, file: Loaded, path: Path) -> tuple[Sequence[Finding], Sequence[Excuse]]:
        """What is wrong with a file's exceptions, and those that can be read."""
        # Comments are searched only where the word stands elsewhere than in the first keys.
        ours = sum(part.kind is not None for part in file.parts)
        if file.source is None or file.source.text.count("waterlint") <= ours:
            return (), ()
        # Imported late: most files make none.
        from waterlint.exceptions import excuses_of

        return excuses_of(file, self.rules_for(path))

    def late(self, path: Path, role: str, users: Sequence[str]) -> Late:
        """What depends on the day and on the recipes that use the file's reports."""
        file = self.intake.load(path)
        config = self.configs.for_file(path)
        findings: list[Finding] = []
        for part in file.parts:
            if role == BROUGHT and part.kind != "water":
                continue
            case = self.case(path, file, part, config, users)
            if case is not None:
                findings += self._said(self._on_the_day(path, case), config)
        return Late(
            _quiet_until(file.parts, config),
            self.today().isoformat(),
            tuple(users),
            tuple(findings),
            self.subjects(findings),
            _quiet_from(file.parts),
        )

    def case(
        self,
        path: Path,
        file: Loaded,
        part: Part,
        config: FileConfig,
        users: Sequence[str] = (),
    ) -> Case | None:
        """What rules look at in a document; `None` where they look at nothing."""
        if part.recipe is None and part.report is None:
            return None
        settings, catalog = config.settings, config.catalog
        waters: Mapping[str, UsedWater] = {}
        if part.recipe is not None:
            waters = self.intake.waters(part.recipe, path, catalog)
        return Case(
            path=file.shown,
            document=part.document,
            settings=settings,
            catalog=catalog,
            today=self.today(),
            recipe=part.recipe,
            report=part.report,
            prediction=prediction_of(part, waters, catalog, settings),
            waters=waters,
            used_by=tuple(users) if part.recipe is None else (),
            has_baseline=config.baseline is not None,
        )

    def _early(self, case: Case) -> list[Finding]:
        """What the built-in rules say that know neither the day nor the index."""
        has = traits_of(case)
        rules = self._looking_early.get(has)
        if rules is None:
            built_in = self.built_in().values()
            others = [rule for rule in built_in if rule.name not in (AGING, TRACKING)]
            rules = self._looking_early[has] = looking(others, has)
        return run_rules(rules, case)

    def _on_the_day(self, path: Path, case: Case) -> Iterator[Finding]:
        built_in = self.built_in()
        for rule in looking(self.rules_for(path).values(), traits_of(case)):
            if rule.name == AGING or rule.name not in built_in:
                yield from run_rule(rule, case, built_in=rule.name in built_in)

    def _untracked(
        self, case: Case, config: FileConfig
    ) -> Iterator[tuple[str, Finding, Subject | None]]:
        """What is to be told of each report, should git not keep it."""
        rule = self.built_in().get(TRACKING)
        if not self.tells_untracked or rule is None or case.recipe is None:
            return
        tracked = {name: replace(water, untracked=False) for name, water in case.waters.items()}
        for name, water in tracked.items():
            if water.file is not None and water.problem is None:
                only = replace(case, waters={**tracked, name: replace(water, untracked=True)})
                for finding in self._said(run_rule(rule, only, built_in=True), config):
                    yield water.file, finding, self._subject(finding)

    @staticmethod
    def _used(case: Case) -> Iterator[str]:
        for water in case.waters.values():
            if water.file is not None:
                yield water.file

    def _late(
        self, path: Path, file: Loaded, parts: Sequence[Part], config: FileConfig
    ) -> Late | None:
        has_report = any(part.report is not None for part in parts)
        if not config.plugins:
            if not has_report:
                return None
            return Late(_quiet_until(parts, config), quiet_from=_quiet_from(parts))
        # Rules of other packages may look at the day. Who uses a report is known later.
        return Late() if has_report else self.late(path, OURS, ())

    def _house(self, config: FileConfig) -> House:
        """What a run must know of a configuration; the files that it holds for share it."""
        return kept(self._houses, id(config), lambda: self._house_of(config))

    def _house_of(self, config: FileConfig) -> House:
        return House(
            config.findings,
            self.subjects(config.findings),
            config.paths,
            None if config.baseline is None else os.fspath(config.baseline),
            tuple(rule for rule, level in config.settings.levels.items() if level == "off"),
            config.plugins,
        )

    def subjects(self, findings: Iterable[Finding]) -> tuple[Subject | None, ...]:
        """What findings are about, for the baselines; empty where none holds."""
        subjects = tuple(self._subject(finding) for finding in findings)
        return subjects if any(subjects) else ()

    def _subject(self, finding: Finding) -> Subject | None:
        path = self.disk.path_shown_as(finding.path)
        holding = None if path is None else self.configs.for_file(path).baseline
        if path is None or holding is None:
            return None
        # Imported late: most houses have no baseline.
        from waterlint.baseline import named_pointer, relative_to

        documents = {part.document.index: part.document for part in self.intake.load(path).parts}
        document = documents.get(finding.document)
        pointer = finding.pointer if document is None else named_pointer(document, finding.pointer)
        return Subject(os.fspath(holding), relative_to(path, holding), pointer)

    @staticmethod
    def _said(findings: Iterable[Finding], config: FileConfig) -> list[Finding]:
        """The findings at the levels that the configuration gives their rules."""
        leveled = (_at_level(finding, config.settings) for finding in findings)
        return [finding for finding in leveled if finding is not None]


def _holds_for(file: Loaded, role: str) -> str:
    """For which parts in a run a verdict holds that was made for one of them."""
    if not file.is_ours:
        return role
    if all(part.recipe is None for part in file.parts):
        return ANY
    return role if role == BROUGHT else OURS


def prediction_of(
    part: Part, waters: Mapping[str, UsedWater], catalog: Catalog, settings: Settings
) -> Prediction | None:
    """The prediction for a recipe; `None` for anything else."""
    if part.recipe is None:
        return None
    reports = {name: water.report for name, water in waters.items() if water.report is not None}
    return predict(part.recipe, reports, catalog, settings.scale)


def _quiet_until(parts: Iterable[Part], config: FileConfig) -> str:
    """The last day on which no report of a file is too old; empty where nobody can say."""
    if config.plugins:
        return ""
    if config.settings.levels.get(AGING) == "off":
        return date.max.isoformat()
    months = config.settings.report_age_months
    days = [quiet_until(part.report, months) for part in parts if part.report is not None]
    return min(days, default=date.max).isoformat()


def _quiet_from(parts: Iterable[Part]) -> str:
    """The first day on which no report of a file is too far ahead."""
    days = [quiet_from(part.report) for part in parts if part.report is not None]
    return max(days, default=date.min).isoformat()


def _at_level(finding: Finding, settings: Settings) -> Finding | None:
    """The finding at the level that the settings give its rule; `None` when it is off."""
    level = settings.levels.get(finding.rule)
    if level is None:
        return finding
    return None if level == "off" else replace(finding, level=level)
