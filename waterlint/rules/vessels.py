"""What doses do in one vessel: whether they dissolve, and whether they undo each other."""

from __future__ import annotations

from collections.abc import Iterator

from waterlint.catalog import limits
from waterlint.chemistry.salts import ion_yield
from waterlint.finding import Finding, Related
from waterlint.model.recipe import VESSELS, Recipe
from waterlint.prediction.doses import LIQUOR_VESSELS
from waterlint.rules import analyses
from waterlint.rules.doses import HAIR, Measured, measured_doses, pure_grams, volume_of
from waterlint.rules.plausibility import is_implausible_dose
from waterlint.rules.registry import Case, once, rule
from waterlint.rules.samples import recipe_example
from waterlint.rules.wording import apart, at_most, number

#: Places whose doses are heated, or meet what is hot.
_HOT = frozenset({"mash", "kettle"})

#: Where an alkali serves no mash any more, and `alkali-after-mash` says so.
_AFTER_MASH = frozenset({"sparge", "kettle", "fermenter"})


def reaching(recipe: Recipe, vessel: str) -> tuple[str, ...]:
    """The places whose doses get into a vessel."""
    if vessel in recipe.vessels and vessel in LIQUOR_VESSELS:
        return (vessel, "liquor")
    return (vessel,)


@rule(
    "beyond-solubility",
    subject="recipe",
    levels=("warning",),
    group="Additions",
    what=(
        "More gypsum or lime in a vessel than its water dissolves. In the mash and the kettle "
        "gypsum is judged by hot water, which dissolves less of it."
    ),
    why=(
        "What does not dissolve lies on the bottom: the calcium and sulfate that were counted on "
        "are not there, and may come later where they are not wanted."
    ),
    limits=(
        limits.GYPSUM_SOLUBILITY.line,
        limits.GYPSUM_SOLUBILITY_HOT.line,
        limits.LIME_SOLUBILITY.line,
    ),
    configure="`levels: {beyond-solubility: note}`, or `off`.",
    failing=recipe_example("additions: [{add: gypsum, sparge: 35 g}]"),
    passing=recipe_example("additions: [{add: gypsum, sparge: 3 g}]"),
)
def beyond_solubility(case: Case) -> Iterator[Finding]:
    """The largest dose of each salt in each vessel that holds more of it than dissolves."""
    yield from undissolved(case)


@once
def undissolved(case: Case) -> list[Finding]:
    """What `beyond-solubility` tells, a dose once."""
    recipe = case.recipe
    assert recipe is not None
    doses: dict[str, list[Measured]] = {}
    for item in measured_doses(case):
        if item.additive.solubility_g_per_l is not None and _substance(item) != "chalk":
            doses.setdefault(_substance(item), []).append(item)
    told: dict[str, Finding] = {}
    doses = {name: items for name, items in doses.items() if _may_be_beyond(recipe, items)}
    for vessel in VESSELS if doses else ():
        places = reaching(recipe, vessel)
        for items in doses.values():
            found = [item for item in items if item.dose.place in places]
            finding = _undissolved(case, recipe, vessel, found)
            if finding is not None:
                told.setdefault(finding.pointer, finding)
    return [*told.values()]


def _substance(item: Measured) -> str:
    return item.additive.like or item.additive.name


def _solubility(item: Measured, vessel: str) -> float | None:
    """[g/L]; `None` for what dissolves as far as brewing goes, and for chalk, which has a rule."""
    if _substance(item) == "chalk":
        return None
    hot = item.additive.solubility_hot_g_per_l
    return hot if vessel in _HOT and hot is not None else item.additive.solubility_g_per_l


def _grams_per_litre(recipe: Recipe, item: Measured) -> float:
    """Of the form whose solubility is known, in the dose's own water."""
    volume = volume_of(recipe, item.dose.place)
    form, usual = item.additive.form(item.addition.form), item.additive.form()
    grams = pure_grams(item)
    if form is not usual and form and usual and form.salt and usual.salt:
        grams *= ion_yield(form.salt)["calcium"] / ion_yield(usual.salt)["calcium"]
    return grams / volume if volume else 0.0


def _may_be_beyond(recipe: Recipe, items: list[Measured]) -> bool:
    """Whether the doses of a salt, were they all in one vessel and it hot, were too much."""
    total = sum([_grams_per_litre(recipe, item) for item in items])
    allowed = [_solubility(item, "mash") or 0.0 for item in items]
    return total > min([*allowed, *[_solubility(item, "sparge") or 0.0 for item in items]])


