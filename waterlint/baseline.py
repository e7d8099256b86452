"""Findings that are known from a baseline are set aside; only new ones count.

A finding is known by what it is about and not by its line: the rule, the file, the key, the ion
and the vessel, a list's item by its name. A change elsewhere in the file leaves it known, and so
does another figure, as long as its level does not rise. What concerns whether a file can be read
is never known.
"""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence

from waterlint.finding import LEVELS, Finding
from waterlint.hints import TYPE_CHECKING
from waterlint.paths import Path
from waterlint.project.baseline import Baseline, Known, read_baseline, write_baseline
from waterlint.project.config import FIXED_RULES
from waterlint.project.files import Disk
from waterlint.records import Record, replace
from waterlint.verdict import Subject

if TYPE_CHECKING:
    from waterlint.source.nodes import Node
    from waterlint.source.tree import Document

#: Rules whose findings never enter a baseline: whether a file can be read, its own or one that it
#: needs, and the baseline's own.
NEVER_KNOWN = FIXED_RULES | {"stale-baseline", "unresolved-water"}

#: Rules about a report that speak only where a recipe of the run uses it.
_NEEDS_USE = frozenset({"report-age"})

#: How many files that are not there are told by name.
_FEW = 3

#: The longest name of an item that a pointer holds [characters]; a longer one is cut.
_LONGEST_NAME = 60


class Scope(Record):
    """What a run can tell about the files that a baseline speaks of.

    Attributes
    ----------
    subjects : mapping
        What each finding is about, for those in a file that a baseline holds for.
    judged : collection of Path
        The files that all rules could look at in this run.
    used : collection of Path
        The reports among them that some recipe of the run uses.
    off : mapping
        The rules that are switched off, by file.
    searched : collection of Path
        Folders that the run has looked through for files.
    """

    subjects: Mapping[Finding, Subject]
    judged: Collection[Path]
    used: Collection[Path]
    off: Mapping[Path, Collection[str]]
    searched: Collection[Path]


class Sorted(Record):
    """The findings that count, those that are known, and the names of the baselines in use."""

    new: tuple[Finding, ...]
    known: tuple[Finding, ...]
    baselines: frozenset[str]


def apply_baselines(
    findings: Iterable[Finding], holding: Iterable[Path], disk: Disk, scope: Scope, *, update: bool
) -> Sorted:
    """Set aside what the baselines know.

    Parameters
    ----------
    findings : iterable of Finding
        Of the whole run, without those that an exception excuses.
    holding : iterable of Path
        The baselines that hold for the files of the run.
    disk : Disk
        Of the run.
    scope : Scope
        What the run can tell.
    update : bool
        Write each baseline anew first, so that all that can be known is.

    Returns
    -------
    Sorted
        Among what counts: entries that nothing matches any more, and faults of the baselines.
    """
    by_baseline: dict[Path, list[tuple[Finding, Known]]] = {path: [] for path in holding}
    new: list[Finding] = []
    for finding in sorted(findings, key=lambda each: each.order):
        subject = scope.subjects.get(finding)
        if subject is None or finding.rule in NEVER_KNOWN:
            new.append(finding)
        else:
            pairs = by_baseline.setdefault(Path(subject.baseline), [])
            pairs.append((finding, _entry(finding, subject)))
    known: list[Finding] = []
    names: set[str] = set()
    for place, pairs in sorted(by_baseline.items()):
        baseline = read_baseline(place, disk)
        names.add(baseline.shown)
        if update and not baseline.findings:
            baseline = _updated(baseline, [entry for _, entry in pairs], scope, disk)
        matched, unmatched, left = _match(baseline, pairs)
        known += matched
        new += [*unmatched, *baseline.findings]
        new += [_stale(baseline, entry) for entry in left if _is_judged(entry, place, scope)]
        new += _gone(baseline, left, scope, disk)
    return Sorted(tuple(new), tuple(known), frozenset(names))


def _entry(finding: Finding, subject: Subject) -> Known:
    """A finding as an entry of its baseline."""
    return Known(
        subject.path,
        finding.document,
        subject.pointer,
        finding.rule,
        finding.quantity or "",
        finding.vessel or "",
        finding.level,
    )


def relative_to(path: Path, baseline: Path) -> str:
    """The path of a file as a baseline names it."""
    try:
        return os.path.relpath(path, baseline.parent).replace(os.sep, "/")
    except ValueError:  # on another drive
        return path.as_posix()


