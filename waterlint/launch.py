"""What the command `waterlint` calls: it starts and ends a run without delay.

Half of what a run on one file takes goes into importing some 150 small modules, and half of that
into finding each and opening its compiled file. So the compiled modules are kept together as well,
in one *image* beside the files that Python keeps itself (`__pycache__`) and by the same token: it
is taken only while each source in it has the size and the times that it had. The image is written
after a run that found a module missing or old, whole and by replace. Where it cannot be read or
written, or Python keeps its own files elsewhere or none, everything is imported as ever.

A module brings others along, which it imports itself. With it these are made at once, each before
those that need it, which spares them the way through Python's search. Their order is true as long
as no source changes, which is why one that did makes the whole image old.

At the end there is nothing left to tidy up that the system does not, so a run ends without taking
apart every module and record.
"""

from __future__ import annotations

import atexit
import gc
import marshal
import os
import sys

# Where `importlib.machinery` takes them from, without the rest of `importlib`.
from _frozen_importlib import ModuleSpec
from _frozen_importlib_external import PathFinder, SourceFileLoader
from mmap import ACCESS_READ, mmap

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Sequence
    from types import CodeType, ModuleType
    from typing import NoReturn

_FOLDER = os.path.dirname(__file__)
#: Bytes of the length at the beginning of an image.
_LENGTH = 8
_PACKAGE = __name__.partition(".")[0]
#: Changes when what is written of a module does.
_LAYOUT = 2

#: Of a module: its file, the times [ns] at which what is in that and what is known of it changed
#: last, its size, its package's folder or nothing, where Python keeps its compiled form, the
#: modules that it has brought along, in the order in which they were done, and from where to where
#: in the image its code lies, and the codes of these together (nowhere, where another module brings
#: one of them along).
_Entry = tuple[str, tuple[int, int], int, str, str, tuple[str, ...], int, int, int, int]