def _undissolved(case: Case, recipe: Recipe, vessel: str, items: list[Measured]) -> Finding | None:
    if not items:
        return None
    strengths = [_grams_per_litre(recipe, item) for item in items]
    largest = items[strengths.index(max(strengths))]
    total = sum(strengths)
    allowed = _solubility(largest, vessel)
    if allowed is None or total <= allowed * (1.0 + HAIR):
        return None
    if any(is_implausible_dose(recipe, item) for item in items) and analyses.speaks_for(
        case, "implausible-quantity", "warning", "beyond-solubility", "warning"
    ):
        return None
    volume = volume_of(recipe, largest.dose.place)
    title = largest.additive.title
    return case.finding(
        "beyond-solubility",
        "warning",
        largest.dose.pointer,
        f"{apart(total, allowed)} g/L of {title} in the {vessel} water is more than the "
        f"{number(allowed)} g/L that dissolves",
        help=(
            f"At most {at_most(allowed * volume)} g of {title} dissolve in these "
            f"{number(volume)} L. Spread it over more water, or use another salt."
        ),
        basis=largest.additive.solubility_basis,
        quantity=_substance(largest),
        vessel=vessel,
        value=total,
        high=allowed,
        unit="g/L",
    )


@rule(
    "acid-against-alkali",
    subject="recipe",
    needs=("acid", "alkali"),
    levels=("warning",),
    group="The mash",
    what=(
        "An acid and an alkali (baking soda, potassium bicarbonate, chalk, lime) in one vessel. "
        "What goes into the liquor counts for each water that is drawn from it. Where the alkali "
        "comes after the mash, `alkali-after-mash` tells it instead."
    ),
    why=(
        "They cancel each other. What stays is the lactate or chloride of the one and the sodium "
        "or calcium of the other, and a mash pH that hangs on two doses instead of none."
    ),
    limits=("never both — common practice",),
    configure="`levels: {acid-against-alkali: note}`, or `off`.",
    failing=recipe_example(
        "additions:\n"
        "  - {add: lactic-acid, strength: 80 %, mash: 2 mL}\n"
        "  - {add: baking-soda, mash: 2 g}"
    ),
    passing=recipe_example(
        "additions:\n"
        "  - {add: lactic-acid, strength: 80 %, sparge: 2 mL}\n"
        "  - {add: baking-soda, mash: 2 g}"
    ),
)
def acid_against_alkali(case: Case) -> Iterator[Finding]:
    """In each vessel the first dose that meets its opposite."""
    recipe = case.recipe
    assert recipe is not None
    told: set[str] = set()
    doses = [item for item in measured_doses(case) if item.additive.role in ("acid", "alkali")]
    if len({item.additive.role for item in doses}) < 2:
        return
    for vessel in VESSELS:
        places = reaching(recipe, vessel)
        pair = _opposites(case, [item for item in doses if item.dose.place in places])
        if pair is None or pair[1].dose.pointer in told:
            continue
        earlier, later = pair
        told.add(later.dose.pointer)
        yield case.finding(
            "acid-against-alkali",
            "warning",
            later.dose.pointer,
            f"{earlier.additive.title} and {later.additive.title} meet in the {vessel}, where "
            "they cancel each other",
            help=(
                "Leave out the one that does less and lessen the other: `waterlint predict` shows "
                f"the {'mash pH' if vessel == 'mash' else 'alkalinity'} that is left."
            ),
            basis="common practice",
            related=(
                Related(
                    case.path,
                    case.place(earlier.dose.pointer),
                    f"the {earlier.additive.title} that it meets",
                ),
            ),
            vessel=vessel,
        )


def _opposites(case: Case, items: list[Measured]) -> tuple[Measured, Measured] | None:
    """The first dose that has its opposite before it, after that opposite."""
    earlier: list[Measured] = []
    for item in items:
        if not item.amount > 0.0:
            continue
        if (
            item.additive.alkali_after_mash
            and item.dose.place in _AFTER_MASH
            and analyses.speaks_for(
                case, "alkali-after-mash", "warning", "acid-against-alkali", "warning"
            )
        ):
            continue
        for other in earlier:
            if other.additive.role != item.additive.role:
                return other, item
        earlier.append(item)
    return None
