"""Doses that lead beyond what brewers do at all: to where an ion is tasted as a fault or felt."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from types import MappingProxyType

from waterlint.catalog import limits
from waterlint.catalog.limit import Limit
from waterlint.finding import Finding
from waterlint.hints import Final
from waterlint.model.recipe import Addition, Dose
from waterlint.records import Record
from waterlint.rules.analyses import speaks_for
from waterlint.rules.doubt import is_doubtful
from waterlint.rules.figures import is_of_the_style, water_of
from waterlint.rules.kettle_dose import kettle_excess
from waterlint.rules.limit_lines import lines
from waterlint.rules.range_findings import beyond
from waterlint.rules.ranges import Bound, Verdict
from waterlint.rules.registry import Case, once, rule
from waterlint.rules.samples import recipe_example
from waterlint.rules.wording import apart, listed, number

_LIMITS: Final[Mapping[str, Limit]] = MappingProxyType(
    {
        "magnesium": limits.PRACTICE_MAGNESIUM,
        "sulfate": limits.PRACTICE_SULFATE,
        "sodium": limits.PRACTICE_SODIUM,
        "lactate": limits.PRACTICE_LACTATE,
    }
)
_LEAST: Final = min([limit.ceiling for limit in _LIMITS.values()])


class PracticeExcess(Record):
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
    limit, water = _LIMITS.get(ion), water_of(case.prediction, "batch")
    if limit is None or water is None or ion not in water.ions:
        return None
    if water.value(ion) <= limit.ceiling:
        return None
    if is_of_the_style(case, ion) or is_doubtful(case, ion, "batch"):
        return None
    assert case.recipe is not None and case.prediction is not None
    figure = water.ions[ion]
    bound = Bound("high", limit.level, limit.ceiling, "general", limit.basis)
    brought = {
        each.origin: each.amount
        for each in water.contributions.get(ion, ())
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


@once
def told_excesses(case: Case) -> list[list[PracticeExcess]]:
    """What `dose-beyond-practice` tells, dose by dose: the first ion and what goes with it.

    Where `kettle-only-excess` tells of the same dose and ion, and the amount that it allows keeps
    to practice as well, that is enough.
    """
    groups: list[list[PracticeExcess]] = []
    water = water_of(case.prediction, "batch")
    if water is None or water.ions_at_most <= _LEAST:
        return groups
    for ion in _LIMITS:
        excess = practice_excess(case, ion)
        if excess is None or _is_told_of_the_kettle(case, excess):
            continue
        same = [group for group in groups if group[0].dose == excess.dose]
        if same and not excess.bound.is_broken_by(excess.verdict.figure.value - excess.brought):
            same[0].append(excess)
        else:
            groups.append([excess])
    return groups


def _is_told_of_the_kettle(case: Case, excess: PracticeExcess) -> bool:
    kettle = kettle_excess(case, excess.verdict.quantity)
    return (
        kettle is not None
        and kettle.dose == excess.dose
        and kettle.bound.value <= excess.bound.value
        and speaks_for(
            case, "kettle-only-excess", kettle.bound.level, "dose-beyond-practice", "warning"
        )
    )


@rule(
    "dose-beyond-practice",
    subject="recipe",
    levels=("warning",),
    group="Safety",
    what=(
        "Magnesium, sulfate, sodium or lactate that doses bring to the whole batch, at levels "
        "that are tasted as a fault or have an effect on health. Lactate of sour styles and the "
        "salt of a gose are left alone. A water that is so by itself is told by the rule of its "
        "ion, a dose that is too much for the kettle already by `kettle-only-excess`."
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
    """Each dose that brings most of an ion beyond practice."""
    for excess, *others in told_excesses(case):
        yield beyond(
            case,
            "dose-beyond-practice",
            excess.verdict,
            excess.bound,
            pointer=excess.dose.pointer,
            help=f"Look for a slip in this dose; else use less {excess.addition.name}.",
            also=(
                f" {excess.addition.name} in the {excess.dose.place} brings "
                f"{number(excess.brought)} mg/L of it.{_beside(others)}"
            ),
        )


def _beside(others: Sequence[PracticeExcess]) -> str:
    """A sentence on the further ions that the same dose takes beyond practice."""
    if not others:
        return ""
    parts = [
        f"{each.verdict.quantity} to {apart(each.verdict.figure.value, each.bound.value)} mg/L, "
        f"above {number(each.bound.value)} mg/L"
        for each in others
    ]
    return f" It takes {listed(parts)} too."
