"""Faults of a file: whether it can be read, and whether it says what a recipe or report must.

They are found by the rooms that read, and around them; what stands here is their documentation.
"""

from __future__ import annotations

from waterlint.finding import Level
from waterlint.rules.registry import Example, Rule, add
from waterlint.rules.samples import recipe, recipe_example

#: Where what a file may say comes from.
FORMAT = "the format of waterlint files, version 1"
_NOT_CONFIGURABLE = "it cannot be switched off, since what is not read is not checked."


def _entry(
    name: str,
    *,
    what: str,
    why: str,
    limits: tuple[str, ...] = (),
    configure: str = _NOT_CONFIGURABLE,
    failing: Example | None = None,
    passing: Example | None = None,
    level: Level = "error",
    group: str = "The file",
    excusable: bool = False,
) -> None:
    add(
        Rule(
            name=name,
            subject="file",
            levels=(level,),
            what=what,
            why=why,
            limits=limits,
            configure=configure,
            failing=failing,
            passing=passing,
            check=None,
            group=group,
            excusable=excusable,
        )
    )


_entry(
    "unreadable-file",
    what=(
        "A file that cannot be opened, is no UTF-8, or is too large. Exit status 2: what could "
        "not be read was not checked."
    ),
    why=(
        "A check that passes because it saw nothing is worse than none. Bytes that are no UTF-8 "
        "mean other letters to other programs."
    ),
    limits=("size: 1 MiB — the project's own bound; a recipe has a few kilobytes",),
)

_entry(
    "invalid-yaml",
    what=(
        "A text that is no YAML 1.2, or uses what these files do without: tags, directives, "
        "keys that are no plain text, and characters that YAML readers take differently."
    ),
    why=(
        "Where two readers of YAML disagree, the brewer sees one recipe and the check another. "
        "What is left out here has no use in a recipe."
    ),
    limits=(
        "refused: U+0085, U+2028, U+2029, control characters, a tab after a colon — readers "
        f"were seen to differ on them; {FORMAT}",
    ),
    failing=Example(recipe('name: "Plover pale ale')),
    passing=recipe_example('name: "Plover pale ale"'),
)

_entry(
    "not-a-waterlint-file",
    what=(
        "A file named in the call, or a document of a file of ours, whose first key is not "
        "`waterlint:`. A YAML file found by searching a folder is passed over without a word "
        "instead."
    ),
    why="A file that was meant to be checked and is not one of ours is a slip in the call.",
    limits=(f"first key `waterlint:` — {FORMAT}",),
    configure="Name only recipes and reports, or keep files out with `exclude`.",
    failing=Example(recipe(without=["waterlint"])),
    passing=recipe_example(),
)

_entry(
    "duplicate-key",
    what="A key that stands twice in one mapping.",
    why=(
        "YAML forbids it and most readers take the last without a word: two doses under one key "
        "are one dose in the kettle."
    ),
    limits=("once — the YAML 1.2 specification: keys of a mapping are unique",),
    failing=Example(recipe("style: american-pale-ale\nstyle: american-ipa")),
    passing=recipe_example("style: american-pale-ale"),
)

_entry(
    "merge-key",
    what="A merge key (`<<`), which belongs to YAML 1.1.",
    why=(
        "YAML 1.2 knows no merge key. Some readers merge, others keep a key named `<<`, and "
        "which of two values wins differs as well."
    ),
    limits=(f"none — {FORMAT}",),
    configure="Write the values out, or share a whole value with an anchor and an alias.",
    failing=Example(
        recipe(
            "water:",
            "  mash: &tap {volume: 15 L, from: distilled}",
            "  sparge: {<<: *tap, volume: 13.5 L}",
        )
    ),
    passing=recipe_example(
        "water:",
        "  mash: {volume: 15 L, from: &tap ./well.yaml}",
        "  sparge: {volume: 13.5 L, from: *tap}",
    ),
)

_entry(
    "expansion-limit",
    what="A document that is too deep, or whose aliases unfold to too many values.",
    why=(
        "A few lines of nested aliases can stand for more values than a machine can hold; files "
        "that arrive with a change request must not be able to stop a check."
    ),
    limits=(
        "depth: 100 — the project's own bound",
        "unfolded values: 10,000 — the project's own bound; a long recipe has some hundreds",
    ),
    failing=Example(
        recipe(
            "notes:\n"
            "  - &a [x, x, x, x, x, x, x, x, x, x]\n"
            "  - &b [*a, *a, *a, *a, *a, *a, *a, *a, *a, *a]\n"
            "  - &c [*b, *b, *b, *b, *b, *b, *b, *b, *b, *b]\n"
            "  - [*c, *c, *c, *c, *c, *c, *c, *c, *c, *c, *c]"
        )
    ),
    passing=recipe_example(),
)

