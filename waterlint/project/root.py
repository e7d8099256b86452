"""Where a project ends: the folder that files may refer to each other within."""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path


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
    whole = os.path.join(base if base is not None else os.getcwd(), path)
    if ".." not in Path(whole).parts:
        return Path(os.path.abspath(whole))
    parts = Path(whole).parts
    current = parts[0]
    for part in parts[1:]:
        if part != "..":
            current = os.path.join(current, part)
        else:
            current = os.path.dirname(
                os.path.realpath(current) if os.path.islink(current) else current
            )
    return Path(current)


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
    here = working_directory if working_directory is not None else Path.cwd()
    folder = absolute(path, here).parent
    for candidate in (folder, *folder.parents):
        if os.path.exists(candidate / ".git"):
            return candidate
    return here if folder.is_relative_to(here) else folder


def is_inside(path: Path, roots: Iterable[Path]) -> bool:
    """Whether `path`, with every symbolic link followed, lies in one of `roots`."""
    real = Path(os.path.realpath(path))
    return any(real.is_relative_to(os.path.realpath(root)) for root in roots)
