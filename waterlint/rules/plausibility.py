"""Slips of a digit: figures that no brewing water and no mash has."""

from __future__ import annotations

from collections.abc import Iterator

from waterlint.catalog import limits
from waterlint.finding import Finding
from waterlint.hints import Final
from waterlint.model.recipe import Recipe
from waterlint.model.water import Analysis
from waterlint.prediction.result import WaterFigures
from waterlint.rules import analyses
from waterlint.rules.balance import implausible_ions
from waterlint.rules.doses import HAIR, Measured, measured_doses, pure_grams, volume_of
from waterlint.rules.registry import Case, once, rule
from waterlint.rules.samples import recipe_example
from waterlint.rules.wording import apart, number


@rule(
    "implausible-quantity",
    subject="file",
    levels=("warning",),
    group="The file",
    what=(
        "Figures that look like a decimal point gone astray: a mash too thick to stir or too "
        "thin to be one, more of one salt in its water than any beer takes, an ion beyond what "
        "brewing water holds, in a report or after the additions, a reported pH that no water has "
        "which anybody brews with."
    ),
    why=(
        "24 g for 2.4 g is the slip that every log of brew days has. It is told for what it is, "
        "before the figures that go wrong with it."
    ),
    limits=(
        limits.THICKNESS_PLAUSIBLE.line,
        limits.IMPLAUSIBLE_DOSE.line,
        limits.IMPLAUSIBLE_ION.line,
        limits.IMPLAUSIBLE_PH.line,
    ),
    configure="`levels: {implausible-quantity: note}`, or `off`.",
    failing=recipe_example("additions: [{add: epsom-salt, mash: 60 g}]"),
    passing=recipe_example("additions: [{add: epsom-salt, mash: 0.6 g}]"),
)
def implausible_quantity(case: Case) -> Iterator[Finding]:
    """Each figure of a recipe or a report that can hardly be meant."""
    if case.recipe is not None:
        yield from _thickness(case)
        doses = implausible_doses(case)
        for item in doses:
            yield _dose(case, item)
        yield from _dosed_ions(case, {item.dose.pointer for item in doses})
    elif case.report is not None:
        for analysis in analyses.main_first(case.report):
            for ion in implausible_ions(analysis):
                value = analysis.ions[ion].value
                pointer = analyses.place(analysis, f"ions/{ion}")
                yield _ion(case, pointer, ion, value, analyses.title(analysis))
            yield from _ph(case, analysis)


def _ph(case: Case, analysis: Analysis) -> Iterator[Finding]:
    limit = limits.IMPLAUSIBLE_PH
    if analysis.ph is None or not analyses.states(analysis, "ph"):
        return
    if limit.contains(analysis.ph.value):
        return
    yield case.finding(
        "implausible-quantity",
        "warning",
        analyses.place(analysis, "ph"),
        f"a pH of {number(analysis.ph.value)}{analyses.title(analysis)} can hardly be meant; "
        f"water to brew with has {limit.range_text}",
        help="Look for a decimal point gone astray, or for the figure of another line.",
        basis=limit.basis,
        quantity="ph",
        value=analysis.ph.value,
        low=limit.floor,
        high=limit.ceiling,
    )


#: What to do about a dose.
_ASTRAY: Final = "Look for a decimal point gone astray, in the dose and in the volume."


@once
def implausible_doses(case: Case) -> list[Measured]:
    """The doses that are more of one salt than any beer takes."""
    assert case.recipe is not None
    if not may_hold_slips(case):
        return []
    return [item for item in measured_doses(case) if is_implausible_dose(case.recipe, item)]


@once
def may_hold_slips(case: Case) -> bool:
    """Whether any dose may be large enough to be a slip: cheaper than looking at each."""
    recipe, prediction = case.recipe, case.prediction
    assert recipe is not None
    if prediction is None or len(prediction.dose_mass_g) < len(measured_doses(case)):
        return True
    largest = max(prediction.dose_mass_g.values(), default=0.0)
    least = min([recipe.batch.volume.value, *[v.volume.value for v in recipe.vessels.values()]])
    return largest > limits.IMPLAUSIBLE_DOSE.ceiling * least


