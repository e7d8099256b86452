"""Residual alkalinity of the mash water: what a distance in mash pH is in terms of water."""

from __future__ import annotations

from collections.abc import Iterator

from waterlint.chemistry.ions import CALCIUM_CARBONATE_EQUIVALENT
from waterlint.chemistry.proton_balance import alkalinity_over
from waterlint.finding import Finding
from waterlint.rules.figures import style_of, water_of
from waterlint.rules.range_findings import limit_text, source_pointer
from waterlint.rules.ranges import Bound, Verdict, judge
from waterlint.rules.registry import Case, rule
from waterlint.rules.samples import recipe_example
from waterlint.rules.wording import apart, number


def alkalinity_off(case: Case, ph: float) -> float | None:
    """How much alkalinity stands between the mash and a pH, up or down [mg/L as CaCO3].

    As a strong acid or lime would change it, by the balance that the predicted pH comes from, so
    that the advice fits the finding.
    """
    mash = None if case.prediction is None else case.prediction.mash
    if mash is None or mash.balance is None:
        return None
    return abs(alkalinity_over(mash.balance, ph)) * CALCIUM_CARBONATE_EQUIVALENT


@rule(
    "residual-alkalinity",
    subject="recipe",
    needs=("mash",),
    levels=("note",),
    group="The mash",
    what=(
        "Kolbach's residual alkalinity of the mash water with all its additions, where the mash "
        "pH is off by more than its spread explains: how far the water is from what this grist "
        "takes."
    ),
    why=(
        "It puts the fault of the mash pH into the terms of water. What a grist takes is worked "
        "out from the pH model, since the colour of a beer predicts it poorly; it is a size to "
        "think with, so it is never more than a note."
    ),
    limits=("what the grist takes at the limits of `mash-ph` — by the pH model",),
    configure=(
        "`targets: {mash: {residual_alkalinity: .. 50 mg/L as CaCO3}}` in a recipe replaces it; "
        "`levels: {residual-alkalinity: off}`."
    ),
    failing=recipe_example("additions: [{add: baking-soda, mash: 5 g}]"),
    passing=recipe_example(),
)
def residual_alkalinity(case: Case) -> Iterator[Finding]:
    """How much residual alkalinity stands between the mash pH and its range."""
    verdict = judge(case, "mash_ph", "mash")
    water = water_of(case.prediction, "mash")
    style = style_of(case)
    if verdict is None or water is None or (style and "alkalinity" in style.unchecked):
        return
    assert case.recipe is not None
    bound = _missed_by_all(verdict)
    if bound is None or case.recipe.target("residual_alkalinity", "mash") is not None:
        return
    off = alkalinity_off(case, bound.value)
    if off is None:
        return
    figure = water.residual_alkalinity
    side, verb = ("at most", "more") if bound.side == "high" else ("at least", "less")
    wanted = figure.value - off if bound.side == "high" else figure.value + off
    yield case.finding(
        "residual-alkalinity",
        "note",
        source_pointer(case, "mash"),
        f"residual alkalinity of the mash water is {apart(figure.value, wanted)} mg/L as CaCO3, "
        f"about {number(off, 2)} {verb} than this grist takes at a mash pH of {side} "
        f"{limit_text(bound, 'mash_ph')}",
        help=(
            "Take alkalinity away by acid or dilution, or add calcium."
            if bound.side == "high"
            else "Use less acid or dilution, or add alkalinity in the mash."
        ),
        basis="the pH model",
        quantity="residual_alkalinity",
        vessel="mash",
        value=figure.value,
        value_low=figure.low,
        value_high=figure.high,
        low=wanted if bound.side == "low" else None,
        high=wanted if bound.side == "high" else None,
        unit="mg/L as CaCO3",
    )


def _missed_by_all(verdict: Verdict) -> Bound | None:
    """The bound of a warning that the whole 68 % interval lies beyond."""
    figure = verdict.figure
    for bound in verdict.bounds:
        nearest = figure.high if bound.side == "low" else figure.low
        if bound.level == "warning" and bound.is_broken_by(nearest):
            return bound
    return None