def main() -> NoReturn:
    """Run the command line of this process, and end the process."""
    gc.disable()  # for the imports already; `cli/main.py` says why
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
        self.data = memoryview(b"")
        self.missed = False
        #: The modules imported in this run, as they were done, and what each has brought along.
        self.done: list[str] = []
        self.brought: dict[str, tuple[str, ...]] = {}
        self._read()

    @classmethod
    def beside(cls, folder: str) -> Image | None:
        """The image of the package in `folder`; `None` where compiled modules have no place there.

        That is so for a package in an archive, and when Python was told to keep them elsewhere or
        to leave something out of them.
        """
        if sys.pycache_prefix is not None or sys.flags.optimize or not _is_plain(__spec__):
            return None
        name = f"{_PACKAGE}.{sys.implementation.cache_tag}.image"
        return cls(os.path.join(folder, "__pycache__", name))

    def find_spec(
        self, name: str, path: Sequence[str] | None = None, target: ModuleType | None = None
    ) -> ModuleSpec | None:
        """Where a module of this package comes from; `None` where the image does not know it."""
        if not _is_ours(name):
            return None
        entry = self.entries.get(name)
        if entry is None:
            self.missed = True
            return self._from_file(name, path)
        self.brought[name] = entry[5]
        # What a package brings along is partly its own, and cannot be made before it is there.
        if not entry[3]:
            self._bring(entry)
        return self._spec(name, entry)

    def _from_file(self, name: str, path: Sequence[str] | None) -> ModuleSpec | None:
        """Where Python finds a module, with a loader that notes what it brings along."""
        spec = PathFinder.find_spec(name, path)
        if spec is not None and spec.origin and type(spec.loader) is SourceFileLoader:
            spec.loader = _Loader(name, spec.origin, self)
        return spec

    def _spec(self, name: str, entry: _Entry) -> ModuleSpec:
        file, folder = entry[0], entry[3]
        spec = ModuleSpec(name, _Loader(name, file, self), origin=file, is_package=bool(folder))
        if folder:
            spec.submodule_search_locations = [folder]
        spec.cached = entry[4]
        spec.has_location = True
        return spec

    def _bring(self, entry: _Entry) -> None:
        """Make what a module brings along, as importing it would."""
        modules = sys.modules
        entries = self.entries
        names = [name for name in entry[5] if name not in modules and name in entries]
        known = [(name, entries[name]) for name in names]
        # Read together they take two thirds of the time.
        together = self.data[entry[8] : entry[9]] if known else b""
        codes = dict(zip(entry[5], marshal.loads(together), strict=True)) if together else {}
        # A package is done after what it imports of itself, and found before.
        made = {name: self._made(name, each) for name, each in known if each[3]}
        try:
            for name, each in known:
                parent, _, last = name.rpartition(".")
                __import__(parent)
                module = made.pop(name, None)
                if module is None:
                    if name in modules:  # its package has imported it
                        continue
                    module = self._made(name, each)
                exec(codes.get(name) or self.code_of(each), module.__dict__)
                vars(module.__spec__)["_initializing"] = False
                setattr(modules[parent], last, module)
                self.done.append(name)
        except BaseException:
            for left in (name, *made):
                modules.pop(left, None)
            raise

    def _made(self, name: str, entry: _Entry) -> ModuleType:
        """A module before its code is run, in its place."""
        spec = self._spec(name, entry)
        module = type(sys)(name)
        module.__spec__, module.__loader__, module.__file__ = spec, spec.loader, entry[0]
        # As `importlib` has it; where it is missing, each later import of the module is slow.
        vars(spec)["_initializing"] = True
        module.__dict__.update(__cached__=entry[4], __package__=spec.parent)
        if entry[3]:
            module.__path__ = [entry[3]]
        sys.modules[name] = module
        return module

    def code_of(self, entry: _Entry) -> CodeType:
        """The code of a module."""
        code: CodeType = marshal.loads(self.data[entry[6] : entry[7]])
        return code

    def _read(self) -> None:
        """Learn what is in the file, if it is whole and for this Python and this place."""
        try:
            with open(self.path, "rb", buffering=0) as file:
                # Mapped, so that no page is copied, and none read that nobody asks for.
                data = memoryview(mmap(file.fileno(), 0, access=ACCESS_READ))
            size = int.from_bytes(data[:_LENGTH], "little")
            key, length, entries = marshal.loads(data[max(_LENGTH, len(data) - size) :])
        except (OSError, EOFError, TypeError, ValueError):
            return
        if (key, length) == (_key(), len(data)) and all(map(_is_as_before, entries.values())):
            self.data, self.entries = data, entries

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

        The length of the index, the codes, and the index at the end.
        """
        known = self._known()
        leaders = self._leaders(known)
        entries: dict[str, _Entry] = {}
        blobs: list[bytes] = []
        end = _LENGTH
        for name, (entry, code) in known.items():
            brought = [known[each][1] for each in entry[5]] if name in leaders else []
            own = marshal.dumps(code)
            group = marshal.dumps(brought) if brought else b""
            middle = end + len(own)
            entries[name] = (*entry[:6], end, middle, middle, middle + len(group))
            blobs += own, group
            end = middle + len(group)
        # Numbers have the same length whatever they are, so that the index can tell the whole's.
        length = end + len(marshal.dumps((_key(), end, entries)))
        index = marshal.dumps((_key(), length, entries))
        return b"".join((len(index).to_bytes(_LENGTH, "little"), *blobs, index))

    def _leaders(self, known: dict[str, tuple[_Entry, CodeType]]) -> set[str]:
        """The modules with which the codes of those that they bring along are kept once more.

        Each code is in one group at most: in that which an earlier run has made, or else, since
        modules come in the order in which they were done, in that of the last to be done.
        """
        before = [name for name, entry in self.entries.items() if entry[8] < entry[9]]
        leaders: set[str] = set()
        grouped: set[str] = set()
        for name in (*before, *reversed(known)):
            brought = known[name][0][5]
            if len(brought) > 1 and grouped.isdisjoint(brought) and known.keys() >= set(brought):
                leaders.add(name)
                grouped.update(brought)
        return leaders

    def _known(self) -> dict[str, tuple[_Entry, CodeType]]:
        """Each module with its entry, the places in it still open, and its code."""
        known = {
            name: (
                (*entry[:5], self.brought.get(name, entry[5]), *entry[6:]),
                self.code_of(entry),
            )
            for name, entry in self.entries.items()
        }
        for name, module in list(sys.modules.items()):
            spec = getattr(module, "__spec__", None)
            if _is_ours(name) and name not in known and spec is not None and _is_plain(spec):
                # What the file was like is asked before it is read: a change between the two
                # makes an entry that is never used.
                found = os.stat(spec.origin)
                code = SourceFileLoader.get_code(spec.loader, name)
                assert code is not None
                folder = os.path.dirname(spec.origin) if spec.submodule_search_locations else ""
                like = spec.origin, _times(found), found.st_size, folder, spec.cached or ""
                known[name] = (*like, self.brought.get(name, ()), 0, 0, 0, 0), code
        return known


class _Loader(SourceFileLoader):
    """Loads a module as from its file, but for the code that the image has."""

    def __init__(self, name: str, path: str, image: Image) -> None:
        super().__init__(name, path)
        self.image = image

    def exec_module(self, module: ModuleType) -> None:
        """Run a module's code, and note which others that has imported."""
        done = self.image.done
        before = len(done)
        super().exec_module(module)
        self.image.brought.setdefault(self.name, tuple(done[before:]))
        done.append(self.name)

    def get_code(self, fullname: str) -> CodeType | None:
        """The code in the image; of a module that has none there, as Python finds it."""
        entry = self.image.entries.get(fullname)
        return super().get_code(fullname) if entry is None else self.image.code_of(entry)


def _key() -> tuple[int, str, str]:
    """What an image is good for: this Python, and the place that its code names in tracebacks."""
    return _LAYOUT, sys.version, _FOLDER


def _is_ours(name: str) -> bool:
    """Whether a module is of this package; another's name may start with the same letters."""
    return name.startswith(f"{_PACKAGE}.") or name == _PACKAGE


def _is_plain(spec: ModuleSpec | None) -> bool:
    """Whether a module comes from a file of source, by Python's own loader of such files."""
    return spec is not None and type(spec.loader) in (SourceFileLoader, _Loader)


def _is_as_before(entry: _Entry) -> bool:
    try:
        found = os.stat(entry[0])
    except OSError:
        return False
    return (_times(found), found.st_size) == entry[1:3]


def _times(found: os.stat_result) -> tuple[int, int]:
    """The second tells a file that was put there anew, whatever its date: installers may keep that
    of an archive, whose files can all have one and the same."""
    return found.st_mtime_ns, found.st_ctime_ns


def _remove(path: str) -> None:
    try:
        os.remove(path)
    except OSError:
        return