@once
def implausible_thickness(case: Case) -> float | None:
    """The mash's thickness where no mash has it [L/kg], else `None`."""
    mash = None if case.prediction is None else case.prediction.mash
    limit = limits.THICKNESS_PLAUSIBLE
    if mash is None or mash.thickness_l_per_kg is None:
        return None
    thickness = mash.thickness_l_per_kg
    is_sound = limit.floor * (1.0 - HAIR) <= thickness <= limit.ceiling * (1.0 + HAIR)
    return None if is_sound else thickness


def _thickness(case: Case) -> Iterator[Finding]:
    thickness = implausible_thickness(case)
    if thickness is None:
        return
    limit = limits.THICKNESS_PLAUSIBLE
    bound = limit.floor if thickness < limit.floor else limit.ceiling
    yield case.finding(
        "implausible-quantity",
        "warning",
        "/water/mash/volume",
        f"the mash would have {apart(thickness, bound)} L/kg; {limit.range_text} can be mashed",
        help="Look for a decimal point gone astray in the mash water or the grist.",
        basis=limit.basis,
        quantity="thickness",
        vessel="mash",
        value=thickness,
        low=limit.floor,
        high=limit.ceiling,
        unit=limit.unit,
    )


def is_implausible_dose(recipe: Recipe, item: Measured) -> bool:
    """Whether a dose is more of one salt than any beer takes. Acids are judged by their ion."""
    if item.additive.role == "acid":
        return False
    volume = volume_of(recipe, item.dose.place)
    return pure_grams(item) > limits.IMPLAUSIBLE_DOSE.ceiling * volume * (1.0 + HAIR) > 0.0


def _dose(case: Case, item: Measured) -> Finding:
    assert case.recipe is not None
    limit = limits.IMPLAUSIBLE_DOSE
    volume = volume_of(case.recipe, item.dose.place)
    strength = pure_grams(item) / volume
    return case.finding(
        "implausible-quantity",
        "warning",
        item.dose.pointer,
        f"{item.additive.title} would be {apart(strength, limit.ceiling)} g/L in the "
        f"{item.dose.place} ({number(volume)} L); more than {number(limit.ceiling)} g/L of one "
        "salt can hardly be meant",
        help=_ASTRAY,
        basis=limit.basis,
        quantity=item.additive.name,
        vessel=item.dose.place,
        value=strength,
        high=limit.ceiling,
        unit="g/L",
    )


def _dosed_ions(case: Case, told: set[str]) -> Iterator[Finding]:
    """Ions that the doses together bring beyond sense, at the dose that brings most."""
    prediction = case.prediction
    if prediction is None:
        return
    for vessel, water in (
        ("mash", prediction.mash_water),
        ("sparge", prediction.sparge_water),
        ("batch", prediction.batch_water),
    ):
        for ion, value in _beyond(water):
            assert water is not None
            doses = [
                each
                for each in water.contributions.get(ion, ())
                if each.origin.startswith("/additions/")
            ]
            origins = {each.origin for each in doses}
            if not doses or origins & told:
                continue
            told |= origins
            largest = max(doses, key=lambda each: each.amount)
            yield _ion(case, largest.origin, ion, value, f" in the {vessel} water", vessel)


def _beyond(water: WaterFigures | None) -> list[tuple[str, float]]:
    limit = limits.IMPLAUSIBLE_ION.ceiling
    if water is None or water.ions_sum_at_most <= limit:
        return []
    names = [ion for ion in water.ions if ion != "bicarbonate" or water.bicarbonate_at_most > limit]
    return [(ion, value) for ion in names if (value := water.ions[ion].value) > limit]


def _ion(
    case: Case, pointer: str, ion: str, value: float, where: str, vessel: str | None = None
) -> Finding:
    limit = limits.IMPLAUSIBLE_ION
    return case.finding(
        "implausible-quantity",
        "warning",
        pointer,
        f"{ion} {'is' if vessel is None else 'would be'} {apart(value, limit.ceiling)} mg/L"
        f"{where}; more than {number(limit.ceiling)} mg/L of one ion can hardly be meant",
        help=(
            "Look for a decimal point gone astray, or for a unit that is not mg/L."
            if vessel is None
            else _ASTRAY
        ),
        basis=limit.basis,
        quantity=ion,
        vessel=vessel,
        value=value,
        high=limit.ceiling,
        unit="mg/L",
    )
