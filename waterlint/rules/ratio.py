"""Chloride to sulfate of the whole batch."""

from __future__ import annotations

from collections.abc import Iterator

from waterlint.catalog import limits
from waterlint.finding import Finding
from waterlint.hints import Final
from waterlint.rules.analyses import is_on, tells_at
from waterlint.rules.consequences import follows_from_a_dose, is_kept_without
from waterlint.rules.figures import is_ratio_meaningless, most_dosed, water_of
from waterlint.rules.limit_lines import lines
from waterlint.rules.minerals import BOTH
from waterlint.rules.range_findings import beyond, limit_text, source_pointer
from waterlint.rules.ranges import Bound, bounds_of, judge
from waterlint.rules.registry import Case, rule
from waterlint.rules.samples import recipe_example
from waterlint.rules.wording import number


@rule(
    "chloride-sulfate-ratio",
    subject="recipe",
    levels=("note", "warning"),
    group="The whole batch",
    what=(
        "Chloride over sulfate by mass in the whole batch, against the recipe's target, the "
        "house's range or the style's. Some texts write it the other way round: sulfate to "
        "chloride of 2 is 0.5 here."
    ),
    why=(
        "At amounts that can be tasted, which of the two outweighs the other was found to "
        "matter at several levels of both. Of little of either the ratio says nothing, so a "
        "range that a style or the house gives is then not held up; to a target it is, with a "
        "word about it. Of somewhat more of either a style's range is held up as a note, and so "
        "is its upper end of chloride with hardly any sulfate, but in hop-bitter styles."
    ),
    limits=lines("chloride-sulfate-ratio", "chloride_to_sulfate"),
    configure=(
        "`ranges: {chloride_to_sulfate: {best-bitter: 0.3 .. 0.9}}` in waterlint.yaml, or "
        "`targets: {chloride_to_sulfate: 0.3 .. 0.9}` in a recipe. Without a style only these "
        "are judged."
    ),
    failing=recipe_example("style: hazy-ipa", "additions: [{add: gypsum, mash: 3 g}]"),
    passing=recipe_example(
        "style: hazy-ipa", "additions: [{add: calcium-chloride, form: dihydrate, mash: 3 g}]"
    ),
)
def chloride_sulfate_ratio(case: Case) -> Iterator[Finding]:
    """The ratio outside the range that holds for it."""
    verdict = judge(case, "chloride_to_sulfate", "batch")
    if verdict is None:
        yield from _no_sulfate(case)
        return
    bound = verdict.broken
    if bound is None or _repeats_an_excess(case, bound):
        return
    more = "chloride" if bound.side == "low" else "sulfate"
    less = "sulfate" if bound.side == "low" else "chloride"
    yield beyond(
        case,
        "chloride-sulfate-ratio",
        verdict,
        bound,
        help=_help(case, more, less),
        also=_about_amounts(case),
    )


def _help(case: Case, more: str, less: str) -> str:
    salt = "calcium chloride" if more == "chloride" else "gypsum"
    most = most_dosed(case, less, "batch")
    additive = case.catalog.additives.get(most)
    if additive is not None and additive.role in ("acid", "sulfite"):
        return f"Use less {most}, or add {salt}."  # no salt can be had in its place
    if most:
        return (
            f"Move salts from {less} to {more}: gypsum brings sulfate, calcium chloride chloride."
        )
    return (
        f"Add {salt}. No addition brings {less}: less of it takes distilled or reverse-osmosis "
        "water."
    )


#: The rules of doses that tell of an ion's excess in the place of that of the ion.
_OF_DOSES: Final = ("kettle-only-excess", "dose-beyond-practice")


def _repeats_an_excess(case: Case, bound: Bound) -> bool:
    """Whether the ratio is off only for a dose of which more is told: of itself or of its ion."""
    quantity = "chloride_to_sulfate"
    if follows_from_a_dose(case, "chloride-sulfate-ratio", quantity, "batch", bound):
        return True
    ion = "chloride" if bound.side == "high" else "sulfate"
    verdict = judge(case, ion, "batch")
    excess = None if verdict is None else verdict.broken
    if bound.origin == "target" or excess is None or excess.side == "low":
        return False
    level = case.settings.levels.get("chloride-sulfate-ratio", bound.level)
    if level == "off" or not tells_at(case, f"batch-{ion}", excess.level, level):
        return False
    if not all(tells_at(case, each, level, level) for each in _OF_DOSES if is_on(case, each)):
        return False
    water = water_of(case.prediction, "batch")
    doses = [
        each
        for each in (() if water is None else water.contributions.get(ion, ()))
        if each.origin.startswith("/additions/")
    ]
    most = max(doses, key=lambda each: each.amount, default=None)
    return most is not None and all(
        is_kept_without(case, most.origin, each, "batch") for each in (ion, quantity)
    )


def _about_amounts(case: Case) -> str:
    water = water_of(case.prediction, "batch")
    assert water is not None
    amounts = " and ".join(f"{number(water.ions[ion].value)} mg/L of {ion}" for ion in BOTH)
    if not is_ratio_meaningless(case):
        return f" It is that of {amounts}."
    least = number(limits.RATIO_MEANINGLESS.floor)
    return f" Of {amounts}, both under {least} mg/L, the ratio means little."


def _no_sulfate(case: Case) -> Iterator[Finding]:
    """Chloride without any sulfate: beyond every upper bound, though there is no number for it."""
    water = water_of(case.prediction, "batch")
    if water is None or water.chloride_to_sulfate is not None:
        return
    high = [
        bound for bound in bounds_of(case, "chloride_to_sulfate", "batch") if bound.side == "high"
    ]
    for bound in high[:1]:
        chloride = number(water.ions["chloride"].value)
        yield case.finding(
            "chloride-sulfate-ratio",
            bound.level,
            bound.pointer or source_pointer(case, "batch"),
            f"the whole batch has {chloride} mg/L of chloride and no sulfate, so chloride to "
            f"sulfate is above any limit, here {limit_text(bound, 'chloride_to_sulfate')}",
            help="Replace some of the chloride salts by gypsum or Epsom salt.",
            basis=bound.basis,
            quantity="chloride_to_sulfate",
            vessel="batch",
            high=bound.value,
            unit="",
        )