_entry(
    "unknown-key",
    what="A key that the format does not know, with the nearest one that it does.",
    why=(
        "A misspelt key is passed over by every reader that does not look for it: the sparge "
        "water's acid is then simply not there."
    ),
    limits=(f"the known keys — {FORMAT}",),
    configure="Free text belongs under `notes`.",
    failing=Example(
        recipe("batch: {volume: 20 L, evaporaton: 3 L, losses: 1 L}"),
    ),
    passing=recipe_example("batch: {volume: 20 L, evaporation: 3 L, losses: 1 L}"),
)

_entry(
    "wrong-type",
    what="A list where a single value belongs, a mapping where a list belongs, and so on.",
    why="What has the wrong shape cannot be read as what it was meant to be.",
    limits=(f"the shape of each key — {FORMAT}",),
    failing=Example(recipe("batch: 20 L")),
    passing=recipe_example(),
)

_entry(
    "bad-value",
    what="A word that is none of those a key takes, or a value outside what can be.",
    why="A malt kind or a treatment that is not known cannot be counted.",
    limits=(f"the words of each key — {FORMAT}",),
    failing=Example(
        recipe("  - {malt: pale malt, kind: pail, mass: 4.2 kg, color: 6 EBC}"),
    ),
    passing=recipe_example("  - {malt: pale malt, kind: pale, mass: 4.2 kg, color: 6 EBC}"),
)

_entry(
    "bad-quantity",
    what=(
        "A quantity that cannot be read: a bare number where a unit is needed, a unit of another "
        "kind, a decimal comma, a sign, an exponent, a spoon."
    ),
    why=(
        "A number without its unit is the oldest fault in the trade: grams taken for ounces, "
        "US gallons for imperial ones. A spoon is no measure of a salt, whose grain decides how "
        "much goes on it."
    ),
    limits=(f"numbers and units — {FORMAT}",),
    failing=Example(recipe("batch: {volume: 20, evaporation: 3 L, losses: 1 L}")),
    passing=recipe_example("batch: {volume: 20 L, evaporation: 3 L, losses: 1 L}"),
)

_entry(
    "unused-exception",
    what="A comment `# waterlint: accept …` that excuses nothing.",
    why="An exception that is left behind hides the next fault of its kind.",
    limits=("at least one finding for each rule named — the format's rule on exceptions",),
    configure="Take the comment out, or `levels: {unused-exception: off}`.",
    failing=Example(
        "# waterlint: accept batch-sodium because nobody remembers\n" + recipe(),
        recipe_example().files,
    ),
    passing=recipe_example(),
    level="warning",
    group="Around the files",
)

_entry(
    "malformed-exception",
    what=(
        "A comment that begins like an exception and is none: no reason, a rule that is not "
        "known, or one that is never excused."
    ),
    why="Whoever wrote it believes a finding to be dealt with.",
    limits=("`# waterlint: accept RULE[, RULE] because REASON` — the format's rule",),
    configure="Complete the comment or take it out.",
    failing=Example("# waterlint: accept batch-sodium\n" + recipe(), recipe_example().files),
    passing=recipe_example(),
    group="Around the files",
)

_entry(
    "stale-baseline",
    what=(
        "An entry of the baseline file that no finding matches any more, or whose file is not "
        "found where a folder is searched for it."
    ),
    why="A baseline is a debt that is paid off; an entry left behind covers a new fault.",
    limits=("every entry matches a finding — how a baseline is meant",),
    configure="Write it anew with `waterlint check --update-baseline`.",
    level="warning",
    group="Around the files",
)

_entry(
    "rule-crashed",
    what=(
        "A rule that failed on a file. The others still run, and the exit status is 2: one "
        "check was not made."
    ),
    why="A check that was not made must not look like one that passed.",
    limits=("never — a rule answers for every file that can be read",),
    configure=(
        "Report it with the file that brings it about, and switch the rule off until it is "
        "mended: `levels: {RULE: off}`."
    ),
    group="Around the files",
)
