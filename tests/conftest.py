"""What holds for every test: a clean environment, and no write outside the temporary folder.

The watch over writes sees this process only; a program that a test starts is given a temporary
folder to work in by that test.
"""

from __future__ import annotations

import os
import sys
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

import hypothesis
import pytest

# The same examples in each run, so that a change is judged by what it changes. New ones are looked
# for with `--hypothesis-profile=explore`, before a release and after work on what they test.
hypothesis.settings.register_profile("steady", derandomize=True, deadline=None)
hypothesis.settings.register_profile("explore", deadline=None)
hypothesis.settings.load_profile("steady")

_REPOSITORY = Path(__file__).resolve().parent.parent

#: Folders that test tools themselves write to while a test runs.
_TOOLS = frozenset({"__pycache__", ".hypothesis", ".pytest_cache", ".mypy_cache"})

#: Audit events whose arguments at these places are paths that the event changes.
_CHANGES = {
    "os.chmod": (0,),
    "os.chown": (0,),
    "os.link": (1,),
    "os.mkdir": (0,),
    "os.remove": (0,),
    "os.rename": (0, 1),
    "os.rmdir": (0,),
    "os.symlink": (1,),
    "os.truncate": (0,),
    "os.utime": (0,),
    "shutil.rmtree": (0,),
}

_WRITING = os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_TRUNC | os.O_APPEND


class WroteOutside(BaseException):
    """Raised where a test writes outside the temporary folder.

    Not an `Exception`, so that no handler of the code under test swallows it.
    """


class _Watch:
    """Refuses writes outside the tests' folder `base` and the system's temporary one."""

    def __init__(self) -> None:
        self.on = False
        self.base = ""
        self.temporary = os.path.realpath(tempfile.gettempdir())
        self.refused: list[str] = []
        self.refusal = WroteOutside

    def __call__(self, event: str, arguments: tuple[object, ...]) -> None:
        if not self.on:
            return
        if event == "open":
            path, mode, flags = arguments
            writes = bool(flags & _WRITING) if isinstance(flags, int) else mode != "r"
            if writes:
                self._look(event, path)
        elif event in _CHANGES:
            for place in _CHANGES[event]:
                self._look(event, arguments[place])

    def _look(self, event: str, path: object) -> None:
        if not isinstance(path, str | bytes):
            return  # a file that is open already
        # The audit hook is not called again for what it does itself only as long as that opens
        # nothing: realpath only looks.
        real = Path(os.path.realpath(os.fsdecode(path)))
        if real.is_relative_to(self.base):
            return
        if real.is_relative_to(_REPOSITORY):
            if _TOOLS & set(real.parts):
                return
        elif "__pycache__" in real.parts:
            return  # Python keeps what it imports there, wherever the module lies
        elif real.is_relative_to(self.temporary) or real.is_relative_to("/dev"):
            return
        self.refused.append(f"{event} {real}")
        raise WroteOutside(f"{event}: {real}")


_watch = _Watch()
sys.addaudithook(_watch)


@pytest.fixture(autouse=True)
def clean_surroundings(
    tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch
) -> Iterator[_Watch]:
    """Scrub what git, pre-commit, the terminal and the user could bring in; watch all writes."""
    base = tmp_path_factory.getbasetemp()
    for name in list(os.environ):
        if name.startswith(("GIT_", "PRE_COMMIT")):
            monkeypatch.delenv(name)
    home = base / "home"
    home.mkdir(exist_ok=True)
    monkeypatch.setenv("HOME", str(home))
    monkeypatch.setenv("USERPROFILE", str(home))
    for name in ("XDG_CONFIG_HOME", "XDG_CACHE_HOME", "XDG_DATA_HOME"):
        monkeypatch.setenv(name, str(home / name.lower()))
    monkeypatch.setenv("GIT_CONFIG_NOSYSTEM", "1")
    for name in ("COLUMNS", "NO_COLOR", "WATERLINT_TRACEBACK"):
        monkeypatch.delenv(name, raising=False)
    _watch.base = os.path.realpath(base)
    _watch.refused.clear()
    _watch.on = True
    try:
        yield _watch
    finally:
        _watch.on = False
    assert not _watch.refused


Tree = Callable[..., Path]


@pytest.fixture
def tree(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Tree:
    """Make files by name and text below a new folder, and work there.

    ``tree({"a.yaml": "waterlint: recipe/1"})`` gives the folder. Without git, it is the project
    root, since it is the working directory.
    """

    def make(files: dict[str, str | bytes]) -> Path:
        folder = tmp_path / "project"
        folder.mkdir(exist_ok=True)
        for name, content in files.items():
            path = folder / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(content.encode() if isinstance(content, str) else content)
        monkeypatch.chdir(folder)
        return folder

    return make
