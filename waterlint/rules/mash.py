"""The mash's pH, and what keeps it from being predicted."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from waterlint.catalog import limits
from waterlint.finding import Finding
from waterlint.hints import Final
from waterlint.prediction.mash import NO_PH
from waterlint.prediction.result import Figure, Gap
from waterlint.rules.analyses import is_on
from waterlint.rules.consequences import follows_from_a_dose
from waterlint.rules.limit_lines import lines
from waterlint.rules.range_findings import beyond, spread
from waterlint.rules.ranges import Bound, Verdict, judge
from waterlint.rules.registry import Case, rule
from waterlint.rules.residual import alkalinity_off, how_to_change
from waterlint.rules.samples import recipe_example
from waterlint.rules.wording import about

_PALE_ON_HARD: Final = recipe_example(
    "  sparge: {volume: 13.5 L, from: distilled}",
    water=("alkalinity: 240 mg/L as CaCO3", "  calcium: 136 mg/L"),
)


@rule(
    "mash-ph",
    subject="recipe",
    needs=("mash",),
    levels=("note", "warning", "error"),
    group="The mash",
    what=(
        "The predicted pH of the mash, as of a sample cooled to 25 °C, with its 68 % interval. "
        "A warning where the point misses the recipe's target, or without one the range for any "
        "beer; an error where the whole interval lies where no mash should; a note outside the "
        "style's aim."
    ),
    why=(
        "Enzymes, wort and taste hang on it, and it is the one figure of the mash that water "
        "treatment is for. It is predicted from the grist, the water and the doses by a balance "
        "of protons, and the interval says how far that can be trusted."
    ),
    limits=lines("mash-ph", "mash_ph"),
    configure=(
        "`targets: {mash_ph: 5.3 .. 5.6}` in a recipe, `ranges: {mash_ph: 5.3 .. 5.6}` in "
        "waterlint.yaml. The lot's own `di_ph` in the grist narrows the interval."
    ),
    failing=_PALE_ON_HARD,
    passing=recipe_example(),
)
def mash_ph(case: Case) -> Iterator[Finding]:
    """The mash pH against target, range and style, and against where no mash should be."""
    # A slip stands for what is doubtful, but a warning for no error.
    verdict = judge(case, "mash_ph", "mash", even_doubtful=True)
    if verdict is None:
        yield from _no_ph(case)
        return
    bound = verdict.broken
    extreme = _extreme(verdict.figure)
    if extreme is None and (bound is None or judge(case, "mash_ph", "mash") is None):
        return
    if extreme is None and bound and follows_from_a_dose(case, "mash-ph", "mash_ph", "mash", bound):
        return
    place = bound.pointer if bound is not None and bound.origin == "target" else "/grist"
    # Advice that leads to the error's limit alone would end in a warning.
    aim = bound if bound is not None and extreme in (None, _extreme_of(bound)) else extreme
    if extreme is not None:
        # The target, where one is missed as well, is named by the place.
        told = Verdict("mash_ph", "mash", verdict.figure, _extreme_bounds())
        also = f" All of its 68 % interval, {_interval(verdict.figure)}, lies there."
    else:
        assert bound is not None
        told, extreme, also = verdict, bound, ""
        if not spread(verdict, bound):
            also = f" The 68 % interval is {_interval(verdict.figure)}."
    yield beyond(
        case,
        "mash-ph",
        told,
        extreme,
        pointer=place,
        help=_ph_advice(case, aim or extreme),
        also=also,
    )


def _no_ph(case: Case) -> Iterator[Finding]:
    """Doses after which the balance of protons closes at no pH: the worst that a mash can be."""
    gaps = () if case.prediction is None else case.prediction.gaps_of("mash_ph")
    if any(gap.reason == NO_PH for gap in gaps):
        limit = limits.MASH_PH_ERROR
        yield case.finding(
            "mash-ph",
            limit.level,
            "/additions" if case.recipe and case.recipe.additions else "/grist",
            f"there is no mash pH: {NO_PH}",
            help=(
                "Look for a decimal point gone astray in the doses of acid and alkali, or in what "
                "the grist says of a malt."
            ),
            basis=limit.basis,
            quantity="mash_ph",
            vessel="mash",
            low=limit.floor,
            high=limit.ceiling,
        )


@lru_cache(maxsize=1)
def _extreme_bounds() -> tuple[Bound, Bound]:
    limit = limits.MASH_PH_ERROR
    return (
        Bound("low", limit.level, limit.floor, "general", limit.basis),
        Bound("high", limit.level, limit.ceiling, "general", limit.basis),
    )


def _extreme(figure: Figure) -> Bound | None:
    """The outermost bound that the whole interval lies beyond."""
    low, high = _extreme_bounds()
    if low.is_broken_by(figure.high):
        return low
    return high if high.is_broken_by(figure.low) else None


def _extreme_of(bound: Bound) -> Bound:
    """The outermost bound of the same side."""
    low, high = _extreme_bounds()
    return low if bound.side == "low" else high


def _interval(figure: Figure) -> str:
    return f"{figure.low:.2f} to {figure.high:.2f}"


def _ph_advice(case: Case, bound: Bound) -> str:
    off = alkalinity_off(case, bound.value)
    amount = "" if off is None else f"{about(off)} mg/L as CaCO3 of "
    what = (
        "Take {}alkalinity from the mash" if bound.side == "high" else "Give the mash {}alkalinity"
    )
    return f"{what.format(amount)}: {how_to_change(case, bound.side, off or 0.0)}."


@rule(
    "mash-ph-unpredictable",
    subject="recipe",
    needs=("mash",),
    levels=("note",),
    group="The mash",
    what=(
        "What keeps the mash pH from being predicted, or what lies so far from measured mashes "
        "that its interval had to be widened. Where another rule tells the cause as an error, "
        "such as `unresolved-water`, this one is silent."
    ),
    why="A check that could not be made must not look like one that passed.",
    limits=(
        "where measured mashes stand behind the model — Troester 2009: thickness, alkalinity, "
        "calcium and magnesium of his mashes",
    ),
    configure="`levels: {mash-ph-unpredictable: off}`.",
    failing=recipe_example("  mash: {volume: 60 L, from: ./well.yaml}"),
    passing=recipe_example(),
)
def mash_ph_unpredictable(case: Case) -> Iterator[Finding]:
    """The first reason why there is no mash pH, or a doubtful one."""
    prediction = case.prediction
    if prediction is None:
        return
    known = prediction.mash is not None and prediction.mash.ph is not None
    for gap in prediction.gaps_of("mash_ph"):
        if _is_told(case, gap):
            continue
        yield case.finding(
            "mash-ph-unpredictable",
            "note",
            gap.pointer or "/grist",
            f"the mash pH can be predicted only roughly: {gap.reason}"
            if known
            else f"the mash pH cannot be predicted: {gap.reason}",
            help=(
                "Trust a measurement of the cooled mash more than this prediction."
                if known
                else "Measure the mash; a cooled sample of it says what no prediction can here."
            ),
            basis="the reach of the model",
            quantity="mash_ph",
            vessel="mash",
        )
        return


def _is_told(case: Case, gap: Gap) -> bool:
    """Whether an error already tells the cause: a water or an additive that is not known."""
    recipe = case.recipe
    assert recipe is not None
    for share in recipe.references:
        water = case.waters.get(share.water)
        if gap.pointer.startswith(share.pointer) and water is not None and water.problem:
            return True
    for vessel in recipe.vessels.values():
        if gap.pointer == vessel.source_pointer and len(vessel.shares) > 1:
            return True
    if gap.reason == NO_PH and is_on(case, "mash-ph"):
        return True
    # A dose that cannot be computed is always an error: `unknown-additive`, `form-unstated`,
    # `strength-unstated`, or `missing-key` where its vessel has no water.
    return gap.pointer.startswith("/additions/")
