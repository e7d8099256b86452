"""What a commit needs from a hook, where earlier runs have found all of it.

A hook also looks after the files that depend on what is staged. That none does can be told when
every file of the project is known: what it hangs on is noted, and none of it is staged.
"""

from __future__ import annotations

import os
from collections.abc import Iterable

from waterlint.cache.quick import Quick, context
from waterlint.cache.recalling import recall
from waterlint.cache.store import Store, open_store
from waterlint.paths import Path
from waterlint.project.cache_folder import cache_file
from waterlint.project.files import Disk
from waterlint.project.git import Change
from waterlint.project.names import CONFIG_NAME
from waterlint.project.quick_search import Content, NotPlain, quick_search
from waterlint.project.root import project_root
from waterlint.report import Options


def quick_hook(files: list[Path], changes: Iterable[Change], options: Options) -> Quick | None:
    """The run over the files that a hook hands over; `None` where more may be to do."""
    disk = Disk()
    here = disk.working_directory
    file = cache_file([here], here, context(options, here))
    store = None if file is None else open_store(file)
    if store is None or not store.entries:
        return None
    root = project_root(here / CONFIG_NAME)
    staged = _staged(changes, disk)
    if any(house.baseline in staged for house in store.houses):
        return None
    try:
        for content in quick_search([root], store, here, options.allow_roots):
            if content.path not in staged and _may_depend(content, staged, store):
                return None
        found = quick_search(files, store, here, options.allow_roots, handed_over=True)
        return recall(found, store, disk, options).quick
    except (NotPlain, ValueError, TypeError, IndexError, KeyError):
        return None


def _staged(changes: Iterable[Change], disk: Disk) -> frozenset[str]:
    """The paths that a commit touches, as they are named and with the links in front followed."""
    staged: set[str] = set()
    for change in changes:
        for path in (change.path, change.old_path):
            if path is not None:
                path = disk.absolute(path)
                staged.add(os.fspath(path))
                staged.add(os.path.join(os.path.realpath(path.parent), path.name))  # noqa: PTH118
    return frozenset(staged)


def _may_depend(content: Content, staged: frozenset[str], store: Store) -> bool:
    """Whether a file may depend on what is staged; yes where that is not known.

    Of a file with errors nothing is known: no rule has looked at what it refers to.
    """
    store.answers["bytes", content.path] = content.digest
    return store.hangs_on(content.path, content.digest, staged)
