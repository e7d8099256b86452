"""Writing a file whole or not at all."""

from __future__ import annotations

import errno
import os
import stat

from waterlint.paths import Path
from waterlint.project.root import leads_out


class WriteFailed(OSError):
    """The file could not be written as wanted, and stands as it stood before."""

    def __init__(self, path: Path, reason: str) -> None:
        super().__init__(None, reason, os.fspath(path))


def write_whole(path: Path, data: bytes, *, expected: bytes | None = None) -> None:
    """Replace or create a file in one step: others see the old content or the new, never a part.

    Parameters
    ----------
    path : Path
        The file; where it is a symbolic link, the file that the link points to is replaced.
    data : bytes
        The new content.
    expected : bytes or None
        What the file must still hold; given, a change made meanwhile is not overwritten.

    Raises
    ------
    OSError
        When it cannot be written (`WriteFailed` where the reason is not the system's own); the
        file then stands as before. Its `strerror` says why.

    Notes
    -----
    The file's permissions are kept; a hard link to it keeps the old content, and so does what
    other metadata (extended attributes, access lists) it had. The content is read back before
    it takes the file's place.
    """
    path = Path(os.path.realpath(path))
    mode = _mode_of(path)
    if mode is not None:
        if not stat.S_ISREG(mode):
            raise WriteFailed(path, "this is no regular file")
        if not os.access(path, os.W_OK):
            raise WriteFailed(path, "the file is write-protected")
    temporary = _temporary(path)
    try:
        _write_new(temporary, data, mode)
        if temporary.read_bytes() != data:
            raise WriteFailed(path, "what was written does not read back the same")
        if expected is not None and (mode is None or path.read_bytes() != expected):
            raise WriteFailed(path, "the file was changed by someone else meanwhile")
        temporary.replace(path)
    except BaseException:
        # Also when interrupted: nothing half-written stays behind.
        temporary.unlink(missing_ok=True)
        raise
    _sync_folder(path.parent)


def write_report(path: Path, data: bytes) -> None:
    """Write a file that a call names, as `write_whole`.

    Raises
    ------
    OSError
        Also where a symbolic link of the project leads out of it: a pull request may have put it
        in the report's place.
    """
    if leads_out(path):
        raise WriteFailed(path, "a symbolic link on the way leads out of the project")
    write_whole(path, data)


def create_whole(path: Path, data: bytes, *, executable: bool = False) -> None:
    """Create a file that is not there yet; what is there, a symbolic link too, stays as it is.

    Parameters
    ----------
    path : Path
        The file; its folder exists.
    data : bytes
        The content.
    executable : bool
        Whether it is a program.

    Raises
    ------
    FileExistsError
        When something has that name.
    OSError
        When it cannot be written; nothing is left of it then.
    """
    temporary = _temporary(path)
    try:
        _write_new(temporary, data, None, 0o777 if executable else 0o666)
        try:
            # Unlike a replacement, a link never takes the place of what is there.
            os.link(temporary, path)
        except FileExistsError:
            raise
        except OSError:
            # A file system without hard links: another program has the blink of an eye.
            if os.path.lexists(path):
                raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), path) from None
            temporary.replace(path)
    finally:
        temporary.unlink(missing_ok=True)
    _sync_folder(path.parent)


def _temporary(path: Path) -> Path:
    """A name beside a file for its new content; after a power cut such a file may stay behind."""
    return path.parent / f".waterlint-{os.getpid()}-{os.urandom(4).hex()}.tmp"


def _mode_of(path: Path) -> int | None:
    try:
        return path.stat().st_mode
    except FileNotFoundError:
        return None


def _write_new(path: Path, data: bytes, mode: int | None, new_mode: int = 0o666) -> None:
    flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
    # A new file gets what the user's umask leaves of its mode, as from any other program.
    with os.fdopen(os.open(path, flags, new_mode), "wb") as file:
        file.write(data)
        file.flush()
        if mode is not None and hasattr(os, "fchmod"):
            os.fchmod(file.fileno(), stat.S_IMODE(mode))
        os.fsync(file.fileno())


def _sync_folder(folder: Path) -> None:
    """Make the new name itself last through a power cut, where the system can do that."""
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError:
        return
    try:
        os.fsync(handle)
    except OSError:
        pass
    finally:
        os.close(handle)
