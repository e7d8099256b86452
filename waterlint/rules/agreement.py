"""Whether a reported sum agrees with the figures that it follows from."""

from __future__ import annotations

from waterlint.catalog import limits
from waterlint.chemistry.equilibria import log_k_carbonic_2, log_k_water
from waterlint.chemistry.ions import (
    CALCIUM_CARBONATE_EQUIVALENT,
    IONS,
    as_calcium_carbonate,
)
from waterlint.chemistry.ions import hardness as total_hardness
from waterlint.chemistry.water import ION_NAMES, Water
from waterlint.model.water import Analysis
from waterlint.records import Record
from waterlint.rules import analyses
from waterlint.units import Quantity

#: The temperature that reported pH and conductivity refer to [°C].
_ROOM = 25.0


class Gap(Record):
    """A reported figure and what it should be.

    Attributes
    ----------
    reported : Quantity
    low, high : float
        What the other figures come to; two values where practice knows two ways to count.
    allowed_low, allowed_high : float
        The same with the allowance for disagreement and rounding.
    """

    reported: Quantity
    low: float
    high: float
    allowed_low: float
    allowed_high: float

    @property
    def percent(self) -> float:
        """By how much the report differs from the nearer computed value [% of it]."""
        nearer = self.low if self.reported.value < self.low else self.high
        return 100.0 * (self.reported.value / nearer - 1.0) if nearer else 0.0


def gap(reported: Quantity, low: float, high: float, percent: float, rounding: float) -> Gap | None:
    """The disagreement of a reported figure, `None` where it agrees.

    Parameters
    ----------
    reported : Quantity
    low, high : float
        Computed, in the unit of `reported`.
    percent : float
        Allowed difference, of the computed value [%].
    rounding : float
        By how much rounding of the figures behind the computed value can move it.
    """
    slack = rounding + analyses.rounding(reported)
    allowed_low = low * (1.0 - percent / 100.0) - slack
    allowed_high = high * (1.0 + percent / 100.0) + slack
    # A hair's breadth for the arithmetic: exactly at the limit is within it.
    hair = 1e-9 * max(abs(high), 1.0)
    if allowed_low - hair <= reported.value <= allowed_high + hair:
        return None
    return Gap(reported, low, high, allowed_low, allowed_high)


def hardness_gap(analysis: Analysis) -> Gap | None:
    """Reported hardness against calcium and magnesium; `None` too where one is not its own."""
    hardness = analysis.hardness
    parts = ("calcium", "magnesium")
    if hardness is None or not analyses.states(analysis, *(f"ions/{name}" for name in parts)):
        return None
    calcium, magnesium = (analysis.ions[name] for name in parts)
    computed = total_hardness(calcium.value, magnesium.value)
    rounding = total_hardness(analyses.rounding(calcium), analyses.rounding(magnesium))
    return gap(hardness, computed, computed, limits.HARDNESS_DISAGREES.ceiling, rounding)


def alkalinity_gap(analysis: Analysis) -> Gap | None:
    """Reported alkalinity against bicarbonate and carbonate, where all are the analysis's own.

    Where no carbonate is stated, what the pH makes of the bicarbonate is allowed for.
    """
    alkalinity = analysis.alkalinity
    if alkalinity is None or not analyses.states(analysis, "alkalinity", "ions/bicarbonate"):
        return None
    bicarbonate = analysis.ions["bicarbonate"]
    low = high = as_calcium_carbonate("bicarbonate", bicarbonate.value)
    rounding = as_calcium_carbonate("bicarbonate", analyses.rounding(bicarbonate))
    carbonate = analysis.ions.get("carbonate")
    if carbonate is not None:
        low = high = low + as_calcium_carbonate("carbonate", carbonate.value)
        rounding += as_calcium_carbonate("carbonate", analyses.rounding(carbonate))
    elif analysis.ph is not None:
        high = low + _carbonate_alkalinity(bicarbonate.value, analysis.ph.value)
    return gap(alkalinity, low, high, limits.ALKALINITY_DISAGREES.ceiling, rounding)


def _carbonate_alkalinity(bicarbonate: float, ph: float) -> float:
    """Alkalinity of carbonate and hydroxide beside a bicarbonate [mg/L as CaCO3].

    As in very dilute water at 25 degrees Celsius: close enough for what is only allowed for.
    """
    molar = bicarbonate / IONS["bicarbonate"].molar_mass
    carbonate: float = 2.0 * molar * 10.0 ** (ph + log_k_carbonic_2(_ROOM))
    hydroxide: float = 1000.0 * 10.0 ** (ph + log_k_water(_ROOM))
    return (carbonate + hydroxide) * CALCIUM_CARBONATE_EQUIVALENT


def conductivity_gap(analysis: Analysis) -> Gap | None:
    """Reported conductivity against that of the ions; `None` too where ions are not its own."""
    conductivity = analysis.conductivity
    if conductivity is None or not _is_comparable(analysis):
        return None
    computed = _water(analysis).conductivity
    return gap(conductivity, computed, computed, limits.CONDUCTIVITY_DISAGREES.ceiling, 0.0)


def solids_gap(analysis: Analysis) -> Gap | None:
    """Reported dissolved solids against the sum of the ions.

    A dried residue has lost half of the bicarbonate as carbon dioxide and water; a laboratory
    that adds up ions keeps it. Both are in use, and what lies between is no disagreement.
    """
    solids = analysis.dissolved_solids
    if solids is None or not _is_comparable(analysis):
        return None
    water = _water(analysis)
    silica = analysis.traces.get("silica")
    extra = 0.0 if silica is None else silica.value
    dried = water.dissolved_solids + extra
    bicarbonate = IONS["bicarbonate"].equivalent_weight - IONS["carbonate"].equivalent_weight
    kept = dried + bicarbonate * max(0.0, water.alkalinity) / CALCIUM_CARBONATE_EQUIVALENT
    return gap(solids, dried, kept, limits.SOLIDS_DISAGREE.ceiling, 0.0)


def _is_comparable(analysis: Analysis) -> bool:
    """Whether an analysis states itself all that its conductivity and solids come from."""
    own = not analysis.pointer or analyses.states_whole(analysis)
    return own and not analyses.missing_ions(analysis)


def _water(analysis: Analysis) -> Water:
    """The analysis as chemistry's water; a pH that is not stated counts as neutral."""
    charges = analyses.charges(analysis, None)
    alkalinity = charges.alkalinity + sum(
        as_calcium_carbonate(ion, charges.amounts[ion])
        for ion in ("bicarbonate", "carbonate")
        if ion in charges.amounts
    )
    return Water(
        **{name: charges.amounts[name] for name in ION_NAMES if name in charges.amounts},
        alkalinity=alkalinity,
        ph=7.0 if analysis.ph is None else analysis.ph.value,
    )
