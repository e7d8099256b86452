"""Which kettle dose takes an ion out of its range, and how much of it would still pass."""

from __future__ import annotations

import re
from collections.abc import Callable
from math import floor, log10

from waterlint.hints import TYPE_CHECKING
from waterlint.model.recipe import Addition, Dose, Recipe
from waterlint.prediction.compounds import find_compound
from waterlint.prediction.predict import predict
from waterlint.records import Record, replace
from waterlint.rules.figures import figure_of
from waterlint.rules.ranges import Bound, Verdict, judge
from waterlint.rules.registry import Case, once
from waterlint.rules.wording import plain
from waterlint.units import Quantity, QuantityError, parse

if TYPE_CHECKING:
    from decimal import Decimal

#: Figures that a dose in another unit keeps beyond those of the scale's step.
_FINER_DIGITS = 3


class KettleExcess(Record):
    """An ion beyond its range in the batch that would be inside without the kettle's additions.

    Attributes
    ----------
    verdict : Verdict
        Of the ion in the whole batch.
    bound : Bound
        The gravest one that it breaks.
    without : float
        What the ion would be without the kettle's additions [mg/L].
    addition, dose : Addition, Dose
        The kettle dose that brings most of it.
    brought : float
        What that dose brings [mg/L].
    others : tuple of str
        The other additions that the kettle has the ion from, by name.
    """

    verdict: Verdict
    bound: Bound
    without: float
    addition: Addition
    dose: Dose
    brought: float
    others: tuple[str, ...] = ()

    @property
    def strictest(self) -> Bound:
        """The narrowest bound that only the kettle breaks; keeping it silences every level."""
        kept = [
            bound
            for bound in self.verdict.bounds
            if bound.side == "high"
            and bound.is_broken_by(self.verdict.figure.value)
            and not bound.is_broken_by(self.without)
        ]
        return min(kept, key=lambda bound: bound.value)


@once
def kettle_excess(case: Case, ion: str) -> KettleExcess | None:
    """The kettle's part in an ion's excess; `None` where there is no excess or it has another
    cause.

    Parameters
    ----------
    case : Case
        Of a recipe.
    ion : str
        Judged in the whole batch.
    """
    verdict = judge(case, ion, "batch", even_doubtful=True)
    bound = None if verdict is None else verdict.broken
    if verdict is None or bound is None or bound.side == "low":
        return None
    assert case.recipe is not None and case.prediction is not None
    share = case.prediction.kettle_share.get(ion, 0.0)
    if share is None:
        return None
    without = verdict.figure.value - share
    if bound.is_broken_by(without):
        return None
    brought = _brought(case, ion)
    doses = [
        (brought[dose.pointer], addition, dose)
        for addition in case.recipe.additions
        for dose in addition.doses
        if dose.pointer in brought
    ]
    if not doses:
        return None
    most, addition, dose = max(doses, key=lambda each: each[0])
    others = tuple(
        dict.fromkeys(other.name for _, other, its in doses if its.pointer != dose.pointer)
    )
    return KettleExcess(verdict, bound, without, addition, dose, most, others)


def _brought(case: Case, ion: str) -> dict[str, float]:
    """What each kettle dose brings of an ion [mg/L of the batch], by the dose's pointer."""
    water = None if case.prediction is None else case.prediction.batch_water
    contributions = () if water is None else water.contributions.get(ion, ())
    return {
        each.origin: each.amount
        for each in contributions
        if each.place == "kettle" and each.origin.startswith("/additions/") and each.amount > 0.0
    }


