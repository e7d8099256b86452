"""From the paths of a call to the files that are looked at."""

from __future__ import annotations

import os
from collections.abc import Iterable

from waterlint.hints import Final, Protocol
from waterlint.paths import Path
from waterlint.project.files import Disk, ReadProblem
from waterlint.project.names import ENDINGS as ENDINGS
from waterlint.project.names import MARKERS, SKIPPED
from waterlint.project.root import is_inside, leads_out, project_root
from waterlint.records import Record, field

#: Why a search leaves out a file that is none of waterlint's.
NOT_OURS: Final = "its first key is not waterlint"

#: How much a search keeps of what it has looked at, for the files to be read only once [bytes].
_MOST_WAITING = 4 * 1024 * 1024


class Exclusions(Protocol):
    """What `discover` asks of the configuration."""

    @property
    def allow_roots(self) -> tuple[Path, ...]:
        """Folders outside the project that the call allows."""

    def exclusion(self, path: Path) -> str | None:
        """Why a folder search leaves `path` out; `None` where it does not."""


class Found(Record):
    """A file to look at: why, and whether the call names it."""

    path: Path
    reason: str
    named: bool


class Skipped(Record):
    """A YAML file or a folder that a search leaves out, and why."""

    path: Path
    reason: str


class Survey(Record, frozen=False):
    """The outcome of a search: `links` are symbolic links to files inside the project."""

    found: list[Found] = field(default_factory=list)
    skipped: list[Skipped] = field(default_factory=list)
    links: list[Path] = field(default_factory=list)


def discover(
    paths: Iterable[Path], exclusions: Exclusions, disk: Disk, *, handed_over: bool = False
) -> list[Found]:
    """The files that a call is about.

    Parameters
    ----------
    paths : iterable of Path
        Files, taken as named, and folders, which are searched.
    exclusions : Exclusions
        The configuration.
    disk : Disk
        Of this run. What is named and must not be read is refused there, so that reading it
        tells why.
    handed_over : bool
        The files are a program's choice, as in a hook: of those, too, what is excluded or
        none of waterlint's is left out.

    Returns
    -------
    list of Found
        Each file once: those named first, in their order, then those found, sorted.

    Notes
    -----
    A search takes ``*.yaml`` and ``*.yml`` whose first key is ``waterlint``. It skips hidden
    folders, caches, environments of programs, and what the configuration excludes. It follows
    no symbolic link to a folder: what lies inside the project is found under its own name.
    """
    return survey(paths, exclusions, disk, handed_over=handed_over).found


def survey(
    paths: Iterable[Path], exclusions: Exclusions, disk: Disk, *, handed_over: bool = False
) -> Survey:
    """The files that a call is about, and what was left out; see `discover`."""
    search = _Search(exclusions, disk)
    folders: list[Path] = []
    for path in dict.fromkeys(disk.absolute(path) for path in paths):
        if _is_folder(path):
            folders.append(path)
        elif handed_over:
            search.take_handed_over(path)
        else:
            search.take_named(path)
    for folder in folders:
        search.take_folder(folder)
    search.take_links()
    return search.outcome()


