"""What has changed in recipes since a revision of git."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from contextlib import contextmanager

from waterlint.compare.comparing import Pair, Question
from waterlint.compare.side import lint_side
from waterlint.compare.wrong import WrongQuestion
from waterlint.finding import Level
from waterlint.linter import Linter, Options
from waterlint.paths import Path
from waterlint.plugins.loading import Plugins
from waterlint.project.dependents import dependents_among
from waterlint.project.discovery import ENDINGS, Found, Survey, survey
from waterlint.project.files import Disk
from waterlint.project.git import Change
from waterlint.project.revision import (
    NoRevision,
    Revision,
    below,
    changes_since,
    find_revision,
    unpack,
)
from waterlint.project.root import absolute, project_root
from waterlint.records import replace


@contextmanager
def ask_since(
    name: str,
    paths: Sequence[Path],
    options: Options,
    fails: Level | None,
    progress: Callable[[float, int], None] | None = None,
) -> Iterator[Question]:
    """Lint what has changed since a revision, and all that depends on it, then and now.

    Parameters
    ----------
    name : str
        The revision.
    paths : sequence of Path
        Files and folders whose recipes are looked at, of one repository.
    options : Options
    fails : Level or None
        The mildest level that fails.
    progress : callable, optional
        As a `Linter` takes it.

    Yields
    ------
    Question
        Good until the block is left: the revision's files are then thrown away.

    Raises
    ------
    WrongQuestion
        If the revision cannot be had.

    Notes
    -----
    The earlier state is unpacked into a temporary folder; nothing in the repository is touched.
    A configuration that the call names holds for both states. Files outside the repository, as
    --allow-root allows them, are those of today on both sides.
    """
    try:
        revision = _revision(name, paths)
        changes = changes_since(revision)
        with tempfile.TemporaryDirectory(prefix="waterlint-") as folder:
            base = Path(os.path.realpath(folder))
            remarks = unpack(revision, base)
            _link_roots(options.allow_roots, revision, base)
            after = Linter(options)
            before = _earlier(options, revision, base)
            after.progress = before.progress = progress
            yield _ask(revision, changes, paths, before, after, base, fails, tuple(remarks))
    except NoRevision as problem:
        raise WrongQuestion(f"--rev: {problem}") from None


def _revision(name: str, paths: Sequence[Path]) -> Revision:
    """The revision in the one repository that all paths belong to."""
    folders = [path if path.is_dir() else path.parent for path in map(absolute, paths)]
    found = [find_revision(_there(folder), name) for folder in folders]
    if len({each.top for each in found}) > 1:
        tops = " and ".join(sorted({str(each.top) for each in found}))
        raise NoRevision(f"the paths lie in several repositories, {tops}: compare them one by one")
    return found[0]


def _there(folder: Path) -> Path:
    """The nearest folder above that is there: what is deleted lay in it."""
    return next(each for each in (folder, *folder.parents) if each.is_dir())


def _link_roots(roots: Sequence[Path], revision: Revision, base: Path) -> None:
    for root in sorted(map(absolute, roots)):
        place = below(base, root)
        outside = not (root.is_relative_to(revision.top) or revision.top.is_relative_to(root))
        if outside and not os.path.lexists(place):
            place.parent.mkdir(parents=True, exist_ok=True)
            place.symlink_to(root)


def _earlier(options: Options, revision: Revision, base: Path) -> Linter:
    """A linter of the earlier state, which shows paths as the later one does."""
    config = options.config
    if config is not None:
        place = below(base, absolute(config))
        place.parent.mkdir(parents=True, exist_ok=True)
        shutil.copyfile(config, place)
        config = place
    # All that was found then was there, whatever a baseline made of it.
    earlier = replace(options, config=config, baseline=None)
    linter = Linter(earlier, Disk(below(base, absolute(Path()))))
    # No code of the project is run, wherever its configurations are read from.
    linter.plugins = Plugins(absolute(Path()), (revision.top, base))
    return linter


def _ask(
    revision: Revision,
    changes: Sequence[Change],
    paths: Sequence[Path],
    before: Linter,
    after: Linter,
    base: Path,
    fails: Level | None,
    remarks: tuple[str, ...],
) -> Question:
    looked = survey([path for path in paths if os.path.lexists(path)], after.configs, after.disk)
    came_from = {each.path: each.old_path for each in changes if each.old_path is not None}
    searched = {after.disk.absolute(path) for path in paths}
    because = _reasons(changes, revision, looked, searched, after)
    pairs: list[Pair] = []
    for file in looked.found:
        if file.path in because:
            old = came_from.get(file.path) or file.path
            placed = below(base, old)
            known = before.disk.is_there(placed)
            pairs.append(Pair(placed if known else None, file.path, because[file.path]))
    pairs += _gone(changes, paths, before, base)
    news = [Found(each.after, each.because, False) for each in pairs if each.after is not None]
    olds = [Found(each.before, each.because, False) for each in pairs if each.before is not None]
    return Question(
        f"What has changed since {revision.name}",
        lint_side(before, olds, earlier=True),
        lint_side(after, news, earlier=False),
        tuple(pairs),
        _names(came_from, after),
        fails,
        remarks,
    )


def _names(came_from: Mapping[Path, Path], after: Linter) -> dict[str, str]:
    return {after.disk.shown(old): after.disk.shown(new) for new, old in came_from.items()}


def _reasons(
    changes: Sequence[Change],
    revision: Revision,
    looked: Survey,
    searched: Collection[Path],
    after: Linter,
) -> dict[Path, str]:
    """Why each file of the survey is looked at, if it is."""
    root = project_root(revision.top / "here.yaml", after.disk.working_directory)
    touched = dependents_among(looked, changes, root, after.disk, has_all_links=root in searched)
    found = {each.path: each.because for each in touched}
    words = {"changed": "it has changed itself", "added": "it is new"}
    for change in changes:
        if change.status == "renamed" and change.old_path is not None:
            found[change.path] = f"it was renamed from {after.disk.shown(change.old_path)}"
        elif change.status in words:
            found[change.path] = words[change.status]
    # The same files under the names by which the call reaches them.
    real = {os.path.realpath(path): text for path, text in found.items()}
    for file in looked.found:
        if file.path not in found and os.path.realpath(file.path) in real:
            found[file.path] = real[os.path.realpath(file.path)]
    return found


def _gone(
    changes: Sequence[Change], paths: Sequence[Path], before: Linter, base: Path
) -> Iterator[Pair]:
    """Files that are there no more."""
    roots = [absolute(path) for path in paths]
    for change in changes:
        placed = below(base, change.path)
        if change.status != "deleted" or not change.path.name.lower().endswith(ENDINGS):
            continue
        if not any(change.path.is_relative_to(root) for root in roots):
            continue
        if before.disk.is_there(placed) and before.configs.exclusion(placed) is None:
            yield Pair(placed, None, "it was deleted")
