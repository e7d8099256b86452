"""The mash water's minerals: its calcium, chalk that hardly dissolves, and what may fall out."""

from __future__ import annotations

from collections.abc import Iterator

from waterlint.catalog import limits
from waterlint.chemistry.formulas import molar_mass
from waterlint.chemistry.mash import CHALK_CAP, CHALK_CREDIT
from waterlint.finding import Finding
from waterlint.model.recipe import Addition, Dose
from waterlint.prediction.compounds import find_compound
from waterlint.rules.analyses import tells_as_gravely
from waterlint.rules.consequences import follows_from_a_dose
from waterlint.rules.doses import volume_of
from waterlint.rules.figures import DILUTE, dosed_alkalinity, is_of_the_water, most_dosed, water_of
from waterlint.rules.kettle import AFTER_MASH
from waterlint.rules.limit_lines import lines
from waterlint.rules.range_findings import beyond, source_pointer
from waterlint.rules.ranges import Bound, judge
from waterlint.rules.registry import Case, rule
from waterlint.rules.samples import recipe_example
from waterlint.rules.wording import apart, number


@rule(
    "mash-calcium",
    subject="recipe",
    needs=("mash",),
    levels=("note", "warning"),
    group="The mash",
    what=(
        "Calcium of the mash water with its additions. A style's range replaces the limits of "
        "the note; of soft styles nothing is more than a note. A recipe's `targets.mash.calcium` "
        "replaces both."
    ),
    why=(
        "Calcium in the mash lowers its pH, shields amylase from heat and takes out oxalate. Very "
        "much of it drives the pH below what enzymes like and strips phosphate."
    ),
    limits=lines("mash-calcium", "calcium"),
    configure="`targets: {mash: {calcium: 60 .. 120 mg/L}}` in a recipe.",
    failing=recipe_example("  mash: {volume: 15 L, from: distilled}"),
    passing=recipe_example("additions: [{add: gypsum, mash: 2 g}]"),
)
def mash_calcium(case: Case) -> Iterator[Finding]:
    """Calcium of the mash water beyond its range."""
    verdict = judge(case, "calcium", "mash")
    bound = None if verdict is None else verdict.broken
    if verdict is None or bound is None:
        return
    if follows_from_a_dose(case, "mash-calcium", "calcium", "mash", bound):
        return
    yield beyond(
        case,
        "mash-calcium",
        verdict,
        bound,
        help=_help(case, bound),
    )


def _help(case: Case, bound: Bound) -> str:
    if bound.side == "low":
        return "Add gypsum or calcium chloride to the mash."
    if is_of_the_water(case, "calcium", "mash", bound.value):
        return DILUTE
    additive = case.catalog.additives.get(most_dosed(case, "calcium", "mash"))
    if additive is not None and additive.role == "alkali":  # it must not go on into the kettle
        return f"Use less {additive.name}, or dilute with distilled or reverse-osmosis water."
    batch = judge(case, "calcium", "batch")
    if batch is not None and batch.broken is not None and batch.broken.side == "high":
        # What goes on into the kettle is in the batch as well.
        return "Use less of the calcium salts, or dilute with distilled or reverse-osmosis water."
    return "Move some of the calcium salts to the kettle, or use less of them."


@rule(
    "mash-scale",
    subject="recipe",
    needs=("mash",),
    levels=("note",),
    group="The mash",
    what=(
        "Mash water so far above calcite saturation, with all its additions, that calcium and "
        "alkalinity may fall out as scale before and during the mash."
    ),
    why=(
        "Calcium and alkalinity that have fallen out no longer act on the mash: its calcium and "
        "its pH are then both lower than predicted."
    ),
    limits=lines("mash-scale"),
    configure="`levels: {mash-scale: off}`.",
    failing=recipe_example(
        water=("ph: 8.6", "alkalinity: 120 mg/L as CaCO3", "  calcium: 88 mg/L")
    ),
    passing=recipe_example(),
)
def mash_scale(case: Case) -> Iterator[Finding]:
    """The saturation index of the mash water above its limit."""
    water = water_of(case.prediction, "mash")
    limit = limits.MASH_SCALE
    if water is None or water.calcite_saturation_at_most <= limit.ceiling:
        return  # most waters are far from it, and need not be solved to know
    bound = Bound("high", limit.level, limit.ceiling, "general", limit.basis)
    index = water.calcite_saturation_index
    if index is None or not bound.is_broken_by(index):
        return
    yield case.finding(
        "mash-scale",
        limit.level,
        source_pointer(case, "mash"),
        f"the mash water has a calcite saturation index of {apart(index, bound.value)}, above "
        f"{number(bound.value)}: some of its calcium and alkalinity may fall out as scale",
        help=_against_scale(case),
        basis=limit.basis,
        quantity="calcite_saturation_index",
        vessel="mash",
        value=index,
        high=bound.value,
        unit="",
    )


