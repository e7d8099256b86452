"""A whole run from what earlier runs have found, without a look at what any file means.

No YAML parser, no rule, no chemistry is imported. It gives a report only where every part of it
is known; else the run is made as ever.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date
from pathlib import Path

from waterlint.assembling import Outcome, assemble, known_late, users_of
from waterlint.cache.memory import context
from waterlint.cache.store import Store, open_store
from waterlint.project.cache_folder import cache_file
from waterlint.project.files import Disk
from waterlint.project.quick_search import Content, NotPlain, quick_search, read_digest
from waterlint.records import dataclass
from waterlint.report import Options, Report
from waterlint.source.lines import Lines
from waterlint.verdict import BROUGHT, FOUND, NAMED, Late, Verdict


@dataclass(frozen=True, slots=True)
class Quick:
    """The report of a run, and where the lines of its files are looked up."""

    report: Report
    lines: Callable[[str], Lines | None]
    has_plugins: bool


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
    verdicts = [_verdict(each, NAMED if each.named else FOUND, store, disk) for each in found]
    # Those that the call names come first, in its order.
    verdicts.sort(key=lambda each: "" if each[1].named else each[0].shown)
    ordered = [verdict for verdict, _ in verdicts]
    there = {verdict.path for verdict in ordered}
    for path in users_of(ordered):
        if path not in there:
            content = Content(path, read_digest(path), False)
            ordered.append(_verdict(content, BROUGHT, store, disk)[0])
    return _quick(ordered, disk, options)


def _quick(verdicts: list[Verdict], disk: Disk, options: Options) -> Quick:
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
    report = assemble(Outcome(verdicts, late, options.tracked), disk)
    return Quick(report, disk.lines_shown_as, has_plugins)


def _verdict(content: Content, role: str, store: Store, disk: Disk) -> tuple[Verdict, Content]:
    store.answers["bytes", content.path] = content.digest
    verdict = store.find(content.path, content.digest)
    if verdict is None or not verdict.fits(role):
        raise NotPlain
    speaks = (verdict.findings, verdict.excuses, verdict.untracked, verdict.house.findings)
    if any(speaks) or verdict.late is not None:
        # Lines of other files are shown too: of the configuration, of a report.
        disk.keep_judged(Path(content.path), content.digest)
        for path, held in store.contents(content.path, content.digest):
            disk.keep_judged(Path(path), held)
    return verdict, content
