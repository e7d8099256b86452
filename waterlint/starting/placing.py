"""Putting the first files into place, and leaving alone whatever is there."""

from __future__ import annotations

import os
from dataclasses import dataclass

from waterlint.hints import Literal
from waterlint.paths import Path
from waterlint.project.root import is_inside
from waterlint.project.write import create_whole
from waterlint.starting.files import StartingFile

#: What became of a file: written; left since it is there, with the same text or another;
#: failed, for the reason told beside it.
Fate = Literal["written", "same", "different", "failed"]


@dataclass(frozen=True, slots=True)
class Placed:
    """What became of one file."""

    file: StartingFile
    fate: Fate
    reason: str = ""


def place(file: StartingFile, root: Path) -> Placed:
    """Write a file unless something of its name is there.

    Parameters
    ----------
    file : StartingFile
        What to write, and where.
    root : Path
        Nothing outside this folder is written, not through a symbolic link either.

    Returns
    -------
    Placed
        Nothing is raised for what the disk refuses.
    """
    if os.path.lexists(file.path):
        return Placed(file, "same" if _holds(file) else "different")
    if not is_inside(file.path.parent, (root,)):
        return Placed(file, "failed", "its folder is a symbolic link out of the repository")
    try:
        file.path.parent.mkdir(parents=True, exist_ok=True)
        create_whole(file.path, file.text.encode(), executable=file.executable)
    except FileExistsError:
        # Made by someone else since we looked, or its folder is a file.
        if os.path.lexists(file.path):
            return Placed(file, "different")
        return Placed(file, "failed", "its folder cannot be made: a file has that name")
    except OSError as error:
        return Placed(file, "failed", error.strerror or type(error).__name__)
    return Placed(file, "written")


def _holds(file: StartingFile) -> bool:
    try:
        return file.path.is_file() and file.path.read_bytes() == file.text.encode()
    except OSError:
        return False
