"""The files of a run: opened here and nowhere else, each read once."""

from __future__ import annotations

import errno
import os
import stat
from collections.abc import Collection

from waterlint.finding import FILE_START, Finding
from waterlint.hints import TYPE_CHECKING
from waterlint.paths import Path
from waterlint.project.nearest import nearest_file
from waterlint.project.probes import digest, doubt, is_recording, look, note
from waterlint.project.root import absolute, text_of_name
from waterlint.records import Record
from waterlint.source.decoding import decode
from waterlint.source.lines import FewLines, Lines

if TYPE_CHECKING:
    from waterlint.source.document import SourceFile

#: The longest file that is read [bytes]. 1 MiB, the rule book's limit for a file; a recipe has
#: some 3 kB.
MAX_BYTES = 1024 * 1024

#: How much of a larger file is looked at to see whether it is one of ours [bytes].
_BEGINNING = 4096

#: From more kept lines than this on of a file they are found by a table, made once: of fewer it is
#: made when they are shown, and takes no room till then. The project's own bound.
_MANY_LINES = 20


class ReadProblem(Record):
    """Why a file could not be read, and what to do about it.

    `missing` tells whether there simply is no such file; `beginning` is that of a file that is
    too large.
    """

    path: str
    message: str
    help: str
    missing: bool = False
    beginning: bytes = b""

    def finding(self) -> Finding:
        """The problem as a finding about the file as a whole."""
        return Finding("unreadable-file", "error", self.path, FILE_START, self.message, self.help)


