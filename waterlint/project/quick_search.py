"""The search of `discovery` where an earlier run knows the answers to all its questions.

It knows only the plain case: real folders and regular files that can be read. Anything else, a
symbolic link or a file that nobody has judged, is left to the whole search, which finds the same
in five times the time.
"""

from __future__ import annotations

import os
import stat
from collections.abc import Iterable, Iterator

from waterlint.hints import Protocol
from waterlint.paths import Path
from waterlint.project.files import MAX_BYTES
from waterlint.project.names import ENDINGS, MARKERS, SKIPPED
from waterlint.project.probes import digest
from waterlint.project.root import absolute, is_inside, leads_out, project_root
from waterlint.records import Record


class NotPlain(Exception):
    """The whole search must be made."""


class Known(Protocol):
    """What earlier runs know."""

    def is_excluded(self, path: str) -> bool | None:
        """Whether a search leaves out a file or folder; `None` where that is not known."""

    def is_other(self, path: str, content: str) -> bool:
        """Whether a file with this content is known to be none of waterlint's."""


class Content(Record):
    """A file to look at, the digest of what it holds, and whether the call names it.

    `data` is what it holds, where that is kept.
    """

    path: str
    digest: str
    named: bool
    data: bytes | None = None


def quick_search(
    paths: Iterable[Path],
    known: Known,
    here: Path,
    allow_roots: tuple[Path, ...],
    *,
    handed_over: bool = False,
) -> Iterator[Content]:
    """The files that a call is about; those found in folders are not sorted.

    Parameters
    ----------
    paths : iterable of Path
        Files and folders.
    known : Known
    here : Path
        The working directory.
    allow_roots : tuple of Path
        Folders outside the project that the call allows.
    handed_over : bool
        As for `discovery.discover`.

    Raises
    ------
    NotPlain
        If there is anything that only the whole search can tell.
    """
    seen: set[str] = set()
    folders: list[str] = []
    for path in dict.fromkeys(absolute(path, here) for path in paths):
        if not is_inside(path, (project_root(path, here), *allow_roots)):
            raise NotPlain
        if leads_out(path, allow_roots, here):
            raise NotPlain
        name = os.fspath(path)
        if path.is_dir():
            folders.append(name)
        elif not handed_over:
            seen.add(name)
            yield read_content(name, named=True)
        elif name.lower().endswith(ENDINGS):
            seen.add(name)
            yield from _taken(name, known)
    for folder in folders:
        for name in _files(folder, known):
            if name not in seen:
                seen.add(name)
                yield from _taken(name, known)


def read_content(path: str, *, named: bool = False) -> Content:
    """A regular file that can be read.

    Raises
    ------
    NotPlain
        If it is anything else.
    """
    try:
        handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | _BINARY | _NOFOLLOW)
        try:
            status = os.fstat(handle)
            if not stat.S_ISREG(status.st_mode) or status.st_size > MAX_BYTES:
                raise NotPlain
            data = os.read(handle, status.st_size + 1)
        finally:
            os.close(handle)
    except (OSError, ValueError) as error:
        raise NotPlain from error
    if len(data) != status.st_size:
        raise NotPlain
    return Content(path, digest(data), named, data)


_BINARY, _NOFOLLOW = getattr(os, "O_BINARY", 0), getattr(os, "O_NOFOLLOW", 0)


def _taken(name: str, known: Known) -> Iterator[Content]:
    """A file that the user did not choose, if it is one to look at."""
    excluded = known.is_excluded(name)
    if excluded is None:
        raise NotPlain
    if not excluded:
        content = read_content(name)
        if not known.is_other(name, content.digest):
            yield content


def _files(folder: str, known: Known) -> Iterator[str]:
    """The YAML files of a folder and of those in it that a search looks into."""
    waiting = [folder]
    while waiting:
        try:
            with os.scandir(waiting.pop()) as listing:
                entries = list(listing)
        except OSError as error:
            raise NotPlain from error
        for entry in entries:
            name = entry.name
            if entry.is_dir(follow_symlinks=False):
                if _goes_into(entry, known):
                    waiting.append(entry.path)
            elif name.lower().endswith(ENDINGS):
                if entry.is_symlink() or not entry.is_file(follow_symlinks=False):
                    raise NotPlain
                yield entry.path


def _goes_into(entry: os.DirEntry[str], known: Known) -> bool:
    if entry.name.startswith(".") or entry.name in SKIPPED:
        return False
    for marker in MARKERS:
        if os.path.isfile(os.path.join(entry.path, marker)):  # noqa: PTH113, PTH118
            return False
    excluded = known.is_excluded(entry.path)
    if excluded is None:
        raise NotPlain
    return not excluded
