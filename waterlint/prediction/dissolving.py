"""What doses become in a vessel's water: chalk by its credit, sulfite by the chlorine it meets."""

from __future__ import annotations

from collections.abc import Sequence

from waterlint.chemistry.formulas import molar_mass
from waterlint.chemistry.ions import IONS
from waterlint.chemistry.mash import CHALK_CAP, CHALK_CREDIT
from waterlint.chemistry.mash_uncertainty import CHALK_CREDIT_SD
from waterlint.hints import Final
from waterlint.prediction.contents import DosePart
from waterlint.prediction.doses import Weighed
from waterlint.prediction.rows import (
    ALKALINITY,
    CARBON,
    EMPTY,
    INDEX,
    Row,
    combination,
    dense,
    row,
    scaled,
    sparse,
)
from waterlint.records import Record

CHALK_SD: Final = CHALK_CREDIT_SD / CHALK_CREDIT
"""Spread of the credit relative to it [-]; arithmetic."""

_CHLORINE = molar_mass("Cl2")
_CHALK = molar_mass("CaCO3")


class Chlorine(Record, frozen=False):
    """Free and combined chlorine of a water [mg/L as Cl2]."""

    free: float
    combined: float


def _millimoles(counts: dict[str, float]) -> Row:
    """What reacts per millimole of metabisulfite, ions as mg."""
    return row(
        {
            name: count * (IONS[name].molar_mass if name in IONS else 1.0)
            for name, count in counts.items()
        }
    )


#: S2O5 + 2 Cl2 + 3 H2O -> 2 SO4 + 4 Cl + 6 H; A. J. deLange, Home Brew Digest 5793.
_WITH_FREE: Final = _millimoles({"sulfate": 2.0, "chloride": 4.0, ALKALINITY: -6.0})

#: S2O5 + 2 NH2Cl + 3 H2O -> 2 SO4 + 2 Cl + 2 H + 2 NH4; deLange, as above.
_WITH_COMBINED: Final = _millimoles(
    {"sulfate": 2.0, "chloride": 2.0, "ammonium": 2.0, ALKALINITY: -2.0}
)

#: Chalk as calcium bicarbonate: what carbon dioxide or the mash's acid makes of it first.
_OF_CHALK: Final = sparse(
    row({"calcium": IONS["calcium"].molar_mass, ALKALINITY: 2.0, CARBON: 2.0})
)


def dissolve(
    portions: Sequence[tuple[Weighed, float]], chlorine: Chlorine, volume: float, liquid: float
) -> tuple[tuple[DosePart, ...], str]:
    """What the doses of a vessel leave in it.

    Parameters
    ----------
    portions : sequence of (Weighed, float)
        Each dose and how much of it goes into this vessel [-].
    chlorine : Chlorine
        Of the vessel's own water.
    volume : float
        Of that water [L].
    liquid : float
        That the doses meet, wort included [L].

    Returns
    -------
    tuple of DosePart, str
        The parts, and why chalk leaves the pH unknown (empty without chalk).

    Notes
    -----
    Free chlorine reacts before combined. Doses of metabisulfite share the chlorine, doses of
    chalk the cap, in proportion to their amounts. Chalk counts as bicarbonate, without asking
    where its carbon dioxide came from: its water's pH is therefore not known.
    """
    made, left = _reaction(portions, chlorine, volume)
    credit = _chalk_credit(portions, liquid)
    parts: list[DosePart] = []
    chalk = ""
    for dose, share in portions:
        amount, compound = dose.amount * share, dose.compound
        chalk_sd = 0.0
        if compound.kind == "chalk":
            if amount:  # no chalk leaves nothing open
                chalk = _WITH_CO2 if dose.dissolved else _SUSPENDED
            chalk_sd = 0.0 if dose.dissolved else CHALK_SD
            unit, units = _OF_CHALK, amount * (1.0 if dose.dissolved else credit)
        elif compound.kind == "sulfite":
            amounts = _left(dense(scaled(compound.per_millimole, amount)), left)
            unit, units = sparse(combination(((amounts, 1.0), (made, amount)))), 1.0
        else:
            unit, units = compound.per_millimole, amount
        parts.append(
            DosePart(
                dose.pointer,
                dose.place,
                dose.label,
                compound,
                amount,
                unit,
                units,
                dose.relative_sd,
                chalk_sd,
                dose.dissolved,
            )
        )
    return tuple(parts), chalk


_SUSPENDED: Final = "how much of the chalk dissolves is not known"
_WITH_CO2: Final = "how much carbon dioxide was used to dissolve the chalk is not known"


def _reaction(
    portions: Sequence[tuple[Weighed, float]], chlorine: Chlorine, volume: float
) -> tuple[Row, float]:
    """What chlorine makes of a millimole of metabisulfite, and how much of it is left [-]."""
    dosed = sum(
        [dose.amount * share for dose, share in portions if dose.compound.kind == "sulfite"]
    )
    if not dosed:
        return EMPTY, 1.0
    # Half a millimole of metabisulfite meets one of chlorine or chloramine.
    free = min(1.0, 0.5 * chlorine.free * volume / _CHLORINE / dosed)
    combined = min(1.0 - free, 0.5 * chlorine.combined * volume / _CHLORINE / dosed)
    return combination(((_WITH_FREE, free), (_WITH_COMBINED, combined))), 1.0 - free - combined


def _left(amounts: Row, left: float) -> Row:
    """The same with only so much of its sulfite [-]."""
    place = INDEX["sulfite"]
    return (*amounts[:place], amounts[place] * left, *amounts[place + 1 :])


def _chalk_credit(portions: Sequence[tuple[Weighed, float]], liquid: float) -> float:
    """How much of undissolved chalk counts [-]."""
    dosed = _CHALK * sum(
        [
            dose.amount * share
            for dose, share in portions
            if dose.compound.kind == "chalk" and not dose.dissolved
        ]
    )
    if not dosed:
        return CHALK_CREDIT
    return CHALK_CREDIT * min(1.0, CHALK_CAP * liquid / dosed)
