"""A run put together from what is known of each file."""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping

from waterlint.assembling import Outcome, assemble, known_late, users_of
from waterlint.cache.lines import KnownLines
from waterlint.cache.quick import Quick
from waterlint.cache.store import Store
from waterlint.days import date
from waterlint.paths import Path
from waterlint.project.files import Disk
from waterlint.project.probes import digest
from waterlint.project.quick_search import Content, NotPlain, read_content
from waterlint.records import Record
from waterlint.report import Options
from waterlint.verdict import BROUGHT, FOUND, NAMED, Late, Verdict


class Recalled(Record):
    """A run, and what it hangs on.

    `found` are the files that a search found or the call names, without what they hold; `users`
    the recipes that use each report, by its path, and `today` the day.
    """

    quick: Quick
    found: list[Content]
    verdicts: list[Verdict]
    users: Mapping[str, tuple[str, ...]]
    today: str
    store: Store
    lines: KnownLines


def recall(found: Iterable[Content], store: Store, disk: Disk, options: Options) -> Recalled:
    """The run over these files.

    Raises
    ------
    NotPlain
        If something is not known.
    """
    store.tells_untracked = options.tracked is not None
    lines = KnownLines(disk, store.contents_of_probes)
    named: list[Verdict] = []
    others: list[Verdict] = []
    contents: list[Content] = []
    for content in found:
        verdict = _verdict(content, NAMED if content.named else FOUND, store)
        contents.append(lines.take(verdict.shown, content, verdict.tells))
        (named if content.named else others).append(verdict)
    others.sort(key=lambda verdict: verdict.shown)
    verdicts = named + others
    there = {verdict.path for verdict in verdicts}
    for path in users_of(verdicts):
        if path not in there:
            content = read_content(path)
            verdicts.append(_verdict(content, BROUGHT, store))
            lines.take(verdicts[-1].shown, content, verdicts[-1].tells)
    if options.tracked is not None and any(verdict.house.plugins for verdict in verdicts):
        raise NotPlain
    today = options.today or date.today()
    users = users_of(verdicts)
    late = _late(verdicts, users, today)
    _note_baselines(verdicts, store, disk)
    searched = [Path(verdict.path) for verdict in others]
    report = assemble(Outcome(verdicts, late, options.tracked, searched=searched), disk)
    quick = Quick(report, lines.of)
    return Recalled(quick, contents, verdicts, users, today.isoformat(), store, lines)


def _note_baselines(verdicts: Iterable[Verdict], store: Store, disk: Disk) -> None:
    """Note what the outcome hangs on beside the verdicts, before it is put together."""
    for name in {each.house.baseline for each in verdicts if each.house.baseline}:
        # Imported late: most houses have no baseline.
        from waterlint.baseline import paths_of
        from waterlint.project.baseline import read_baseline

        baseline = read_baseline(Path(name), disk)
        store.answers["bytes", name] = "!" if baseline.data is None else digest(baseline.data)
        for path in paths_of(baseline).values():
            store.ask(("there", os.fspath(path)))


def _late(
    verdicts: Iterable[Verdict], users: Mapping[str, tuple[str, ...]], today: date
) -> dict[str, Late]:
    """What depends on the day and the users, by path."""
    late: dict[str, Late] = {}
    for verdict in verdicts:
        known = known_late(verdict, today, users.get(verdict.path, ()))
        if known is None:
            raise NotPlain
        late[verdict.path] = known
    return late


def _verdict(content: Content, role: str, store: Store) -> Verdict:
    store.answers["bytes", content.path] = content.digest
    verdict = store.find(content.path, content.digest)
    if verdict is None or not verdict.fits(role):
        raise NotPlain
    return verdict