class _Search(Record, frozen=False):
    exclusions: Exclusions
    disk: Disk
    named: dict[Path, Found] = field(default_factory=dict)
    found: dict[Path, Found] = field(default_factory=dict)
    skipped: list[Skipped] = field(default_factory=list)
    links: list[tuple[Path, str]] = field(default_factory=list)

    def outcome(self) -> Survey:
        found = sorted(self.found.values(), key=lambda each: self.disk.shown(each.path))
        return Survey(
            [*self.named.values(), *found], self.skipped, [link for link, _ in self.links]
        )

    def take_named(self, path: Path) -> None:
        self._refuse_if_outside(path)
        self.named[path] = Found(path, "named in the call", named=True)

    def take_handed_over(self, path: Path) -> None:
        """Take a file that a program names."""
        if path.name.lower().endswith(ENDINGS):
            self._refuse_if_outside(path)
            self._take_file(path, "handed over by the hook")
        else:
            self.skipped.append(Skipped(path, "no YAML file by its name"))

    def take_folder(self, folder: Path) -> None:
        """Search a folder that the call names, whatever it is called."""
        self._refuse_if_outside(folder)
        if self.disk.is_refused(folder):
            self.named[folder] = Found(folder, "named in the call", named=True)
            return
        reason = f"found in {self.disk.shown(folder)}"
        waiting = [folder]
        while waiting:
            waiting += self._look_into(waiting.pop(), reason)

    def _look_into(self, folder: Path, reason: str) -> list[Path]:
        """Take the files of one folder; the folders in it that are to be searched too."""
        try:
            with os.scandir(folder) as listing:
                entries = sorted(listing, key=lambda entry: entry.name)
        except OSError as error:
            self.disk.refuse(
                folder,
                f"the folder cannot be searched: {error.strerror}",
                "Allow reading it, or exclude it in waterlint.yaml.",
            )
            self.found[folder] = Found(folder, reason, named=False)
            return []
        folders: list[Path] = []
        for entry in entries:
            path = folder / entry.name
            if entry.is_dir(follow_symlinks=False):
                why = self._why_not_into(path)
                if why is None:
                    folders.append(path)
                else:
                    self.skipped.append(Skipped(path, why))
            elif entry.name.lower().endswith(ENDINGS):
                self._take_entry(entry, path, reason)
        return folders

    def _take_entry(self, entry: os.DirEntry[str], path: Path, reason: str) -> None:
        if entry.is_symlink():
            if not _is_folder(path):
                self.links.append((path, reason))
        elif entry.is_file():
            self._take_file(path, reason)
        else:
            self.skipped.append(Skipped(path, "no regular file"))

    def _take_file(self, path: Path, reason: str) -> None:
        """Take a file that the user did not choose, if it is one to look at."""
        # Imported late: what is named in the call needs no search.
        from waterlint.project.opening import says_waterlint

        why = self.exclusions.exclusion(path)
        if why is None:
            data = self.disk.bytes_of(path)
            # A file that cannot be read may be one of ours, so it is told; of one that is too
            # large the beginning says.
            if isinstance(data, ReadProblem):
                if not data.beginning or says_waterlint(data.beginning):
                    self.found.setdefault(path, Found(path, reason, named=False))
                    return
            elif says_waterlint(data):
                # What does not fit is read again when its turn comes.
                if self.disk.waiting > _MOST_WAITING:
                    self.disk.forget(path)
                if path not in self.named:
                    self.found.setdefault(path, Found(path, reason, named=False))
                return
            self.disk.forget(path)
            why = NOT_OURS
        self.skipped.append(Skipped(path, why))

    def take_links(self) -> None:
        """Take the links to files that were not found under their own names."""
        kept: list[tuple[Path, str]] = []
        own = {*self.named, *self.found}
        for link, reason in self.links:
            target = Path(os.path.realpath(link))
            if not self._is_allowed(link):
                self.skipped.append(Skipped(link, "a symbolic link out of the project"))
                continue
            kept.append((link, reason))
            if target in own:
                self.skipped.append(Skipped(link, f"a symbolic link to {self.disk.shown(target)}"))
            else:
                self._take_file(link, reason)
                own.add(target)
        self.links = kept

    def _why_not_into(self, folder: Path) -> str | None:
        if folder.name.startswith("."):
            return "a hidden folder"
        if folder.name in SKIPPED:
            return "a folder of other programs"
        for marker in MARKERS:
            try:
                if (folder / marker).is_file():
                    return f"a cache or an environment, for it holds {marker}"
            except OSError:
                return None  # said when it is searched
        return self.exclusions.exclusion(folder)

    def _is_allowed(self, path: Path) -> bool:
        root = project_root(path, self.disk.working_directory)
        allowed = self.exclusions.allow_roots
        if not is_inside(path, (root, *allowed)):
            return False
        # A link to another project lies inside that one, and out of the one it is in.
        return not leads_out(path, allowed, self.disk.working_directory)

    def _refuse_if_outside(self, path: Path) -> None:
        # A pattern of the shell, and a hook, name what a pull request has put there, links too.
        if not self._is_allowed(path):
            self.disk.refuse(
                path,
                "the path leads out of its project through a symbolic link",
                "Name what it leads to, or allow that folder with --allow-root.",
            )


def _is_folder(path: Path) -> bool:
    try:
        return path.is_dir()
    except (OSError, ValueError):
        return False
