"""A project as it stood at a revision of git, unpacked beside the working tree and not into it.

Only what could be one of waterlint's files is unpacked: regular files and symbolic links with an
ending of YAML. The folder is laid out like the whole file system, so that a path below it names
the same file at the revision, and relative paths stay what they are.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Sequence

from waterlint.hints import Final
from waterlint.paths import Path
from waterlint.project.discovery import ENDINGS
from waterlint.project.files import MAX_BYTES
from waterlint.project.git import Change, git_output, read_changes, top_of
from waterlint.project.opening import says_waterlint
from waterlint.project.root import absolute, has_git
from waterlint.records import Record

_FILE: Final = ("100644", "100755", "100664")
_LINK: Final = "120000"
_SUBMODULE: Final = "160000"

#: How much is asked of git at a time [bytes]; so much is in memory at once.
_AT_A_TIME: Final = 32 * 1024 * 1024

#: What git itself may have set for the repository it was called in, and no other has.
_OWN: Final = ("GIT_DIR", "GIT_WORK_TREE", "GIT_INDEX_FILE", "GIT_PREFIX")


class NoRevision(Exception):
    """A revision cannot be had; the text says why, and what to do."""


class Revision(Record):
    """A commit of the repository at `top`, an absolute path.

    `name` is as the call writes it; `inner` tells that this is a submodule's repository.
    """

    top: Path
    commit: str
    name: str
    inner: bool = False


class _Entry(Record):
    """What a commit holds under a path."""

    path: Path
    mode: str
    object: str
    size: int


def find_revision(folder: Path, name: str) -> Revision:
    """The commit that a revision names in the repository of a folder.

    Parameters
    ----------
    folder : Path
    name : str
        As git reads it: a commit, a branch, a tag, ``HEAD~3`` …

    Raises
    ------
    NoRevision
        If there is no repository, no git, or no such commit.
    """
    if name.startswith("-"):
        raise NoRevision(f"{name!r} is no revision: none begins with a dash")
    top = top_of(folder)
    if top is None:
        raise NoRevision(f"{absolute(folder)} lies in no git repository, so it has no revisions")
    if git_output(top, "rev-parse", "--git-dir") is None:
        raise NoRevision(_no_git(top))
    asked = ("rev-parse", "--verify", "--quiet", "--end-of-options", f"{name}^{{commit}}")
    found = git_output(top, *asked)
    if found is None:
        raise NoRevision(
            f"git knows no revision {name!r} here; a clone that was made with a short history, as "
            "in CI, must fetch it first"
        )
    return Revision(top, found.decode("ascii").strip(), name)


def _no_git(top: Path) -> str:
    from shutil import which

    if which("git") is None:
        return "there is no program `git` on the search path, and revisions are read through it"
    return f"git does not open the repository at {top}; `git -C {top} status` says why"


def changes_since(revision: Revision) -> list[Change]:
    """What the working tree changes against a revision, files that git does not keep included.

    A submodule's changes are its files', where it is checked out.

    Raises
    ------
    NoRevision
        If git does not say.
    """
    with _Surroundings(revision):
        arguments = ("diff", "--no-ext-diff", "--name-status", "-z", "-M", revision.commit, "--")
        told = git_output(revision.top, *arguments)
        others = git_output(
            revision.top, "ls-files", "-z", "--others", "--exclude-standard", "--full-name"
        )
    if told is None or others is None:
        raise NoRevision(f"git does not say what has changed since {revision.name}")
    changes = list(read_changes(told, revision.top))
    for name in filter(None, os.fsdecode(others).split("\0")):
        changes.append(Change("added", revision.top / name))
    for entry in _entries(revision):
        inner = _submodule(entry, revision)
        if isinstance(inner, Revision):
            changes += changes_since(inner)
    return changes


def unpack(revision: Revision, folder: Path) -> list[str]:
    """Write a revision's files of waterlint into an empty folder.

    Parameters
    ----------
    revision : Revision
    folder : Path
        A file at an absolute path stands in it at the same path below `folder`.

    Returns
    -------
    list of str
        Sentences on what could not be had, without a full stop.

    Raises
    ------
    NoRevision
        If git does not hand out the files.

    Notes
    -----
    Content is taken as git keeps it, without the filters that a checkout applies. Links are made
    last, so that nothing is written through one. A submodule that is not checked out is told.
    """
    top = below(folder, revision.top)
    top.mkdir(parents=True, exist_ok=True)
    if has_git(revision.top):
        (top / ".git").mkdir(exist_ok=True)  # the mark of a project's root, for references
    remarks: list[str] = []
    wanted: list[_Entry] = []
    for entry in _entries(revision):
        if entry.mode == _SUBMODULE:
            inner = _submodule(entry, revision)
            if isinstance(inner, Revision):
                remarks += unpack(inner, folder)
            else:
                remarks.append(inner)
        elif entry.path.name.lower().endswith(ENDINGS) and entry.size <= MAX_BYTES:
            wanted.append(entry)
    links: list[tuple[_Entry, bytes]] = []
    for entry, data in _contents(revision, wanted):
        if entry.mode == _LINK:
            links.append((entry, data))
        elif entry.mode in _FILE and says_waterlint(data):
            place = below(folder, entry.path)
            place.parent.mkdir(parents=True, exist_ok=True)
            place.write_bytes(data)
    for entry, data in links:
        place = below(folder, entry.path)
        place.parent.mkdir(parents=True, exist_ok=True)
        if not os.path.lexists(place) and b"\0" not in data:
            place.symlink_to(os.fsdecode(data))
    return remarks


def below(folder: Path, path: Path) -> Path:
    """Where an absolute path stands below a folder that is laid out like the file system.

    Examples
    --------
    >>> below(Path("/tmp/x"), Path("/home/brewer/a.yaml")).as_posix()
    '/tmp/x/home/brewer/a.yaml'
    """
    return folder.joinpath(*path.parts[1:])


def _entries(revision: Revision) -> list[_Entry]:
    with _Surroundings(revision):
        output = git_output(
            revision.top, "ls-tree", "-r", "-l", "-z", "--full-tree", revision.commit
        )
    if output is None:
        raise NoRevision(f"git does not list the files of {revision.name}")
    found: list[_Entry] = []
    for line in filter(None, output.split(b"\0")):
        about, _, name = line.partition(b"\t")
        mode, _, identity, size = about.decode("ascii").split()
        path = revision.top.joinpath(*os.fsdecode(name).split("/"))
        if _is_plain(os.fsdecode(name)):
            found.append(_Entry(path, mode, identity, int(size) if size.isdigit() else 0))
    return found


def _is_plain(name: str) -> bool:
    """Whether a path leads down only: a tree that was made by hand can hold others."""
    parts = name.split("/")
    return not any(part in ("", ".", "..") or part.casefold() == ".git" for part in parts)


def _contents(revision: Revision, entries: Sequence[_Entry]) -> Iterator[tuple[_Entry, bytes]]:
    for portion in _portions(entries):
        asked = "".join(f"{entry.object}\n" for entry in portion).encode("ascii")
        with _Surroundings(revision):
            output = git_output(revision.top, "cat-file", "--batch", given=asked)
        place = 0
        for entry in portion:
            end = -1 if output is None else output.find(b"\n", place)
            words = b"" if output is None or end < 0 else output[place:end]
            if output is None or not words.endswith(f" {entry.size}".encode("ascii")):
                raise NoRevision(
                    f"git does not hand out {entry.path.name} of {revision.name}; a clone that "
                    "leaves out files must fetch it first"
                )
            yield entry, output[end + 1 : end + 1 + entry.size]
            place = end + entry.size + 2


def _portions(entries: Iterable[_Entry]) -> Iterator[list[_Entry]]:
    portion: list[_Entry] = []
    size = 0
    for entry in entries:
        portion.append(entry)
        size += entry.size
        if size > _AT_A_TIME:
            yield portion
            portion, size = [], 0
    if portion:
        yield portion


def _submodule(entry: _Entry, revision: Revision) -> Revision | str:
    """The repository of a submodule at the commit that its parent names, or why there is none."""
    inner = Revision(entry.path, entry.object, revision.name, inner=True)
    if entry.mode != _SUBMODULE:
        return ""
    name = entry.path.relative_to(revision.top).as_posix()
    if not has_git(entry.path):
        return f"the submodule {name} is not checked out, so its files are not known"
    with _Surroundings(inner):
        known = git_output(entry.path, "cat-file", "-e", f"{entry.object}^{{commit}}")
    if known is None:
        return f"the submodule {name} does not have the commit that {revision.name} names"
    return inner


class _Surroundings:
    """An environment in which git looks at a submodule's own repository, for a while."""

    def __init__(self, revision: Revision) -> None:
        self._hidden = _OWN if revision.inner else ()
        self._kept: dict[str, str] = {}

    def __enter__(self) -> None:
        for name in self._hidden:
            if name in os.environ:
                self._kept[name] = os.environ.pop(name)

    def __exit__(self, *_: object) -> None:
        os.environ.update(self._kept)