class Disk:
    """Reads files and remembers them for one run.

    Parameters
    ----------
    working_directory : Path or None
        What relative paths start from and what shown paths are relative to; the process's own
        if not given.
    """

    def __init__(self, working_directory: Path | None = None) -> None:
        self.working_directory = absolute(working_directory or Path())
        self._bytes: dict[Path, bytes | ReadProblem] = {}
        self._digests: dict[Path, str] = {}
        self._sources: dict[Path, SourceFile] = {}
        self._waiting = 0
        self._judged: dict[Path, str] = {}
        self._lines: dict[Path, Lines] = {}
        self._few: dict[Path, tuple[tuple[int, str], ...]] = {}
        self._paths: dict[str, Path] = {}
        self._shown: dict[Path, str] = {}

    def absolute(self, path: Path | str) -> Path:
        """`path` as this run knows it: the same file under the same name, however spelled."""
        return absolute(path, self.working_directory)

    def shown(self, path: Path | str) -> str:
        """`path` as people and machines are told it: from the working directory, with ``/``.

        What stands outside the working directory begins with ``../``. A name that is no UTF-8
        keeps its bytes as lone surrogates, so that it still names the file.
        """
        path = self.absolute(path)
        known = self._shown.get(path)
        if known is not None:
            self._paths[known] = path
            return known
        shown = _relative(path, self.working_directory)
        if shown.startswith("../"):
            look("real", path.parent)
            # The working directory's own name may hold a symbolic link where `path` has none.
            real = Path(os.path.realpath(path.parent), path.name)
            if real.is_relative_to(self.working_directory):
                shown = _relative(real, self.working_directory)
        shown = text_of_name(shown)
        self._paths[shown] = path
        if not shown.startswith("../"):  # there the disk must be asked each time
            self._shown[path] = shown
        return shown

    def path_shown_as(self, shown: str) -> Path | None:
        """The path that this run has shown as `shown`."""
        return self._paths.get(shown)

    def lines_shown_as(self, shown: str) -> Lines | None:
        """The line table of the file that this run has shown as `shown`.

        A file whose findings are kept from an earlier run is read for it, as long as it holds
        what it held when it was judged.
        """
        path = self._paths.get(shown)
        if path is None:
            return None
        source = self._sources.get(path)
        if source is not None:
            return source.lines
        if path in self._few:
            return FewLines(self._few[path])
        if path not in self._lines and path in self._judged:
            data = self.bytes_of(path)
            if isinstance(data, bytes) and digest(data) == self._judged[path]:
                self._lines[path] = lines_of(data, shown)
        return self._lines.get(path)

    def keep_lines(self, path: Path, lines: Lines) -> None:
        """Remember the lines of a file that is not parsed."""
        self._lines[path] = lines

    def keep_judged(self, path: Path, content: str) -> None:
        """Remember the digest of what a file held when it was judged, here or elsewhere."""
        if path not in self._judged:
            self._judged[path] = content
            self.shown(path)

    def is_there(self, path: Path) -> bool:
        """Whether something that may be a file has this name: anything but a folder."""
        path = self.absolute(path)
        try:
            there = path.is_symlink() or (path.exists() and not path.is_dir())
        except (OSError, ValueError):
            there = False
        note("there", path, "yes" if there else "")
        return there

    def read(self, path: Path | str) -> SourceFile | ReadProblem:
        """The file's text and documents, or why there are none; read and parsed only once."""
        path = self.absolute(path)
        source = self._sources.get(path)
        if source is None:
            data = self.bytes_of(path)
            if isinstance(data, ReadProblem):
                return data
            # Imported late: a run whose findings are kept from an earlier one parses nothing.
            from waterlint.source.document import read_bytes

            source = self._sources[path] = read_bytes(data, self.shown(path))
            # The text is in the source now.
            self._drop_bytes(path)
        elif is_recording():
            self._note_content(path)
        return source

    def bytes_of(self, path: Path | str, most: int = MAX_BYTES) -> bytes | ReadProblem:
        """The file's bytes, at most so many, or why they cannot be had."""
        path = self.absolute(path)
        if path in self._sources:
            if is_recording():
                self._note_content(path)
            return self._sources[path].text.encode("utf-8", errors="surrogatepass")
        if path not in self._bytes:
            self._digests.pop(path, None)
            try:
                data = _read_regular_file(path, most)
            except (OSError, ValueError) as error:
                self._bytes[path] = self._problem(path, error)
            else:
                self._bytes[path] = data
                self._waiting += len(data)
        data_or_problem = self._bytes[path]
        if is_recording():
            self._note_content(path)
        return data_or_problem

    def _note_content(self, path: Path) -> None:
        """Note what a file holds; what is given, or cannot be read, is not kept."""
        data = self._bytes.get(path)
        if isinstance(data, bytes) and path not in self._digests:
            self._digests[path] = digest(data)
        if path in self._digests:
            note("bytes", path, self._digests[path])
        elif isinstance(data, ReadProblem) and data.missing:
            look("kind", path)
            look("link", path)
            look("kind", path.parent)
            look("names", path.parent)
        else:
            doubt()

    def digest_of(self, path: Path) -> str | None:
        """The name of the content that was last read from a file, where that was noted."""
        return self._digests.get(path)

    def keep(self, path: Path | str, source: SourceFile) -> None:
        """Let `source` stand for the file at `path` from now on, as for text on standard input."""
        path = self.absolute(path)
        self._sources[path] = source
        self._digests.pop(path, None)
        self._paths[source.path] = path

    @property
    def waiting(self) -> int:
        """How much has been read from the disk and not been parsed yet [bytes]."""
        return self._waiting

    def forget(self, path: Path | str) -> None:
        """Read the file anew when it is next asked for."""
        path = self.absolute(path)
        self._drop_bytes(path)
        self._digests.pop(path, None)
        self._sources.pop(path, None)

    def _drop_bytes(self, path: Path) -> None:
        data = self._bytes.pop(path, None)
        if isinstance(data, bytes):
            self._waiting -= len(data)

    def release(self, path: Path | str, lines: Collection[int] | None = ()) -> None:
        """Read the file anew when it is next asked for; `lines`, or all, can still be shown."""
        path = self.absolute(path)
        source = self._sources.pop(path, None)
        if source is not None and lines is None:
            # A line table of its own: most lines of a recipe are never shown.
            self._lines[path] = Lines(source.text)
        elif source is not None and lines:
            kept = tuple([(number, source.lines.line(number)) for number in lines])
            if len(kept) > _MANY_LINES:
                self._lines[path] = FewLines(kept)
            else:
                self._few[path] = kept

    def refuse(self, path: Path | str, message: str, help: str) -> None:
        """Let every later reading of `path` end in this problem."""
        path = self.absolute(path)
        self._sources.pop(path, None)
        self._digests.pop(path, None)
        self._drop_bytes(path)
        self._bytes[path] = ReadProblem(self.shown(path), message, help)

    def is_refused(self, path: Path | str) -> bool:
        """Whether `path` is known not to be readable."""
        return isinstance(self._bytes.get(self.absolute(path)), ReadProblem)

    def _problem(self, path: Path, error: OSError | ValueError) -> ReadProblem:
        shown = self.shown(path)
        if isinstance(error, _Refused):
            return ReadProblem(shown, error.message, error.help, beginning=error.beginning)
        if isinstance(error, FileNotFoundError | NotADirectoryError):
            if path.is_symlink():
                return ReadProblem(
                    shown,
                    "the file is a symbolic link to something that is not there",
                    "Mend the link or take it away.",
                )
            return ReadProblem(shown, "there is no such file", _missing_help(path), missing=True)
        if isinstance(error, PermissionError):
            return ReadProblem(
                shown,
                "the file may not be read by this user",
                "Allow reading it (chmod u+r), or leave it out of the call.",
            )
        if isinstance(error, OSError) and error.errno == errno.ELOOP:
            return ReadProblem(
                shown, "the file is a symbolic link that leads in a circle", "Mend the link."
            )
        reason = error.strerror if isinstance(error, OSError) else "its name cannot be one"
        return ReadProblem(
            shown, f"the file cannot be read: {reason}", "Check the name and the disk."
        )


