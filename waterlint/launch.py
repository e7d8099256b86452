"""What the command `waterlint` calls: it starts and ends a run without delay.

Half of what a run on one file takes goes into importing some 150 small modules, and half of that
into finding each and opening its compiled file. So the compiled modules are kept together as well,
in one *image* beside the files that Python keeps itself (`__pycache__`) and by the same token: a
module is taken from it only while its source has the size and the time that it had. The image is
written after a run that found a module missing or old, whole and by replace. Where it cannot be
read or written, or Python keeps its own files elsewhere or none, everything is imported as ever.

At the end there is nothing left to tidy up that the system does not, so a run ends without taking
apart every module and record.
"""

from __future__ import annotations

import atexit
import marshal
import os
import sys
from importlib.machinery import ModuleSpec, SourceFileLoader

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Sequence
    from types import CodeType, ModuleType
    from typing import NoReturn

_FOLDER = os.path.dirname(__file__)
#: Bytes of the length at the beginning of an image.
_LENGTH = 8
_PACKAGE = __name__.partition(".")[0]

#: Of a module: its file, the time [ns] and size of that, its package's folder or nothing, where
#: Python keeps its compiled form, and from where to where its code lies in the image.
_Entry = tuple[str, int, int, str, str, int, int]


def main() -> NoReturn:
    """Run the command line of this process, and end the process."""
    image = Image.beside(_FOLDER)
    if image is not None:
        sys.meta_path.insert(0, image)
    from waterlint.cli.main import main as run

    status = run()
    if image is not None:
        image.keep()
    leave(status)


def leave(status: int) -> NoReturn:
    """End the process, at once where nobody waits to do something at its end."""
    watched = sys.gettrace() is not None or sys.getprofile() is not None
    threading = sys.modules.get("threading")
    works = threading is not None and threading.active_count() > 1
    if works or watched or atexit._ncallbacks():
        sys.exit(status)
    try:
        sys.stdout.flush()
        sys.stderr.flush()
    except (OSError, ValueError):
        sys.exit(status)
    os._exit(status)


class Image:
    """Compiled modules of this package in one file, as a finder of modules."""

    def __init__(self, path: str) -> None:
        self.path = path
        self.entries: dict[str, _Entry] = {}
        self.file = -1
        self.missed = False
        self._read()

    @classmethod
    def beside(cls, folder: str) -> Image | None:
        """The image of the package in `folder`; `None` where compiled modules have no place there.

        That is so for a package in an archive, when Python was told to keep them elsewhere or to
        leave something out of them, and where a file cannot be read at any place by processes that
        share it.
        """
        elsewhere = sys.pycache_prefix is not None or sys.flags.optimize
        if elsewhere or not _is_plain(__spec__) or not hasattr(os, "pread"):
            return None
        name = f"{_PACKAGE}.{sys.implementation.cache_tag}.image"
        return cls(os.path.join(folder, "__pycache__", name))

    def find_spec(
        self, name: str, path: Sequence[str] | None = None, target: ModuleType | None = None
    ) -> ModuleSpec | None:
        """Where a module of this package comes from; `None` where the image does not know it."""
        if not name.startswith(_PACKAGE):
            return None
        entry = self.entries.get(name)
        if entry is None or not _is_as_before(entry):
            self.missed = True
            return None
        file, _, _, folder, cached, _, _ = entry
        spec = ModuleSpec(name, _Loader(name, file, self), origin=file, is_package=bool(folder))
        if folder:
            spec.submodule_search_locations = [folder]
        spec.cached = cached
        spec.has_location = True
        return spec

    def bytes_of(self, entry: _Entry) -> bytes:
        """The marshalled code of a module."""
        *_, start, end = entry
        return os.pread(self.file, end - start, start)

    def _read(self) -> None:
        """Learn what is in the file, if it is whole and for this Python and this place."""
        try:
            self.file = os.open(self.path, os.O_RDONLY)
            size = int.from_bytes(os.pread(self.file, _LENGTH, 0), "little")
            whole = os.fstat(self.file).st_size
            if size <= whole:
                key, length, entries = marshal.loads(os.pread(self.file, size, whole - size))
                if (key, length) == (_key(), whole):
                    self.entries = entries
        except (OSError, EOFError, TypeError, ValueError):
            return

    def keep(self) -> None:
        """Write the image anew, if a module was imported past it."""
        folder = os.path.dirname(self.path)
        if not self.missed or sys.dont_write_bytecode or not os.access(folder, os.W_OK):
            return
        temporary = f"{self.path}.{os.getpid()}"
        try:
            data = self._written()
            with open(temporary, "xb") as file:
                file.write(data)
            os.replace(temporary, self.path)
        except (OSError, SyntaxError, ValueError):  # no room, or a module was changed just now
            _remove(temporary)

    def _written(self) -> bytes:
        """The image of what this one has and of what was imported in this run.

        The length of the index, the modules, and the index at the end.
        """
        entries: dict[str, _Entry] = {}
        blobs: list[bytes] = []
        end = _LENGTH
        for name, (known, blob) in self._known().items():
            entries[name] = (*known[:5], end, end + len(blob))
            blobs.append(blob)
            end += len(blob)
        # Numbers have the same length whatever they are, so that the index can tell the whole's.
        length = end + len(marshal.dumps((_key(), end, entries)))
        index = marshal.dumps((_key(), length, entries))
        return b"".join((len(index).to_bytes(_LENGTH, "little"), *blobs, index))

    def _known(self) -> dict[str, tuple[_Entry, bytes]]:
        """Each module with its entry, the place of its code in it still open, and its code."""
        known = {
            name: (entry, self.bytes_of(entry))
            for name, entry in self.entries.items()
            if _is_as_before(entry)
        }
        for name, module in list(sys.modules.items()):
            spec = getattr(module, "__spec__", None)
            ours = name == _PACKAGE or name.startswith(f"{_PACKAGE}.")
            if ours and spec is not None and _is_plain(spec):
                # What the file was like is asked before it is read: a change between the two
                # makes an entry that is never used.
                found = os.stat(spec.origin)
                folder = os.path.dirname(spec.origin) if spec.submodule_search_locations else ""
                cached = spec.cached or ""
                entry = (spec.origin, found.st_mtime_ns, found.st_size, folder, cached, 0, 0)
                known[name] = entry, marshal.dumps(spec.loader.get_code(name))
        return known


class _Loader(SourceFileLoader):
    """Loads a module as from its file, but for the code that the image has."""

    def __init__(self, name: str, path: str, image: Image) -> None:
        super().__init__(name, path)
        self.image = image

    def get_code(self, fullname: str) -> CodeType:
        code: CodeType = marshal.loads(self.image.bytes_of(self.image.entries[fullname]))
        return code


def _key() -> tuple[str, str]:
    """What an image is good for: this Python, and the place that its code names in tracebacks."""
    return sys.version, _FOLDER


def _is_plain(spec: ModuleSpec | None) -> bool:
    """Whether a module comes from a file of source, by Python's own loader of such files."""
    return spec is not None and type(spec.loader) is SourceFileLoader


def _is_as_before(entry: _Entry) -> bool:
    try:
        found = os.stat(entry[0])
    except OSError:
        return False
    return (found.st_mtime_ns, found.st_size) == entry[1:3]


def _remove(path: str) -> None:
    try:
        os.remove(path)
    except OSError:
        return
