"""Findings that are known from a baseline are set aside; only new ones count.

A finding is known by what it is about and not by its line: the rule, the file, the key, the ion
and the vessel, a list's item by its name. A change elsewhere in the file leaves it known, and so
does another figure, as long as its level does not rise. What concerns whether a file can be read
is never known.
"""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from waterlint.finding import LEVELS, Finding
from waterlint.intake import Part
from waterlint.project.baseline import Baseline, Known, read_baseline, write_baseline
from waterlint.project.config import FIXED_RULES
from waterlint.project.files import Disk
from waterlint.source.document import Document, Node, Scalar, escape
from waterlint.source.document import Mapping as MappingNode
from waterlint.source.document import Sequence as SequenceNode

#: Rules whose findings never enter a baseline: whether a file can be read, its own or one that it
#: needs, and the baseline's own.
NEVER_KNOWN = FIXED_RULES | {"stale-baseline", "unresolved-water"}

#: Rules about a report that speak only where a recipe of the run uses it.
_NEEDS_USE = frozenset({"report-age"})

#: The longest name of an item that a pointer holds [characters]; a longer one is cut.
_LONGEST_NAME = 60


@dataclass(frozen=True, slots=True)
class Scope:
    """What a run can tell about the files that a baseline speaks of.

    Attributes
    ----------
    baseline_of : callable
        The baseline that holds for a file; `None` where none does.
    parts_of : callable
        The documents of a file.
    path_of : callable
        The path of a file by its shown name.
    judged : collection of Path
        The files that all rules could look at in this run.
    used : collection of Path
        The reports among them that some recipe of the run uses.
    is_off : callable
        Whether a rule is switched off for a file.
    """

    baseline_of: Callable[[Path], Path | None]
    parts_of: Callable[[Path], Sequence[Part]]
    path_of: Callable[[str], Path | None]
    judged: Collection[Path]
    used: Collection[Path]
    is_off: Callable[[Path, str], bool]


@dataclass(frozen=True, slots=True)
class Sorted:
    """The findings that count, those that are known, and the names of the baselines in use."""

    new: tuple[Finding, ...]
    known: tuple[Finding, ...]
    baselines: frozenset[str]


def apply_baselines(
    findings: Iterable[Finding], files: Iterable[Path], disk: Disk, scope: Scope, *, update: bool
) -> Sorted:
    """Set aside what the baselines know.

    Parameters
    ----------
    findings : iterable of Finding
        Of the whole run, without those that an exception excuses.
    files : iterable of Path
        The files of the run.
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
    by_baseline: dict[Path, list[tuple[Finding, Known]]] = {}
    for path in files:
        holding = scope.baseline_of(path)
        if holding is not None:
            by_baseline.setdefault(holding, [])
    new: list[Finding] = []
    for finding in sorted(findings, key=lambda each: each.order):
        subject = _subject(finding, scope)
        if subject is None:
            new.append(finding)
        else:
            holding, entry = subject
            by_baseline.setdefault(holding, []).append((finding, entry))
    known: list[Finding] = []
    names: set[str] = set()
    for holding, pairs in sorted(by_baseline.items()):
        baseline = read_baseline(holding, disk)
        names.add(baseline.shown)
        if update and not baseline.findings:
            baseline = _updated(baseline, [entry for _, entry in pairs], scope, disk)
        matched, unmatched, left = _match(baseline, pairs)
        known += matched
        new += [*unmatched, *baseline.findings]
        new += [_stale(baseline, entry) for entry in left if _is_judged(entry, holding, scope)]
    return Sorted(tuple(new), tuple(known), frozenset(names))


def _subject(finding: Finding, scope: Scope) -> tuple[Path, Known] | None:
    """What a finding is about, for the baseline that holds for its file."""
    path = scope.path_of(finding.path)
    if finding.rule in NEVER_KNOWN or path is None:
        return None
    holding = scope.baseline_of(path)
    if holding is None:
        return None
    documents = {part.document.index: part.document for part in scope.parts_of(path)}
    document = documents.get(finding.document)
    return holding, Known(
        _relative(path, holding),
        finding.document,
        finding.pointer if document is None else named_pointer(document, finding.pointer),
        finding.rule,
        finding.quantity or "",
        finding.vessel or "",
        finding.level,
    )


def _relative(path: Path, baseline: Path) -> str:
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
    steps = pointer.split("/")
    named = steps[:1]
    for number, step in enumerate(steps[1:], start=2):
        parent = document.find("/".join(steps[: number - 1]))
        if isinstance(parent, SequenceNode):
            step = escape(_name(document.find("/".join(steps[:number]))))
        named.append(step)
    return "/".join(named)


def _name(node: Node | None) -> str:
    if isinstance(node, MappingNode) and node.entries:
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
        and not scope.is_off(path, entry.rule)
        and (entry.rule not in _NEEDS_USE or path in scope.used)
    )


def _path(entry: Known, baseline: Path) -> Path:
    return Path(os.path.normpath(baseline.parent / entry.path))


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
    return Finding(
        "stale-baseline",
        "warning",
        baseline.shown,
        entry.span,
        f"{entry.rule} no longer reports {_about(entry)} of {entry.path}{many}",
        "Write the baseline anew with `waterlint check --update-baseline`, so that a later fault "
        "is not hidden by the entry.",
    )


def _about(entry: Known) -> str:
    return entry.pointer or "the document"
