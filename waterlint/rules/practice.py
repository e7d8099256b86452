"""Doses that lead beyond what brewers do at all: to where an ion is tasted as a fault or felt."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType

from waterlint.catalog import limits
from waterlint.catalog.limit import Limit
from waterlint.finding import Finding
from waterlint.hints import Final
from waterlint.model.recipe import Addition, Dose
from waterlint.records import dataclass
from waterlint.rules.doubt import is_doubtful
from waterlint.rules.figures import figure_of, style_of
from waterlint.rules.limit_lines import lines
from waterlint.rules.range_findings import beyond
from waterlint.rules.ranges import Bound, Verdict
from waterlint.rules.registry import Case, once, rule
from waterlint.rules.samples import recipe_example
from waterlint.rules.wording import number

_LIMITS: Final[Mapping[str, Limit]] = MappingProxyType(
    {
        "magnesium": limits.PRACTICE_MAGNESIUM,
        "sulfate": limits.PRACTICE_SULFATE,
        "sodium": limits.PRACTICE_SODIUM,
        "lactate": limits.PRACTICE_LACTATE,
    }
)


@dataclass(frozen=True, slots=True)
class PracticeExcess:
    """An ion beyond practice because of doses, and the dose that brings most of it.

    Attributes
    ----------
    verdict : Verdict
    bound : Bound
    addition, dose : Addition, Dose
    brought : float
        What that dose brings [mg/L of the batch].
    """

    verdict: Verdict
    bound: Bound
    addition: Addition
    dose: Dose
    brought: float


@once
def practice_excess(case: Case, ion: str) -> PracticeExcess | None:
    """The doses' part in an ion beyond practice; `None` where there is none.

    A water that is beyond by itself is no dose's fault.
    """
    limit = _LIMITS.get(ion)
    figure = figure_of(case.prediction, ion, "batch")
    if limit is None or figure is None or figure.value <= limit.ceiling:
        return None
    if _is_wanted(case, ion) or is_doubtful(case, ion, "batch"):
        return None
    assert case.recipe is not None and case.prediction is not None
    bound = Bound("high", limit.level, limit.ceiling, "general", limit.basis)
    water = case.prediction.batch_water
    brought = {
        each.origin: each.amount
        for each in (() if water is None else water.contributions.get(ion, ()))
        if each.origin.startswith("/additions/")
    }
    doses = [
        (brought[dose.pointer], addition, dose)
        for addition in case.recipe.additions
        for dose in addition.doses
        if dose.pointer in brought
    ]
    rest = figure.value - sum(brought.values())
    if not doses or not bound.is_broken_by(figure.value) or bound.is_broken_by(rest):
        return None
    most, addition, dose = max(doses, key=lambda each: each[0])
    return PracticeExcess(Verdict(ion, "batch", figure, (bound,)), bound, addition, dose, most)


def _is_wanted(case: Case, ion: str) -> bool:
    """Whether the style is made of it: the salt of a gose, the acid of a sour beer."""
    style = style_of(case)
    if style is None:
        return False
    return ion in style.unchecked or (ion == "lactate" and style.emphasis == "sour")


@rule(
    "dose-beyond-practice",
    subject="recipe",
    levels=("warning",),
    group="Safety",
    what=(
        "Magnesium, sulfate, sodium or lactate that doses bring to the whole batch, at levels "
        "that are tasted as a fault or have an effect on health. Lactate of sour styles and the "
        "salt of a gose are left alone. A water that is so by itself is told by the rule of its "
        "ion."
    ),
    why=(
        "Ranges of style are a matter of taste; here is where most drinkers notice, or where "
        "health authorities want to know. It is nearly always a slip of the pen."
    ),
    limits=lines("dose-beyond-practice"),
    configure=(
        "`levels: {dose-beyond-practice: note}` in waterlint.yaml, or an exception with its "
        "reason at the dose."
    ),
    failing=recipe_example("additions: [{add: epsom-salt, mash: 40 g}]"),
    passing=recipe_example("additions: [{add: epsom-salt, mash: 2 g}]"),
)
def dose_beyond_practice(case: Case) -> Iterator[Finding]:
    """Each ion that doses bring beyond practice, at the dose that brings most."""
    for ion in _LIMITS:
        excess = practice_excess(case, ion)
        if excess is None:
            continue
        yield beyond(
            case,
            "dose-beyond-practice",
            excess.verdict,
            excess.bound,
            pointer=excess.dose.pointer,
            help=f"Look for a slip in this dose; else use less {excess.addition.name}.",
            also=(
                f" {excess.addition.name} in the {excess.dose.place} brings "
                f"{number(excess.brought)} mg/L of it."
            ),
        )
