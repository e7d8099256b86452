"""Where code of a plugin may come from: an installed package, never the project that is linted.

A recipe repository arrives with pull requests, also from strangers. Python looks for modules in
the working directory too when it is started as ``python -m waterlint`` or told so by the
environment, and would there find what a stranger has put into the repository.
"""

from __future__ import annotations

import os
import site
import sys
import sysconfig
import threading
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from importlib.machinery import ModuleSpec

from waterlint.paths import Path

#: Held by whoever has changed Python's search path, which all threads share.
_SEARCHING = threading.RLock()


class Surroundings:
    """Tells the folders of installed packages from those of a project.

    Parameters
    ----------
    projects : iterable of Path
        The folders whose code is never run.
    """

    def __init__(self, projects: Iterable[Path]) -> None:
        self._projects = tuple({_real(folder) for folder in projects})
        # A Python environment may lie inside the project; what is installed there is installed.
        self._installed = tuple(_real(Path(folder)) for folder in _site_folders())

    def is_safe(self, path: Path | str) -> bool:
        """Whether code may be taken from here."""
        real = _real(Path(path))
        if any(real.is_relative_to(folder) for folder in self._installed):
            return True
        return not any(real.is_relative_to(folder) for folder in self._projects)

    def search_path(self) -> list[str]:
        """Python's search path without the folders of the projects."""
        return [entry for entry in sys.path if entry and self.is_safe(entry)]

    @contextmanager
    def only_installed(self) -> Iterator[None]:
        """Let imports find nothing in the folders of the projects for a while."""
        with _SEARCHING:
            before = list(sys.path)
            sys.path[:] = self.search_path()
            try:
                yield
            finally:
                sys.path[:] = before

    def is_safe_module(self, spec: ModuleSpec) -> bool:
        """Whether a module's own file and the folders of its parts may be taken code from."""
        places = list(spec.submodule_search_locations or ())
        if spec.has_location and spec.origin is not None:
            places.append(spec.origin)
        return bool(places) and all(self.is_safe(place) for place in places)


def _site_folders() -> Iterator[str]:
    yield from sysconfig.get_paths().values()
    yield from site.getsitepackages()
    yield site.getusersitepackages()


def _real(path: Path) -> Path:
    return Path(os.path.realpath(path))
