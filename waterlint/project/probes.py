"""What a run asks of the disk, noted so that a later run can ask it again.

A finding hangs on more than the bytes of its file: on a configuration further up that is not
there, on the names in a folder that a mistaken reference was compared with, on where a symbolic
link leads. Whatever is asked is noted as a probe with its answer. As long as every probe has the
same answer, the finding is the same.
"""

from __future__ import annotations

import os
import stat
from collections.abc import Callable, Hashable, Mapping, MutableMapping
from contextvars import ContextVar

from waterlint.hints import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from hashlib import blake2b as Blake2
    from types import TracebackType

K = TypeVar("K", bound=Hashable)
V = TypeVar("V")

#: A kind of question and the path that it is asked of.
Probe = tuple[str, str]

#: Bytes of a digest [bytes]; 20 are as many as git itself relies on.
DIGEST_SIZE = 20

#: The folder of the cache itself, which no answer depends on.
CACHE_FOLDER = ".waterlint-cache"

#: The question that never has the same answer: what hangs on it is worked out each time.
NEVER: Probe = ("never", "")

#: The largest file whose content is compared [bytes]: the bound of a baseline, the largest read.
_LARGEST = 16 * 1024 * 1024


def blake2b(data: bytes, *, key: bytes = b"", digest_size: int = 64) -> Blake2:
    """As `hashlib.blake2b`, without the weight of `hashlib`, which brings OpenSSL along."""
    # Imported late: a run without a memory compares no contents.
    try:
        from _blake2 import blake2b as made
    except ImportError:  # pragma: no cover
        from hashlib import blake2b as made
    return made(data, key=key, digest_size=digest_size)


def digest(data: bytes) -> str:
    """The name of a content."""
    return blake2b(data, digest_size=DIGEST_SIZE).hexdigest()


def _link(path: str) -> str:
    return os.path.realpath(path) if os.path.islink(path) else ""  # noqa: PTH114


def _kind(path: str) -> str:
    try:
        mode = os.stat(path).st_mode  # noqa: PTH116
    except OSError as error:
        return str(error.errno)
    return str(stat.S_IFMT(mode))


def _names(path: str) -> str:
    with os.scandir(path) as listing:
        entries = [entry for entry in listing if entry.name != CACHE_FOLDER]
        names = sorted((os.fsencode(entry.name), entry.is_dir()) for entry in entries)
    return digest(repr(names).encode())


def _bytes(path: str) -> str:
    flags = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
    handle = os.open(path, flags)
    try:
        if not stat.S_ISREG(os.fstat(handle).st_mode):
            return "no file"
        parts: list[bytes] = []
        left = _LARGEST + 1
        while left and (part := os.read(handle, min(left, 1 << 20))):
            parts.append(part)
            left -= len(part)
        return digest(b"".join(parts)) if left else "too large"
    finally:
        os.close(handle)


def _code(path: str) -> str:
    """The files of a package, as far as their sizes and times tell."""
    if not os.path.isdir(path):  # noqa: PTH112
        found = os.stat(path)  # noqa: PTH116
        return f"{found.st_size} {found.st_mtime_ns}"
    lines: list[tuple[str, int, int]] = []
    waiting = [path]
    while waiting:
        with os.scandir(waiting.pop()) as listing:
            for entry in listing:
                if entry.is_dir():
                    if entry.name != "__pycache__":
                        waiting.append(entry.path)
                else:
                    found = entry.stat()
                    lines.append((entry.path, found.st_size, found.st_mtime_ns))
    return digest(repr(sorted(lines)).encode("utf-8", "surrogatepass"))


_QUESTIONS: Mapping[str, Callable[[str], str]] = {
    "bytes": _bytes,
    "code": _code,
    "git": lambda path: "yes" if os.path.exists(os.path.join(path, ".git")) else "",  # noqa: PTH110, PTH118
    "kind": _kind,
    "link": _link,
    "names": _names,
    "real": os.path.realpath,
    "there": lambda path: (
        "yes" if os.path.lexists(path) and (os.path.islink(path) or not os.path.isdir(path)) else ""  # noqa: PTH112, PTH114
    ),
}


def answer(probe: Probe) -> str:
    """What the disk says now; whatever goes wrong is an answer too, and `NEVER` has none."""
    kind, path = probe
    try:
        return _QUESTIONS[kind](path)
    except KeyError:
        return f"never {os.urandom(8).hex()}"
    except (OSError, ValueError) as error:
        return f"! {type(error).__name__}"


class Recorder:
    """Notes the probes of a run, and which of them each of its results hangs on.

    Used as a context: what is asked meanwhile, in this thread, is noted. `is_steady` turns false
    when a question had two answers in one run: then nothing of it can be kept.
    """

    def __init__(self) -> None:
        self.answers: dict[Probe, str] = {}
        self.is_steady = True
        self._open: list[dict[Probe, None]] = []
        self._parts: dict[tuple[int, Hashable], tuple[Probe, ...]] = {}

    def __enter__(self) -> Recorder:
        self._token = _RECORDER.set(self)
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        traceback: TracebackType | None,
    ) -> None:
        _RECORDER.reset(self._token)

    def note(self, probe: Probe, value: str) -> None:
        """Take up a probe and its answer."""
        if self.answers.setdefault(probe, value) != value:
            self.is_steady = False
        if self._open:
            self._open[-1][probe] = None

    def trace(self, make: Callable[[], V]) -> tuple[V, tuple[Probe, ...]]:
        """What `make` makes, and the probes that this took."""
        self._open.append({})
        try:
            made = make()
        finally:
            probes = self._open.pop()
            if self._open:
                self._open[-1].update(probes)
        return made, tuple(probes)

    def kept(self, memo: MutableMapping[K, V], key: K, make: Callable[[], V]) -> V:
        """As the function `kept`."""
        part = (id(memo), key)
        if key in memo:
            for probe in self._parts.get(part, (NEVER,)):
                self.note(probe, self.answers.get(probe, ""))
        else:
            memo[key], self._parts[part] = self.trace(make)
        return memo[key]


_RECORDER: ContextVar[Recorder | None] = ContextVar("recorder", default=None)


def is_recording() -> bool:
    """Whether somebody wants to know what is asked."""
    return _RECORDER.get() is not None


def note(kind: str, path: str | os.PathLike[str], value: str) -> None:
    """Note the answer that was found."""
    recorder = _RECORDER.get()
    if recorder is not None:
        recorder.note((kind, os.fspath(path)), value)


def look(kind: str, path: str | os.PathLike[str]) -> None:
    """Ask and note, where somebody wants to know."""
    recorder = _RECORDER.get()
    if recorder is not None:
        probe = (kind, os.fspath(path))
        recorder.note(probe, answer(probe))


def doubt() -> None:
    """Note that what is being worked out cannot be kept."""
    recorder = _RECORDER.get()
    if recorder is not None:
        recorder.note(NEVER, "")


def kept(memo: MutableMapping[K, V], key: K, make: Callable[[], V]) -> V:
    """What `memo` holds under `key`, made where it is missing.

    Who asks for what is there already hangs on the same probes as who made it.
    """
    recorder = _RECORDER.get()
    if recorder is not None:
        return recorder.kept(memo, key, make)
    if key not in memo:
        memo[key] = make()
    return memo[key]
