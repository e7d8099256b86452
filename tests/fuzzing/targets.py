"""What the fuzzer tries: each target takes any bytes, and raises where something is not as it must.

A target remembers nothing from one call to the next, so that a found input can be tried again.
"""

from __future__ import annotations

import math
import os
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date
from functools import lru_cache
from pathlib import Path
from random import Random

from tests.fuzzing.checks import (
    check_findings,
    check_formats,
    check_predictions,
    check_report,
    check_span,
    require,
)
from tests.fuzzing.mutating import PIECES, seeds
from waterlint.finding import LEVELS, Edit, Finding, Fix, Related, Span
from waterlint.linter import Linter, Options
from waterlint.output.outcome import Outcome
from waterlint.project.baseline import baseline_text, read_baseline
from waterlint.project.files import Disk
from waterlint.remedy.mechanical import mend
from waterlint.rules.registry import all_rules
from waterlint.source.document import SourceFile, read_bytes, read_text, walk
from waterlint.source.lines import Lines
from waterlint.units import KINDS, Quantity, QuantityError, parse, parse_range
from waterlint.units.concentration import SUBSTANCES

_OPTIONS = Options(today=date(2026, 11, 1))
_WELL_TEXT = """\
waterlint: water/1
name: Quarry Lane well
sampled: 2026-03-14
ph: 7.4
ions:
  calcium: 56 ± 2 mg/L
  magnesium: 6 mg/L
  sodium: 11 mg/L
  chloride: 60 mg/L
  sulfate: 61 mg/L
alkalinity: 40 mg/L as CaCO3
"""
_CONFIG_TEXT = """\
waterlint: config/1
ranges: {sodium: .. 90 mg/L}
require: [color, style]
waters:
  moor: {basis: invented, ions: {calcium: 9 mg/L, magnesium: 2 mg/L, sodium: 8 mg/L}}
"""


@contextmanager
def surroundings() -> Iterator[Path]:
    """Work in a folder with a report and a configuration, as every target expects to."""
    before = Path.cwd()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(os.path.realpath(name))
        (folder / ".git").mkdir()
        (folder / "well.yaml").write_text(_WELL_TEXT, encoding="utf-8")
        (folder / "waterlint.yaml").write_text(_CONFIG_TEXT, encoding="utf-8")
        os.chdir(folder)
        try:
            yield folder
        finally:
            os.chdir(before)


def reader(data: bytes) -> None:
    """Bytes to a tree: nothing is raised, each place lies in the text, both parsers agree."""
    source = read_bytes(data, "a.yaml")
    check_source(source)
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError:
        return
    pure = read_text(text, "a.yaml", engine="pure")
    require(outline(source) == outline(pure), "the parsers differ")
    require(source.findings == pure.findings or not source.text, "the parsers' findings differ")


def check_source(source: SourceFile) -> None:
    """Every place of a tree lies in its text."""
    check_findings(source.findings, lambda _: source.lines)
    for document in source.documents:
        for pointer, node in walk(document.root):
            require(document.find(pointer) is node, f"{pointer} leads elsewhere")
            for span in (node.span, node.place, document.span_of(pointer, key=True)):
                check_span(span, source.lines)
        for comment in document.comments:
            line = source.lines.line(comment.line)
            require(line[comment.column - 1 :].rstrip() == comment.text, "a comment is elsewhere")


def outline(source: SourceFile) -> list[tuple[str, str, object]]:
    """A tree as a list of what stands where."""
    return [
        (pointer, type(node).__name__, (node.span, getattr(node, "text", None)))
        for document in source.documents
        for pointer, node in walk(document.root)
    ]


_KINDS = tuple(KINDS)
_SUBSTANCES = (None, *sorted(SUBSTANCES))


def units(data: bytes) -> None:
    """A text as every kind of quantity: finite figures, or an error that helps."""
    if len(data) < 3:
        return
    kind, substance = _KINDS[data[0] % len(_KINDS)], _SUBSTANCES[data[1] % len(_SUBSTANCES)]
    text = _hostile_text(data[2:])
    for read in (parse, parse_range):
        try:
            _check_quantity(read(kind, text, substance))
        except QuantityError as error:
            require(str(error) and error.help, "an error without a word of help")
            guess = error.suggestion
            if guess is not None:
                _check_quantity(read(kind, guess, substance))


def _check_quantity(read: object) -> None:
    figures = [getattr(read, name, None) for name in ("value", "sd", "resolution", "low", "high")]
    require(all(figure is None or math.isfinite(figure) for figure in figures), f"{read}")
    if isinstance(read, Quantity):
        require(read.sd is None or read.sd >= 0.0, f"{read}")


