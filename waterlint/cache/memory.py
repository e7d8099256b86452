"""What a run remembers of earlier ones, and leaves for later ones."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Sequence
from types import TracebackType

from waterlint.cache.quick import context
from waterlint.cache.store import Store, Trace, open_store
from waterlint.hints import TypeVar
from waterlint.paths import Path
from waterlint.project.cache_folder import cache_file
from waterlint.project.discovery import NOT_OURS, Exclusions, Skipped
from waterlint.project.files import Disk
from waterlint.project.probes import Recorder
from waterlint.report import Options
from waterlint.verdict import Late, Verdict

T = TypeVar("T")


def open_memory(paths: Sequence[Path], options: Options, disk: Disk) -> Memory | None:
    """The memory of a call about these paths; `None` where there is to be none.

    Where files stand in for others, nothing of them may be taken for the real ones.
    """
    if options.stand_ins:
        return None
    absolute = [disk.absolute(path) for path in paths]
    here = disk.working_directory
    file = cache_file(absolute, here, context(options, here))
    return None if file is None else Memory(open_store(file), disk, options)


class Memory:
    """Used as a context around a run: what is asked of the disk meanwhile is noted."""

    def __init__(self, store: Store, disk: Disk, options: Options) -> None:
        self.store = store
        self.disk = disk
        self.recorder = Recorder()
        #: Whether this run has left something for later ones.
        self.has_news = False
        self._asks_git = options.tracked is not None
        self._digests: dict[str, str] = {}
        self._shown: set[str] = set()

    def __enter__(self) -> Memory:
        self.recorder.__enter__()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        traceback: TracebackType | None,
    ) -> None:
        self.recorder.__exit__(kind, error, traceback)
        # A file that changed while it was looked at leaves nothing behind that could be wrong.
        if kind is None and self.recorder.is_steady:
            self.has_news = self.store.is_changed
            self.store.save()

    def find(self, path: Path, role: str) -> Verdict | None:
        """What was found in a file before, if it still holds."""
        data = self.disk.bytes_of(path)
        content = self.disk.digest_of(path)
        if not isinstance(data, bytes) or content is None:
            return None
        name = os.fspath(path)
        self._digests[name] = content
        verdict = self.store.find(name, content)
        if verdict is None or not verdict.fits(role) or self._is_special(verdict):
            return None
        self.keep_lines(verdict, content)
        return verdict

    def keep_lines(self, verdict: Verdict, content: str) -> None:
        """Let the lines be shown of a file, and of those that its findings may speak of."""
        self.disk.keep_judged(Path(verdict.path), content)
        for path, held in self.store.contents(verdict.path, content):
            if path not in self._shown:
                self._shown.add(path)
                self.disk.keep_judged(Path(path), held)

    def _is_special(self, verdict: Verdict) -> bool:
        """Whether rules of other packages may have looked at git's index."""
        return self._asks_git and bool(verdict.house.plugins)

    def noted(self, make: Callable[[], T]) -> tuple[T, Trace]:
        """What `make` makes, with the probes that it hangs on."""
        made, probes = self.recorder.trace(make)
        return made, tuple((probe, self.recorder.answers[probe]) for probe in probes)

    def add(self, verdict: Verdict, trace: Trace) -> None:
        """Keep a verdict for later runs."""
        own = ("bytes", verdict.path)
        content = next((value for probe, value in trace if probe == own), None)
        if content is not None and not self._is_special(verdict):
            self._digests[verdict.path] = content
            rest = tuple(each for each in trace if each[0] != own)
            self.store.add(content, verdict, rest)

    def add_late(self, verdict: Verdict, late: Late) -> None:
        """Keep what was found on this day."""
        content = self._digests.get(verdict.path)
        if content is not None and not self._is_special(verdict):
            self.store.add_late(verdict.path, content, late)

    def watched(self, exclusions: Exclusions) -> Exclusions:
        """The same exclusions; what is asked of them is kept."""
        return _Watched(exclusions, self)

    def add_skipped(self, skipped: Iterable[Skipped]) -> None:
        """Keep which files are none of waterlint's; what is excluded may be one."""
        for each in skipped:
            if each.reason != NOT_OURS:
                continue
            content = self.recorder.answers.get(("bytes", os.fspath(each.path)))
            if content is not None:
                self.store.add_other(os.fspath(each.path), content)


class _Watched:
    def __init__(self, exclusions: Exclusions, memory: Memory) -> None:
        self._exclusions = exclusions
        self._memory = memory

    @property
    def allow_roots(self) -> tuple[Path, ...]:
        """Folders outside the project that the call allows."""
        return self._exclusions.allow_roots

    def exclusion(self, path: Path) -> str | None:
        """Why a search leaves `path` out, `None` where it does not; the answer is kept."""
        why, trace = self._memory.noted(lambda: self._exclusions.exclusion(path))
        self._memory.store.add_asked(os.fspath(path), why is not None, trace)
        return why
