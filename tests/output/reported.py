"""What the tests of every format report: a fixed outcome, and hostile ones without number.

`python -m tests.output.reported` writes the goldens anew; look at what git shows then.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from hypothesis import strategies as st

from waterlint.finding import FILE_START, Edit, Finding, Fix, Level, Related, Span
from waterlint.output.formats import FORMATS
from waterlint.output.outcome import Outcome
from waterlint.rules.registry import Rule
from waterlint.source.lines import Lines
from waterlint.version import __version__

GOLDEN = Path(__file__).parent / "golden"
SCHEMAS = Path(__file__).parent / "schemas"

TEXTS: Mapping[str, str] = {
    "ales/stout.yaml": (
        "waterlint: recipe/1\n"
        "name: Harbour Bell 🍺 stout\n"
        "water: {mash: {vollume: 12 L}}\n"
        "additions:\n"
        "  - {add: table-salt, kettle: 9 g}\n"
        "  - {add: gypsum, mash: 3 g} # 🍺 see below\n"
    ),
    "waters/leat run.yaml": "waterlint: water/1\nname: Mill leat\nions:\n  sodium: 11 mg/L\n",
    "ales/clean.yaml": "waterlint: recipe/1\n",
    "lagers/broken.yaml": "",
}


def rule_named(name: str, *levels: Level, group: str = "The whole batch") -> Rule:
    """A rule whose documentation has what documentation has."""
    return Rule(
        name=name,
        subject="recipe",
        levels=levels,
        what="Sodium that the kettle brings. Told with `levels: {x: note}` and <angles>.",
        why="Salt is hard to take out again.",
        limits=("sodium at most 100 mg/L — J. Doe, An Invented Book, 1999",),
        configure="`ranges: {sodium: .. 90 mg/L}` in waterlint.yaml.",
        failing=None,
        passing=None,
        check=None,
        group=group,
    )


RULES: Mapping[str, Rule] = {
    rule.name: rule
    for rule in (
        rule_named("kettle-only-excess", "note", "warning"),
        rule_named("unknown-key", "error", group="Around the files"),
        rule_named("unreadable-file", "error", group=""),
    )
}

EXCESS = Finding(
    rule="kettle-only-excess",
    level="warning",
    path="ales/stout.yaml",
    span=Span(5, 31, 5, 34),
    message="sodium of the whole batch is 141 mg/L, above 100 mg/L | 41 % more",
    help="Take 2.5 g at most: `{add: table-salt, kettle: 2.5 g}`.",
    pointer="/additions/0/kettle",
    quantity="sodium",
    vessel="batch",
    value=141.2,
    high=100,
    unit="mg/L",
    basis="J. Doe, An Invented Book <1999>",
    related=(Related("waters/leat run.yaml", Span(4, 11, 4, 18), "the water brings 11 mg/L"),),
)
MISSPELT = Finding(
    rule="unknown-key",
    level="error",
    path="ales/stout.yaml",
    span=Span(3, 16, 3, 23, 62, 69),
    message="`vollume` is no key of `mash`",
    help="Write `volume`.",
    pointer="/water/mash/vollume",
    fix=Fix("write `volume`", (Edit(62, 69, "volume"),)),
)
WIDE = Finding(
    rule="kettle-only-excess",
    level="note",
    path="ales/stout.yaml",
    span=Span(2, 22, 2, 27),
    message="a place behind a character beyond U+FFFF",
    pointer="/name",
)
UNREAD = Finding(
    rule="unreadable-file",
    level="error",
    path="lagers/broken.yaml",
    span=FILE_START,
    message="the file is empty",
)
EXCUSED = replace(
    EXCESS,
    span=Span(6, 25, 6, 28),
    pointer="/additions/1/mash",
    quantity="sulfate",
    message="sulfate is high",
    help="",
    related=(),
    accepted_because="this beer | is meant so",
)


def weight(finding: Finding) -> int:
    """As a run with `--fail-on warning` weighs."""
    return 2 if finding.rule == "unreadable-file" else int(finding.level != "note")


def lines(path: str) -> Lines | None:
    """The lines of the files above."""
    text = TEXTS.get(path)
    return None if text is None else Lines(text)


def outcome(
    findings: tuple[Finding, ...] = (WIDE, MISSPELT, EXCESS, UNREAD),
    accepted: tuple[Finding, ...] = (EXCUSED,),
) -> Outcome:
    """An outcome with these findings."""
    summary = {"files": len(TEXTS), "error": 0, "warning": 0, "note": 0}
    for finding in findings:
        summary[finding.level] += 1
    return Outcome(
        findings=findings,
        accepted=accepted,
        summary={**summary, "accepted": len(accepted), "baseline": 0},
        paths=tuple(sorted(TEXTS)),
        rules=RULES,
        lines=lines,
        weight=weight,
    )


#: The golden of each format that has one, by its name in the folder.
GOLDENS: Mapping[str, str] = {
    "sarif": "report.sarif",
    "github": "report.github.txt",
    "gitlab": "report.gitlab.json",
    "junit": "report.junit.xml",
    "markdown": "report.md",
}


def golden(format: str) -> bytes:
    """The report of the fixed outcome, the version aside."""
    return FORMATS[format](outcome()).replace(f'"{__version__}"', '"VERSION"').encode("utf-8")


def assert_golden(format: str) -> None:
    """Compare a format's report of the fixed outcome with its golden."""
    assert golden(format) == (GOLDEN / GOLDENS[format]).read_bytes()


