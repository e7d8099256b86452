"""The folder `.waterlint-cache` of a project, and what keeps others from writing into our mouth.

A recipe repository arrives with pull requests, also from strangers, and so may a folder of this
name in it. What is read here is therefore sealed with a secret that lies outside the project, in
the user's own cache folder: what this user on this machine has not written is not there.
"""

from __future__ import annotations

import os
import stat
import sys

from waterlint.paths import Path
from waterlint.project.names import CONFIG_NAME
from waterlint.project.probes import CACHE_FOLDER, answer, blake2b, digest
from waterlint.project.root import has_git, project_root
from waterlint.records import Record
from waterlint.version import __version__

#: The largest cache file that is written or read [bytes], the project's own bound: some 30,000
#: recipes with a few findings each.
MAX_BYTES = 32 * 1024 * 1024

#: How many files stay in the folder: one for each working directory and set of options. The
#: project's own bound.
MOST_FILES = 8

#: The ending of a file that belongs to the one of the same name.
_WHOLE = ".whole"

_HEAD = b"waterlint-cache/1\n"
_SECRET_SIZE = 32
_SEAL_SIZE = 32

#: What makes git ignore the folder, and other programs pass it over (the cache directory tagging
#: convention).
_BESIDE = {
    ".gitignore": b"*\n",
    "CACHEDIR.TAG": (
        b"Signature: 8a477f597d28d172789f06886806bc55\n"
        b"# What waterlint found in earlier runs. It may be deleted at any time.\n"
    ),
}


class CacheFile(Record):
    """One file of the cache: its folder's root, its name there, and the secret of the user."""

    root: Path
    name: str
    secret: bytes

    @property
    def whole(self) -> CacheFile:
        """The file beside it that holds the outcome of a whole call."""
        return CacheFile(self.root, f"{self.name.removesuffix('.json')}{_WHOLE}", self.secret)

    @property
    def path(self) -> Path:
        """Where it is."""
        return self.root / CACHE_FOLDER / self.name

    def read(self) -> bytes | None:
        """What it holds; `None` where there is nothing that this user has written."""
        try:
            if not _is_own_folder(self.root / CACHE_FOLDER):
                return None
            data = _read(self.path, MAX_BYTES)
        except (OSError, ValueError):
            return None
        head, seal_end = len(_HEAD), len(_HEAD) + 2 * _SEAL_SIZE + 1
        if not data.startswith(_HEAD):
            return None
        content = data[seal_end:]
        given, own = data[head:seal_end], self._seal(content)
        # Compared by their digests, so that the time it takes tells nothing about the seal.
        key = os.urandom(_SECRET_SIZE)
        if blake2b(given, key=key).digest() != blake2b(own, key=key).digest():
            return None
        return content

    def write(self, content: bytes) -> None:
        """Put this in its place whole, or leave it; that it cannot be written is no error."""
        folder = self.root / CACHE_FOLDER
        if len(content) > MAX_BYTES - 4096:
            return
        temporary = folder / f"{os.getpid()}-{os.urandom(4).hex()}.tmp"
        try:
            _make_folder(folder)
            _write_new(temporary, _HEAD + self._seal(content) + content)
            temporary.replace(self.path)
            _tidy(folder, self.name)
        except (OSError, ValueError):
            _remove(temporary)
        except BaseException:
            _remove(temporary)
            raise

    def _seal(self, content: bytes) -> bytes:
        place = os.fsencode(os.path.realpath(self.root)) + b"\0" + self.name.encode() + b"\0"
        sealed = blake2b(place, key=self.secret, digest_size=_SEAL_SIZE)
        sealed.update(content)
        return sealed.hexdigest().encode() + b"\n"


def cache_file(paths: list[Path], working_directory: Path, context: str) -> CacheFile | None:
    """The cache file of a call; `None` where there is to be none.

    Parameters
    ----------
    paths : list of Path
        Of the call, absolute.
    working_directory : Path
        Of the call.
    context : str
        All that changes what is found but no file of the project.
    """
    root = _root(paths, working_directory)
    secret = None if root is None else _secret(root)
    if root is None or secret is None:
        return None
    name = digest(f"{context}\0{code_fingerprint(working_directory)}".encode(errors="replace"))
    return CacheFile(root, f"{name}.json", secret)


def code_fingerprint(working_directory: Path) -> str:
    """What is running, down to a changed line of an editable install.

    Sizes and times of this package's own files, the times of the folders that packages are
    installed in (which change with each installation), and the interpreter. Some four hundred
    looks at the disk take 4 ms, and reading the files 16 ms (measured).
    """
    package = Path(__file__).parent.parent
    here = os.fspath(working_directory)
    parts = [__version__, sys.version, answer(("code", os.fspath(package)))]
    parts.append(answer(("code", os.fspath(package.parent / "schemas"))))
    for entry in sys.path:
        if entry and entry != here:
            try:
                parts.append(f"{entry} {os.stat(entry).st_mtime_ns}")  # noqa: PTH116
            except OSError:
                continue
    return "\0".join(parts)