def named_pointer(document: Document, pointer: str) -> str:
    """A pointer with the first text of a list's item in place of its position.

    Examples
    --------
    >>> from waterlint.source.document import read_text
    >>> source = read_text("additions:\\n  - {add: gypsum, mash: 1 g}\\n", "a.yaml")
    >>> named_pointer(source.documents[0], "/additions/0/mash")
    '/additions/gypsum/mash'
    """
    # Imported late: where a finding is kept from an earlier run, so is its name.
    from waterlint.source.nodes import Sequence, escape

    steps = pointer.split("/")
    named = steps[:1]
    for number, step in enumerate(steps[1:], start=2):
        parent = document.find("/".join(steps[: number - 1]))
        if isinstance(parent, Sequence):
            step = escape(_name(document.find("/".join(steps[:number]))))
        named.append(step)
    return "/".join(named)


def _name(node: Node | None) -> str:
    from waterlint.source.nodes import Mapping, Scalar

    if isinstance(node, Mapping) and node.entries:
        node = next(iter(node.entries.values())).value
    return node.text[:_LONGEST_NAME] if isinstance(node, Scalar) else "*"


def _match(
    baseline: Baseline, pairs: Sequence[tuple[Finding, Known]]
) -> tuple[list[Finding], list[Finding], list[Known]]:
    """The findings that are known, those that are not, and what is left over of the entries."""
    by_subject: dict[tuple[object, ...], list[Known]] = {}
    for entry in baseline.entries:
        by_subject.setdefault(entry.subject, []).append(entry)
    left = Counter({entry: entry.count for entry in baseline.entries})
    known: list[Finding] = []
    new: list[Finding] = []
    # The mildest first, each to the mildest entry that reaches it: so the most are known.
    for finding, subject in sorted(pairs, key=lambda pair: LEVELS.index(pair[0].level)):
        fitting = [
            entry
            for entry in by_subject.get(subject.subject, ())
            if left[entry] and LEVELS.index(entry.level) >= LEVELS.index(finding.level)
        ]
        if fitting:
            left[min(fitting, key=lambda entry: LEVELS.index(entry.level))] -= 1
            known.append(finding)
        else:
            new.append(finding)
    remaining = [replace(entry, count=left[entry]) for entry in baseline.entries if left[entry]]
    return known, new, remaining


def _is_judged(entry: Known, baseline: Path, scope: Scope) -> bool:
    """Whether this run would have found what the entry stands for, were it still there."""
    path = _path(entry, baseline)
    return (
        path in scope.judged
        and entry.rule not in scope.off.get(path, ())
        and (entry.rule not in _NEEDS_USE or path in scope.used)
    )


def paths_of(baseline: Baseline) -> dict[str, Path]:
    """The files that a baseline speaks of, as it names them."""
    return {entry.path: _path(entry, baseline.path) for entry in baseline.entries}


def _path(entry: Known, baseline: Path) -> Path:
    return Path(os.path.normpath(baseline.parent / entry.path))


def _gone(baseline: Baseline, left: Iterable[Known], scope: Scope, disk: Disk) -> Iterator[Finding]:
    """A finding for the files that were deleted or renamed, where this run has looked for them."""
    gone: dict[str, Known] = {}
    for entry in left:
        path = _path(entry, baseline.path)
        if entry.path not in gone and path not in scope.judged and not disk.is_there(path):
            folder = next(each for each in path.parents if each.exists())
            if any(each.is_relative_to(folder) for each in scope.searched):
                gone[entry.path] = entry
    if gone:
        names = [*gone][:_FEW]
        more = f" and {len(gone) - _FEW} more" if len(gone) > _FEW else ""
        told = f"there is no such file any more: {', '.join(names)}{more}"
        yield _told(baseline, next(iter(gone.values())), told)


def _updated(baseline: Baseline, today: Iterable[Known], scope: Scope, disk: Disk) -> Baseline:
    """The baseline with today's findings; what this run could not judge stays as it is."""
    counts: Counter[Known] = Counter(today)
    entries = {entry: replace(entry, count=number) for entry, number in counts.items()}
    for entry in baseline.entries:
        path = _path(entry, baseline.path)
        if not _is_judged(entry, baseline.path, scope) and path.exists():
            key = replace(entry, count=1)
            found = entries.get(key)
            if found is None or found.count < entry.count:
                entries[key] = entry
    problem = write_baseline(baseline, entries.values())
    if problem is not None:
        return replace(baseline, findings=(problem,))
    disk.forget(baseline.path)
    return read_baseline(baseline.path, disk)


def _stale(baseline: Baseline, entry: Known) -> Finding:
    many = "" if entry.count == 1 else f" ({entry.count} of them)"
    told = f"{entry.rule} no longer reports {_about(entry)} of {entry.path}{many}"
    return _told(baseline, entry, told)


def _told(baseline: Baseline, entry: Known, message: str) -> Finding:
    return Finding(
        "stale-baseline",
        "warning",
        baseline.shown,
        entry.span,
        message,
        "Write the baseline anew with `waterlint check --update-baseline`, so that a later fault "
        "is not hidden by the entry.",
    )


def _about(entry: Known) -> str:
    return entry.pointer or "the document"
