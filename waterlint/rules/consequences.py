"""What follows from a dose that another rule tells as far too much, and goes when that dose goes.

`doubt.py` is about figures that a slip spoils whatever their ranges; here a finding is left out
only where the recipe without the dose keeps the range that it breaks with it.
"""

from __future__ import annotations

from waterlint.finding import Level
from waterlint.prediction.predict import predict
from waterlint.records import replace
from waterlint.rules.analyses import is_heard, tells_at
from waterlint.rules.figures import figure_of
from waterlint.rules.practice import told_excesses
from waterlint.rules.ranges import Bound, judge
from waterlint.rules.registry import Case, once
from waterlint.rules.vessels import undissolved


def follows_from_a_dose(case: Case, rule: str, quantity: str, vessel: str, bound: Bound) -> bool:
    """Whether a figure breaks a bound only for a dose that is told by itself.

    What the recipe asks for itself, and what is graver than a warning, is told in any case; so is
    what the house's levels make graver than what is told of the dose.

    Parameters
    ----------
    case : Case
        Of a recipe.
    rule : str
        What would tell the broken bound.
    quantity, vessel : str
        As `judge` takes them.
    bound : Bound
        The one that is broken.
    """
    if bound.origin == "target" or bound.level == "error":
        return False
    level = case.settings.levels.get(rule, bound.level)
    if level == "off":
        return False
    doses = _told_doses(case, vessel, level)
    return any(is_kept_without(case, dose, quantity, vessel) for dose in doses)


@once
def _told_doses(case: Case, vessel: str, level: Level) -> tuple[str, ...]:
    """The pointers of doses that a rule of doses tells, at this level, to be too much for a vessel.

    What does not dissolve is too much for all that it is counted in. What is beyond practice is so
    in the whole batch, and may be meant: then what it does to the mash is still to be known.
    """
    found: dict[str, None] = {}
    if _is_told(case, "beyond-solubility", level):
        found |= dict.fromkeys(finding.pointer for finding in undissolved(case))
    if vessel == "batch" and _is_told(case, "dose-beyond-practice", level):
        found |= dict.fromkeys(group[0].dose.pointer for group in told_excesses(case))
    return tuple(found)


def _is_told(case: Case, rule: str, level: Level) -> bool:
    """Whether a rule's warnings reach a reader, at this level or a graver one."""
    return tells_at(case, rule, "warning", level) and is_heard(case, rule)


def is_kept_without(case: Case, dose: str, quantity: str, vessel: str) -> bool:
    """Whether a figure would keep its range, were one dose left out.

    Parameters
    ----------
    case : Case
        Of a recipe.
    dose : str
        The dose's pointer.
    quantity, vessel : str
        As `judge` takes them.
    """
    without = _without(case, dose)
    if figure_of(without.prediction, quantity, vessel) is None:
        return False
    verdict = judge(without, quantity, vessel)
    return verdict is None or verdict.broken is None


@once
def _without(case: Case, dose: str) -> Case:
    """The case predicted anew without a dose."""
    assert case.recipe is not None
    additions = tuple(
        replace(each, doses=tuple([other for other in each.doses if other.pointer != dose]))
        for each in case.recipe.additions
    )
    recipe = replace(case.recipe, additions=additions)
    reports = {
        name: water.report for name, water in case.waters.items() if water.report is not None
    }
    prediction = predict(recipe, reports, case.catalog, case.settings.scale)
    return replace(case, recipe=recipe, prediction=prediction)