def largest_dose(case: Case, excess: KettleExcess, bound: Bound) -> Decimal | None:
    """The largest dose on the scale's grid that keeps a bound, all else staying as it is.

    Parameters
    ----------
    case : Case
    excess : KettleExcess
    bound : Bound
        One of the verdict's.

    Returns
    -------
    Decimal or None
        [g or mL, as the dose is written]; `None` where even leaving it out is not enough.

    Notes
    -----
    What a dose brings is in proportion to it but for chalk, which stops dissolving, and sulfite,
    which meets chlorine; for these the recipe is predicted anew with each dose that is tried.
    """
    step = step_of(case, excess.dose.amount)
    written = excess.dose.amount.value
    value_at = _value_at(case, excess)

    def passes(steps: int) -> bool:
        return not bound.is_broken_by(value_at(float(step * steps)))

    # More of a dose is never less of its ion. -1 stands for no dose at all.
    passing, most = -1, floor(written / float(step))
    while passing < most:
        middle = (passing + most + 1) // 2
        passing, most = (middle, most) if passes(middle) else (passing, middle - 1)
    return step * passing if passing >= 0 else None


def step_of(case: Case, amount: Quantity) -> Decimal:
    """The resolution of what the dose is measured with [g or mL]."""
    from decimal import Decimal

    scale = case.settings.scale
    return Decimal(str(scale.volume_ml if amount.unit == "mL" else scale.mass_g))


def _value_at(case: Case, excess: KettleExcess) -> Callable[[float], float]:
    """The ion in the batch as a function of the dose [mg/L of g or mL]."""
    recipe, ion = case.recipe, excess.verdict.quantity
    assert recipe is not None
    reports = {
        name: water.report for name, water in case.waters.items() if water.report is not None
    }

    def by_proportion(amount: float) -> float:
        rest = excess.verdict.figure.value - excess.brought
        return rest + excess.brought * amount / excess.dose.amount.value

    def predicted(amount: float) -> float:
        changed = _with_dose(recipe, excess.dose, amount)
        found = figure_of(
            predict(changed, reports, case.catalog, case.settings.scale), ion, "batch"
        )
        return by_proportion(amount) if found is None else found.value

    compound = find_compound(excess.addition, case.catalog)
    bent = not isinstance(compound, str) and compound.kind in ("chalk", "sulfite")
    return predicted if bent else by_proportion


def _with_dose(recipe: Recipe, dose: Dose, amount: float) -> Recipe:
    """The recipe with another amount in one dose."""
    changed = replace(dose, amount=replace(dose.amount, value=amount, sd=None))
    return replace(
        recipe,
        additions=tuple(
            replace(
                addition,
                doses=tuple(changed if each == dose else each for each in addition.doses),
            )
            for addition in recipe.additions
        ),
    )


def dose_text(amount: Decimal, written: Quantity) -> str:
    """A dose in the unit that the recipe writes, never rounded up.

    Parameters
    ----------
    amount : Decimal
        [g or mL]
    written : Quantity
        The dose as it stands.

    Examples
    --------
    >>> from decimal import Decimal
    >>> dose_text(Decimal("1.2"), Quantity(2.0, "g", text="2 g"))
    '1.2 g'
    >>> dose_text(Decimal("1.2"), Quantity(2.0, "g", text="2000 mg"))
    '1200 mg'
    >>> dose_text(Decimal("1.2"), Quantity(28.35, "g", text="1 oz"))
    '0.04232 oz (1.2 g)'
    """
    from decimal import ROUND_FLOOR, Decimal

    canonical = f"{plain(amount)} {written.unit}"
    found = re.search(r"[^\d.,±<+/\-\s].*$", written.text)
    unit = found.group() if found else written.unit
    try:
        size = parse("dose", f"1 {unit}")
    except QuantityError:
        return canonical
    if size.unit != written.unit or unit == written.unit:
        return canonical
    exact = amount / Decimal(str(size.value))
    digits = _FINER_DIGITS + max(0, 1 + floor(log10(size.value)))
    rounded = exact.quantize(Decimal(1).scaleb(-digits), ROUND_FLOOR)
    text = f"{plain(rounded)} {unit}"
    return text if rounded == exact else f"{text} ({canonical})"
