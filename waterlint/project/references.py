"""What a file may name outside itself, and where that is found."""

from __future__ import annotations

import re
import stat
from collections.abc import Collection, Iterable

from waterlint.paths import Path
from waterlint.project.nearest import did_you_mean, nearest_file
from waterlint.project.probes import look
from waterlint.project.root import absolute, is_inside, name_of_text, project_root
from waterlint.records import Record
from waterlint.source.faults import shorten

_URL = r"[A-Za-z][A-Za-z0-9+.-]+:"
_DRIVE = r"[A-Za-z]:"

#: Letters of the longest reference that is looked for: what Linux takes as a path at most.
MOST_LETTERS = 4096


class Resolved(Record):
    """The file that a reference names; it exists."""

    path: Path


class Unresolved(Record):
    """Why a reference leads to nothing, and what to write instead.

    `path` is where the file was looked for, where the reference got that far.
    """

    problem: str
    help: str
    path: Path | None = None


def is_path(reference: str) -> bool:
    """Whether a reference is meant as a path and not as the name of a water.

    Examples
    --------
    >>> [is_path(text) for text in ("./mill", "waters/mill", "mill.yaml", "distilled")]
    [True, True, True, False]
    """
    return (
        reference.startswith((".", "~"))
        or "/" in reference
        or "\\" in reference
        or reference.lower().endswith((".yaml", ".yml"))
        or _starts_like(_URL, reference)
        or _starts_like(_DRIVE, reference)
    )


def resolve(
    reference: str, from_file: Path, allow_roots: Iterable[Path] = (), names: Collection[str] = ()
) -> Resolved | Unresolved:
    """Find the file that a reference names.

    Files come with pull requests, also from strangers, so a reference never leads out of the
    project, whatever it is written like and whatever links lie on the way.

    Parameters
    ----------
    reference : str
        As written: a path relative to the folder of the file that names it.
    from_file : Path
        The file that names it.
    allow_roots : iterable of Path
        Folders outside the project that the command line allows.
    names : collection of str
        The names that could have stood there instead of a path, for the help on an unknown
        one; a known name is the caller's to look up first.

    Returns
    -------
    Resolved or Unresolved
        The file, which exists and lies in the project; or what is wrong.
    """
    from_file = absolute(from_file)
    if not is_path(reference):
        return _unknown_name(reference, from_file, names)
    # Before anything is said about whether the file is there: a message must not tell what
    # exists outside the project.
    path = locate(reference, from_file, allow_roots)
    if isinstance(path, Unresolved):
        return path
    look("kind", path)
    try:
        mode = path.stat().st_mode
    except FileNotFoundError:
        return _missing(reference, path)
    except NotADirectoryError:
        return Unresolved(
            f"{reference} leads through a file as if it were a folder", "Check the path."
        )
    except OSError as error:
        return Unresolved(f"{reference} cannot be read: {error.strerror}", "Check the path.", path)
    if stat.S_ISDIR(mode):
        return Unresolved(f"{reference} is a folder", "Name the file in it.", path)
    if not stat.S_ISREG(mode):
        return Unresolved(
            f"{reference} is a pipe, a socket or a device", "Name a regular file.", path
        )
    return Resolved(path)


def locate(reference: str, from_file: Path, allow_roots: Iterable[Path] = ()) -> Path | Unresolved:
    """Where a path of a file leads, which need not be there but must lie in the project.

    Parameters and refusals are those of `resolve`.
    """
    refused = _refused(reference)
    if refused is not None:
        return refused
    from_file = absolute(from_file)
    root = project_root(from_file)
    try:
        path = absolute(name_of_text(reference), from_file.parent)
        return path if is_inside(path, (root, *allow_roots)) else _leaves(reference, root)
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) else "no file can have this name"
        return Unresolved(f"{reference} cannot be read: {reason}", "Check the path.")


