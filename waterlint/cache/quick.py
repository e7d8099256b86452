"""A run from what earlier runs have found, without a look at what any file means.

No YAML parser, no rule, no chemistry is imported. Where all files hold what they held, the outcome
of the call is given out as it was (`whole.py`); else it is put together from what is known of each
file (`recalling.py`), if all of it is known; else the run is made as ever.
"""

from __future__ import annotations

import os
from collections.abc import Callable

from waterlint.paths import Path
from waterlint.project.cache_folder import CacheFile, cache_file
from waterlint.project.files import Disk
from waterlint.records import Record
from waterlint.report import Options, Report
from waterlint.source.lines import Lines, line_of


class Quick(Record):
    """The report of a run, and where the lines of its files are looked up."""

    report: Report
    lines: Callable[[str], Lines | None]

    def line(self, path: str, number: int) -> str | None:
        """A line of a file, counted from 1, without its line end."""
        return line_of(self.lines(path), number)


def quick_run(paths: list[Path], options: Options) -> Quick | None:
    """The run, if all of it is known; `None` where not."""
    from waterlint.cache.whole import whole_run

    disk = Disk()
    file = file_of(paths, options, disk)
    if file is None:
        return None
    return whole_run(paths, options, disk, file) or _recalled(paths, options, disk, file)


def keep_whole(paths: list[Path], options: Options, files: int) -> None:
    """Keep the outcome of a call over so many files that a run has just found.

    It is put together as by a later run, so that what has changed since is noticed.
    """
    from waterlint.cache.whole import LEAST_FILES

    disk = Disk()
    file = file_of(paths, options, disk) if files >= LEAST_FILES else None
    if file is not None:
        _recalled(paths, options, disk, file)


def _recalled(paths: list[Path], options: Options, disk: Disk, file: CacheFile) -> Quick | None:
    """The run, put together anew, and its outcome kept; `None` where something is not known."""
    from waterlint.cache.recalling import recall
    from waterlint.cache.store import open_store
    from waterlint.cache.whole import keep
    from waterlint.project.quick_search import NotPlain, quick_search

    store = open_store(file)
    if not store.entries:
        return None
    try:
        found = quick_search(paths, store, disk.working_directory, options.allow_roots)
        recalled = recall(found, store, disk, options)
    except (NotPlain, ValueError, TypeError, IndexError, KeyError):
        return None
    keep(file, paths, recalled)
    return recalled.quick


def file_of(paths: list[Path], options: Options, disk: Disk) -> CacheFile | None:
    """The cache file of a call; `None` where there is to be none."""
    if options.stand_ins or options.update_baseline:
        return None
    here = disk.working_directory
    return cache_file([disk.absolute(path) for path in paths], here, context(options, here))


def context(options: Options, here: Path) -> str:
    """All that changes what is found and is no file of the project; not the day, nor the index."""
    return repr(
        (
            os.fspath(here),
            os.path.realpath(here),
            sorted(options.levels.items()),
            None if options.config is None else os.fspath(options.config),
            [os.fspath(root) for root in options.allow_roots],
            None if options.baseline is None else os.fspath(options.baseline),
        )
    )
