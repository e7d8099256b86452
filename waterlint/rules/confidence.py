"""How sure a pass is."""

from __future__ import annotations

from collections.abc import Iterator
from math import erf, sqrt

from waterlint.catalog import limits
from waterlint.finding import Finding
from waterlint.hints import Final
from waterlint.prediction.result import Figure
from waterlint.rules.limit_lines import lines
from waterlint.rules.range_findings import (
    limit_text,
    range_at,
    source_pointer,
    title_of,
    unit_of,
    with_unit,
)
from waterlint.rules.ranges import Bound, Verdict, judge
from waterlint.rules.registry import Case, rule
from waterlint.rules.samples import recipe_example
from waterlint.rules.targets import NAMED, wanted_figures
from waterlint.rules.wording import listed, lowest, number


@rule(
    "narrow-pass",
    subject="recipe",
    levels=("note",),
    group="Confidence",
    what=(
        "A figure inside its limits that, with its stated spread taken as a normal distribution, "
        "is outside them more often than one time in three. Only limits of a warning count; a "
        "figure that already has a note says so there."
    ),
    why=(
        "A pass by a hair is no pass to build on: the next sack of malt or the next season of "
        "the supply fails it. Most often a measurement costs less than a wrong batch."
    ),
    limits=lines("narrow-pass"),
    configure="`levels: {narrow-pass: off}`, or a wider target.",
    failing=recipe_example("targets: {sodium: .. 11.1 mg/L}"),
    passing=recipe_example("targets: {sodium: .. 20 mg/L}"),
)
def narrow_pass(case: Case) -> Iterator[Finding]:
    """Each figure that keeps its limits more by luck than by margin."""
    for quantity, vessel in dict.fromkeys([*_ORDERED, *wanted_figures(case)]):
        verdict = judge(case, quantity, vessel)
        if verdict is None or verdict.broken is not None or not _is_near(verdict):
            continue
        bounds = [bound for bound in verdict.bounds if bound.level == "warning"]
        chance = chance_outside(verdict.figure, bounds)
        if 100.0 * chance > limits.NARROW_PASS.ceiling:
            yield _finding(case, verdict, bounds, chance)


_ORDERED: Final = tuple(sorted(NAMED))
_ROOT_OF_TWO: Final = sqrt(2.0)


_FAR: Final = 3.0
"""Standard deviations from a bound at which it is next to never crossed, one time in 700."""


def _is_near(verdict: Verdict) -> bool:
    """Whether a figure is so near to a bound of a warning that the chance has to be reckoned."""
    value, reach = verdict.figure.value, _FAR * verdict.figure.sd
    for bound in verdict.bounds:
        if bound.level == "warning" and abs(bound.value - value) < reach:
            return True
    return False


def chance_outside(figure: Figure, bounds: list[Bound]) -> float:
    """How often a normally distributed figure lies beyond any of the bounds (0 to 1)."""
    if not figure.sd > 0.0:
        return 0.0
    chance = 0.0
    for bound in bounds:
        chance += 0.5 * (1.0 - erf(abs(bound.value - figure.value) / figure.sd / _ROOT_OF_TWO))
    return chance


def _finding(case: Case, verdict: Verdict, bounds: list[Bound], chance: float) -> Finding:
    quantity, vessel, figure = verdict.quantity, verdict.vessel, verdict.figure
    nearest = min(bounds, key=lambda bound: abs(bound.value - figure.value))
    own = "/grist" if quantity in ("mash_ph", "color") else source_pointer(case, vessel)
    place = nearest.pointer if nearest.origin == "target" or quantity != "mash_ph" else ""
    low, high = range_at(verdict, "warning")
    value = with_unit(number(figure.value), quantity)
    lower = lowest(figure.value, figure.sd, unit_of(quantity))
    spread = f"{number(lower)} to {with_unit(number(figure.high), quantity)}"
    return case.finding(
        "narrow-pass",
        "note",
        place or own,
        f"{title_of(quantity, vessel)} is {value}, {_kept(bounds, quantity)}, but with its stated "
        f"spread, {spread}, it is outside in {100.0 * chance:.0f} % of cases",
        help=_advice(quantity),
        basis=f"{limits.NARROW_PASS.basis}; the range: {nearest.basis}",
        quantity=quantity,
        vessel=vessel,
        value=figure.value,
        value_low=figure.low,
        value_high=figure.high,
        low=low,
        high=high,
        unit=unit_of(quantity),
    )


def _kept(bounds: list[Bound], quantity: str) -> str:
    """What the figure keeps to; of one who sets both ends, as one range."""
    if len({(bound.origin, bound.name) for bound in bounds}) == 1 < len(bounds):
        low, high = sorted(bounds, key=lambda bound: bound.value)
        both = f"{number(low.value)} to {number(high.value)}"
        return f"within {limit_text(high, quantity).replace(number(high.value), both, 1)}"
    sides = [
        f"{'at least' if bound.side == 'low' else 'at most'} {limit_text(bound, quantity)}"
        for bound in bounds
    ]
    return f"which keeps to {listed(sides)}"


def _advice(quantity: str) -> str:
    if quantity == "mash_ph":
        return (
            "Aim nearer to the middle of the range, or narrow the spread: state the lot's `di_ph` "
            "and the mill gap, and measure a cooled sample of the mash."
        )
    return (
        "Leave more room, or narrow the spread: state it in the water report (`42 ± 2 mg/L`), and "
        "weigh on a finer scale."
    )
