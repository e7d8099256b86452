"""Residual alkalinity of the mash water: what a distance in mash pH is in terms of water."""

from __future__ import annotations

from collections.abc import Iterator

from waterlint.chemistry.ions import CALCIUM_CARBONATE_EQUIVALENT
from waterlint.chemistry.proton_balance import alkalinity_over
from waterlint.finding import Finding
from waterlint.rules.figures import dosed_alkalinity, style_of, water_of
from waterlint.rules.range_findings import limit_text, source_pointer
from waterlint.rules.ranges import Bound, Side, Verdict, judge
from waterlint.rules.registry import Case, rule
from waterlint.rules.samples import recipe_example
from waterlint.rules.wording import about, apart


def alkalinity_off(case: Case, ph: float) -> float | None:
    """How much alkalinity stands between the mash and a pH, up or down [mg/L as CaCO3].

    As a strong acid or lime would change it, by the balance that the predicted pH comes from, so
    that the advice fits the finding.
    """
    mash = None if case.prediction is None else case.prediction.mash
    if mash is None or mash.balance is None:
        return None
    return abs(alkalinity_over(mash.balance, ph)) * CALCIUM_CARBONATE_EQUIVALENT


def how_to_change(case: Case, side: Side, off: float) -> str:
    """By what the mash loses so much alkalinity [mg/L as CaCO3], or gains it if `side` is low.

    What the recipe doses itself goes first: acid against an alkali would only cancel it.
    """
    if side == "low":
        acid, dosed = dosed_alkalinity(case, "mash", -1.0)
        calcium = "; less calcium helps" if _has_ample_calcium(case) else ""
        if acid and dosed >= off:
            return f"by less {acid}{calcium}"
        if acid:
            by = f"leaving out {acid}, and for the rest by "
        else:
            by = "less acidulated malt, or by " if _has_acidulated_malt(case) else ""
        return f"by {by}baking soda or lime{calcium}"
    alkali, dosed = dosed_alkalinity(case, "mash", 1.0)
    calcium = "" if _has_ample_calcium(case) else "; more calcium helps"
    if alkali and dosed >= off:
        return f"by less {alkali}"
    if alkali:
        return f"by leaving out {alkali}, and for the rest by acid or acidulated malt{calcium}"
    water = water_of(case.prediction, "mash")
    if water is not None and water.alkalinity.value < off:  # more than another water has less of
        return f"by acid or acidulated malt{calcium}"
    return f"by acid, or by dilution with distilled or reverse-osmosis water{calcium}"


def _has_acidulated_malt(case: Case) -> bool:
    kinds = case.catalog.malts
    return case.recipe is not None and any(
        malt.kind in kinds and kinds[malt.kind].like == "acidulated" for malt in case.recipe.grist
    )


def _has_ample_calcium(case: Case) -> bool:
    """Whether the mash or the batch has as much calcium as its range allows, or more."""
    for vessel in ("mash", "batch"):
        verdict = judge(case, "calcium", vessel)
        most = None if verdict is None else verdict.bound("high", "note")
        if verdict is not None and most is not None and verdict.figure.value >= most.value:
            return True
    return False


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
        f"{about(off)} {verb} than this grist takes at a mash pH of {side} "
        f"{limit_text(bound, 'mash_ph')}",
        help=(
            f"{'Take alkalinity away' if bound.side == 'high' else 'Give the mash alkalinity'} "
            f"{how_to_change(case, bound.side, off)}."
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
