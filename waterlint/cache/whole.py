"""The outcome of a whole call, kept: while nothing that it hangs on changes, it is given out again.

It hangs on what the verdicts in it hang on: which files a search finds and what each holds, the
answers of all probes, and the day. So a later run reads every file and asks every probe, as ever,
but puts nothing together.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterable, Mapping

from waterlint.cache.lines import Held, KnownLines
from waterlint.cache.plain import of_finding, to_finding
from waterlint.cache.quick import Quick
from waterlint.days import date
from waterlint.hints import TYPE_CHECKING, Any
from waterlint.paths import Path
from waterlint.project.cache_folder import CacheFile
from waterlint.project.files import Disk
from waterlint.project.probes import NEVER, answer, digest
from waterlint.project.quick_search import Content, NotPlain, quick_search
from waterlint.records import Record
from waterlint.report import Options, Report

if TYPE_CHECKING:
    from waterlint.cache.recalling import Recalled

#: Changes when the layout of the data does.
_LAYOUT = 1

#: From so many files on the outcome is kept; fewer are put together in no time. The project's own
#: bound.
LEAST_FILES = 50


class _Known(Record):
    """What a search may leave out, as long as all else is the same."""

    left_out: frozenset[str]
    others: Mapping[str, str]

    def is_excluded(self, path: str) -> bool:
        """Whether a search leaves out a file or folder."""
        return path in self.left_out

    def is_other(self, path: str, content: str) -> bool:
        """Whether a file with this content is known to be none of waterlint's."""
        return self.others.get(path) == content


def whole_run(paths: list[Path], options: Options, disk: Disk, file: CacheFile) -> Quick | None:
    """The outcome of a call, if it is kept and holds; `None` where not."""
    content = file.whole.read()
    if content is None:
        return None
    try:
        return _outcome(json.loads(content), paths, options, disk)
    except (NotPlain, ValueError, TypeError, KeyError, IndexError, AttributeError, RecursionError):
        return None


def _outcome(data: Any, paths: list[Path], options: Options, disk: Disk) -> Quick | None:
    first, last = data["days"]
    today = (options.today or date.today()).isoformat()
    if data["layout"] != _LAYOUT or data["call"] != _call(paths) or not first <= today <= last:
        return None
    known = _Known(frozenset(data["left_out"]), data["others"])
    lines = KnownLines(disk, lambda _: {shown: tuple(held) for shown, held in data["told"].items()})
    told = {path: shown for shown, (path, _) in data["told"].items()}
    found: list[Content] = []
    for each in quick_search(paths, known, disk.working_directory, options.allow_roots):
        if each.path in told:
            found.append(lines.take(told[each.path], each, True))
        else:
            found.append(each)
    if _digest(found) != data["found"]:
        return None
    if any(answer((kind, path)) != value for kind, path, value in data["probes"]):
        return None
    findings, accepted, files, known_before, config_paths, shown = data["report"]
    report = Report(
        tuple(map(to_finding, findings)),
        tuple(map(to_finding, accepted)),
        files,
        tuple(map(to_finding, known_before)),
        frozenset(config_paths),
        tuple(shown),
    )
    return Quick(report, lines.of)


def _call(paths: Iterable[Path]) -> list[str]:
    return [os.fspath(path) for path in paths]


def _digest(found: Iterable[Content]) -> str:
    """The name of all files with what they hold."""
    told = sorted([f"{each.named} {each.digest} {each.path}" for each in found])
    return digest("\0".join(told).encode("utf-8", "surrogatepass"))


def keep(file: CacheFile, paths: list[Path], recalled: Recalled) -> None:
    """Keep the outcome of a call for later ones."""
    report, store = recalled.quick.report, recalled.store
    left_out = [
        path for path, (told, number) in store.asked.items() if told and store.holds(number)
    ]
    baselines = {
        verdict.house.baseline: store.answers["bytes", verdict.house.baseline]
        for verdict in recalled.verdicts
        if verdict.house.baseline is not None
    }
    # What is said of a baseline that cannot be read hangs on more than its content.
    is_doubtful = NEVER in store.answers or any(value[0] == "!" for value in baselines.values())
    if len(recalled.found) < LEAST_FILES or is_doubtful:
        return
    found = {content.path for content in recalled.found}
    data = {
        "layout": _LAYOUT,
        "call": _call(paths),
        "days": _days(recalled),
        "found": _digest(recalled.found),
        "left_out": left_out,
        "others": store.others,
        "probes": [
            (kind, path, value)
            for (kind, path), value in store.answers.items()
            if kind != "bytes" or path not in found
        ],
        "told": _told(recalled, baselines),
        "report": [
            list(map(of_finding, report.findings)),
            list(map(of_finding, report.accepted)),
            report.files,
            list(map(of_finding, report.known)),
            sorted(report.config_paths),
            report.paths,
        ],
    }
    try:
        file.whole.write(json.dumps(data, separators=(",", ":")).encode())
    except (TypeError, ValueError):
        return  # a rule of another package has put something odd into a finding


def _days(recalled: Recalled) -> tuple[str, str]:
    """The first and the last day on which the same is found."""
    first, last = "", "9999-12-31"
    for verdict in recalled.verdicts:
        users = recalled.users.get(verdict.path, ())
        if verdict.late is None or (not users and verdict.late.quiet_until):
            continue
        if verdict.late.is_quiet(recalled.today, users):
            first = max(first, verdict.late.quiet_from)
            last = min(last, verdict.late.quiet_until)
        else:
            first, last = max(first, recalled.today), min(last, recalled.today)
    return first, last


def _told(recalled: Recalled, baselines: Mapping[str, str]) -> dict[str, Held]:
    """Where the files are that findings speak of, and what they held, by their shown names."""
    report, lines = recalled.quick.report, recalled.lines
    told: dict[str, Held] = {
        lines.disk.shown(path): (path, held) for path, held in baselines.items()
    }
    for finding in (*report.findings, *report.accepted, *report.known):
        for shown in (finding.path, *(related.path for related in finding.related)):
            held = None if shown in told else lines.held(shown)
            if held is not None:
                told[shown] = held
    return told
