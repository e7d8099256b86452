"""Verdicts about files, put together to the report of a run."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from waterlint.days import date
from waterlint.finding import Finding
from waterlint.paths import Path
from waterlint.project.files import Disk
from waterlint.records import Record
from waterlint.report import Report
from waterlint.verdict import Late, Subject, Verdict, apply_excuses

_NOTHING_LATE = Late()


class Outcome(Record):
    """The verdicts of a run.

    Attributes
    ----------
    verdicts : sequence of Verdict
        In the order of the run: the files that it was asked for, then those that recipes use.
    late : mapping
        What depends on the day and the users, by path, where there is anything.
    tracked : collection of Path or None
        Every file that git keeps, where it was asked.
    update_baseline : bool
        Write the baselines anew.
    searched : collection of Path
        The files that a search found, and that the call does not name.
    """

    verdicts: Sequence[Verdict]
    late: Mapping[str, Late]
    tracked: Collection[Path] | None = None
    update_baseline: bool = False
    searched: Collection[Path] = ()


def users_of(verdicts: Sequence[Verdict]) -> dict[str, tuple[str, ...]]:
    """The recipes that use each report, as findings name them and sorted, by the report's path."""
    users: dict[str, list[str]] = {}
    for verdict in verdicts:
        for path in verdict.used:
            users.setdefault(path, []).append(verdict.shown)
    return {path: tuple(sorted(names)) for path, names in users.items()}


def known_late(verdict: Verdict, today: date, users: tuple[str, ...]) -> Late | None:
    """What the verdict itself says of the day and the users; `None` where that must be found."""
    late = verdict.late
    if late is None or late.is_quiet(today.isoformat(), users):
        return _NOTHING_LATE
    return late if late.holds(today.isoformat(), users) else None


def assemble(outcome: Outcome, disk: Disk) -> Report:
    """The report of a run; `disk` reads the baselines."""
    faults = {each for verdict in outcome.verdicts for each in verdict.house.findings}
    # Two houses may say two things of a place in the configuration that they share.
    findings = dict.fromkeys(sorted(faults, key=lambda each: (each.order, each.message, each.help)))
    for verdict in outcome.verdicts:
        findings.update(dict.fromkeys(_said(verdict, outcome)))
    excuses = [excuse for verdict in outcome.verdicts for excuse in verdict.excuses]
    kept, accepted = apply_excuses(findings, excuses)
    new, known, baselines = _without_known(kept, outcome, disk)
    shown = {path for verdict in outcome.verdicts for path in verdict.house.paths}
    return Report(
        findings=tuple(sorted(new, key=lambda finding: finding.order)),
        accepted=tuple(sorted(accepted, key=lambda finding: finding.order)),
        files=len(outcome.verdicts),
        known=tuple(sorted(known, key=lambda finding: finding.order)),
        config_paths=baselines | shown,
        paths=tuple(sorted(verdict.shown for verdict in outcome.verdicts)),
    )


def _said(verdict: Verdict, outcome: Outcome) -> list[Finding]:
    findings = [*verdict.findings, *outcome.late.get(verdict.path, _NOTHING_LATE).findings]
    if outcome.tracked is not None:
        # Imported late: only a hook asks.
        from waterlint.project.git import keeps

        findings += [
            finding
            for path, finding, _ in verdict.untracked
            if not keeps(outcome.tracked, Path(path))
        ]
    return findings


def _without_known(
    findings: Sequence[Finding], outcome: Outcome, disk: Disk
) -> tuple[Sequence[Finding], Sequence[Finding], frozenset[str]]:
    """What counts, what a baseline knows, and the names of the baselines."""
    baselines = {each.house.baseline: None for each in outcome.verdicts if each.house.baseline}
    if not baselines:
        return findings, (), frozenset()
    # Imported late: most houses have no baseline.
    from waterlint.baseline import NEVER_KNOWN, Scope, apply_baselines

    # Where such a fault stands, rules have not looked at everything.
    faulty = {each.path for each in findings if each.rule in NEVER_KNOWN}
    scope = Scope(
        subjects=_subjects(findings, outcome),
        judged={Path(each.path) for each in outcome.verdicts if each.shown not in faulty},
        used={Path(path) for each in outcome.verdicts for path in each.used},
        off={Path(each.path): each.house.off for each in outcome.verdicts},
        searched={path.parent for path in outcome.searched},
    )
    # What a broken configuration lets through is not what the house means to record.
    sound = not any(
        finding.level == "error" for each in outcome.verdicts for finding in each.house.findings
    )
    update = outcome.update_baseline and sound
    done = apply_baselines(findings, map(Path, baselines), disk, scope, update=update)
    return done.new, done.known, done.baselines


def _subjects(findings: Sequence[Finding], outcome: Outcome) -> dict[Finding, Subject]:
    """What each finding is about, where that is known."""
    from waterlint.baseline import relative_to

    subjects: dict[Finding, Subject] = {}

    def take(told: Sequence[Finding], about: Sequence[Subject | None]) -> None:
        pairs = zip(told, about, strict=False)
        subjects.update({each: subject for each, subject in pairs if subject is not None})

    whole: dict[str, Subject] = {}
    for verdict in outcome.verdicts:
        take(verdict.house.findings, verdict.house.subjects)
        take(verdict.findings, verdict.subjects)
        take([each[1] for each in verdict.untracked], [each[2] for each in verdict.untracked])
        late = outcome.late.get(verdict.path, _NOTHING_LATE)
        take(late.findings, late.subjects)
        if verdict.house.baseline:
            holding = Path(verdict.house.baseline)
            relative = relative_to(Path(verdict.path), holding)
            whole[verdict.shown] = Subject(verdict.house.baseline, relative, "")
    # What was found only now, that an exception excuses nothing, is about the whole document.
    for finding in findings:
        if finding not in subjects and finding.path in whole:
            subjects[finding] = whole[finding.path]
    return subjects
