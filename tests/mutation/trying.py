"""Run the tests of mutants, each in a fork of a process that has read what they all need.

Starting pytest with hypothesis and numpy costs more than the tests of most modules. So one process
imports them, and the rooms beneath the mutated one, and forks for each mutant. What the mutant
could have changed is imported in the fork.
"""

from __future__ import annotations

import contextlib
import gc
import importlib
import json
import os
import pkgutil
import signal
import sys
import tempfile
import time
from collections.abc import Iterable, Iterator, Sequence, Set
from pathlib import Path
from types import FrameType

import pytest

#: A mutant that runs longer than this hangs [s].
TIMEOUT = 45.0

#: So long may the tests take as they are, and while they are watched [s].
_PATIENCE = 300.0

#: What most tests import and no mutant changes.
_LIBRARIES = ("hypothesis", "numpy", "numpy.polynomial", "ruamel.yaml", "jsonschema")

#: Rooms from the lowest; those beneath a room hold nothing that depends on it.
_ROOMS = {
    "chemistry": ("finding", "records", "version", "units", "source"),
    "rules": (
        *("finding", "records", "version", "chemistry", "units", "source"),
        *("catalog", "project", "model", "prediction"),
    ),
}


def prepare(room: str, folder: Path) -> None:
    """Work in `folder`, and import what no mutant of the room can change."""
    os.chdir(folder)
    sys.path.insert(0, str(folder))
    for name in _LIBRARIES:
        try:
            importlib.import_module(name)
        except ImportError:
            continue  # a test that needs it says so
    _stop_at_the_first_failure()
    _start_pytest()
    for name in _ROOMS[room]:
        package = importlib.import_module(f"waterlint.{name}")
        for found in pkgutil.iter_modules(getattr(package, "__path__", ())):
            importlib.import_module(f"waterlint.{name}.{found.name}")


def _stop_at_the_first_failure() -> None:
    """A failing example need not be made small, nor kept for the mutant after."""
    hypothesis = importlib.import_module("hypothesis")
    phases = (hypothesis.Phase.explicit, hypothesis.Phase.generate)
    hypothesis.settings.register_profile("mutants", phases=phases, database=None)
    hypothesis.settings.load_profile("mutants")


def _start_pytest() -> None:
    """Run no tests once: what pytest imports on its way is then there for every fork."""
    with tempfile.TemporaryDirectory() as name:
        empty = Path(name) / "test_nothing.py"
        empty.write_text("def test_nothing(): assert True\n", encoding="utf-8")
        with Path(os.devnull).open("w") as nowhere, contextlib.redirect_stdout(nowhere):
            pytest.main([*_OPTIONS, "--rootdir", name, "-c", os.devnull, str(empty)])
    gc.collect()
    gc.freeze()
    gc.disable()


def tests_by_function(arguments: Sequence[str], path: Path) -> Tests | None:
    """Run tests as they are; which of them call which functions of the module at `path`.

    Functions are told by their first lines. `None` where a test fails.
    """
    with tempfile.TemporaryDirectory() as name:
        out = Path(name) / "calls.json"
        if _fails(arguments, [_Calls(path, out)], keep=True):
            return None
        found: Tests = {}
        for test, functions in json.loads(out.read_text("utf-8")).items():
            for line in functions:
                found.setdefault(line, set()).add(test)
        return found


def is_killed(arguments: Sequence[str], tests: Set[str] | None = None, keep: bool = False) -> bool:
    """Whether a test fails, of all or of `tests`; `keep` as in `_fails`."""
    return _fails(arguments, [] if tests is None else [_Only(tests)], keep)


#: The tests that call a function, by its first line.
Tests = dict[int, set[str]]


class _Calls:
    """A plugin of pytest that writes down which functions of a file each test calls."""

    def __init__(self, path: Path, out: Path) -> None:
        self.path, self.out = str(path), out
        self.room = f"waterlint.{path.parent.name}."
        self.calls: dict[str, list[int]] = {}

    def _forget(self) -> None:
        """What an earlier test asked is asked again, or this one would not seem to call it."""
        for name, module in list(sys.modules.items()):
            if name.startswith(self.room):
                for each in list(vars(module).values()):
                    getattr(each, "cache_clear", bool)()

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_call(self, item: pytest.Item) -> Iterator[None]:
        self._forget()
        seen: set[int] = set()

        def trace(frame: FrameType, event: str, argument: object) -> None:
            if frame.f_code.co_filename == self.path:
                seen.add(frame.f_code.co_firstlineno)

        before = sys.gettrace()
        sys.settrace(trace)
        try:
            return (yield)
        finally:
            sys.settrace(before)
            self.calls[item.nodeid] = sorted(seen)

    def pytest_sessionfinish(self) -> None:
        self.out.write_text(json.dumps(self.calls), encoding="utf-8")


class _Only:
    """A plugin of pytest that leaves all other tests out."""

    def __init__(self, tests: Set[str]) -> None:
        self.tests = tests

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        items[:] = [item for item in items if item.nodeid in self.tests]


def mutated(path: Path, sources: Iterable[str]) -> Iterator[None]:
    """Write one source after the other to `path`, and the first again at the end."""
    as_it_was = path.read_bytes()
    try:
        for source in sources:
            path.write_text(source, encoding="utf-8")
            yield
    finally:
        path.write_bytes(as_it_was)


def _fails(arguments: Sequence[str], plugins: list[object], keep: bool = False) -> bool:
    """`keep` lets the fork write what Python compiles, so that those that come later need not."""
    sys.stdout.flush()
    child = os.fork()
    if not child:
        _run(arguments, plugins, keep)
    until = time.monotonic() + (_PATIENCE if keep else TIMEOUT)
    while time.monotonic() < until:
        done, status = os.waitpid(child, os.WNOHANG)
        if done:
            code = os.waitstatus_to_exitcode(status)
            if code == 5:
                raise RuntimeError(f"no tests in {' '.join(arguments)}")
            return code != 0
        time.sleep(0.005)
    os.killpg(child, signal.SIGKILL)
    os.waitpid(child, 0)
    return True


def _run(arguments: Sequence[str], plugins: list[object], keep: bool) -> None:
    """Be the fork: run the tests in silence and end with pytest's exit status."""
    import resource

    code = 1
    try:
        os.setpgid(0, 0)
        resource.setrlimit(resource.RLIMIT_AS, (4 << 30, 4 << 30))
        # A mutant of the same second and size as the one before would be taken for it.
        sys.dont_write_bytecode = not keep
        nowhere = os.open(os.devnull, os.O_RDWR)
        for stream in (0, 1, 2):
            os.dup2(nowhere, stream)
        code = int(pytest.main([*_OPTIONS, *arguments], plugins))
    finally:
        os._exit(code)


_OPTIONS = (
    *("-q", "-x", "--tb=no", "--hypothesis-seed=1"),
    *("-p", "no:cacheprovider", "-p", "no:unraisableexception", "-p", "no:threadexception"),
)
