"""Metabisulfite: whether a dose fits the chlorine it is for, and what it may leave in the beer."""

from __future__ import annotations

from collections.abc import Iterator

from waterlint.catalog import cautions, limits
from waterlint.chemistry.formulas import molar_mass
from waterlint.chemistry.ions import IONS
from waterlint.finding import Finding
from waterlint.model.recipe import Addition, Dose, Recipe
from waterlint.prediction.doses import LIQUOR_VESSELS
from waterlint.records import Record
from waterlint.rules import analyses
from waterlint.rules.chlorine import chlorine_of, millimoles_needed, reaches, sulfite_doses
from waterlint.rules.registry import Case, rule
from waterlint.rules.samples import recipe_example
from waterlint.rules.wording import apart, at_least, number

_SULFUR_DIOXIDE = molar_mass("SO2") / IONS["sulfite"].molar_mass

#: A hair's breadth for the arithmetic: exactly at a limit is within it.
_HAIR = 1e-9


class _Body(Record):
    """A body of water that metabisulfite is dosed into [mmol as S2O5, L].

    `need` counts what the treatments leave, `reported` what the reports have.
    """

    name: str
    doses: tuple[tuple[Addition, Dose, float], ...]
    need: float
    reported: float
    known: bool

    @property
    def dosed(self) -> float:
        return sum(amount for _, _, amount in self.doses)


@rule(
    "sulfite-dose",
    subject="recipe",
    needs=("sulfite",),
    levels=("warning",),
    group="The water report",
    what=(
        "Metabisulfite against the chlorine and chloramine of the water it goes into: less than "
        "they use up, or far more. A dose to the liquor is judged with all water before it is "
        "split, and by vessel where one gets a dose of its own besides. Where a report says "
        "nothing of chlorine, there is nothing to judge by."
    ),
    why=(
        "Too little leaves chlorine in the water. Far too much leaves sulfite, which has to be "
        "declared from a small amount on and slows the yeast; a tablet meant for twenty gallons "
        "in one is the usual slip."
    ),
    limits=(limits.SULFITE_DOSE.line,),
    configure="`levels: {sulfite-dose: note}`, or `off`.",
    failing=recipe_example(
        "additions: [{add: potassium-metabisulfite, liquor: 0.35 g}]", water=("chlorine: 2 mg/L",)
    ),
    passing=recipe_example(
        "additions: [{add: potassium-metabisulfite, liquor: 0.2 g}]", water=("chlorine: 2 mg/L",)
    ),
)
def sulfite_dose(case: Case) -> Iterator[Finding]:
    """The largest dose into each body of water that has too little or far too much."""
    limit = limits.SULFITE_DOSE
    bodies = list(_bodies(case))
    labelled = residual_sulfur_dioxide(case) if bodies else None
    for body in bodies:
        too_little = body.dosed < limit.floor * body.need * (1.0 - _HAIR)
        too_much = body.known and body.dosed > limit.ceiling * body.reported * (1.0 + _HAIR)
        if (
            too_much
            and labelled is not None
            and analyses.speaks_for(case, "sulfite-label", "warning", "sulfite-dose", "warning")
        ):
            continue
        if too_little or too_much:
            yield _dose_finding(case, body, too_little)


def _bodies(case: Case) -> Iterator[_Body]:
    """The waters that doses of metabisulfite go into, with what each needs."""
    recipe = case.recipe
    assert recipe is not None
    amounts = [
        (addition, dose, amount)
        for addition, dose in sulfite_doses(case)
        if (amount := _millimoles(case, addition, dose)) is not None
    ]
    places = {dose.place for _, dose, _ in amounts}
    # A dose to the liquor is for all of it; where one vessel gets more, each is looked at.
    shared = "liquor" in places and places.isdisjoint(LIQUOR_VESSELS)
    liquor = sum(recipe.vessels[name].volume.value for name in _drawn(recipe))
    names = [LIQUOR_VESSELS] if shared else [(name,) for name in LIQUOR_VESSELS]
    for group in (*names, ("fermenter",)):
        vessels = [recipe.vessels[name] for name in group if name in recipe.vessels]
        volume = sum(vessel.volume.value for vessel in vessels)
        doses = tuple(
            (addition, dose, amount * volume / liquor if dose.place == "liquor" else amount)
            for addition, dose, amount in amounts
            if any(reaches(dose, vessel.name) for vessel in vessels)
        )
        if not doses:
            continue
        waters = [(chlorine_of(case, vessel), vessel.volume.value) for vessel in vessels]
        yield _Body(
            "liquor" if shared and group is LIQUOR_VESSELS else group[0],
            doses,
            millimoles_needed(sum(water.left * volume for water, volume in waters)),
            millimoles_needed(sum(water.reported * volume for water, volume in waters)),
            all(water.known for water, _ in waters),
        )


