"""The baseline: what was found when a collection came under the linter, kept in a JSON file.

A line of the file is one entry. Entries are sorted and say what a finding is about instead of
where it stands, so that the file changes only when the findings do, and merges well.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator, Mapping

from waterlint.finding import FILE_START, Finding, Level, Span
from waterlint.hints import get_args
from waterlint.paths import Path
from waterlint.project.files import Disk, ReadProblem
from waterlint.project.write import write_whole
from waterlint.records import Record, field
from waterlint.source.lines import Lines

VERSION = "baseline/1"

#: The longest baseline that is read [bytes]: the project's own bound, some 100,000 entries.
MAX_BYTES = 16 * 1024 * 1024

_LEVELS: tuple[Level, ...] = get_args(Level)
_SPACE = re.compile(r"[ \t\r\n]*")
#: The rule of an entry. No text of the entry is taken for it: in one, a quote follows a backslash.
_RULE = re.compile(r'(?<!\\)"rule"[ \t\r\n]*:[ \t\r\n]*("(?:[^"\\]|\\.)*")')
_AGAIN = "Take the file away and write it anew with `waterlint check --update-baseline`."


class Known(Record):
    """Findings that are known: so many about the same thing, up to a level.

    `path` is relative to the baseline's folder. `pointer` leads to what the findings are about,
    with the name of a list's item in place of its position. `span` is that of the rule's name.
    """

    path: str
    document: int
    pointer: str
    rule: str
    quantity: str
    vessel: str
    level: Level
    count: int = 1
    span: Span = field(default=FILE_START, compare=False)

    @property
    def subject(self) -> tuple[str, int, str, str, str, str]:
        """What the findings are about."""
        return (self.path, self.document, self.pointer, self.rule, self.quantity, self.vessel)


class Baseline(Record):
    """A baseline as far as it could be read; `data` is `None` where there is no file."""

    path: Path
    shown: str
    entries: tuple[Known, ...] = ()
    findings: tuple[Finding, ...] = ()
    data: bytes | None = None


class _Broken(Exception):
    """What is wrong with a baseline, between two offsets of its text."""

    def __init__(self, message: str, start: int = 0, end: int = 0) -> None:
        super().__init__(message)
        self.message, self.start, self.end = message, start, end


def read_baseline(path: Path, disk: Disk) -> Baseline:
    """Read a baseline; a file that is not there is an empty one, a broken one is told.

    Of a broken baseline no entry holds: half a baseline would show old findings as new ones.
    """
    shown = disk.shown(path)
    data = disk.bytes_of(path, MAX_BYTES)
    if isinstance(data, ReadProblem):
        return Baseline(path, shown, findings=() if data.missing else (data.finding(),))
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError:
        told = Finding(
            "unreadable-file", "error", shown, FILE_START, "the baseline is no UTF-8", _AGAIN
        )
        return Baseline(path, shown, findings=(told,), data=data)
    lines = Lines(text)
    disk.keep_lines(path, lines)
    try:
        entries = tuple(_entries(text, lines))
    except _Broken as broken:
        span = lines.span(broken.start, broken.end)
        told = Finding("bad-value", "error", shown, span, broken.message, _AGAIN)
        return Baseline(path, shown, findings=(told,), data=data)
    return Baseline(path, shown, entries, data=data)


def write_baseline(baseline: Baseline, entries: Iterable[Known]) -> Finding | None:
    """Put other entries in place of a baseline's own; a finding tells when that fails."""
    data = baseline_text(entries).encode("ascii")
    if data == baseline.data:
        return None
    try:
        write_whole(baseline.path, data, expected=baseline.data)
    except OSError as error:
        return Finding(
            "unreadable-file",
            "error",
            baseline.shown,
            FILE_START,
            f"the baseline cannot be written: {error.strerror}",
            "Check the folder and who may write there.",
        )
    return None


def baseline_text(entries: Iterable[Known]) -> str:
    """The text of a baseline with these entries; the same entries give the same bytes."""
    ordered = sorted(entries, key=lambda entry: (*entry.subject, entry.level))
    lines = ",\n".join(f"  {json.dumps(_as_data(entry))}" for entry in ordered)
    return f'{{"waterlint": "{VERSION}", "findings": [\n{lines}{chr(10) if lines else ""}]}}\n'


