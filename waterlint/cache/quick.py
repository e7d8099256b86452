"""A whole run from what earlier runs have found, without a look at what any file means.

No YAML parser, no rule, no chemistry is imported. It gives a report only where every part of it
is known; else the run is made as ever.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path

from waterlint.assembling import Outcome, assemble, known_late, users_of
from waterlint.cache.store import Store, context, open_store
from waterlint.days import date
from waterlint.project.cache_folder import cache_file
from waterlint.project.files import Disk, lines_of
from waterlint.project.quick_search import Content, NotPlain, quick_search, read_content
from waterlint.records import dataclass, field
from waterlint.report import Options, Report
from waterlint.source.lines import Lines, line_of
from waterlint.verdict import BROUGHT, FOUND, NAMED, Late, Verdict


@dataclass(frozen=True, slots=True)
class Quick:
    """The report of a run, and where the lines of its files are looked up."""

    report: Report
    lines: Callable[[str], Lines | None]
    has_plugins: bool

    def line(self, path: str, number: int) -> str | None:
        """A line of a file, counted from 1, without its line end."""
        return line_of(self.lines(path), number)


def quick_run(paths: list[Path], options: Options, *, handed_over: bool = False) -> Quick | None:
    """The run, if all of it is known; `None` where not."""
    if options.stand_ins or options.update_baseline:
        return None
    disk = Disk()
    here = disk.working_directory
    file = cache_file([disk.absolute(path) for path in paths], here, context(options, here))
    store = None if file is None else open_store(file)
    if store is None or not store.entries:
        return None
    try:
        found = quick_search(paths, store, here, options.allow_roots, handed_over=handed_over)
        return recalled(found, store, disk, options)
    except (NotPlain, ValueError, TypeError, IndexError, KeyError):
        return None


def recalled(found: Iterable[Content], store: Store, disk: Disk, options: Options) -> Quick:
    """The run over these files.

    Raises
    ------
    NotPlain
        If something is not known.
    """
    store.tells_untracked = options.tracked is not None
    named: list[Verdict] = []
    others: list[Verdict] = []
    judged: dict[str, Content] = {}
    for content in found:
        verdict = _verdict(content, NAMED if content.named else FOUND, store)
        judged[verdict.shown] = content
        (named if content.named else others).append(verdict)
    others.sort(key=lambda verdict: verdict.shown)
    verdicts = named + others
    there = {verdict.path for verdict in verdicts}
    for path in users_of(verdicts):
        if path not in there:
            content = read_content(path)
            verdicts.append(_verdict(content, BROUGHT, store))
            judged[verdicts[-1].shown] = content
    return _quick(verdicts, _Lines(store, disk, judged), options)


def _quick(verdicts: list[Verdict], lines: _Lines, options: Options) -> Quick:
    today = options.today or date.today()
    users = users_of(verdicts)
    late: dict[str, Late] = {}
    for verdict in verdicts:
        known = known_late(verdict, today, users.get(verdict.path, ()))
        if known is None:
            raise NotPlain
        late[verdict.path] = known
    has_plugins = any(verdict.house.plugins for verdict in verdicts)
    if has_plugins and options.tracked is not None:
        raise NotPlain
    report = assemble(Outcome(verdicts, late, options.tracked), lines.disk)
    return Quick(report, lines.of, has_plugins)


def _verdict(content: Content, role: str, store: Store) -> Verdict:
    store.answers["bytes", content.path] = content.digest
    verdict = store.find(content.path, content.digest)
    if verdict is None or not verdict.fits(role):
        raise NotPlain
    return verdict


@dataclass(slots=True)
class _Lines:
    """Looks up the lines of files that were judged in earlier runs, where somebody asks."""

    store: Store
    disk: Disk
    judged: dict[str, Content]
    lines: dict[str, Lines | None] = field(default_factory=dict)
    others: dict[str, tuple[str, str]] = field(default_factory=dict)

    def of(self, shown: str) -> Lines | None:
        """The line table of a file, as long as it holds what it held when it was judged."""
        if shown not in self.lines:
            content = self.judged.get(shown)
            if content is not None and content.data is not None:
                self.lines[shown] = lines_of(content.data, shown)
            else:
                self.lines[shown] = self._read(shown)
        return self.lines[shown]

    def _read(self, shown: str) -> Lines | None:
        """The lines of the configuration, or of a report: files that others hang on."""
        if not self.others:
            for (kind, path), digest in self.store.probes:
                if kind == "bytes" and self.store.answers.get((kind, path), digest) == digest:
                    self.others[self.disk.shown(path)] = (path, digest)
        if shown in self.others:
            path, digest = self.others[shown]
            self.disk.keep_judged(Path(path), digest)
        return self.disk.lines_shown_as(shown)