def _drawn(recipe: Recipe) -> list[str]:
    """The vessels whose water is drawn from the liquor."""
    return [name for name in LIQUOR_VESSELS if name in recipe.vessels]


def _millimoles(case: Case, addition: Addition, dose: Dose) -> float | None:
    """A dose of metabisulfite [mmol of S2O5]; `None` where it could not be weighed."""
    mass = None if case.prediction is None else case.prediction.dose_mass_g.get(dose.pointer)
    if mass is None:
        return None
    additive = case.catalog.additives[addition.name]
    strength = additive.default_strength if addition.strength is None else addition.strength.value
    purity = 1.0 if strength is None else strength / 100.0
    return 1000.0 * mass * purity / additive.molar_mass(addition.form)


def _dose_finding(case: Case, body: _Body, too_little: bool) -> Finding:
    limit = limits.SULFITE_DOSE
    addition, dose, _ = max(body.doses, key=lambda each: each[2])
    need = body.need if too_little else body.reported
    additive = case.catalog.additives[addition.name]
    grams = need * additive.molar_mass(addition.form) / 1000.0
    ratio = body.dosed / need if need else None
    if ratio is None:
        message = (
            f"there is no chlorine in the {body.name} water that this {additive.title} could take "
            "out: it stays as sulfite"
        )
        help = "Leave it out."
    else:
        bound = limit.floor if too_little else limit.ceiling
        amount = at_least(grams) if too_little else number(grams, 2)
        message = (
            f"the metabisulfite in the {body.name} water is {apart(ratio, bound)} times what its "
            f"chlorine uses up; {number(limit.floor)} to {number(limit.ceiling)} times is right"
        )
        help = (
            f"By stoichiometry it takes {amount} g of {additive.title}; up to "
            f"{number(limit.ceiling)} times that is usual."
        )
    return case.finding(
        "sulfite-dose",
        "warning",
        dose.pointer,
        message,
        help=help,
        basis=limit.basis,
        quantity="metabisulfite",
        vessel=body.name,
        value=ratio,
        low=limit.floor,
        high=limit.ceiling,
        unit=limit.unit,
    )


def residual_sulfur_dioxide(case: Case) -> float | None:
    """Sulfur dioxide that the sulfites may leave [mg/L], where it has to be declared."""
    prediction = case.prediction
    if prediction is None:
        return None
    water = prediction.wort or prediction.batch_water
    sulfite = None if water is None else water.ions.get("sulfite")
    if sulfite is None:
        return None
    dioxide = sulfite.value * _SULFUR_DIOXIDE
    return dioxide if dioxide >= limits.SULFITE_LABEL.ceiling - _HAIR else None


@rule(
    "sulfite-label",
    subject="recipe",
    needs=("sulfite",),
    levels=("warning",),
    group="Safety",
    what=(
        "Sulfur dioxide that the recipe's sulfites may leave in the wort once chlorine has had "
        "its share. What the boil drives off and the yeast binds is not taken away: it cannot be "
        "counted on."
    ),
    why=(
        "Sulfites are dangerous to some people with asthma, and many countries want them on the "
        "label from 10 mg/L on. What yeast makes of its own comes on top."
    ),
    limits=(limits.SULFITE_LABEL.line,),
    configure="`levels: {sulfite-label: note}`, or `off` where it is declared anyhow.",
    failing=recipe_example("additions: [{add: potassium-metabisulfite, liquor: 1.2 g}]"),
    passing=recipe_example("additions: [{add: potassium-metabisulfite, liquor: 0.3 g}]"),
)
def sulfite_label(case: Case) -> Iterator[Finding]:
    """The largest dose of sulfite where what is left must be declared in many places."""
    assert case.recipe is not None
    doses = sulfite_doses(case)
    dioxide = residual_sulfur_dioxide(case) if doses else None
    if dioxide is None or case.prediction is None:
        return
    masses = case.prediction.dose_mass_g
    _, dose = max(doses, key=lambda each: masses.get(each[1].pointer, 0.0))
    limit = limits.SULFITE_LABEL
    yield case.finding(
        "sulfite-label",
        "warning",
        dose.pointer,
        f"the sulfites may leave {apart(dioxide, limit.ceiling)} mg/L of sulfur dioxide in the "
        f"beer; from {number(limit.ceiling)} mg/L on it must be declared in many places",
        help=(
            "Dose no more than the chlorine uses up, or declare it by the rules of the place "
            f"where the beer is sold. {cautions.SULFITE}"
        ),
        basis=limit.basis,
        quantity="sulfur_dioxide",
        vessel="batch",
        value=dioxide,
        high=limit.ceiling,
        unit="mg/L",
    )
