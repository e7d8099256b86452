"""The conductor: files in, findings out."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from datetime import date
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from waterlint.catalog.catalog import Catalog
from waterlint.exceptions import apply_exceptions, has_exceptions
from waterlint.finding import FILE_START, LEVELS, Finding, Level
from waterlint.intake import Intake, Loaded, Part
from waterlint.prediction.predict import predict
from waterlint.prediction.result import Prediction
from waterlint.project.config import LevelOrOff, Settings
from waterlint.project.config_store import ConfigStore
from waterlint.project.discovery import Found
from waterlint.project.files import Disk, ReadProblem
from waterlint.project.references import Unresolved
from waterlint.records import dataclass, field, replace
from waterlint.rules.registry import Case, Rule, UsedWater, all_rules
from waterlint.source.document import SourceFile, line_text, read_bytes, read_text
from waterlint.source.lines import Lines

if TYPE_CHECKING:
    from waterlint.plugins.loading import Plugins

#: Rules whose findings mean that something could not be read or computed: exit status 2.
BROKEN = frozenset({"unreadable-file", "rule-crashed"})


@dataclass(frozen=True, slots=True)
class Options:
    """What the caller of the linter decides.

    `today` is the date against which ages are judged; `levels` replace those of every
    configuration; `config` is used for all files instead of the nearest `waterlint.yaml`;
    files outside the project root are read only below `allow_roots`. `tracked` holds every file
    that git keeps, where a hook has asked it. `baseline` is used for all files instead of those
    that configurations name; `update_baseline` writes the baselines anew. `stand_ins` gives, by
    path, the file that is read in a file's place.
    """

    today: date | None = None
    levels: Mapping[str, LevelOrOff] = field(default_factory=dict)
    config: Path | None = None
    allow_roots: tuple[Path, ...] = ()
    tracked: frozenset[Path] | None = None
    baseline: Path | None = None
    update_baseline: bool = False
    stand_ins: Mapping[Path, Path] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Report:
    """The outcome of a run, sorted.

    `findings` count; `accepted` are those that an exception in the file excuses, each with its
    reason; `known` are those that a baseline holds. `config_paths` are the configurations and
    baselines in use, whose faults weigh as a wrong call. `paths` names the files that were
    checked, as findings name them.
    """

    findings: tuple[Finding, ...]
    accepted: tuple[Finding, ...] = ()
    files: int = 0
    known: tuple[Finding, ...] = ()
    config_paths: frozenset[str] = frozenset()
    paths: tuple[str, ...] = ()

    def summary(self) -> dict[str, int]:
        """Counts by level, as the JSON report shows them."""
        counts: dict[str, int] = dict.fromkeys(reversed(LEVELS), 0)
        for finding in self.findings:
            counts[finding.level] += 1
        return {
            "files": self.files,
            **counts,
            "accepted": len(self.accepted),
            "baseline": len(self.known),
        }

    def exit_status(self, fail_on: Level | None) -> int:
        """0 clean, 1 a finding at or above `fail_on`, 2 something is broken beyond judging."""
        return max((self.weight(finding, fail_on) for finding in self.findings), default=0)

    def weight(self, finding: Finding, fail_on: Level | None) -> int:
        """The exit status that one finding asks for by itself."""
        if finding.rule in BROKEN:
            return 2
        if finding.path in self.config_paths and finding.level == "error":
            return 2
        return int(fail_on is not None and LEVELS.index(finding.level) >= LEVELS.index(fail_on))


class Linter:
    """Lints files of one run; what is read or computed once is kept for the run.

    Parameters
    ----------
    options : Options, optional
    disk : Disk, optional
        What the run reads from; by default the files as they are named from the working directory.
    """

    def __init__(self, options: Options | None = None, disk: Disk | None = None) -> None:
        self.options = options or Options()
        self.rules: Mapping[str, Rule] = all_rules()
        self.disk = disk or Disk()
        self.plugins: Plugins | None = None
        self.configs = ConfigStore(
            self.disk,
            frozenset(self.rules),
            self.options.levels,
            self.options.config,
            self.options.allow_roots,
            self._offered,
            self.options.baseline,
        )
        self.intake = Intake(
            self.disk, self._house_words, self.options.allow_roots, self.options.tracked
        )
        #: Whether files stay in memory once they are done, since more is asked of them later.
        self.keeps_files = False
        #: Told which share of a run over how many files is done.
        self.progress: Callable[[float, int], None] | None = None
        self._users: dict[Path, list[str]] = {}
        self._config_findings: dict[Finding, None] = {}
        self._config_paths: set[str] = set()
        for path, stand_in in self.options.stand_ins.items():
            self._take_file(path, stand_in)

    @cached_property
    def today(self) -> date:
        """The day against which ages are judged."""
        return self.options.today or date.today()

    def rules_for(self, path: Path) -> Mapping[str, Rule]:
        """The rules that look at a file: the built-in ones, and those of its plugins."""
        names = self.configs.for_file(path).plugins
        if self.plugins is None or not names:
            return self.rules
        return {**self.rules, **self.plugins.rules(names)}

    def rules_of_run(self) -> Mapping[str, Rule]:
        """The built-in rules and those of every plugin that the run has loaded, by name."""
        if self.plugins is None:
            return self.rules
        return dict(sorted({**self.rules, **self.plugins.all_rules()}.items()))

    def _offered(self, name: str, config: Path) -> frozenset[str] | Unresolved:
        # Imported late: most houses have no plugins.
        from waterlint.plugins.loading import Plugins

        if self.plugins is None:
            self.plugins = Plugins(self.disk.working_directory)
        return self.plugins.offered(name, config)

    def line(self, shown: str, number: int) -> str | None:
        """Line `number` of the file shown as `shown`, if it was read in this run."""
        source = self.disk.source_shown_as(shown)
        return None if source is None else line_text(source, number)

    def lines(self, shown: str) -> Lines | None:
        """The line table of the file shown as `shown`, if it was read in this run."""
        source = self.disk.source_shown_as(shown)
        return None if source is None else source.lines

    def lint(self, files: Iterable[Found]) -> Report:
        """Lint files, and the water reports that their recipes use.

        A report's own findings are told once, in its file, also when only a recipe was named.
        Recipes come first, since a report's age matters only when a recipe uses it.
        """
        named = {found.path: found for found in files}
        ours: dict[Path, Loaded] = {}
        findings: list[Finding] = []
        for path in self._told(named):
            file = self.intake.load(path)
            found = self._file_findings(path, file, named[path].named)
            found += self._document_findings(path, file, "recipe")
            findings += found
            ours[path] = self._kept(path, file, told=bool(found))
        brought = [path for path in self._users if path not in ours]
        for path in brought:
            ours[path] = self.intake.load(path)
            findings += self._file_findings(path, ours[path], named=True)
        for path, file in ours.items():
            findings += self._document_findings(path, file, "water")
        return self._report(findings, ours.values())

    def _told(self, paths: Collection[Path]) -> Iterator[Path]:
        """The paths of a run, each told to `progress` when it is done."""
        for number, path in enumerate(paths, 1):
            yield path
            if self.progress is not None:
                self.progress(number / len(paths), len(paths))

    def _kept(self, path: Path, file: Loaded, told: bool) -> Loaded:
        """What a run still needs of a recipe file that is done: mostly its name.

        With `told` there are findings about it, whose lines are shown.
        """
        needed = (
            self.keeps_files
            or any(part.kind == "water" for part in file.parts)
            or has_exceptions(file)
            or self.baseline_of(path) is not None
        )
        if needed or not self.intake.release(path, keep_lines=told):
            return file
        return replace(file, source=None, parts=())

    def take_text(self, text: str, path: Path) -> None:
        """Let `text` stand for the file at `path` in this run."""
        self._take(path, read_text(text, self.disk.shown(path)))

    def lint_text(self, text: str, path: Path) -> Report:
        """Lint a text as if it stood in the file at `path`."""
        return self._lint_given(path, read_text(text, self.disk.shown(path)))

    def lint_bytes(self, data: bytes, path: Path) -> Report:
        """Lint the bytes of a file as if it stood at `path`."""
        return self._lint_given(path, read_bytes(data, self.disk.shown(path)))

    def _lint_given(self, path: Path, source: SourceFile) -> Report:
        return self.lint([Found(self._take(path, source), "given as text", named=True)])

    def _take(self, path: Path, source: SourceFile) -> Path:
        path = self.disk.absolute(path)
        self.disk.keep(path, source)
        self.intake.take(path, source, given=True)
        return path

    def _take_file(self, path: Path, stand_in: Path) -> None:
        """Let another file be read in the place of the one at `path`."""
        data = self.disk.bytes_of(stand_in)
        if isinstance(data, ReadProblem):
            self.disk.refuse(path, f"{data.path}: {data.message}", data.help)
        else:
            self._take(path, read_bytes(data, self.disk.shown(stand_in)))

    def predictions(self, path: Path) -> Iterator[Prediction]:
        """The predictions of every recipe in a file that has no errors in the way."""
        for case in self.cases(path):
            assert case.prediction is not None
            yield case.prediction

    def cases(self, path: Path) -> Iterator[Case]:
        """What the rules look at of every recipe in a file that has no errors in the way."""
        path = self.disk.absolute(path)
        settings, catalog = self._config(path)
        file = self.intake.load(path)
        for part in file.parts:
            if part.recipe is not None:
                case = self._case(path, file, part, settings, catalog)
                assert case is not None
                yield case

    def _house_words(self, path: Path) -> Mapping[str, Collection[str]]:
        return {"malts": self.configs.for_file(path).catalog.malts}

    def _config(self, path: Path) -> tuple[Settings, Catalog]:
        config = self.configs.for_file(path)
        self._config_findings.update(dict.fromkeys(config.findings))
        self._config_paths.update(config.paths)
        return config.settings, config.catalog

    def _file_findings(self, path: Path, file: Loaded, named: bool) -> list[Finding]:
        findings = list(file.findings)
        self._config(path)
        for part in file.parts:
            findings += part.findings
            if part.kind is None and (named or file.is_ours):
                findings.append(_not_ours(file, part))
        if named and not file.parts and not file.findings:
            findings.append(_not_ours(file, None))
        return findings

    def _document_findings(self, path: Path, file: Loaded, kind: str) -> list[Finding]:
        settings, catalog = self._config(path)
        findings: list[Finding] = []
        for part in file.parts:
            if part.kind != kind:
                continue
            case = self._case(path, file, part, settings, catalog)
            if case is None:
                continue
            for rule in self.rules_for(path).values():
                if rule.subject in (kind, "file") and rule.check is not None:
                    findings += _run(rule, case, built_in=rule.name in self.rules)
        return [
            leveled for finding in findings if (leveled := _at_level(finding, settings)) is not None
        ]

    def _case(
        self, path: Path, file: Loaded, part: Part, settings: Settings, catalog: Catalog
    ) -> Case | None:
        if part.recipe is not None:
            waters = self.intake.waters(part.recipe, path, catalog)
            self._note_users(waters, file.shown)
            return Case(
                path=file.shown,
                document=part.document,
                settings=settings,
                catalog=catalog,
                today=self.today,
                recipe=part.recipe,
                prediction=_predict(part, waters, catalog, settings),
                waters=waters,
            )
        if part.report is not None:
            return Case(
                path=file.shown,
                document=part.document,
                settings=settings,
                catalog=catalog,
                today=self.today,
                report=part.report,
                used_by=tuple(dict.fromkeys(self._users.get(path, ()))),
            )
        return None

    def _note_users(self, waters: Mapping[str, UsedWater], recipe: str) -> None:
        for water in waters.values():
            path = None if water.path is None else self.disk.path_shown_as(water.path)
            if path is not None:
                self._users.setdefault(path, []).append(recipe)

    def _report(self, findings: Sequence[Finding], files: Iterable[Loaded]) -> Report:
        files = list(files)
        everything = list(dict.fromkeys([*self._config_findings, *findings]))
        kept, accepted = apply_exceptions(everything, files, self.rules_of_run())
        new, known = self._without_known(kept, files)
        return Report(
            findings=tuple(sorted(new, key=lambda finding: finding.order)),
            accepted=tuple(sorted(accepted, key=lambda finding: finding.order)),
            files=len(files),
            known=tuple(sorted(known, key=lambda finding: finding.order)),
            config_paths=frozenset(self._config_paths),
            paths=tuple(sorted(file.shown for file in files)),
        )

    def _without_known(
        self, findings: Sequence[Finding], files: Sequence[Loaded]
    ) -> tuple[Sequence[Finding], Sequence[Finding]]:
        """What counts, and what a baseline knows."""
        if not any(self.baseline_of(file.path) for file in files):
            return findings, ()
        # Imported late: most houses have no baseline.
        from waterlint.baseline import NEVER_KNOWN, Scope, apply_baselines

        # Where such a fault stands, rules have not looked at everything.
        faulty = {each.path for each in findings if each.rule in NEVER_KNOWN}
        scope = Scope(
            baseline_of=self.baseline_of,
            parts_of=lambda path: self.intake.load(path).parts,
            path_of=self.disk.path_shown_as,
            judged={file.path for file in files if file.shown not in faulty},
            used=self._users.keys(),
            is_off=lambda path, rule: self._config(path)[0].levels.get(rule) == "off",
        )
        # What a broken configuration lets through is not what the house means to record.
        sound = not any(each.level == "error" for each in self._config_findings)
        update = self.options.update_baseline and sound
        paths = [file.path for file in files]
        outcome = apply_baselines(findings, paths, self.disk, scope, update=update)
        self._config_paths |= outcome.baselines
        return outcome.new, outcome.known

    def baseline_of(self, path: Path) -> Path | None:
        """The baseline that holds for a file."""
        return self.configs.for_file(path).baseline


def _predict(
    part: Part, waters: Mapping[str, UsedWater], catalog: Catalog, settings: Settings
) -> Prediction:
    assert part.recipe is not None
    reports = {name: water.report for name, water in waters.items() if water.report is not None}
    return predict(part.recipe, reports, catalog, settings.scale)


def _run(rule: Rule, case: Case, *, built_in: bool) -> list[Finding]:
    """The findings of one rule; its crash is a finding too, and the others still run."""
    assert rule.check is not None
    try:
        if built_in:
            return list(rule.check(case))
        from waterlint.plugins.answers import checked

        return checked(rule.name, rule.check(case))
    except (Exception, SystemExit) as error:
        return [
            Finding(
                rule="rule-crashed",
                level="error",
                path=case.path,
                span=FILE_START,
                document=case.document.index,
                message=f"the rule {rule.name} failed: {type(error).__name__}: {error}",
                help=(
                    "This is a fault of the rule, not of the file. Report it with the file, and "
                    f"switch the rule off until then: `levels: {{{rule.name}: off}}`."
                ),
            )
        ]


def _at_level(finding: Finding, settings: Settings) -> Finding | None:
    """The finding at the level that the settings give its rule; `None` when it is off."""
    level = settings.levels.get(finding.rule)
    if level is None:
        return finding
    return None if level == "off" else replace(finding, level=level)


def _not_ours(file: Loaded, part: Part | None) -> Finding:
    return Finding(
        rule="not-a-waterlint-file",
        level="error",
        path=file.shown,
        span=FILE_START if part is None else part.document.root.span,
        document=0 if part is None else part.document.index,
        message=(
            "the file is empty"
            if part is None
            else "the document does not say what it is: its first key is not `waterlint:`"
        ),
        help=(
            "Begin with `waterlint: recipe/1`, `waterlint: water/1` or `waterlint: config/1`, "
            "or leave the file out of the call."
        ),
    )
