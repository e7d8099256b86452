"""The kettle and what comes after it: doses that come too late, and those that tip an ion over."""

from __future__ import annotations

from collections.abc import Iterator

from waterlint.finding import Finding
from waterlint.hints import TYPE_CHECKING, Final
from waterlint.model.recipe import Addition, Dose
from waterlint.rules.figures import water_of
from waterlint.rules.ion_rules import ION_RULES
from waterlint.rules.kettle_dose import KettleExcess, dose_text, kettle_excess, largest_dose
from waterlint.rules.limit_lines import lines
from waterlint.rules.range_findings import beyond, limit_text
from waterlint.rules.ranges import Bound
from waterlint.rules.registry import Case, rule
from waterlint.rules.samples import recipe_example
from waterlint.rules.wording import listed, number

if TYPE_CHECKING:
    from decimal import Decimal

#: Where no mash is left that an alkali could serve.
AFTER_MASH: Final = frozenset({"sparge", "kettle", "fermenter"})

#: What stays of an alkali when its alkalinity is spent.
_METALS: Final = ("sodium", "potassium", "calcium", "magnesium")


@rule(
    "alkali-after-mash",
    subject="recipe",
    needs=("alkali",),
    levels=("warning",),
    group="Kettle and fermenter",
    what=("Baking soda, chalk, lime or potassium bicarbonate in sparge, kettle or fermenter."),
    why=(
        "An alkali is added to raise the pH of a mash. Later there is no mash to serve: in the "
        "sparge it draws on husks, in the kettle it works against the fall in pH that is wanted "
        "there, and in both only its sodium, potassium or calcium stays in the beer."
    ),
    limits=("none: no amount of it serves the beer — common practice",),
    configure=(
        "`levels: {alkali-after-mash: note}` in waterlint.yaml, or an exception with its reason "
        "at the dose."
    ),
    failing=recipe_example("additions: [{add: baking-soda, kettle: 2 g}]"),
    passing=recipe_example("additions: [{add: baking-soda, mash: 0.5 g}]"),
)
def alkali_after_mash(case: Case) -> Iterator[Finding]:
    """Each dose of an alkali after the mash."""
    assert case.recipe is not None
    for addition in case.recipe.additions:
        additive = case.catalog.additives.get(addition.name)
        if additive is None or not additive.alkali_after_mash:
            continue
        for dose in addition.doses:
            if dose.place in AFTER_MASH and dose.amount.value > 0.0:
                yield _late_alkali(case, addition, dose, additive.title)


def _help(case: Case, addition: Addition) -> str:
    if case.recipe is None or "mash" not in case.recipe.vessels:
        return "Leave it out."
    additive = case.catalog.additives[addition.name]
    if (additive.like or additive.name) == "chalk" and not addition.dissolved:
        return (
            "Leave it out. It would hardly dissolve in the mash either: where the mash pH asks for "
            "alkali, baking soda there serves."
        )
    return "Move it into the mash if the mash pH asks for it; else leave it out."


def _late_alkali(case: Case, addition: Addition, dose: Dose, title: str) -> Finding:
    water = water_of(case.prediction, "batch")
    left = [
        (each.amount, ion)
        for ion in _METALS
        for each in (() if water is None else water.contributions.get(ion, ()))
        if each.origin == dose.pointer
    ]
    amount, ion = max(left, default=(None, "mineral"))
    stays = "its mineral" if amount is None else f"{number(amount)} mg/L of {ion}"
    where = "for the sparge" if dose.place == "sparge" else f"in the {dose.place}"
    return case.finding(
        "alkali-after-mash",
        "warning",
        dose.pointer,
        f"{title} {where} has no mash to serve any more; it leaves {stays} in the whole batch",
        help=_help(case, addition),
        basis="common practice",
        quantity=None if amount is None else ion,
        vessel="batch",
        value=amount,
        unit=None if amount is None else "mg/L",
    )


@rule(
    "kettle-only-excess",
    subject="recipe",
    needs=("kettle dose",),
    levels=("note", "warning"),
    group="Kettle and fermenter",
    what=(
        "An ion beyond its range in the whole batch that would be inside without the kettle's "
        "additions. Names the addition that brings most of it, and the largest dose on the grid "
        "of the house's scale that would still pass."
    ),
    why=(
        "Figures of mash and sparge water look right, and each addition does too; only the sum "
        "in the kettle is too much. It replaces the rule of the ion, since it says which dose."
    ),
    limits=tuple(
        dict.fromkeys(
            line
            for row in ION_RULES
            for line in lines(f"batch-{row.ion}")
            if "at least" not in line
        )
    ),
    configure=(
        "Ranges are those of the batch rules: `ranges: {sodium: .. 90 mg/L}` in waterlint.yaml, "
        "`targets` in a recipe; `scale: {mass: 0.01 g}` for the grid of doses."
    ),
    failing=recipe_example("additions: [{add: table-salt, kettle: 8 g}]"),
    passing=recipe_example("additions: [{add: table-salt, kettle: 4 g}]"),
)
def kettle_only_excess(case: Case) -> Iterator[Finding]:
    """Each ion that only the kettle's additions take out of its range."""
    for row in ION_RULES:
        excess = kettle_excess(case, row.ion)
        if excess is not None:
            yield _excess_finding(case, excess)


def _excess_finding(case: Case, excess: KettleExcess) -> Finding:
    ion = excess.verdict.quantity
    amount = f"{number(excess.brought)} mg/L"
    part = "most" if excess.brought > 0.5 * excess.verdict.figure.value else "the largest part"
    most = f"{part} of it, {amount}" if excess.others else f"{amount} of it"
    return beyond(
        case,
        "kettle-only-excess",
        excess.verdict,
        excess.bound,
        pointer=excess.dose.pointer,
        help=_advice(case, excess),
        also=(
            f" Without the kettle's additions {ion} would be {number(excess.without)} mg/L;"
            f" {excess.addition.name} there brings {most}."
        ),
    )


def _advice(case: Case, excess: KettleExcess) -> str:
    """The dose that would pass; where only a note would be left by more, that one too."""
    name, strictest, gravest = excess.addition.name, excess.strictest, excess.bound
    dose = largest_dose(case, excess, strictest)
    text = _dose_that_keeps(excess, dose, strictest)
    if strictest.value < gravest.value:
        milder = largest_dose(case, excess, gravest)
        if milder is not None and milder > (dose or 0):
            amount = dose_text(milder, excess.dose.amount)
            text += (
                f" Up to {amount} of {name} keeps to {limit_text(gravest, excess.verdict.quantity)}"
                f" and leaves a {strictest.level}."
            )
    return text


def _dose_that_keeps(excess: KettleExcess, dose: Decimal | None, bound: Bound) -> str:
    name = excess.addition.name
    limit = limit_text(bound, excess.verdict.quantity)
    if dose is None:
        others = listed(list(excess.others)) if excess.others else "the same addition"
        return (
            f"Leave {name} out of the kettle, and use less of {others} there: without {name} "
            f"alone the batch still does not keep to {limit}."
        )
    if not dose:
        return f"Leave {name} out of the kettle: no dose that can be measured keeps to {limit}."
    amount = dose_text(dose, excess.dose.amount)
    return f"Use at most {amount} of {name} in the kettle: that keeps to {limit}."