#: What breaks one format or another, and what may be any character at all.
_HOSTILE = (
    "]]>",
    "::",
    "::error file=x,line=1::y",
    "%0A%25",
    "|",
    "\\|",
    "`a|b`",
    "`",
    "``",
    "\\",
    "\n",
    "\r\n",
    "\x00\x1b[31m",
    "\u2028",
    "\x85",
    "\ud800",
    "\udcff",
    "\ufffe\uffff",
    "\u202e",
    "&amp;<b>&#0;",
    "<!-- -->",
    "{0}{{",
    "](1)",
    "[x](javascript:y)",
    "![x](y)",
    "$x$",
    "__a__ *b* ~~c~~",
    "https://example.org",
    "🍺",
    ".",
    " ",
    ",",
)
_CHARACTER = st.characters(codec=None, exclude_categories=())
HOSTILE = st.lists(st.sampled_from(_HOSTILE) | _CHARACTER, max_size=4).map("".join)
RULE_NAMES = st.sampled_from(
    ("kettle-only-excess", "unknown-key", "unreadable-file", "of-a-plugin")
)
LEVELS: st.SearchStrategy[Level] = st.sampled_from(("note", "warning", "error"))
PATHS = st.one_of(st.sampled_from(sorted(TEXTS)), HOSTILE.filter(lambda path: bool(path)))


@st.composite
def spans(draw: st.DrawFn) -> Span:
    """A place in a text of a few short lines, as the reader makes them."""
    line = draw(st.integers(1, 8))
    column = draw(st.integers(1, 40))
    if draw(st.booleans()):
        return Span(line, column, line, column + draw(st.integers(0, 9)))
    return Span(line, column, line + draw(st.integers(1, 3)), draw(st.integers(1, 40)))


@st.composite
def findings(draw: st.DrawFn, *, accepted: bool = False) -> Finding:
    """A finding whose every text is hostile."""
    edits = st.builds(Edit, st.integers(0, 20), st.integers(20, 40), HOSTILE)
    fixes = st.builds(Fix, HOSTILE, st.lists(edits, max_size=2).map(tuple))
    related = st.lists(st.builds(Related, PATHS, spans(), HOSTILE), max_size=2)
    return Finding(
        rule=draw(RULE_NAMES),
        level=draw(LEVELS),
        path=draw(PATHS),
        span=draw(spans()),
        message=draw(HOSTILE),
        help=draw(HOSTILE),
        pointer=draw(st.sampled_from(("", "/additions/0/mash", "/additions/1/mash"))),
        basis=draw(HOSTILE),
        related=tuple(draw(related)),
        fix=draw(st.none() | fixes),
        accepted_because=draw(HOSTILE) if accepted else None,
    )


@st.composite
def outcomes(draw: st.DrawFn) -> Outcome:
    """An outcome of hostile findings, sorted as a run sorts them."""
    told = draw(st.lists(findings(), max_size=3, unique=True))
    excused = draw(st.lists(findings(accepted=True), max_size=2, unique=True))
    return outcome(
        tuple(sorted(told, key=lambda each: each.order)),
        tuple(sorted(excused, key=lambda each: each.order)),
    )


if __name__ == "__main__":
    for name, file in GOLDENS.items():
        (GOLDEN / file).write_bytes(golden(name))
