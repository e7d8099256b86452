"""Cautions for what burns: strong acids and lime, told once a file."""

from __future__ import annotations

from collections.abc import Iterator

from waterlint.catalog import limits
from waterlint.catalog.additives import Additive
from waterlint.finding import Finding
from waterlint.model.recipe import Addition
from waterlint.rules.registry import Case, rule
from waterlint.rules.samples import recipe_example
from waterlint.rules.wording import number


@rule(
    "acid-handling",
    subject="recipe",
    needs=("acid",),
    levels=("note",),
    group="Safety",
    what=(
        "Once a file, at the strongest acid of 30 % and more: the usual cautions. Citric acid as "
        "a powder is left out."
    ),
    why=(
        "A recipe is read at the kettle. The maker's label and safety data sheet, and local "
        "rules, come first."
    ),
    limits=(limits.ACID_HANDLING.line,),
    configure="`levels: {acid-handling: off}` where everyone is trained.",
    failing=recipe_example("additions: [{add: lactic-acid, strength: 80 %, sparge: 2 mL}]"),
    passing=recipe_example("additions: [{add: phosphoric-acid, strength: 10 %, sparge: 6 mL}]"),
)
def acid_handling(case: Case) -> Iterator[Finding]:
    """The strongest of the strong acids."""
    limit = limits.ACID_HANDLING
    strong = [
        (strength, addition, additive)
        for addition, additive in _additions(case)
        if (strength := _strength(addition, additive)) is not None
        # The limit itself counts as strong.
        if strength >= limit.ceiling
    ]
    if not strong:
        return
    strength, addition, additive = max(strong, key=lambda each: each[0])
    stated = addition.strength is not None
    yield case.finding(
        "acid-handling",
        "note",
        f"{addition.pointer}/{'strength' if stated else 'add'}",
        f"{additive.title} of {number(strength)} % burns; from {number(limit.ceiling)} % on an "
        "acid asks for care",
        help=additive.caution,
        basis=limit.basis,
        quantity="strength",
        value=strength,
        high=limit.ceiling,
        unit="%",
    )


def _additions(case: Case) -> Iterator[tuple[Addition, Additive]]:
    assert case.recipe is not None
    for addition in case.recipe.additions:
        additive = case.catalog.additives.get(addition.name)
        if additive is not None and addition.doses:
            yield addition, additive


def _strength(addition: Addition, additive: Additive) -> float | None:
    """Of a liquid acid [%]; `None` for a powder and where it is not stated."""
    stated = None if addition.strength is None else addition.strength.value
    return additive.acid_strength(addition.form, stated)


@rule(
    "caustic-handling",
    subject="recipe",
    needs=("lime",),
    levels=("note",),
    group="Safety",
    what="Once a file, at the first dose of lime: the usual cautions.",
    why=(
        "Lime in the eye is an emergency, and an overdose of it cannot be tasted in time. The "
        "maker's label and safety data sheet, and local rules, come first."
    ),
    limits=("any lime — a saturated solution stands above pH 12",),
    configure="`levels: {caustic-handling: off}` where everyone is trained.",
    failing=recipe_example("additions: [{add: pickling-lime, mash: 1 g}]"),
    passing=recipe_example("additions: [{add: baking-soda, mash: 1 g}]"),
)
def caustic_handling(case: Case) -> Iterator[Finding]:
    """The first lime of the recipe."""
    for addition, additive in _additions(case):
        if any(form.salt == "calcium_hydroxide" for form in additive.forms.values()):
            yield case.finding(
                "caustic-handling",
                "note",
                f"{addition.pointer}/add",
                f"{additive.title} burns the eyes, and an overdose of it cannot be tasted in time",
                help=additive.caution,
                basis="common practice",
            )
            return
