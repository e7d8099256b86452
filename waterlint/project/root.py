"""Where a project ends: the folder that files may refer to each other within."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable
from contextvars import ContextVar

from waterlint.paths import Path
from waterlint.project.probes import look, note

_GIT = ".git"

#: Stands in for the working directory, in a process that does another's work.
_HERE: ContextVar[Path | None] = ContextVar("here", default=None)


class WorkingFrom:
    """Lets `folder` be taken for the working directory for a while, as a context."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def __enter__(self) -> None:
        self._token = _HERE.set(self._folder)

    def __exit__(self, *failure: object) -> None:
        _HERE.reset(self._token)


def _here() -> Path:
    return _HERE.get() or Path.cwd()


#: Whether Python takes the names of files for UTF-8. Under the locale C it may not; they are read
#: and shown as everywhere else.
_NAMES_ARE_UTF8 = sys.getfilesystemencoding() == "utf-8"


def name_of_text(text: str) -> str:
    """A path that a file of ours writes, as this Python hands it to the system."""
    return text if _NAMES_ARE_UTF8 else os.fsdecode(text.encode("utf-8", "surrogatepass"))


def text_of_name(name: str) -> str:
    """A path as this Python has it from the system, as people read it."""
    return name if _NAMES_ARE_UTF8 else os.fsencode(name).decode("utf-8", "surrogateescape")


def absolute(path: Path | str, base: Path | None = None) -> Path:
    """`path` from the root of the file system on, without ``.`` and ``..``.

    Symbolic links stay as they are named, except in front of a ``..``, which leads to the
    parent of what the link points to.

    Parameters
    ----------
    path : Path or str
        Any path; it need not exist.
    base : Path or None
        What a relative path is relative to; the working directory if not given.
    """
    whole = path if isinstance(path, Path) else Path(path)
    if not whole.is_absolute() and base is not None:
        whole = base / whole
    if not whole.is_absolute():
        whole = _here() / whole
    if ".." not in whole.parts:
        return whole
    current = Path(whole.anchor)
    for part in whole.parts[1:]:
        current = current / part if part != ".." else (_target(current) or current).parent
    return current


def _target(path: Path) -> Path | None:
    """What a symbolic link leads to in the end; `None` for anything else."""
    look("link", path)
    try:
        return Path(os.path.realpath(path)) if path.is_symlink() else None
    except (OSError, ValueError):
        return None


def has_git(folder: Path) -> bool:
    """Whether `folder` is the top of a git working tree: it holds ``.git``, file or folder."""
    try:
        found = (folder / ".git").exists()
    except OSError:
        found = False
    note("git", folder, "yes" if found else "")
    return found


def project_root(path: Path, working_directory: Path | None = None) -> Path:
    """The root of the project that a file belongs to.

    Parameters
    ----------
    path : Path
        The file.
    working_directory : Path or None
        Stands in for the process's own.

    Returns
    -------
    Path
        The nearest folder upward that holds ``.git`` (a folder, or the file of a worktree or
        submodule); without one the working directory if the file is inside it, else the file's
        own folder.
    """
    here = working_directory if working_directory is not None else _here()
    folder = absolute(path, here).parent
    for candidate in (folder, *folder.parents):
        if has_git(candidate):
            return candidate
    return here if folder.is_relative_to(here) else folder


def is_inside(path: Path, roots: Iterable[Path]) -> bool:
    """Whether `path`, with every symbolic link followed, lies in one of `roots`.

    What git keeps for itself, in ``.git``, is no part of a project.
    """
    real = Path(os.path.realpath(path))
    note("real", path, os.fspath(real))
    for root in roots:
        real_root = os.path.realpath(root)
        note("real", root, real_root)
        if real.is_relative_to(real_root) and _GIT not in real.relative_to(real_root).parts:
            return True
    return False


def leads_out(
    path: Path, allow_roots: Iterable[Path] = (), working_directory: Path | None = None
) -> bool:
    """Whether a symbolic link on the way to `path` leads out of the project that holds the link.

    A pull request brings such links, and a pattern of the shell or a fixed name for a report
    takes them. A link that lies in no project is the user's own.

    Parameters
    ----------
    path : Path
        Any path; it need not exist.
    allow_roots : iterable of Path
        Where links may lead besides.
    working_directory : Path or None
        Stands in for the process's own.
    """
    here = working_directory if working_directory is not None else _here()
    allowed = tuple(allow_roots)
    whole = absolute(path, here)
    for link in (whole, *whole.parents):
        look("link", link)
        if not os.path.islink(link):  # noqa: PTH114 - which raises where a name is too long
            continue
        root = project_root(link, here)
        if (root == here or has_git(root)) and not is_inside(link, (root, *allowed)):
            return True
    return False