def linter(data: bytes) -> None:
    """A recipe, a report or a configuration, linted and predicted, in every format."""
    path = Path("a.yaml")
    run = Linter(_OPTIONS)
    report = run.lint_bytes(data, path)
    written = data.decode("utf-8", "replace") + _WELL_TEXT
    check_report(report, run, written, deep=len(data) % 32 == 0)
    check_predictions(run.predictions(path), written)


def config(data: bytes) -> None:
    """A configuration in use: whatever it says, a recipe is judged by what is left of it."""
    Path("waterlint.yaml").write_bytes(data)
    try:
        run = Linter(_OPTIONS)
        report = run.lint_text(_sample(), Path("a.yaml"))
        run.configs.describe(Path("a.yaml"))
        check_report(report, run, data.decode("utf-8", "replace"), deep=False)
        check_predictions(run.predictions(Path("a.yaml")), data.decode("utf-8", "replace"))
    finally:
        Path("waterlint.yaml").write_text(_CONFIG_TEXT, encoding="utf-8")


@lru_cache(maxsize=1)
def _sample() -> str:
    return next(text for text in seeds() if "waterlint: recipe/1" in text and "sparge:" in text)


def fix(data: bytes) -> None:
    """Mending: what was mended is gone, what is left mends no further, nothing else is touched."""
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError:
        return
    path = Path("a.yaml")
    once = mend(text, path, _OPTIONS)
    check_report(once.report, once.linter, text, deep=False)
    if not once.applied:
        require(once.after == text, "nothing is mended, and yet the text is another one")
        return
    again = mend(once.after, path, _OPTIONS)
    require(len(again.applied) < len(once.applied) or not again.applied, "mending never ends")


def baseline(data: bytes) -> None:
    """A baseline: read or refused at a place, and written back the same."""
    path = Path.cwd() / "known.json"
    path.write_bytes(data)
    disk = Disk()
    read = read_baseline(path, disk)
    lines = disk.lines_shown_as("known.json") or Lines("")
    check_findings(read.findings, lambda _: lines)
    for entry in read.entries:
        check_span(entry.span, lines)
    path.write_text(baseline_text(read.entries), encoding="ascii")
    again = read_baseline(path, Disk())
    require(sorted(map(repr, _plain(again))) == sorted(map(repr, _plain(read))), "not the same")


def _plain(read: object) -> list[object]:
    return [(*entry.subject, entry.level, entry.count) for entry in getattr(read, "entries", ())]


def outputs(data: bytes) -> None:
    """Findings of hostile texts at any place, in every format."""
    random = Random(data[:8])
    text = _hostile_text(data[8:])
    lines = Lines(text)
    told = tuple(sorted((_finding(text, lines, random) for _ in range(3)), key=lambda f: f.order))
    summary = {"files": 1, "error": 0, "warning": 0, "note": 0, "accepted": 1, "baseline": 1}
    for finding in told:
        summary[finding.level] += 1
    rules = all_rules()
    outcome = Outcome(
        findings=told,
        accepted=told[:1],
        known=told[1:2],
        summary=summary,
        paths=("a.yaml",),
        rules={name: rules[name] for name in ("batch-sodium", "mash-ph")},
        lines=lambda path: lines if path == "a.yaml" else None,
        weight=lambda finding: int(finding.level != "note"),
        width=random.choice((1, 40, 100)),
        color=bool(random.getrandbits(1)),
    )
    check_formats(outcome, "nan inf infinity", deep=len(data) % 32 == 0)


def _hostile_text(data: bytes) -> str:
    """Any characters, half ones and those that stand for bytes included."""
    try:
        return data.decode("utf-8", "surrogatepass")
    except UnicodeDecodeError:
        return data.decode("utf-8", "surrogateescape")


def _finding(text: str, lines: Lines, random: Random) -> Finding:
    def some() -> str:
        start = random.randint(0, len(text))
        return text[start : start + random.randrange(30)] + random.choice((*PIECES, ""))

    start = random.randint(0, len(text))
    span = lines.span(start, random.randint(start, min(len(text), start + 80)))
    path = random.choice(("a.yaml", some() or "b.yaml"))
    return Finding(
        rule=random.choice(("batch-sodium", "mash-ph", "of-a-plugin")),
        level=random.choice(LEVELS),
        path=path,
        span=span if path == "a.yaml" else Span(1, 1, 1, 1),
        message=some() or "x",
        help=some(),
        pointer=random.choice(("", "/additions/0/mash", f"/{some()}")),
        basis=some(),
        related=(Related(path, span, some()),) if random.getrandbits(1) else (),
        fix=Fix(some(), (Edit(span.start, span.end, some()),)) if random.getrandbits(1) else None,
        accepted_because=some(),
    )


TARGETS: dict[str, Callable[[bytes], None]] = {
    "reader": reader,
    "units": units,
    "linter": linter,
    "config": config,
    "fix": fix,
    "baseline": baseline,
    "outputs": outputs,
}
