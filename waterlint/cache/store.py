"""The verdicts of earlier runs, each with the probes that it hangs on.

A verdict is given out again when the file holds what it held and every probe has the answer that
it had. Many files hang on the same probes, so a run asks each of them once.
"""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable, Mapping

from waterlint.cache.plain import of_house, of_late, of_verdict, to_house, to_verdict
from waterlint.hints import Any
from waterlint.project.cache_folder import MAX_BYTES, CacheFile
from waterlint.project.files import Disk
from waterlint.project.probes import NEVER, Probe, answer
from waterlint.records import Record, field
from waterlint.verdict import House, Late, Verdict

#: Changes when the layout of the data does.
_LAYOUT = 1

#: Of how many contents of a file the verdicts are kept, for changing to and fro between branches;
#: the project's own bound.
MOST_CONTENTS = 4

#: A trace: the probes that something hangs on, each with its answer.
Trace = tuple[tuple[Probe, str], ...]


class _Entry(Record, frozen=False):
    """A verdict as data, the number of its trace, and the run that last asked for it."""

    trace: int
    run: int
    data: Any


class Store(Record, frozen=False):
    """What one cache file holds; `is_changed` tells that there is something new.

    With `tells_untracked` a verdict comes with what is to be told of reports that git does not
    keep.
    """

    file: CacheFile
    is_changed: bool = False
    tells_untracked: bool = True
    run: int = 1
    probes: list[tuple[Probe, str]] = field(default_factory=list)
    traces: list[tuple[int, ...]] = field(default_factory=list)
    houses: list[House] = field(default_factory=list)
    entries: dict[tuple[str, str], _Entry] = field(default_factory=dict)
    asked: dict[str, tuple[bool, int]] = field(default_factory=dict)
    others: dict[str, str] = field(default_factory=dict)
    answers: dict[Probe, str] = field(default_factory=dict)
    _holds: dict[int, bool] = field(default_factory=dict)
    _numbers: dict[Any, int] = field(default_factory=dict)

    def find(self, path: str, digest: str) -> Verdict | None:
        """What was found in a file with this content, if it still holds."""
        entry = self.entries.get((path, digest))
        if entry is None or not self.holds(entry.trace):
            return None
        entry.run = self.run
        try:
            return to_verdict(path, entry.data, self.houses, untracked=self.tells_untracked)
        except (ValueError, TypeError, IndexError):
            return None

    def is_excluded(self, path: str) -> bool | None:
        """Whether a search leaves out a file or folder; `None` where that is not known."""
        known = self.asked.get(path)
        if known is None or not self.holds(known[1]):
            return None
        return known[0]

    def is_other(self, path: str, content: str) -> bool:
        """Whether a file with this content is known to be none of waterlint's."""
        return self.others.get(path) == content

    def holds(self, trace: int) -> bool:
        """Whether every probe of a trace has the same answer as before."""
        known = self._holds.get(trace)
        if known is None:
            known = all(self._has_answer(number) for number in self.traces[trace])
            self._holds[trace] = known
        return known

    def _has_answer(self, number: int) -> bool:
        probe, before = self.probes[number]
        return self.ask(probe) == before

    def ask(self, probe: Probe) -> str:
        """The answer to a probe, the same all through a run."""
        now = self.answers.get(probe)
        if now is None:
            now = self.answers[probe] = answer(probe)
        return now

    def contents(self, path: str, digest: str) -> Iterable[tuple[str, str]]:
        """The files that a verdict hangs on, each with the digest of its content."""
        entry = self.entries[path, digest]
        for number in self.traces[entry.trace]:
            (kind, probed), content = self.probes[number]
            if kind == "bytes":
                yield probed, content

    def contents_of_probes(self, disk: Disk) -> dict[str, tuple[str, str]]:
        """The files that verdicts hang on, with what they hold, by their shown names."""
        return {
            disk.shown(path): (path, digest)
            for (kind, path), digest in self.probes
            if kind == "bytes" and self.answers.get((kind, path), digest) == digest
        }

    def hangs_on(self, path: str, digest: str, others: Collection[str]) -> bool:
        """Whether a file's verdict may hang on one of `others`; yes where that is not known."""
        entry = self.entries.get((path, digest))
        if entry is None or not self.holds(entry.trace):
            return True
        if any(finding[1] == "error" for finding in entry.data[3]):
            return True
        for number in self.traces[entry.trace]:
            (kind, probed), before = self.probes[number]
            if probed in others or (kind == "real" and before in others):
                return True
        return False

    def add(self, digest: str, verdict: Verdict, trace: Trace) -> None:
        """Keep a verdict; its file's own content is no part of the trace."""
        number = self._trace(trace)
        if number is None:
            return
        house = self._number(("house", verdict.house), self.houses, verdict.house)
        data = of_verdict(verdict, house)
        self.entries[verdict.path, digest] = _Entry(number, self.run, data)
        self.is_changed = True

    def add_late(self, path: str, digest: str, late: Late) -> None:
        """Keep what was found of a kept verdict on this day."""
        entry = self.entries.get((path, digest))
        if entry is not None:
            entry.data[-1] = of_late(late)
            self.is_changed = True

    def add_asked(self, path: str, is_excluded: bool, trace: Trace) -> None:
        """Keep whether a search leaves something out."""
        number = self._trace(trace)
        if number is not None and self.asked.get(path) != (is_excluded, number):
            self.asked[path] = (is_excluded, number)
            self.is_changed = True

    def add_other(self, path: str, digest: str) -> None:
        """Keep that a file with this content is none of waterlint's."""
        if self.others.get(path) != digest:
            self.others[path] = digest
            self.is_changed = True

    def _trace(self, trace: Trace) -> int | None:
        if any(probe == NEVER for probe, _ in trace):
            return None
        numbers = tuple(sorted(self._number(("probe", each), self.probes, each) for each in trace))
        number = self._number(("trace", numbers), self.traces, numbers)
        self._holds[number] = True
        return number

    def _number(self, key: Any, table: list[Any], value: Any) -> int:
        """The place of a value in its table, where it is put if it is new."""
        if not self._numbers:
            for name, each in (("probe", self.probes), ("trace", self.traces)):
                self._numbers |= {(name, one): number for number, one in enumerate(each)}
            self._numbers |= {("house", one): number for number, one in enumerate(self.houses)}
        number = self._numbers.get(key)
        if number is None:
            number = self._numbers[key] = len(table)
            table.append(value)
        return number

    def save(self) -> None:
        """Write what is new, and let go of what was asked for longest ago where it is too much."""
        if not self.is_changed:
            return
        entries = self._newest()
        while True:
            try:
                content = json.dumps(self._data(entries), separators=(",", ":")).encode()
            except (TypeError, ValueError):
                return  # a rule of another package has put something odd into a finding
            if len(content) <= MAX_BYTES // 2 or not entries:
                break
            ordered = sorted(entries.items(), key=lambda each: each[1].run, reverse=True)
            entries = dict(ordered[: len(ordered) // 2])
        self.file.write(content)
        self.is_changed = False

    def _newest(self) -> dict[tuple[str, str], _Entry]:
        """The entries without the contents that a file had longest ago."""
        by_path: dict[str, list[tuple[int, str]]] = {}
        for (path, digest), entry in self.entries.items():
            by_path.setdefault(path, []).append((entry.run, digest))
        return {
            (path, digest): self.entries[path, digest]
            for path, contents in by_path.items()
            for _, digest in sorted(contents)[-MOST_CONTENTS:]
        }

    def _data(self, entries: Mapping[tuple[str, str], _Entry]) -> Any:
        """Everything as plain data, without probes and traces that nothing hangs on."""
        kept = Store(self.file)
        files: dict[str, dict[str, Any]] = {}
        again: dict[int, int] = {}

        def trace_of(old: int) -> int:
            if old not in again:
                again[old] = kept._again(self, old)
            return again[old]

        for (path, digest), entry in entries.items():
            house = self.houses[entry.data[2]]
            data = [*entry.data]
            data[2] = kept._number(("house", house), kept.houses, house)
            files.setdefault(path, {})[digest] = [trace_of(entry.trace), entry.run, data]
        asked = {path: [int(told), trace_of(n)] for path, (told, n) in self.asked.items()}
        return {
            "layout": _LAYOUT,
            "run": self.run,
            "probes": [[*probe, value] for probe, value in kept.probes],
            "traces": kept.traces,
            "houses": [of_house(house) for house in kept.houses],
            "files": files,
            "asked": asked,
            "others": self.others,
        }

    def _again(self, other: Store, trace: int) -> int:
        number = self._trace(tuple(other.probes[each] for each in other.traces[trace]))
        assert number is not None
        return number


def open_store(file: CacheFile) -> Store:
    """The store in a cache file; empty where there is none that can be believed and read."""
    content = file.read()
    if content is not None:
        try:
            return _store(file, json.loads(content))
        except (ValueError, TypeError, KeyError, IndexError, AttributeError, RecursionError):
            pass
    return Store(file)


def _store(file: CacheFile, data: Any) -> Store:
    if data["layout"] != _LAYOUT:
        return Store(file)
    return Store(
        file,
        run=data["run"] + 1,
        probes=[((kind, path), value) for kind, path, value in data["probes"]],
        traces=[tuple(numbers) for numbers in data["traces"]],
        houses=[to_house(each) for each in data["houses"]],
        entries={
            (path, digest): _Entry(*entry)
            for path, contents in data["files"].items()
            for digest, entry in contents.items()
        },
        asked={path: (bool(told), trace) for path, (told, trace) in data["asked"].items()},
        others=data["others"],
    )
