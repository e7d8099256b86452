"""The conductor: files in, findings out."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from functools import cached_property, partial

from waterlint.assembling import Outcome, assemble, known_late, users_of
from waterlint.days import date
from waterlint.hints import TYPE_CHECKING
from waterlint.intake import Intake
from waterlint.judging import Judge
from waterlint.paths import Path
from waterlint.prediction.result import Prediction
from waterlint.project.config_store import ConfigStore
from waterlint.project.discovery import Exclusions, Found, Skipped
from waterlint.project.files import Disk, ReadProblem
from waterlint.project.probes import doubt, look
from waterlint.project.references import Unresolved
from waterlint.records import replace
from waterlint.report import BROKEN, Options, Report
from waterlint.rules.registry import Case, Rule, all_rules
from waterlint.source.document import SourceFile, read_bytes, read_text
from waterlint.source.lines import Lines, line_of
from waterlint.verdict import BROUGHT, FOUND, NAMED, Late, Verdict

if TYPE_CHECKING:
    from concurrent.futures import Executor

    from waterlint.cache.memory import Memory
    from waterlint.plugins.loading import Plugins

__all__ = ["BROKEN", "Linter", "Options", "Report"]


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
        self.judge = Judge(
            self.disk,
            self.configs,
            self.intake,
            lambda: self.today,
            self.rules_for,
            lambda: self.rules,
            tells_untracked=self.options.tracked is not None,
        )
        #: Whether files stay in memory once they are done, since more is asked of them later.
        self.keeps_files = False
        #: What earlier runs have found, where that is wanted.
        self.memory: Memory | None = None
        #: Gives an executor for so many files that must be judged anew; `None`: judge them here.
        self.pool: Callable[[int], Executor | None] | None = None
        #: Told which share of a run over how many files is done.
        self.progress: Callable[[float, int], None] | None = None
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
        from waterlint.plugins.places import code_places

        if self.plugins is None:
            self.plugins = Plugins(self.disk.working_directory)
        offered = self.plugins.offered(name, config)
        if isinstance(offered, Unresolved):
            doubt()
        for place in code_places(self.plugins.rules([name])):
            look("code", place)
        return offered

    def line(self, shown: str, number: int) -> str | None:
        """Line `number` of the file shown as `shown`, if it was read in this run."""
        return line_of(self.lines(shown), number)

    def lines(self, shown: str) -> Lines | None:
        """The line table of the file shown as `shown`, if it was read in this run."""
        return self.disk.lines_shown_as(shown)

    def lint(self, files: Iterable[Found], executor: Executor | None = None) -> Report:
        """Lint files, and the water reports that their recipes use.

        A report's own findings are told once, in its file, also when only a recipe was named.

        Parameters
        ----------
        files : iterable of Found
        executor : Executor, optional
            Where files are judged, many at a time; by default here, one after the other.
        """
        roles = {found.path: NAMED if found.named else FOUND for found in files}
        verdicts = self._verdicts(roles, executor, self.progress)
        users = users_of(verdicts)
        brought = [path for path in map(Path, users) if path not in roles]
        verdicts += self._verdicts(dict.fromkeys(brought, BROUGHT), executor)
        # What depends on the users of a report waits until all of them are known.
        late: dict[str, Late] = {}
        for verdict in verdicts:
            using = users.get(verdict.path, ())
            known = known_late(verdict, self.today, using)
            if known is None:
                role = roles.get(Path(verdict.path), BROUGHT)
                known = self.judge.late(Path(verdict.path), role, using)
                if self.memory is not None:
                    self.memory.add_late(verdict, known)
            if known.findings:
                late[verdict.path] = known
        searched = [path for path, role in roles.items() if role == FOUND]
        outcome = Outcome(
            verdicts, late, self.options.tracked, self.options.update_baseline, searched
        )
        return assemble(outcome, self.disk)

    def _verdicts(
        self,
        roles: Mapping[Path, str],
        executor: Executor | None = None,
        progress: Callable[[float, int], None] | None = None,
    ) -> list[Verdict]:
        """A verdict for each path, in their order."""
        known: dict[Path, Verdict] = {}
        # What this run refuses to read is judged here: no other process, and no run before, knows
        # why it must not be read.
        refused = {path: role for path, role in roles.items() if self.disk.is_refused(path)}
        if self.memory is not None:
            for path, role in roles.items():
                if path not in refused and (found := self._remembered(path, role)) is not None:
                    known[path] = found
        done = known.keys() | refused.keys()
        missing = {path: roles[path] for path in roles if path not in done} if done else roles
        if executor is None and self.pool is not None:
            executor = self.pool(len(missing))
        made = self._judged(missing) if executor is None else self._sent(missing, executor)
        made_here = self._judged(refused, remembers=False)
        verdicts: list[Verdict] = []
        for number, path in enumerate(roles, 1):
            if path in known:
                verdicts.append(known[path])
            else:
                verdicts.append(next(made_here if path in refused else made))
            if progress is not None:
                progress(number / len(roles), len(roles))
        return verdicts

    def _remembered(self, path: Path, role: str) -> Verdict | None:
        assert self.memory is not None
        verdict = self.memory.find(path, role)
        if verdict is not None and verdict.house.plugins:
            self.rules_for(path)  # a format may ask what rules there are
        return verdict

    def _judged(self, roles: Mapping[Path, str], *, remembers: bool = True) -> Iterator[Verdict]:
        """Judge files here, one after the other."""
        for path, role in roles.items():
            if self.memory is None or not remembers:
                verdict = self.judge.verdict(path, role)
            else:
                verdict, trace = self.memory.noted(partial(self.judge.verdict, path, role))
                self.memory.add(verdict, trace)
            self.release(path, verdict)
            yield verdict

    def _sent(self, roles: Mapping[Path, str], executor: Executor) -> Iterator[Verdict]:
        """Let files be judged elsewhere."""
        # Imported late: most runs are too short for it.
        from waterlint.parallel import judge_elsewhere

        options = replace(self.options, today=self.today)
        here, remembers = self.disk.working_directory, self.memory is not None
        for verdict, trace in judge_elsewhere(roles, options, here, executor, remembers=remembers):
            if self.memory is not None:
                self.memory.add(verdict, trace)
            self.disk.shown(verdict.path)
            for (kind, path), content in trace:
                if kind == "bytes":
                    self.disk.keep_judged(Path(path), content)
            if verdict.house.plugins:
                self.rules_for(Path(verdict.path))  # a format may ask what rules there are
            yield verdict

    def release(self, path: Path, verdict: Verdict) -> None:
        """Forget a file that is done, but for its lines where there are findings to show."""
        has_report = any(part.kind == "water" for part in self.intake.load(path).parts)
        # Findings of another house may be about a configuration that it builds on.
        if not (self.keeps_files or has_report or self.configs.has_read(path)):
            self.intake.release(path, verdict.lines)

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
        config = self.configs.for_file(path)
        file = self.intake.load(path)
        for part in file.parts:
            case = self.judge.case(path, file, part, config)
            if case is not None and case.recipe is not None:
                yield case

    def _house_words(self, path: Path) -> Mapping[str, Collection[str]]:
        return {"malts": self.configs.for_file(path).catalog.malt_words()}

    def exclusions(self) -> Exclusions:
        """What a search leaves out; what is asked of it is remembered where that is wanted."""
        return self.configs if self.memory is None else self.memory.watched(self.configs)

    def note_skipped(self, skipped: Iterable[Skipped]) -> None:
        """Remember, where that is wanted, what a search has left out."""
        if self.memory is not None:
            self.memory.add_skipped(skipped)

    def baseline_of(self, path: Path) -> Path | None:
        """The baseline that holds for a file."""
        return self.configs.for_file(path).baseline