class _Refused(OSError):
    """Something that is there and is not to be read."""

    def __init__(self, message: str, help: str, beginning: bytes = b"") -> None:
        super().__init__(message)
        self.message = message
        self.help = help
        self.beginning = beginning


def _read_regular_file(path: Path, most: int) -> bytes:
    # Looked at before it is opened, since opening a pipe or a device can wait for ever or set
    # something off; opened without waiting and looked at again, since it may have been changed
    # in between.
    name = os.fspath(path)
    _refuse_irregular(os.stat(name))  # noqa: PTH116
    handle = os.open(name, os.O_RDONLY | _AT_ONCE)
    try:
        status = os.fstat(handle)
        _refuse_irregular(status)
        # Room for the most that is read costs more than reading a recipe, so the size is asked;
        # some regular files have no size and no end, so it is not believed.
        data = os.read(handle, min(status.st_size, most) + 1)
        if len(data) != status.st_size:
            data += _read(handle, most + 1 - len(data))
    finally:
        os.close(handle)
    if len(data) > most:
        raise _Refused(
            "the file is larger than 1 MiB, which no recipe or water report is"
            if most == MAX_BYTES
            else f"the file is larger than {most // MAX_BYTES} MiB",
            "Split it into several files, or leave it out of the call.",
            data[:_BEGINNING],
        )
    return data


_AT_ONCE = getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)


def _read(handle: int, most: int) -> bytes:
    """What a file holds from where it was last read, at most so many bytes."""
    parts: list[bytes] = []
    while most > 0 and (part := os.read(handle, most)):
        parts.append(part)
        most -= len(part)
    return b"".join(parts)


def _refuse_irregular(status: os.stat_result) -> None:
    if stat.S_ISDIR(status.st_mode):
        raise _Refused("this is a folder, not a file", "Name a file in it.")
    if not stat.S_ISREG(status.st_mode):
        raise _Refused(
            "this is a pipe, a socket or a device, not a file",
            "Name a regular file; what comes from a pipe is read as `-` with --stdin-name.",
        )


def lines_of(data: bytes, shown: str) -> Lines:
    """The lines of a file's bytes, as its findings count them."""
    text, faults = decode(data, shown)
    return Lines(text.removeprefix("\ufeff")) if faults is None else faults.lines


def _relative(path: Path, start: Path) -> str:
    text, above = os.fspath(path), f"{start}{os.sep}"
    if text.startswith(above):
        return text[len(above) :].replace(os.sep, "/")
    try:
        return os.path.relpath(path, start).replace(os.sep, "/")
    except ValueError:
        # On Windows there is no way from one drive to another.
        return path.as_posix()


def _missing_help(path: Path) -> str:
    try:
        near = nearest_file(path.name, (each.name for each in path.parent.iterdir()))
    except (OSError, ValueError):
        return f"There is no folder {path.parent.name} either; check the path."
    return f"Did you mean {near}?" if near is not None else "Check the name."
