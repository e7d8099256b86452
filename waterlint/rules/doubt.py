"""Which figures rest on an amount that can hardly be meant.

`implausible-quantity` tells the slip itself. What follows from it is no fault of its own, so the
rules about ranges are silent on the figures that it spoils.
"""

from __future__ import annotations

from waterlint.hints import Final
from waterlint.rules.analyses import is_heard
from waterlint.rules.figures import water_of
from waterlint.rules.plausibility import (
    implausible_doses,
    implausible_thickness,
    may_hold_slips,
)
from waterlint.rules.registry import Case, once

#: The rule that tells the slip.
SLIP: Final = "implausible-quantity"

#: What the mash pH depends on.
_MASH_PH_IONS: Final = frozenset({"calcium", "magnesium", "alkalinity"})

#: Figures that are made of others.
_PARTS: Final = {
    "mash_ph": _MASH_PH_IONS,
    "bicarbonate": frozenset({"alkalinity"}),
    "chloride_to_sulfate": frozenset({"chloride", "sulfate"}),
    "residual_alkalinity": frozenset({"alkalinity", "calcium", "magnesium"}),
}


def is_doubtful(case: Case, quantity: str, vessel: str) -> bool:
    """Whether a figure rests on a slip that `implausible-quantity` tells.

    Parameters
    ----------
    case : Case
        Of a recipe.
    quantity, vessel : str
        As `judge` takes them.
    """
    if not may_be_doubtful(case):
        return False
    assert case.prediction is not None
    if vessel != "sparge" and implausible_thickness(case) is not None:
        return True
    if not may_hold_slips(case):
        return False
    water = water_of(case.prediction, vessel)
    if water is None:
        return False
    slips = {item.dose.pointer for item in implausible_doses(case)}
    return any(
        each.origin in slips
        for part in _PARTS.get(quantity, {quantity})
        for each in water.contributions.get(part, ())
    )


@once
def may_be_doubtful(case: Case) -> bool:
    """Whether any figure of a case can be: few recipes have a slip to look for."""
    if case.recipe is None or case.prediction is None:
        return False
    if implausible_thickness(case) is None and not may_hold_slips(case):
        return False
    return is_heard(case, SLIP)
