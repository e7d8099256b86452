"""The sparge water: what it still neutralises, and acid beyond that."""

from __future__ import annotations

from collections.abc import Iterator

from waterlint.catalog import limits
from waterlint.chemistry.ions import CALCIUM_CARBONATE_EQUIVALENT
from waterlint.finding import Finding, Related
from waterlint.hints import Final
from waterlint.rules.analyses import speaks_for
from waterlint.rules.figures import dosed_alkalinity, figure_of, water_of
from waterlint.rules.limit_lines import lines
from waterlint.rules.range_findings import beyond, source_pointer
from waterlint.rules.ranges import Bound, Verdict, judge
from waterlint.rules.registry import Case, rule
from waterlint.rules.samples import recipe_example
from waterlint.rules.wording import apart, number

_OVERACID: Final = "sparge-overacid"


@rule(
    "sparge-alkalinity",
    subject="recipe",
    needs=("sparge",),
    levels=("note", "warning"),
    group="Sparge",
    what=(
        "The alkalinity that the sparge water still has after its additions, against the "
        "recipe's target for it or the general limits. The water's own pH is not judged: without "
        "alkalinity behind it, it moves nothing. Where only a dose of alkali takes it beyond a "
        "general limit, `alkali-after-mash` tells it instead."
    ),
    why=(
        "As the wort in the grain bed thins, its buffering goes, and the water's alkalinity "
        "lifts the pH of the last runnings, where husks are said to give up tannin."
    ),
    limits=lines("sparge-alkalinity"),
    configure="`targets: {sparge: {alkalinity: .. 40 mg/L as CaCO3}}` in a recipe.",
    failing=recipe_example(water=("alkalinity: 120 mg/L as CaCO3", "  calcium: 88 mg/L")),
    passing=recipe_example("additions: [{add: lactic-acid, strength: 80 %, sparge: 1 mL}]"),
)
def sparge_alkalinity(case: Case) -> Iterator[Finding]:
    """Alkalinity of the sparge water beyond its range."""
    verdict = judge(case, "alkalinity", "sparge")
    bound = None if verdict is None else verdict.broken
    if verdict is None or bound is None or _is_a_dose(case, verdict, bound):
        return
    yield beyond(
        case,
        "sparge-alkalinity",
        verdict,
        bound,
        help=_help(case, verdict, bound),
    )


def _help(case: Case, verdict: Verdict, bound: Bound) -> str:
    if bound.side == "low":
        return "Use less acid in the sparge water, or a water with more alkalinity."
    alkali, dosed = dosed_alkalinity(case, "sparge", 1.0)
    if alkali and not bound.is_broken_by(verdict.figure.value - dosed):
        return f"Use less {alkali}, or dose it into the mash alone."  # acid would only undo it
    return (
        "Add some acid to the sparge water, or replace a part of it by distilled or "
        "reverse-osmosis water."
    )


def _is_a_dose(case: Case, verdict: Verdict, bound: Bound) -> bool:
    """Whether it is a dose of alkali that `alkali-after-mash` tells, and not the water."""
    if bound.origin != "general" or bound.side == "low":
        return False
    if not speaks_for(case, "alkali-after-mash", "warning", "sparge-alkalinity", bound.level):
        return False
    assert case.recipe is not None
    alkalis = {
        dose.pointer
        for addition in case.recipe.additions
        if (additive := case.catalog.additives.get(addition.name)) and additive.alkali_after_mash
        for dose in addition.doses
        if dose.place == "sparge"
    }
    water = water_of(case.prediction, "sparge") if alkalis else None
    if water is None:
        return False
    dosed = sum(
        each.amount for each in water.contributions.get("alkalinity", ()) if each.origin in alkalis
    )
    return not bound.is_broken_by(verdict.figure.value - dosed)


@rule(
    _OVERACID,
    subject="recipe",
    needs=("sparge",),
    levels=("warning",),
    group="Sparge",
    what="More acid in the sparge water than it has alkalinity for.",
    why=(
        "Acid that finds nothing to neutralise makes the water itself sour; it goes on into the "
        "kettle, lowers the pH of the wort, and is tasted."
    ),
    limits=lines(_OVERACID),
    configure=(
        "`levels: {sparge-overacid: note}`. Where a recipe's target has a lower end, "
        "`targets: {sparge: {alkalinity: 0 .. 40 mg/L as CaCO3}}`, `sparge-alkalinity` tells it."
    ),
    failing=recipe_example("additions: [{add: lactic-acid, strength: 80 %, sparge: 3 mL}]"),
    passing=recipe_example("additions: [{add: lactic-acid, strength: 80 %, sparge: 1 mL}]"),
)
def sparge_overacid(case: Case) -> Iterator[Finding]:
    """Alkalinity of the sparge water below nothing by more than the limit."""
    figure = figure_of(case.prediction, "alkalinity", "sparge")
    target = None if case.recipe is None else case.recipe.target("alkalinity", "sparge")
    if figure is None or (target is not None and target.range.low is not None):
        return
    limit = limits.SPARGE_OVERACID
    allowed = limit.floor * CALCIUM_CARBONATE_EQUIVALENT
    if figure.value >= allowed:
        return
    bound = Bound("low", limit.level, allowed, "general", limit.basis)
    if not bound.is_broken_by(figure.value):
        return
    verdict = Verdict("alkalinity", "sparge", figure, (bound,))
    reach = ""
    if not bound.is_broken_by(figure.high):
        reach = (
            f". Its stated spread, {number(figure.low)} to {number(figure.high)} mg/L as CaCO3, "
            "reaches across the limit."
        )
    yield case.finding(
        _OVERACID,
        limit.level,
        source_pointer(case, verdict.vessel),
        f"the sparge water has {apart(-figure.value, -allowed)} mg/L as CaCO3 more acid than "
        f"alkalinity; {number(-allowed)} ({number(-limit.floor)} mEq/L) would pass{reach}",
        help="Use less acid in the sparge water.",
        basis=limit.basis,
        related=_acids(case),
        quantity="alkalinity",
        vessel="sparge",
        value=figure.value,
        value_low=figure.low,
        value_high=figure.high,
        low=allowed,
        unit="mg/L as CaCO3",
    )


def _acids(case: Case) -> tuple[Related, ...]:
    """The dose that takes most of the sparge water's alkalinity."""
    water = None if case.prediction is None else case.prediction.sparge_water
    taken = [
        each
        for each in (() if water is None else water.contributions.get("alkalinity", ()))
        if each.amount < 0.0 and each.origin.startswith("/additions/")
    ]
    if not taken:
        return ()
    most = min(taken, key=lambda each: each.amount)
    message = f"{most.label} takes {number(-most.amount)} mg/L as CaCO3 of alkalinity"
    return (Related(case.path, case.place(most.origin), message),)
