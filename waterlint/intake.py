"""From a file on disk to documents, each with its kind, its faults, and what it means."""

from __future__ import annotations

import os
from collections.abc import Callable, Collection, Iterator, Mapping

from waterlint.catalog.catalog import Catalog
from waterlint.finding import FILE_START, Finding
from waterlint.model.read import read_recipe, read_water
from waterlint.model.recipe import Recipe
from waterlint.model.water import WaterReport
from waterlint.paths import Path
from waterlint.prediction.builtin import builtin_report
from waterlint.project.files import Disk, ReadProblem
from waterlint.project.probes import kept
from waterlint.project.references import Resolved, resolve
from waterlint.records import Record, field, replace
from waterlint.rules.registry import UsedWater
from waterlint.source import schema
from waterlint.source.document import Document, SourceFile

#: Waters that are looked for, for one recipe; a brewery has a handful.
MOST_WATERS = 200


class Part(Record):
    """One document of a file: `recipe` or `report` is set when its schema found no fault."""

    document: Document
    kind: str | None
    findings: tuple[Finding, ...] = ()
    recipe: Recipe | None = None
    report: WaterReport | None = None


class Loaded(Record):
    """A file as far as it could be read: `findings` concern the file as a whole."""

    path: Path
    shown: str
    source: SourceFile | None
    parts: tuple[Part, ...] = ()
    findings: tuple[Finding, ...] = ()

    @property
    def is_ours(self) -> bool:
        """Whether any document says that it is one of waterlint's."""
        return any(part.kind is not None for part in self.parts)


class Intake(Record, frozen=False):
    """Reads each file once in a run, whoever asks for it.

    `house_words` gives the words that the house of a file has added to the format's. `tracked`
    holds every file that git keeps, or is `None` where git was not asked.
    """

    disk: Disk
    house_words: Callable[[Path], Mapping[str, Collection[str]]]
    allow_roots: tuple[Path, ...] = ()
    tracked: frozenset[Path] | None = None
    _loaded: dict[Path, Loaded] = field(default_factory=dict)
    _given: set[Path] = field(default_factory=set)
    _waters: dict[tuple[str, str, int], UsedWater] = field(default_factory=dict)

    def load(self, path: Path) -> Loaded:
        """The file at `path`; a file that cannot be read is told in its findings."""
        return kept(self._loaded, path, lambda: self._load(path))

    def _load(self, path: Path) -> Loaded:
        shown = self.disk.shown(path)
        source = self.disk.read(path)
        if isinstance(source, ReadProblem):
            return Loaded(path, shown, None, (), (source.finding(),))
        return self.take(path, source)

    def release(self, path: Path, lines: Collection[int] | None = ()) -> bool:
        """Forget a file that can be read again, but for these lines, or all; whether it was."""
        if path in self._given or path not in self._loaded:
            return False
        del self._loaded[path]
        self.disk.release(path, lines)
        return True

    def take(self, path: Path, source: SourceFile, *, given: bool = False) -> Loaded:
        """The documents of a text that is already read, as if it stood at `path`.

        A text that is `given` stands in no file, or not yet.
        """
        if given:
            self._given.add(path)
            self._waters.clear()  # it may replace what was read before, and let go of since
        words = self.house_words(path)
        parts = tuple(_part(document, source, words) for document in source.documents)
        loaded = Loaded(path, source.path, source, parts, source.findings)
        self._loaded[path] = loaded
        return loaded

    def waters(self, recipe: Recipe, path: Path, catalog: Catalog) -> Mapping[str, UsedWater]:
        """Every water that `recipe`, standing at `path`, names, by the name it uses."""
        names = dict.fromkeys(share.water for share in recipe.references)
        folder = os.path.dirname(path)  # noqa: PTH120 — a path's own parent takes far longer
        return {
            name: self._water(name, path, folder, catalog)
            if number < MOST_WATERS
            else _too_many(name)
            for number, name in enumerate(names)
        }

    def _water(self, reference: str, path: Path, folder: str, catalog: Catalog) -> UsedWater:
        """A water by its name; the files of a folder mean the same by the same name."""
        key = (folder, reference, id(catalog))
        return kept(self._waters, key, lambda: self._find(reference, path, catalog))

    def _find(self, reference: str, path: Path, catalog: Catalog) -> UsedWater:
        named = builtin_report(reference, catalog)
        if named is not None:
            return UsedWater(reference, named)
        found = resolve(reference, path, self.allow_roots, tuple(catalog.waters))
        if not isinstance(found, Resolved):
            return UsedWater(reference, None, problem=found.problem, help=found.help)
        loaded = self.load(found.path)
        if loaded.source is None:
            problem = loaded.findings[0]
            return UsedWater(
                reference,
                None,
                loaded.shown,
                problem=problem.message,
                help=problem.help,
                file=os.fspath(found.path),
            )
        untracked = False
        if self.tracked is not None:
            # Imported late: only a hook asks.
            from waterlint.project.git import keeps

            untracked = not keeps(self.tracked, found.path)
        file = os.fspath(found.path)
        return replace(_report_of(reference, loaded), untracked=untracked, file=file)


