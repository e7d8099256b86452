"""Whether an addition says enough to be a dose: which substance, in which form, how strong."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from waterlint.catalog.additives import Additive, Form
from waterlint.catalog.catalog import Catalog
from waterlint.chemistry.acids import acid
from waterlint.chemistry.salts import ion_yield, salt
from waterlint.finding import Finding
from waterlint.model.recipe import Addition, Dose
from waterlint.prediction.compounds import find_compound
from waterlint.project.nearest import nearest
from waterlint.rules.registry import Case, rule
from waterlint.rules.renaming import with_name
from waterlint.rules.samples import recipe_example
from waterlint.rules.wording import listed, number

_VOLUMES = frozenset({"mL", "mL/L"})


@rule(
    "unknown-additive",
    subject="recipe",
    needs=("unweighed",),
    levels=("error",),
    group="Additions",
    what=(
        "An addition that neither the catalogue nor the house's own `additives` know, with the "
        "nearest names and, for a formula, the substance."
    ),
    why="What is not known cannot be counted: every figure downstream of it would be a guess.",
    limits=("the additives of the catalogue and of waterlint.yaml — each with its own basis",),
    configure="A product of the house's own goes under `additives` in waterlint.yaml.",
    failing=recipe_example("additions: [{add: gipsum, mash: 2 g}]"),
    passing=recipe_example("additions: [{add: gypsum, mash: 2 g}]"),
)
def unknown_additive(case: Case) -> Iterator[Finding]:
    """Each addition that is not in the catalogue."""
    assert case.recipe is not None
    known = case.catalog.additives
    for addition in case.recipe.additions:
        if addition.name in known or case.catalog.has_faulty("additives", addition.name):
            continue
        meant = meant_additive(addition.name, case.catalog)
        guess = f"Did you mean `{meant}`? " if meant else ""
        finding = case.finding(
            "unknown-additive",
            "error",
            f"{addition.pointer}/add",
            f"`{addition.name}` is no known additive, so nothing it brings can be counted",
            help=f"{guess}Known are {listed(sorted(known))}.",
            basis="the catalogue of additives",
            quantity="additive",
        )
        yield with_name(case, finding, addition.name, meant)


def meant_additive(word: str, catalog: Catalog) -> str | None:
    """The additive that was probably meant by a word, or by a formula such as ``CaCl2``."""
    formulas = _formulas(catalog.additives)
    folded = word.replace(" ", "").casefold()
    return formulas.get(folded) or nearest("-".join(word.split()), catalog.additives)


def _formulas(additives: Mapping[str, Additive]) -> dict[str, str]:
    """Additives by the formula of what they are, with and without water of crystallisation."""
    found: dict[str, str] = {}
    for additive in additives.values():
        if additive.acid is not None:
            found.setdefault(acid(additive.acid).formula.casefold(), additive.name)
        for form in additive.forms.values():
            if form.salt is not None:
                formula = salt(form.salt).formula.casefold()
                found.setdefault(formula, additive.name)
                found.setdefault(formula.partition(".")[0], additive.name)
    return found


@rule(
    "form-unstated",
    subject="recipe",
    needs=("unweighed",),
    levels=("error",),
    group="Additions",
    what=(
        "An additive that is sold in forms of different strength, without saying which; a form "
        "that it is not sold in; a solid that is dosed by volume."
    ),
    why=(
        "A gram of calcium chloride brings 273 mg of calcium as dihydrate and 361 mg without "
        "water: 32 % more. Both stand on the shelf as calcium chloride."
    ),
    limits=(
        "`form` for calcium chloride and citric acid — molar masses by formula, IUPAC 2021",
        "a volume is a dose of liquids only — a spoon or a measure of a powder has no mass",
    ),
    configure=(
        "State `form`, or keep the product with its form under `additives` in waterlint.yaml."
    ),
    failing=recipe_example("additions: [{add: calcium-chloride, mash: 2 g}]"),
    passing=recipe_example("additions: [{add: calcium-chloride, form: dihydrate, mash: 2 g}]"),
)
def form_unstated(case: Case) -> Iterator[Finding]:
    """Each addition whose form is missing or unknown, and each volume of a solid."""
    for addition, additive in _known(case):
        form = additive.form(addition.form)
        if form is None:
            yield _without_form(case, addition, additive)
        elif form.state == "solid":
            for dose in addition.doses:
                if dose.amount.unit in _VOLUMES:
                    yield _volume_of_solid(case, addition, additive, dose)


def _known(case: Case) -> Iterator[tuple[Addition, Additive]]:
    assert case.recipe is not None
    for addition in case.recipe.additions:
        additive = case.catalog.additives.get(addition.name)
        if additive is not None:
            yield addition, additive


def _without_form(case: Case, addition: Addition, additive: Additive) -> Finding:
    forms = listed([f"`{name}`" for name in additive.forms], "or")
    if addition.form is None:
        message = (
            f"{additive.title} is sold in several forms, and the recipe does not say which"
            f"{_yields(additive)}"
        )
    else:
        message = f"{additive.title} has no form `{addition.form}`"
    return case.finding(
        "form-unstated",
        "error",
        addition.pointer if addition.form is None else f"{addition.pointer}/form",
        message,
        help=f"See the label and write `form:` with {forms}.",
        basis="molar masses by formula, IUPAC 2021",
        quantity="form",
    )


def _yields(additive: Additive) -> str:
    """What a gram gives in its weakest and its strongest solid form, where they are salts."""
    solids = [form for form in additive.forms.values() if form.salt and form.state == "solid"]
    if len(solids) < 2:
        return ""
    gains = [(ion_yield(form.salt), form.name) for form in solids if form.salt]
    metal = next(iter(gains[0][0]))
    (least, weak), (most, strong) = (
        pick((gain[metal], name) for gain, name in gains) for pick in (min, max)
    )
    return f": a gram brings {number(least)} mg of {metal} as {weak}, {number(most)} mg as {strong}"


def _volume_of_solid(case: Case, addition: Addition, additive: Additive, dose: Dose) -> Finding:
    liquid = [name for name, form in additive.forms.items() if form.state == "liquid"]
    alternative = (
        f" Where it is a solution, say `form: {liquid[0]}` and its `strength`." if liquid else ""
    )
    return case.finding(
        "form-unstated",
        "error",
        dose.pointer,
        f"`{dose.amount.text}` is no dose of {additive.title}, which is a solid here: a volume of "
        "powder has no certain mass",
        help=f"Weigh it and write the mass.{alternative}",
        basis="a volume is a dose of liquids only",
        quantity="dose",
        vessel=dose.place,
    )


@rule(
    "strength-unstated",
    subject="recipe",
    needs=("unweighed",),
    levels=("error",),
    group="Additions",
    what=(
        "An acid or a solution without its strength in percent by mass, or one that is measured "
        "by volume at a strength whose density is not known."
    ),
    why=(
        "Phosphoric acid is sold at 10, 75 and 85 %, lactic acid at 50, 80 and 88 %: the same "
        "millilitre is one dose or fourteen."
    ),
    limits=(
        "`strength` for acids and solutions — an acid without strength is no dose",
        "density by strength — tables of the catalogue, engineeringtoolbox.com and others",
    ),
    configure=(
        "State `strength`, and `density` where it is not in the tables, or keep the product "
        "under `additives` in waterlint.yaml."
    ),
    failing=recipe_example("additions: [{add: lactic-acid, mash: 2 mL}]"),
    passing=recipe_example("additions: [{add: lactic-acid, strength: 80 %, mash: 2 mL}]"),
)
def strength_unstated(case: Case) -> Iterator[Finding]:
    """Each acid or solution that cannot be dosed for want of its strength or density."""
    for addition, additive in _known(case):
        form = additive.form(addition.form)
        if form is None:
            continue
        if addition.strength is None and additive.needs_strength(addition.form):
            yield case.finding(
                "strength-unstated",
                "error",
                addition.pointer,
                f"the strength of the {_product(additive, form)} is not stated, so how much acid "
                "or salt a dose of it brings cannot be told",
                help="Read it off the label and add `strength: … %`, percent by mass.",
                basis="an acid or solution is dosed by what is in it",
                quantity="strength",
                unit="%",
            )
        elif _lacks_density(case, addition):
            yield _without_density(case, addition, additive, form)


def _product(additive: Additive, form: Form) -> str:
    if additive.role == "acid" or form.state == "solid":
        return additive.title
    return f"{additive.title} solution"


def _lacks_density(case: Case, addition: Addition) -> bool:
    """Whether a liquid is measured by volume without a density to turn it into a mass."""
    if _VOLUMES.isdisjoint([dose.amount.unit for dose in addition.doses]):
        return False
    compound = find_compound(addition, case.catalog)
    return not isinstance(compound, str) and compound.liquid and compound.density is None


def _without_density(case: Case, addition: Addition, additive: Additive, form: Form) -> Finding:
    strength = addition.strength
    written = "" if strength is None else f" of {number(strength.value)} %"
    return case.finding(
        "strength-unstated",
        "error",
        addition.pointer if strength is None else f"{addition.pointer}/strength",
        f"the density of {_product(additive, form)}{written} is not known, so a volume of it has "
        "no certain mass",
        help="Weigh it in grams, or add `density: … g/mL` from the label.",
        basis="the catalogue's tables of densities",
        quantity="density",
        value=None if strength is None else strength.value,
        unit="%",
    )