def _root(paths: list[Path], working_directory: Path) -> Path | None:
    """The project of a call; none where several are meant, or anybody may write."""
    roots: set[Path] = set()
    searches = False
    for path in paths:
        is_folder = path.is_dir()
        searches = searches or is_folder
        roots.add(project_root(path / CONFIG_NAME if is_folder else path, working_directory))
    if len(roots) != 1:
        return None
    root = roots.pop()
    try:
        mode = root.stat().st_mode
    except OSError:
        return None
    # A folder such as /tmp is no project, and a single file somewhere does not make it one.
    if mode & stat.S_IWOTH and os.name == "posix":
        return None
    if not (searches or has_git(root) or (root / CONFIG_NAME).is_file()):
        return None
    return root


def _secret(root: Path) -> bytes | None:
    """The user's secret, made where there is none yet; `None` where it could not be secret."""
    home = _cache_home()
    if home is None:
        return None
    path = home / "waterlint" / "cache-secret"
    real = Path(os.path.realpath(path))
    if real.is_relative_to(os.path.realpath(root)):
        return None  # a pull request could bring it along
    try:
        return _own_secret(path)
    except FileNotFoundError:
        pass
    except (OSError, ValueError):
        return None
    temporary = path.parent / f"{os.getpid()}-{os.urandom(4).hex()}.tmp"
    try:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        _write_new(temporary, os.urandom(_SECRET_SIZE))
        temporary.replace(path)
        return _own_secret(path)
    except (OSError, ValueError):
        _remove(temporary)
        return None


def _own_secret(path: Path) -> bytes | None:
    data = _read(path, _SECRET_SIZE)
    found = path.lstat()
    if os.name == "posix" and (found.st_uid != os.geteuid() or found.st_mode & 0o077):
        return None
    return data if len(data) == _SECRET_SIZE else None


def _cache_home() -> Path | None:
    for name, below in (("XDG_CACHE_HOME", ""), ("LOCALAPPDATA", ""), ("HOME", ".cache")):
        value = os.environ.get(name, "")
        if value and os.path.isabs(value):  # noqa: PTH117
            return Path(value, below)
    return None


def _is_own_folder(folder: Path) -> bool:
    """Whether it is a folder itself and no link, which could lead anywhere."""
    return stat.S_ISDIR(folder.lstat().st_mode)


def _make_folder(folder: Path) -> None:
    folder.mkdir(exist_ok=True)
    if not _is_own_folder(folder):
        raise NotADirectoryError(folder)
    for name, content in _BESIDE.items():
        if not os.path.lexists(folder / name):
            _write_new(folder / name, content)


def _read(path: Path, most: int) -> bytes:
    flags = os.O_RDONLY
    for name in ("O_NONBLOCK", "O_NOFOLLOW", "O_BINARY"):
        flags |= getattr(os, name, 0)
    with open(os.open(path, flags), "rb", buffering=0) as file:  # noqa: PTH123
        status = os.fstat(file.fileno())
        if not stat.S_ISREG(status.st_mode) or status.st_size > most:
            raise ValueError("no file of ours")
        return file.read(most + 1) or b""


def _write_new(path: Path, data: bytes) -> None:
    flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
    with open(os.open(path, flags, 0o600), "wb") as file:  # noqa: PTH123
        file.write(data)


def _remove(path: Path) -> None:
    try:
        path.unlink(missing_ok=True)
    except OSError:
        return


def _tidy(folder: Path, name: str) -> None:
    """Remove the files that were written longest ago, and what killed runs have left.

    Where the clock was set back this removes others than it should, which costs time only.
    """
    with os.scandir(folder) as listing:
        found = [(entry.stat(follow_symlinks=False).st_mtime, entry.name) for entry in listing]
    kept = sorted((each for each in found if each[1].endswith(".json")), reverse=True)
    doomed = [each for _, each in kept[MOST_FILES:] if each != name]
    left = {each.removesuffix(".json") for _, each in (*kept[:MOST_FILES], (0.0, name))}
    doomed += [
        each for _, each in found if each.endswith(_WHOLE) and each.removesuffix(_WHOLE) not in left
    ]
    newest = max((time for time, _ in found), default=0.0)
    # A run writes its file within seconds: what is an hour older was left behind.
    doomed += [each for time, each in found if each.endswith(".tmp") and time < newest - 3600.0]
    for each in doomed:
        _remove(folder / each)
