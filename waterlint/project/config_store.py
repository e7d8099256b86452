"""Which configuration holds for a file, and what follows from it."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from functools import reduce

from waterlint.catalog.catalog import Catalog, default_catalog
from waterlint.finding import Finding
from waterlint.paths import Path
from waterlint.project.config import CONFIG_NAME, LevelOrOff
from waterlint.project.config_checks import check_names
from waterlint.project.config_file import ConfigFile, Opened, open_config, read_config
from waterlint.project.config_plugins import Offered
from waterlint.project.files import Disk
from waterlint.project.layer import Entries, Pattern, Stated, Values
from waterlint.project.probes import kept
from waterlint.project.root import project_root
from waterlint.project.settings import FileConfig, settings_of
from waterlint.records import Record

#: How many configurations may build on each other; a house has two or three.
MAX_CHAIN = 20


class _Chain(Record):
    """A configuration and those it builds on, the last of them first, and what they say together.

    `exclude` is what a search leaves out.
    """

    files: tuple[ConfigFile, ...]
    catalog: Catalog
    findings: tuple[Finding, ...]
    exclude: Stated[tuple[Pattern, ...]] | None


class ConfigStore:
    """Finds, reads and keeps the configurations of a run.

    Parameters
    ----------
    disk : Disk
        Of this run.
    known_rules : frozenset of str
        All rules there are without plugins.
    overrides : mapping
        Levels that the call sets, by rule; they win over every configuration.
    explicit_config : Path or None
        Used for all files instead of the nearest `waterlint.yaml`.
    allow_roots : tuple of Path
        Folders outside the project that the call allows.
    offered : callable or None
        Loads a plugin that a configuration names; without it they are left alone.
    baseline : Path or None
        That the call sets for all files.
    """

    def __init__(
        self,
        disk: Disk,
        known_rules: frozenset[str],
        overrides: Mapping[str, LevelOrOff] | None = None,
        explicit_config: Path | None = None,
        allow_roots: tuple[Path, ...] = (),
        offered: Offered | None = None,
        baseline: Path | None = None,
    ) -> None:
        self.disk = disk
        self.known_rules = known_rules
        self.offered = offered
        self.allow_roots = tuple(disk.absolute(root) for root in allow_roots)
        self.explicit = None if explicit_config is None else disk.absolute(explicit_config)
        self._called = Values(
            levels={
                rule: Stated(level, level, "the command line")
                for rule, level in (overrides or {}).items()
            },
            baseline=None
            if baseline is None
            else Stated(disk.absolute(baseline), disk.shown(baseline), "the command line"),
        )
        self._above: dict[str, tuple[Path, ...]] = {}
        self._files: dict[Path, ConfigFile] = {}
        self._opened: dict[Path, Opened] = {}
        self._chains: dict[Path, _Chain] = {}
        self._for_files: dict[Path, FileConfig] = {}
        self._configs: dict[tuple[Path | None, tuple[int, ...]], FileConfig] = {}

    def for_file(self, path: Path) -> FileConfig:
        """What holds for the file at `path`, which need not be there."""
        return kept(self._for_files, path, lambda: self._for_file(self.disk.absolute(path)))

    def _for_file(self, path: Path) -> FileConfig:
        config = next(iter(self._governing(path)), None)
        if config is None:
            return self._kept(None, (), ())
        chain = self._chain(config)
        matching = tuple(
            number
            for number, (pattern, _) in enumerate(_overrides(chain.files))
            if pattern.matches(path)
        )
        return self._kept(config, chain.files, matching)

    def exclusion(self, path: Path) -> str | None:
        """Why a search leaves out a file or folder; `None` where it does not.

        Every `waterlint.yaml` on the way up to the project root may leave something out of what
        lies below it, also where a nearer one rules otherwise: a folder that is set aside stays
        so, whatever configuration it brings along.
        """
        path = self.disk.absolute(path)
        for config in self._governing(path):
            stated = self._chain(config).exclude
            if stated is not None:
                for pattern in stated.value:
                    if pattern.matches(path):
                        return f"excluded by {pattern.glob.pattern} ({stated.origin})"
        return None

    def describe(self, path: Path) -> str:
        """What holds for a file and why, for people: a line for each value with its origin."""
        # Imported late: a run on files asks for none.
        from waterlint.project.config_description import describe

        path = self.disk.absolute(path)
        roots = (project_root(path, self.disk.working_directory), *self.allow_roots)
        config = next(iter(self._governing(path)), None)
        return describe(
            self.disk.shown(path),
            self.for_file(path),
            self.exclusion(path),
            [self.disk.shown(root) for root in roots],
            () if config is None else self._chain(config).files,
        )

    def has_read(self, path: Path) -> bool:
        """Whether a file was read as a configuration."""
        return path in self._files

    def _governing(self, path: Path) -> tuple[Path, ...]:
        """The configurations on the way up from a file to its project's root, nearest first."""
        if self.explicit is not None:
            return (self.explicit,)
        folder = os.path.dirname(path)  # noqa: PTH120 — a path's own parent takes far longer
        return kept(self._above, folder, lambda: tuple(self._upward(path)))

    def _upward(self, path: Path) -> Iterator[Path]:
        root = project_root(path, self.disk.working_directory)
        for folder in path.parents:
            config = folder / CONFIG_NAME
            if self.disk.is_there(config):
                yield config
            if folder == root:
                return

    def _chain(self, config: Path) -> _Chain:
        return kept(self._chains, config, lambda: self._follow(config))

    def _follow(self, config: Path) -> _Chain:
        files: list[ConfigFile] = []
        findings: list[Finding] = []
        seen: set[Path] = set()
        following: Path | None = config
        while following is not None:
            seen.add(following)
            file = self._read(following)
            files.insert(0, file)
            following = file.parent
            problem = None
            if following in seen:
                problem = _circle(files, self.disk.shown(following))
            elif following is not None and len(files) == MAX_CHAIN:
                problem = f"more than {MAX_CHAIN} configurations build on each other"
            if problem is not None:
                findings.append(_at_extends(file, problem))
                following = None
        catalog = _catalog(files)
        for file in files:
            findings += file.findings
            if file.tree is not None:
                findings += check_names(file.tree, catalog)
        chain = tuple(files)
        return _Chain(chain, catalog, tuple(findings), _stack(chain).exclude)

    def _read(self, config: Path) -> ConfigFile:
        return kept(self._files, config, lambda: self._read_anew(config))

    def _read_anew(self, config: Path) -> ConfigFile:
        return read_config(self._open(config), self._known_to(config), self.allow_roots)

    def _open(self, config: Path) -> Opened:
        return kept(
            self._opened,
            config,
            lambda: open_config(
                config, self.disk, self.known_rules, self.allow_roots, self.offered
            ),
        )

    def _known_to(self, config: Path) -> frozenset[str]:
        """The rules that a configuration may name, whichever was read before it."""
        known, seen = self.known_rules, set[Path]()
        following: Path | None = config
        while following is not None and following not in seen and len(seen) < MAX_CHAIN:
            seen.add(following)
            opened = self._open(following)
            known, following = known | opened.plugins.rules, opened.parent
        return known

    def _kept(
        self, config: Path | None, files: tuple[ConfigFile, ...], matching: tuple[int, ...]
    ) -> FileConfig:
        key = (config, matching)
        if key not in self._configs:
            self._configs[key] = self._build(config, files, matching)
        return self._configs[key]

    def _build(
        self, config: Path | None, files: tuple[ConfigFile, ...], matching: tuple[int, ...]
    ) -> FileConfig:
        values = self._called.over(_stack(files, matching))
        chain = None if config is None else self._chain(config)
        catalog = default_catalog() if chain is None else chain.catalog
        return FileConfig(
            settings=settings_of(values),
            catalog=catalog,
            findings=() if chain is None else chain.findings,
            config_path=config,
            paths=tuple(file.shown for file in reversed(files)),
            exclude=() if values.exclude is None else values.exclude.value,
            baseline=None if values.baseline is None else values.baseline.value,
            plugins=() if values.rules is None else values.rules.value,
            values=values,
        )


