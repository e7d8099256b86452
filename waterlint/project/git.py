"""What git knows about a project: which files change, and which it keeps at all."""

from __future__ import annotations

import os
from collections.abc import Collection, Iterable, Iterator, Sequence

from waterlint.hints import Literal
from waterlint.paths import Path
from waterlint.project.root import absolute, has_git
from waterlint.records import Record

Status = Literal["added", "changed", "deleted", "renamed"]

_STATUS: dict[str, Status] = {
    "A": "added",
    "C": "added",
    "D": "deleted",
    "M": "changed",
    "R": "renamed",
    "T": "changed",
    "U": "changed",
}

#: How long one call of git may take [s]; a diff of the index takes some 0.01 s (measured), so
#: that only a hanging file system comes near.
_PATIENCE = 60.0


class Change(Record):
    """A file that a commit, or a stretch of commits, changes.

    `path` is absolute, for a renamed file the new one; `old_path` is set for a rename only.
    """

    status: Status
    path: Path
    old_path: Path | None = None


def staged_changes(folder: Path) -> list[Change] | None:
    """What the commit in the making changes.

    Where the hook runs over a stretch of commits (``PRE_COMMIT_FROM_REF`` and
    ``PRE_COMMIT_TO_REF`` are set), what that stretch changes.

    Parameters
    ----------
    folder : Path
        A folder of the repository.

    Returns
    -------
    list of Change or None
        In git's order; `None` where there is no git or no repository.
    """
    top = top_of(folder)
    if top is None:
        return None
    output: bytes | None
    first, last = os.environ.get("PRE_COMMIT_FROM_REF"), os.environ.get("PRE_COMMIT_TO_REF")
    if first and last:
        # Three dots: what `last` changed since it left `first`; two where they share no past.
        output = _diff(top, f"{first}...{last}")
        if output is None:
            output = _diff(top, f"{first}..{last}")
    else:
        output = _diff(top, "--cached")
    return None if output is None else list(read_changes(output, top))


def tracked(folder: Path) -> frozenset[Path] | None:
    """Every file that git keeps or is about to, absolute; `None` without a repository."""
    top = top_of(folder)
    output = None if top is None else git_output(top, "ls-files", "-z", "--cached")
    if top is None or output is None:
        return None
    return frozenset(top / os.fsdecode(name) for name in output.split(b"\0") if name)


def keeps(kept: Collection[Path], path: Path) -> bool:
    """Whether git keeps a file, itself or in a submodule: of that it keeps the folder's name."""
    return path in kept or any(folder in kept for folder in path.parents)


def names_one(names: Iterable[str], folder: Path) -> bool:
    """Whether a YAML file that git keeps may refer to one of some files, by the last part of its
    name, or be a link to one; `names` are paths."""
    top = top_of(folder)
    last = {os.path.basename(name) for name in names}  # noqa: PTH119
    # A name that holds a line end is no pattern; whoever has one is looked at.
    if top is None or any("\n" in name for name in last):
        return top is not None
    patterns = "\n".join(sorted(last)).encode("utf-8", "surrogateescape")
    where = ("--", "*.yaml", "*.yml", "*.YAML", "*.YML")
    options = ("--cached", "--quiet", "--fixed-strings", "--text", "-f", "-")
    if git_output(top, "grep", *options, *where, given=patterns) is not None:
        return True
    # Where links lead is not asked here: hardly any repository has such files.
    kept = git_output(top, "ls-files", "--stage", "-z", *where) or b""
    return b"\x00120000 " in b"\x00" + kept


def top_of(folder: Path) -> Path | None:
    """The top of the working tree, where paths in git's answers start; `None` without one."""
    folder = absolute(folder)
    named = os.environ.get("GIT_WORK_TREE")
    if named:
        return absolute(named, folder)
    for candidate in (folder, *folder.parents):
        if has_git(candidate):
            return candidate
    # A hook of a repository without `.git` inside the tree runs at the top of the tree.
    return folder if os.environ.get("GIT_DIR") else None


def _diff(top: Path, which: str) -> bytes | None:
    # A revision from the environment must not be taken for an option.
    if which.startswith("-") and which != "--cached":
        return None
    return git_output(top, "diff", "--no-ext-diff", "--name-status", "-z", "-M", which, "--")


def git_output(top: Path, *arguments: str, given: bytes = b"") -> bytes | None:
    """What git prints when it is `given` something; `None` where it fails.

    The environment is passed on as it is, since during a commit it says which index counts
    (``GIT_INDEX_FILE``).
    """
    import subprocess

    # What a repository's own settings have git run at such times is none of ours.
    command: Sequence[str] = ("git", "-c", "core.fsmonitor=false", *arguments)
    try:
        done = subprocess.run(command, cwd=top, input=given, capture_output=True, timeout=_PATIENCE)
    except (OSError, ValueError, subprocess.TimeoutExpired):
        return None
    return done.stdout if done.returncode == 0 else None


def read_changes(output: bytes, top: Path) -> Iterator[Change]:
    """The changes in what ``git diff --name-status -z`` prints."""
    fields = iter(os.fsdecode(output).split("\0"))
    for letter in fields:
        if not letter:
            continue
        status = _STATUS.get(letter[0], "changed")
        first = top / next(fields, "")
        if letter[0] == "R":
            yield Change(status, top / next(fields, ""), first)
        elif letter[0] == "C":
            yield Change(status, top / next(fields, ""))
        else:
            yield Change(status, first)