def _as_data(entry: Known) -> dict[str, object]:
    data: dict[str, object] = {
        "path": entry.path,
        "rule": entry.rule,
        "level": entry.level,
        "pointer": entry.pointer,
    }
    optional = {
        "document": entry.document,
        "quantity": entry.quantity,
        "vessel": entry.vessel,
        "count": entry.count if entry.count > 1 else 0,
    }
    return data | {key: value for key, value in optional.items() if value}


def _entries(text: str, lines: Lines) -> Iterator[Known]:
    seen: set[tuple[object, ...]] = set()
    for data, start, end in _items(text):
        rule = _RULE.search(text, start, end)
        place = (start, end) if rule is None else rule.span(1)
        entry = _known(data, start, end, lines.span(*place))
        key = (*entry.subject, entry.level)
        if key in seen:
            raise _Broken("the entry stands twice in the baseline", start, end)
        seen.add(key)
        yield entry


def _known(data: object, start: int, end: int, span: Span) -> Known:
    def broken(what: str) -> _Broken:
        return _Broken(f"the entry of the baseline {what}", start, end)

    def text(key: str, default: str | None = None) -> str:
        value = entry.get(key, default)
        if value is None:
            raise broken(f"does not say its {key}")
        if not isinstance(value, str):
            raise broken(f"has a {key} that is no text")
        return value

    def number(key: str, least: int) -> int:
        value = entry.get(key, least)
        if not isinstance(value, int) or isinstance(value, bool) or value < least:
            raise broken(f"has a {key} that is no whole number from {least} on")
        return value

    if not isinstance(data, Mapping):
        raise broken("is no object in braces")
    entry: Mapping[str, object] = data
    unknown = sorted(set(entry) - _KEYS)
    if unknown:
        raise broken(f"has a key {unknown[0]!r} that is not known")
    written = text("level")
    level = next((each for each in _LEVELS if each == written), None)
    if level is None:
        raise broken(f"has {written!r} as its level, which is none")
    return Known(
        text("path"),
        number("document", 0),
        text("pointer"),
        text("rule"),
        text("quantity", ""),
        text("vessel", ""),
        level,
        number("count", 1),
        span,
    )


_KEYS = {"path", "rule", "level", "pointer", "document", "quantity", "vessel", "count"}


def _items(text: str) -> Iterator[tuple[object, int, int]]:
    """Each item of the list of findings with its offsets."""
    whole = _loaded(text)
    if not isinstance(whole, Mapping) or whole.get("waterlint") != VERSION:
        raise _Broken(f'the file is no baseline: it does not say "waterlint": "{VERSION}"')
    if set(whole) != {"waterlint", "findings"} or not isinstance(whole["findings"], list):
        raise _Broken('the baseline holds something else than "waterlint" and a list "findings"')
    # It is valid, so the way to the items' places is plain: keys, colons, values, commas.
    decoder = json.JSONDecoder()
    place = _after_space(text, 0) + 1
    while True:
        key, place = decoder.raw_decode(text, _after_space(text, place))
        place = _after_space(text, _after_space(text, place) + 1)
        if key == "findings":
            break
        _, place = decoder.raw_decode(text, place)
        place = _after_space(text, place) + 1
    for _ in whole["findings"]:
        start = _after_space(text, place + 1)
        item, place = decoder.raw_decode(text, start)
        yield item, start, place
        place = _after_space(text, place)


def _loaded(text: str) -> object:
    try:
        whole: object = json.loads(text, object_pairs_hook=_object)
    except json.JSONDecodeError as error:
        raise _Broken("the baseline is no JSON", error.pos, error.pos) from None
    except RecursionError:
        raise _Broken("the baseline is nested too deeply") from None
    except ValueError:
        raise _Broken("the baseline holds a number with too many digits") from None
    return whole


def _object(pairs: list[tuple[str, object]]) -> dict[str, object]:
    data = dict(pairs)
    if len(data) < len(pairs):
        raise _Broken("the baseline has a key that stands twice in one object")
    return data


def _after_space(text: str, place: int) -> int:
    match = _SPACE.match(text, place)
    return place if match is None else match.end()
