"""Which files a change touches without changing them: the references between files, reversed."""

from __future__ import annotations

import os
import re
from collections.abc import Iterable, Iterator

from waterlint.paths import Path
from waterlint.project.config import CONFIG_NAME
from waterlint.project.discovery import Exclusions, Survey, survey
from waterlint.project.files import Disk, ReadProblem
from waterlint.project.git import Change
from waterlint.project.references import is_path
from waterlint.project.root import absolute, is_inside
from waterlint.records import Record, field
from waterlint.source.document import Document, Mapping, Node, Scalar, Sequence, escape


class Dependent(Record):
    """A file that a change touches; `because` says so in a sentence without a full stop."""

    path: Path
    because: str


class Reference(Record):
    """A place in a document that names another file or a water."""

    text: str
    pointer: str


def water_references(document: Document) -> Iterator[Reference]:
    """Every water that a recipe names, in file order; nothing is assumed of its shape."""
    water = document.find("/water")
    if not isinstance(water, Mapping):
        return
    for vessel in water.entries:
        pointer = f"/water/{escape(vessel)}/from"
        source = document.find(pointer)
        if isinstance(source, Scalar):
            yield Reference(source.text, pointer)
        elif isinstance(source, Sequence):
            for index in range(len(source.items)):
                place = f"{pointer}/{index}/water"
                share = document.find(place)
                if isinstance(share, Scalar):
                    yield Reference(share.text, place)


def extended(document: Document) -> Reference | None:
    """The configuration that a configuration builds on."""
    node: Node | None = document.find("/extends")
    return Reference(node.text, "/extends") if isinstance(node, Scalar) else None


def dependents(
    changes: Iterable[Change], root: Path, exclusions: Exclusions, disk: Disk
) -> list[Dependent]:
    """The files of a project that depend on what changes.

    Parameters
    ----------
    changes : iterable of Change
        Files that are added, changed, deleted or renamed.
    root : Path
        The folder whose files are looked at.
    exclusions : Exclusions
        The configuration.
    disk : Disk
        Of this run.

    Returns
    -------
    list of Dependent
        Sorted by path, without the changed files themselves: recipes whose water is among the
        changes, and all files that a changed configuration governs or has governed, directly
        or through `extends`, or whose baseline changes.
    """
    changes = list(changes)
    if not changes:
        return []
    touched = dependents_among(survey([root], exclusions, disk), changes, root, disk)
    return [Dependent(each.path, f"checked because {each.because}") for each in touched]


def dependents_among(
    looked: Survey, changes: Iterable[Change], root: Path, disk: Disk, *, has_all_links: bool = True
) -> list[Dependent]:
    """Those files of a survey that depend on what changes.

    Parameters
    ----------
    looked : Survey
    changes : iterable of Change
    root : Path
        Up to which folder configurations are looked for.
    disk : Disk
        Of this run.
    has_all_links : bool
        Whether the survey looked for links in all of the project. Where it did not, a file may
        name a changed one through a link that nobody knows, so each is taken to pieces.

    Returns
    -------
    list of Dependent
        In the survey's order, without the changed files themselves; `because` says what happened.
    """
    events = _events(changes, disk)
    links = [link for link in looked.links if os.path.realpath(link) in events]
    behind = {os.fspath(link): events[os.path.realpath(link)] for link in links}
    words = {_word(path.name) for path in (*map(Path, events), *links)}
    search = _Search(disk, absolute(root), events, frozenset(words))
    touched: list[Dependent] = []
    for file in looked.found:
        if events and os.fspath(file.path) not in events:
            may_skip = has_all_links and not file.named
            because = behind.get(os.fspath(file.path)) or search.water_reason(file.path, may_skip)
            because = because or search.config_reason(file.path)
            if because is not None:
                touched.append(Dependent(file.path, because))
    return touched