def _against_scale(case: Case) -> str:
    alkali, _ = dosed_alkalinity(case, "mash", 1.0)
    if alkali:
        return (
            f"Stir the {alkali} into the mash after doughing in, where the malt's acid meets it, "
            "and not into the water; measure the mash pH."
        )
    return "Acidify or dilute the water before adding salts; measure the mash pH."


@rule(
    "undissolved-chalk",
    subject="recipe",
    needs=("chalk",),
    levels=("warning",),
    group="The mash",
    what=(
        "Chalk that is counted on in the mash without carbon dioxide to dissolve it, and the "
        "credit that it is given. After the mash `alkali-after-mash` tells it instead."
    ),
    why=(
        "Stirred into water or mash, chalk lies on the bottom: measured mashes hardly moved "
        f"with it, and no further beyond {CHALK_CAP:g} mg/L. Water with chalk in suspension "
        "titrates as if all of it had worked, so no report shows it."
    ),
    limits=(
        f"{100 * CHALK_CREDIT:g} % of its calcium and alkalinity count, and nothing beyond "
        f"{CHALK_CAP:g} mg/L — Troester 2009, section 3.8 and tables 8, 11 and 12",
    ),
    configure=(
        "`dissolved: true` at the addition, where carbon dioxide was bubbled through until the "
        "water was clear."
    ),
    failing=recipe_example("additions: [{add: chalk, mash: 3 g}]"),
    passing=recipe_example("additions: [{add: chalk, mash: 0.5 g, dissolved: true}]"),
)
def undissolved_chalk(case: Case) -> Iterator[Finding]:
    """Each dose of chalk for the mash that no carbon dioxide dissolves."""
    assert case.recipe is not None
    for addition in case.recipe.additions:
        compound = find_compound(addition, case.catalog)
        if isinstance(compound, str) or compound.kind != "chalk" or addition.dissolved:
            continue
        for dose in addition.doses:
            late = dose.place in AFTER_MASH and tells_as_gravely(
                case, "alkali-after-mash", "warning", "undissolved-chalk", "warning"
            )
            if not late and dose.amount.value > 0.0:
                yield _chalk(case, addition, dose)


def _chalk(case: Case, addition: Addition, dose: Dose) -> Finding:
    assert case.recipe is not None and case.prediction is not None
    mass = case.prediction.dose_mass_g.get(dose.pointer)
    liquid = volume_of(case.recipe, dose.place)
    rate = 1000.0 * mass / liquid if mass is not None and liquid else None
    counted = None if rate is None else _counted(case, dose, liquid)
    credit = ""
    if rate is not None and counted is not None:
        credit = f"; {number(counted)} of its {number(rate)} mg/L is counted"
    where = "all brewing water" if dose.place == "liquor" else f"the {dose.place}"
    return case.finding(
        "undissolved-chalk",
        "warning",
        dose.pointer,
        f"{addition.name} in {where} hardly dissolves without carbon dioxide{credit}",
        help=_instead_of_chalk(case),
        basis="Troester 2009, section 3.8 and tables 8, 11 and 12",
        quantity="chalk",
        vessel=dose.place,
        value=rate,
        high=None if rate is None else CHALK_CAP,
        unit=None if rate is None else "mg/L",
    )


def _instead_of_chalk(case: Case) -> str:
    ph = judge(case, "mash_ph", "mash")
    if ph is not None and ph.broken is not None and ph.broken.side == "high":
        return "Leave it out: the mash pH is too high as it is."
    return (
        "Use baking soda or lime in the mash for alkalinity, or dissolve the chalk with carbon "
        "dioxide and say `dissolved: true`."
    )


def _counted(case: Case, dose: Dose, liquid: float) -> float | None:
    """How much chalk of a dose counts [mg/L of `liquid` litres]: all of a vessel share one cap."""
    water = water_of(case.prediction, "mash" if dose.place == "mash" else "batch")
    if water is None:
        return None
    brought = [
        each.amount for each in water.contributions["calcium"] if each.origin == dose.pointer
    ]
    return sum(brought) * water.volume_l / liquid * molar_mass("CaCO3") / molar_mass("Ca")