def _part(
    document: Document, source: SourceFile, house_words: Mapping[str, Collection[str]]
) -> Part:
    kind = schema.kind_of(document)
    if kind is None:
        return Part(document, None)
    findings = tuple(schema.check(document, source, kind, house_words))
    if any(finding.document == document.index for finding in source.findings):
        return Part(document, kind, findings)
    if any(finding.level == "error" for finding in findings):
        return Part(document, kind, findings)
    if kind == "recipe":
        return Part(document, kind, findings, recipe=read_recipe(document, source.path))
    if kind == "water":
        return Part(document, kind, findings, report=read_water(document, source.path))
    return Part(document, kind, findings)


def _too_many(reference: str) -> UsedWater:
    return UsedWater(
        reference,
        None,
        problem=f"the recipe names more than {MOST_WATERS} waters",
        help="Name the waters that it is brewed with.",
    )


def _report_of(reference: str, loaded: Loaded) -> UsedWater:
    waters = [part for part in loaded.parts if part.kind == "water"]
    if not waters:
        return UsedWater(
            reference,
            None,
            loaded.shown,
            problem=f"{loaded.shown} is no water report",
            help="Name a file whose first key is `waterlint: water/1`.",
        )
    if len(waters) > 1:
        return UsedWater(
            reference,
            None,
            loaded.shown,
            problem=f"{loaded.shown} holds {len(waters)} water reports, and nothing says which",
            help="Keep each water report in a file of its own.",
        )
    part = waters[0]
    if part.report is None:
        return UsedWater(
            reference,
            None,
            loaded.shown,
            part.document,
            problem=f"{loaded.shown} has errors of its own, so its figures are not used",
            help="Mend the water report first; its errors are listed under its own name.",
        )
    return UsedWater(reference, part.report, loaded.shown, part.document)


def faults_of(file: Loaded, *, named: bool) -> Iterator[Finding]:
    """What is wrong with a file before any rule looks at it."""
    yield from file.findings
    for part in file.parts:
        yield from part.findings
        if part.kind is None and (named or file.is_ours):
            yield _not_ours(file, part)
    if named and not file.parts and not file.findings:
        yield _not_ours(file, None)


def _not_ours(file: Loaded, part: Part | None) -> Finding:
    return Finding(
        rule="not-a-waterlint-file",
        level="error",
        path=file.shown,
        span=FILE_START if part is None else part.document.root.span,
        document=0 if part is None else part.document.index,
        message=(
            "the file is empty"
            if part is None
            else "the document does not say what it is: its first key is not `waterlint:`"
        ),
        help=(
            "Begin with `waterlint: recipe/1`, `waterlint: water/1` or `waterlint: config/1`, "
            "or leave the file out of the call."
        ),
    )
