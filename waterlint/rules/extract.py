"""Malt extract: what it brings of the water it was made with, and no figure counts."""

from __future__ import annotations

from collections.abc import Iterator

from waterlint.catalog import limits
from waterlint.finding import Finding
from waterlint.prediction.result import WaterFigures
from waterlint.rules.figures import (
    extract_and_grain,
    is_mostly_extract,
    is_ratio_meaningless,
    water_of,
)
from waterlint.rules.registry import Case, Example, rule
from waterlint.rules.samples import recipe
from waterlint.rules.wording import listed, number

#: What the message tells of the batch; an extract brings something of each.
_TOLD = ("calcium", "sodium", "chloride", "sulfate")

_BASIS = "common practice"


def _example(additions: str) -> Example:
    """An extract beer; it needs no report beside it."""
    return Example(
        recipe(
            "water:\n"
            "  kettle:    {volume: 12 L, from: reverse-osmosis}\n"
            "  fermenter: {volume: 12 L, from: reverse-osmosis}",
            "grist:\n  - {malt: pale extract, kind: extract, mass: 2.8 kg, color: 8 EBC}",
            additions,
            without=("mash", "sparge", "- {malt"),
        )
    )


@rule(
    "extract-minerals",
    subject="recipe",
    levels=("note",),
    group="The whole batch",
    what=(
        "A recipe with more malt extract than grain: its figures count water and additions "
        "only. It is silent where chloride and sulfate are both too little for their ratio to be "
        "judged, and where extract only adds to a mash of grain. Of too little calcium in such a "
        "batch, and of the ratio of chloride to sulfate, nothing is said but by a target or the "
        "house's range: extract brings some of each."
    ),
    why=(
        "The maker dries or boils down a wort made with a water of his own, and its sodium, "
        "calcium, chloride and the rest stay in the extract. Nobody states them, so that salts "
        "weighed out to reach a figure come on top of what is there already."
    ),
    limits=(
        f"extract outweighs the grain of the grist, else nothing is said — {_BASIS}",
        limits.RATIO_MEANINGLESS.line,
    ),
    configure=(
        "`levels: {extract-minerals: off}` in waterlint.yaml, or an exception with its reason at "
        "the extract's line, once the maker's analysis is known."
    ),
    failing=_example("additions: [{add: gypsum, kettle: 4 g}]"),
    passing=_example("additions: [{add: gypsum, kettle: 1 g}]"),
)
def extract_minerals(case: Case) -> Iterator[Finding]:
    """The first extract of a grist that is extract for the most part."""
    water = water_of(case.prediction, "batch")
    if water is None or not is_mostly_extract(case) or is_ratio_meaningless(case):
        return
    extracts, _ = extract_and_grain(case)
    extract = sum(malt.mass.value for malt in extracts)
    figures = listed([f"{number(water.ions[ion].value)} mg/L of {ion}" for ion in _TOLD])
    yield case.finding(
        "extract-minerals",
        "note",
        extracts[0].pointer,
        f"the whole batch's {figures} are those of water and additions only; "
        f"{number(extract / 1000.0)} kg of malt extract bring more of each, from the water it "
        "was made with, and nobody states how much",
        help=_advice(water),
        basis=_BASIS,
    )


def _advice(water: WaterFigures) -> str:
    """What to do; who brews with a water of few minerals already is not sent for one."""
    rest = (
        "ask the extract's maker for an analysis, and add salts by taste rather than to reach "
        "a figure."
    )
    if all(_of_waters(water, ion) < limits.RATIO_MEANINGLESS.floor for ion in _TOLD):
        return f"Keep to this water, which holds few minerals; {rest}"
    return f"Brew with a low-mineral water such as reverse-osmosis, {rest}"


def _of_waters(water: WaterFigures, ion: str) -> float:
    """What the waters themselves bring of an ion [mg/L of the batch water]."""
    return sum(
        each.amount
        for each in water.contributions.get(ion, ())
        if not each.origin.startswith("/additions/")
    )