def _starts_like(pattern: str, reference: str) -> bool:
    # Hardly a reference has a colon, and then the pattern need not be compiled.
    return ":" in reference and re.match(pattern, reference) is not None


def _refused(reference: str) -> Unresolved | None:
    """The ways of writing a path that are refused without a look at the disk."""
    how = "Write the path from this file's folder on, as in ../waters/supply.yaml."
    if len(reference) > MOST_LETTERS:
        return Unresolved(f"{shorten(reference)} is longer than a path can be", how)
    if "\\" in reference:
        slashes = reference.replace("\\", "/")
        if not _starts_like(_DRIVE, reference) and not slashes.startswith("/"):
            how = f"Write it with slashes, which work on every system: {slashes}"
        return Unresolved(f"{reference} has a backslash", how)
    if _starts_like(_URL, reference) and not reference.startswith("."):
        return Unresolved(
            f"{reference} is a URL, and nothing is read from the network",
            f"Keep the file in the project. {how}",
        )
    if _starts_like(_DRIVE, reference) or reference.startswith("/"):
        return Unresolved(f"{reference} is an absolute path, which holds on one machine only", how)
    if reference.startswith("~"):
        return Unresolved(f"{reference} begins in a home folder, which others do not have", how)
    return None


def _leaves(reference: str, root: Path) -> Unresolved:
    name = root.name or root.as_posix()
    return Unresolved(
        f"{reference} leads out of the project, the folder {name}",
        "Keep the file inside the project, or allow its folder on the command line with "
        "--allow-root. Without git the project is the folder that waterlint is called in, and for "
        "a file outside of that the file's own.",
    )


def _missing(reference: str, path: Path) -> Unresolved:
    folder = path.parent
    below, _, _ = reference.rpartition("/")
    look("kind", folder)
    look("link", path)
    if not folder.is_dir():
        return Unresolved(
            f"there is no folder {below} and so no file {reference}", _folder_help(folder), path
        )
    names = [name for name in _listed(folder) if name.lower().endswith((".yaml", ".yml"))]
    near = nearest_file(path.name, names)
    if near is not None:
        help = f"Did you mean {below}/{near}?" if below else f"Did you mean {near}?"
    elif names:
        help = f"The folder holds {_some(names)}."
    else:
        help = "The folder holds no YAML file."
    problem = f"there is no file {reference}"
    if path.is_symlink():
        problem, help = f"{reference} is a symbolic link to something that is not there", "Mend it."
    return Unresolved(problem, help, path)


def _folder_help(folder: Path) -> str:
    """What to say of a folder that is not there: the nearest name beside it."""
    while not folder.parent.is_dir() and folder.parent != folder:
        look("kind", folder.parent)
        folder = folder.parent
    look("kind", folder.parent)
    folders = [name for name in _listed(folder.parent) if (folder.parent / name).is_dir()]
    near = did_you_mean(folder.name, folders)
    return near or f"Check the path: it fails at {folder.name}."


def _unknown_name(reference: str, from_file: Path, names: Collection[str]) -> Unresolved:
    helps = [did_you_mean(reference, names)]
    for ending in (".yaml", ".yml"):
        beside = from_file.parent / f"{reference}{ending}"
        look("kind", beside)
        if beside.is_file():
            helps.append(f"To name the file beside this one write ./{reference}{ending}.")
    known = f"Known names: {_some(names)}. " if names else ""
    helps.append(f"{known}A file is named by a path, as in ../waters/supply.yaml.")
    problem = f"there is no water named {reference}" if reference.strip() else "no water is named"
    return Unresolved(problem, " ".join(filter(None, helps)))


def _some(names: Iterable[str], most: int = 6) -> str:
    ordered = sorted(names)
    return ", ".join(ordered[:most]) + (", …" if len(ordered) > most else "")


def _listed(folder: Path) -> list[str]:
    look("names", folder)
    try:
        return [each.name for each in folder.iterdir()]
    except OSError:
        return []
