"""How much of an additive a proposal may dose in one place, and how little."""

from __future__ import annotations

from decimal import Decimal
from math import ceil

from waterlint.catalog.additives import Additive
from waterlint.catalog.limits import BELOW_SCALE, NEGLIGIBLE_ION
from waterlint.chemistry.ions import CALCIUM_CARBONATE_EQUIVALENT
from waterlint.hints import Final
from waterlint.prediction.compounds import Compound
from waterlint.prediction.rows import ALKALINITY, INDEX
from waterlint.remedy.situation import Situation
from waterlint.rules.analyses import is_on

#: The most of a salt that is proposed [g/L of its vessel], half of what is called implausible;
#: common practice: no ion's range leaves room for more.
_MOST_SALT: Final = 1.5

#: The most of an acid or alkali that is proposed [mEq/L of its vessel]; waters of more than
#: 10 mEq/L of alkalinity are not brewed with, common practice.
_MOST_ALKALINITY: Final = 10.0

#: The most of a sulfite that is proposed [g/L]: three times what 10 mg/L of chlorine use up.
_MOST_SULFITE: Final = 0.05

#: The least of a new dose [g/L]: less changes no ion by much more than 1 mg/L, which is called
#: negligible.
_LEAST_SALT: Final = 0.004

#: How much of what dissolves is used: the rest is left to the spread of volumes.
_DISSOLVED: Final = 0.98


def least_steps(
    situation: Situation, compound: Compound, scale: Decimal, step: Decimal, volume: float
) -> int:
    """The fewest steps of a new dose: what the scale shows and the water notices.

    Parameters
    ----------
    situation : Situation
    compound : Compound
    scale, step : Decimal
        The house's resolution, and the steps in which the dose is turned [g or mL].
    volume : float
        Of the water that the dose goes into [L].
    """
    if compound.kind == "sulfite":
        return 1
    if compound.kind == "acid":
        strength = _alkalinity_per_unit(compound) * CALCIUM_CARBONATE_EQUIVALENT
        least = NEGLIGIBLE_ION.floor * volume / strength if strength > 0.0 else 0.0
    else:
        least = _LEAST_SALT * volume
    if is_on(situation.case, "below-scale"):
        least = max(least, BELOW_SCALE.floor * float(scale))
    return max(1, ceil(least / float(step) - 1e-9))


def most_amount(additive: Additive, compound: Compound, volume: float, place: str) -> float:
    """The largest dose that is proposed [g or mL]."""
    grams_per_unit = compound.density or 1.0
    if compound.kind == "sulfite":
        return _MOST_SULFITE * volume / grams_per_unit
    strength = _alkalinity_per_unit(compound)
    if strength > 0.0:
        most = _MOST_ALKALINITY * volume / strength
    else:
        most = _MOST_SALT * volume / grams_per_unit
    hot = additive.solubility_hot_g_per_l if place in ("mash", "kettle") else None
    dissolves = hot if hot is not None else additive.solubility_g_per_l
    return most if dissolves is None else min(most, _DISSOLVED * dissolves * volume)


def millimoles_per_unit(compound: Compound) -> float:
    """What a gram or millilitre of the product holds [mmol]."""
    return 1000.0 * (compound.density or 1.0) * compound.strength / compound.molar_mass


def _alkalinity_per_unit(compound: Compound) -> float:
    """[mEq per g or mL], without sign"""
    return abs(millimoles_per_unit(compound) * compound.per_millimole.get(INDEX[ALKALINITY], 0.0))


def only_less(additive: Additive, compound: Compound, place: str) -> bool:
    """Chalk is never proposed, nor an alkali after the mash; less of them is."""
    late = additive.role == "alkali" and place in ("sparge", "kettle", "fermenter")
    return compound.kind == "chalk" or late