def _events(changes: Iterable[Change], disk: Disk) -> dict[str, str]:
    """What happened, by path: as it is named, and with the links in front of it followed."""
    events: dict[str, str] = {}

    def note(path: Path, what: str) -> None:
        path = disk.absolute(path)
        real = Path(os.path.realpath(path.parent), path.name)
        for name in (path, real):
            events.setdefault(os.fspath(name), f"{disk.shown(path)} {what}")

    for change in changes:
        if change.status == "renamed" and change.old_path is not None:
            note(change.old_path, f"was renamed to {disk.shown(change.path)}")
            note(change.path, f"was renamed from {disk.shown(change.old_path)}")
        else:
            note(change.path, "changed" if change.status == "changed" else f"was {change.status}")
    return events


#: Where a name may be broken or end in YAML: between lines, at a doubled quote, and at the signs
#: around a value in flow style. Parts of a name between these signs stand in a reference as they
#: are, between these signs too.
_BREAKS = re.compile(rb"[\s'\"/,:\[\]{}]+")

#: So many names are looked for one by one; for more it pays to take a file to pieces.
_FEW = 8


def _word(name: str) -> bytes:
    """The longest part of a file's name that a reference must hold as it is."""
    return max(_BREAKS.split(os.fsencode(name)), key=len)


class _Search(Record, frozen=False):
    disk: Disk
    root: Path
    events: dict[str, str]
    words: frozenset[bytes]
    _configs: dict[Path, str | None] = field(default_factory=dict)

    def water_reason(self, path: Path, may_skip: bool) -> str | None:
        """What happened to a water that the file names.

        A file may be skipped for its looks where all names that lead to a change are known.
        """
        data = self.disk.bytes_of(path)
        if isinstance(data, ReadProblem):
            return None
        # Most files name none of the changed ones, which is seen without parsing them; only
        # with a backslash a name may be written in other signs.
        if may_skip and b"\\" not in data and not self._may_name_one(data):
            return None
        source = self.disk.read(path)
        if isinstance(source, ReadProblem):
            return None
        for document in source.documents:
            for reference in water_references(document):
                if is_path(reference.text):
                    reason = self._event(path, reference.text)
                    if reason is not None:
                        return reason
        return None

    def _may_name_one(self, data: bytes) -> bool:
        if len(self.words) <= _FEW:
            return any(word in data for word in self.words)
        return not self.words.isdisjoint(_BREAKS.split(data))

    def config_reason(self, path: Path) -> str | None:
        """What happened to the configuration that holds for the file, or has held."""
        for folder in path.parents:
            config = folder / CONFIG_NAME
            reason = self.events.get(os.fspath(config))
            if reason is not None:
                return reason
            if self.disk.is_there(config):
                return self._extended_reason(config)
            if folder == self.root:
                break
        return None

    def _extended_reason(self, config: Path) -> str | None:
        if config not in self._configs:
            self._configs[config] = self._follow(config)
        return self._configs[config]

    def _follow(self, config: Path) -> str | None:
        first, seen = config, {config}
        while True:
            source = self.disk.read(config)
            if isinstance(source, ReadProblem) or not source.documents:
                return None
            known = source.documents[0].find("/baseline")
            reason = self._event(config, known.text) if isinstance(known, Scalar) else None
            if reason is not None:
                return reason
            reference = extended(source.documents[0])
            if reference is None:
                return None
            reason = self._event(config, reference.text)
            if reason is not None:
                return f"{reason}, on which {self.disk.shown(first)} builds"
            config = absolute(reference.text, config.parent)
            if config in seen or not self._is_file(config):
                return None
            seen.add(config)

    def _event(self, path: Path, reference: str) -> str | None:
        """What happened to the file that `path` refers to, or to a link or submodule before it."""
        try:
            target = absolute(reference, path.parent)
            names = [target, Path(os.path.realpath(target)), *target.parents]
        except ValueError:
            return None
        return next((self.events[n] for n in map(os.fspath, names) if n in self.events), None)

    def _is_file(self, path: Path) -> bool:
        return is_inside(path, (self.root,)) and self.disk.is_there(path)
