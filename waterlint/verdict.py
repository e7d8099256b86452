"""What is found in one file, as plain data: it can be sent to another process, or kept.

A run makes a verdict for each file and puts them together. Nothing in a verdict depends on which
other files the run looks at, on the day, or on git's index; what does stands apart in it.
"""

from __future__ import annotations

from collections.abc import Iterable

from waterlint.finding import Finding
from waterlint.records import Record, replace

#: The part that a file has in a run: the call names it, a search found it, or a recipe brought
#: it along.
NAMED, FOUND, BROUGHT = "named", "found", "brought"

#: For which parts a verdict holds besides: for the first two, or for all.
OURS, ANY = "ours", "any"


class Subject(Record):
    """What a finding is about, in the words of the baseline that holds for its file.

    `baseline` is the baseline's path, `path` the file as the baseline names it; `pointer` has
    the names of a list's items in place of their positions.
    """

    baseline: str
    path: str
    pointer: str


class Excuse(Record):
    """An exception that a file makes for some rules between two of its lines.

    `unused` are the findings that tell, one for each rule, that nothing is excused by it; there
    are none where rules have not looked at the document.
    """

    rules: tuple[str, ...]
    reason: str
    path: str
    document: int
    first_line: int
    last_line: int
    unused: tuple[Finding, ...]

    def excuses(self, finding: Finding) -> bool:
        """Whether a finding is one that is meant."""
        return (
            finding.rule in self.rules
            and finding.path == self.path
            and finding.document == self.document
            and self.first_line <= finding.span.line <= self.last_line
        )


class House(Record):
    """What a run must know of the configuration that holds for a file.

    `findings` are the configuration's own faults, `subjects` what they are about where a
    baseline holds; `paths` its files as they are shown, `baseline` that baseline's path, `off`
    the rules that are switched off, and `plugins` what adds rules.
    """

    findings: tuple[Finding, ...] = ()
    subjects: tuple[Subject | None, ...] = ()
    paths: tuple[str, ...] = ()
    baseline: str | None = None
    off: tuple[str, ...] = ()
    plugins: tuple[str, ...] = ()


class Late(Record):
    """What depends on the day and on the recipes that use a report.

    It holds on `day` (as ISO writes it) beside the recipes `users`, and with no findings also as
    long as the day is from `quiet_from` to `quiet_until` or no recipe uses the report. A last day
    that is empty is none.
    """

    quiet_until: str = ""
    day: str = ""
    users: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()
    subjects: tuple[Subject | None, ...] = ()
    quiet_from: str = ""

    def holds(self, day: str, users: tuple[str, ...]) -> bool:
        """Whether `findings` are those of this day and these users."""
        return self.day == day and self.users == users

    def is_quiet(self, day: str, users: tuple[str, ...]) -> bool:
        """Whether there is nothing to find, whatever else."""
        quiet = self.quiet_from <= day <= self.quiet_until
        return self.quiet_until != "" and (not users or quiet)


class Verdict(Record):
    """What is found in one file.

    Attributes
    ----------
    path, shown : str
        The file, absolute and as findings name it.
    findings : tuple of Finding
        Without those that wait for the whole run.
    subjects : tuple of Subject or None
        What each is about; empty where no baseline holds.
    excuses : tuple of Excuse
        The exceptions that the file makes.
    used : tuple of str
        The water reports that its recipes name, by path.
    untracked : tuple of (str, Finding, Subject or None)
        What is to be told of a report that git does not keep, by the report's path.
    late : Late or None
        What depends on the day and the users; `None` where nothing does.
    house : House
        The configuration.
    role : str
        For which part in a run this holds: one of `NAMED`, `FOUND` and `BROUGHT`, `OURS` for
        the first two, or `ANY`.
    """

    path: str
    shown: str
    findings: tuple[Finding, ...] = ()
    subjects: tuple[Subject | None, ...] = ()
    excuses: tuple[Excuse, ...] = ()
    used: tuple[str, ...] = ()
    untracked: tuple[tuple[str, Finding, Subject | None], ...] = ()
    late: Late | None = None
    house: House = House()
    role: str = ANY

    @property
    def tells(self) -> bool:
        """Whether anything is said of the file, be it only in some runs."""
        late = self.late is not None and self.late.findings
        return bool(self.findings or self.excuses or late or self.untracked)

    @property
    def lines(self) -> frozenset[int] | None:
        """The lines of the file that may be shown; `None` for all, since a fix may be anywhere."""
        # A recipe may have the name of a configuration, and is told that as one.
        about = [finding for finding in self.house.findings if finding.path == self.shown]
        if not (self.tells or about):
            return frozenset()
        told = [
            *about,
            *self.findings,
            *(() if self.late is None else self.late.findings),
            *(finding for excuse in self.excuses for finding in excuse.unused),
            *(finding for _, finding, _ in self.untracked),
        ]
        if any(finding.fix is not None for finding in told):
            return None
        spans = [finding.span for finding in told]
        spans += [related.span for finding in told for related in finding.related]
        return frozenset(number for span in spans for number in (span.line, span.end_line))

    def fits(self, role: str) -> bool:
        """Whether this holds for a file with that part in a run."""
        return self.role in (ANY, role) or (self.role == OURS and role != BROUGHT)


def apply_excuses(
    findings: Iterable[Finding], excuses: Iterable[Excuse]
) -> tuple[list[Finding], list[Finding]]:
    """Set aside what the files excuse.

    Returns
    -------
    kept, accepted : list of Finding
        What still counts, with what excuses nothing; and what is excused, each with its reason.
    """
    by_path: dict[str, list[Excuse]] = {}
    for excuse in excuses:
        by_path.setdefault(excuse.path, []).append(excuse)
    if not by_path:
        return list(findings), []
    kept: list[Finding] = []
    accepted: list[Finding] = []
    used: set[tuple[str, int, str]] = set()
    for finding in findings:
        candidates = by_path.get(finding.path, [])
        number = next((i for i, each in enumerate(candidates) if each.excuses(finding)), None)
        if number is None:
            kept.append(finding)
        else:
            used.add((finding.path, number, finding.rule))
            accepted.append(replace(finding, accepted_because=candidates[number].reason))
    for path, candidates in by_path.items():
        for number, excuse in enumerate(candidates):
            kept += [
                told
                for rule, told in zip(excuse.rules, excuse.unused, strict=False)
                if (path, number, rule) not in used
            ]
    return kept, accepted
