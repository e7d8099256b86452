"""What a run is asked for, and its outcome."""

from __future__ import annotations

from collections.abc import Mapping

from waterlint.days import date
from waterlint.finding import LEVELS, Finding, Level
from waterlint.hints import TYPE_CHECKING
from waterlint.paths import Path
from waterlint.records import Record, field

if TYPE_CHECKING:
    from waterlint.project.config import LevelOrOff

#: Rules whose findings mean that something could not be read or computed: exit status 2.
BROKEN = frozenset({"unreadable-file", "rule-crashed"})


class Options(Record):
    """What the caller of the linter decides.

    `today` is the date against which ages are judged; `levels` replace those of every
    configuration; `config` is used for all files instead of the nearest `waterlint.yaml`;
    files outside the project root are read only below `allow_roots`. `tracked` holds every file
    that git keeps, where a hook has asked it. `baseline` is used for all files instead of those
    that configurations name; `update_baseline` writes the baselines anew. `stand_ins` gives, by
    path, the file that is read in a file's place.
    """

    today: date | None = None
    levels: Mapping[str, LevelOrOff] = field(default_factory=dict)
    config: Path | None = None
    allow_roots: tuple[Path, ...] = ()
    tracked: frozenset[Path] | None = None
    baseline: Path | None = None
    update_baseline: bool = False
    stand_ins: Mapping[Path, Path] = field(default_factory=dict)


class Report(Record):
    """The outcome of a run, sorted.

    `findings` count; `accepted` are those that an exception in the file excuses, each with its
    reason; `known` are those that a baseline holds. `config_paths` are the configurations and
    baselines in use, whose faults weigh as a wrong call. `paths` names the files that were
    checked, as findings name them.
    """

    findings: tuple[Finding, ...]
    accepted: tuple[Finding, ...] = ()
    files: int = 0
    known: tuple[Finding, ...] = ()
    config_paths: frozenset[str] = frozenset()
    paths: tuple[str, ...] = ()

    def summary(self) -> dict[str, int]:
        """Counts by level, as the JSON report shows them."""
        counts: dict[str, int] = dict.fromkeys(reversed(LEVELS), 0)
        for finding in self.findings:
            counts[finding.level] += 1
        return {
            "files": self.files,
            **counts,
            "accepted": len(self.accepted),
            "baseline": len(self.known),
        }

    def exit_status(self, fail_on: Level | None) -> int:
        """0 clean, 1 a finding at or above `fail_on`, 2 something is broken beyond judging."""
        return max((self.weight(finding, fail_on) for finding in self.findings), default=0)

    def weight(self, finding: Finding, fail_on: Level | None) -> int:
        """The exit status that one finding asks for by itself."""
        if finding.rule in BROKEN:
            return 2
        if finding.path in self.config_paths and finding.level == "error":
            return 2
        return int(fail_on is not None and LEVELS.index(finding.level) >= LEVELS.index(fail_on))