def _overrides(files: tuple[ConfigFile, ...]) -> Iterator[tuple[Pattern, Values]]:
    for file in files:
        yield from file.layer.paths


def _stack(files: tuple[ConfigFile, ...], matching: tuple[int, ...] = ()) -> Values:
    """All values of a chain, those of `paths` only where their number is among `matching`.

    A file's own values, those of its `paths` included, lie above all of the one it builds on.
    """
    values = Values()
    number = 0
    for file in files:
        values = file.layer.values.over(values)
        for _, override in file.layer.paths:
            if number in matching:
                values = override.over(values)
            number += 1
    return values


def _catalog(files: list[ConfigFile]) -> Catalog:
    entries = reduce(lambda low, file: file.layer.entries.over(low), files, Entries())
    return default_catalog().extended(
        entries.additives, entries.malts, entries.styles, entries.waters, entries.faulty
    )


def _circle(files: list[ConfigFile], back_to: str) -> str:
    names = [each.shown for each in reversed(files)]
    way = " → ".join([*names[names.index(back_to) :], back_to])
    return f"the configurations build on each other in a circle: {way}"


def _at_extends(file: ConfigFile, message: str) -> Finding:
    assert file.tree is not None
    return Finding(
        "bad-value",
        "error",
        file.shown,
        file.tree.document.span_of("/extends"),
        message,
        "Take one `extends` out.",
        document=file.tree.document.index,
        pointer="/extends",
    )
