"""How far a predicted mash pH can be trusted, and how a measured one compares with it.

First order: each independent input moves the pH by its own standard deviation times the pH's
sensitivity to it, and the squares add up. With the lot's own malt figures and a stated mill
gap only the model and the meter remain; class defaults widen that.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import sqrt
from types import MappingProxyType

from waterlint.chemistry.malts import BUFFER_RELATIVE_SD
from waterlint.chemistry.mash import (
    CHALK_CAP,
    CRUSH_BY_GAP,
    MashInputs,
    MashResult,
)
from waterlint.hints import Final, NamedTuple

MODEL_SD: Final = 0.05
"""Of the balance itself [pH]: 0.047 to 0.052 over 93 to 155 measured mashes of Troester 2009 and
others, 0.060 where each table is predicted from the rest. The meter of one laboratory is in it."""

METER_SD: Final = 0.03
"""Of a careful reading elsewhere [pH]; common practice."""

CRUSH_UNKNOWN_SD: Final = 0.08
"""Of the crush factor where the gap is not stated [-]; spread of Troester 2009, tables 17, 18."""

CRUSH_EXTENDED_SD: Final = 0.06
"""Of the crush factor past the widest gap measured, 1.2 mm [-]; common practice."""

CHALK_CREDIT_SD: Final = 0.25
"""Of the share of undissolved chalk that counts [-]: Troester 2009, tables 8 and 12, gives 0.03 to
0.27 as bicarbonate against the credit of 0.5."""

CARBON_DIOXIDE_KEPT_SD: Final = 0.2
"""Of the share of CO2 that stays in the mash [-], taken as 1; fits to Troester 2009 give 0.78 to
0.85."""

DECOCTION_SD: Final = 0.06
"""Of each decoction [pH]: a drop of 0 to 0.2, by K. Troester's notes, taken as even."""

REFERENCE_TEMPERATURE: Final = 25.0
"""Of predicted and compared pH [degrees Celsius]."""

PH_PER_KELVIN: Final = 0.0055
"""Drop of a mash's pH with temperature [pH/K]; Palmer and Kaminski, as cited by Hosom 2018."""

PH_PER_KELVIN_SD: Final = 0.002
"""[pH/K]; sources run from 0.0025 (Hoyer 2004) over 0.0045 to 0.0055 (Hosom 2018) to 0.0072
(Hopkins and Krause 1947) and 0.0085 (Briggs et al. 2004)."""

VALIDATED: Final[Mapping[str, tuple[float, float]]] = MappingProxyType(
    {
        "alkalinity": (-5.6, 5.5),
        "calcium": (0.0, 15.8),
        "magnesium": (0.0, 16.1),
        "thickness": (2.0, 5.0),
        "ph": (5.1, 6.3),
    }
)
"""Where measured mashes stand behind the model [mEq/L, L/kg, pH]; Troester 2009, of whose tables
T3 reaches down to -5.6 mEq/L of alkalinity, T6 and T7 up to 15.8 of calcium and 16.1 of magnesium.
Above 5.5 mEq/L of alkalinity what falls out with calcium is not modelled."""


class MashUncertainty(NamedTuple):
    """The standard deviation of a predicted mash pH.

    Attributes
    ----------
    sd : float
        [pH]; pH plus or minus this is the 68 % interval.
    parts : mapping of str to float
        What each kind of input adds [pH], as standard deviations: model, meter, malts, crush,
        carbon_dioxide, chalk, decoction, inputs.
    """

    sd: float
    parts: Mapping[str, float]


def mash_ph_sd(
    inputs: MashInputs, result: MashResult, *, inputs_sd: float = 0.0, decoctions: int = 0
) -> MashUncertainty:
    """Standard deviation of a predicted mash pH.

    Parameters
    ----------
    inputs : MashInputs
    result : MashResult
        Of these inputs.
    inputs_sd : float
        What the caller's own inputs (water, doses, volumes, weights) bring [pH], from
        `result.sensitivities`.
    decoctions : int

    Returns
    -------
    MashUncertainty

    Notes
    -----
    Base malts known by class alone are taken to stray together, as a harvest or a maltster
    makes them; all else is independent.

    Examples
    --------
    >>> from waterlint.chemistry.malts import malt_term
    >>> from waterlint.chemistry.mash import mash_ph
    >>> lot = MashInputs((malt_term("pale", 4.5, di_ph=5.72),), 14.0, mill_gap=1.0)
    >>> unknown = MashInputs((malt_term("pale", 4.5),), 14.0, alkalinity=2.0)
    >>> [round(mash_ph_sd(each, mash_ph(each)).sd, 2) for each in (lot, unknown)]
    [0.06, 0.09]
    """
    slopes = result.sensitivities
    parts = {
        "model": MODEL_SD,
        "meter": METER_SD,
        "malts": _malts_sd(inputs, result),
        "crush": abs(slopes.crush) * crush_sd(inputs.mill_gap),
        "carbon_dioxide": abs(slopes.carbon_dioxide) * CARBON_DIOXIDE_KEPT_SD,
        "chalk": abs(slopes.chalk) * CHALK_CREDIT_SD * min(inputs.undissolved_chalk, CHALK_CAP),
        "decoction": DECOCTION_SD * decoctions**0.5,
        "inputs": abs(inputs_sd),
    }
    return MashUncertainty(sqrt(sum([part * part for part in parts.values()])), parts)


def crush_sd(mill_gap: float | None) -> float:
    """Standard deviation of the crush factor at a mill gap [mm]; 0 where it was measured.

    Examples
    --------
    >>> [crush_sd(gap) for gap in (None, 1.0, 1.6)]
    [0.08, 0.0, 0.06]
    """
    if mill_gap is None:
        return CRUSH_UNKNOWN_SD
    return CRUSH_EXTENDED_SD if mill_gap > CRUSH_BY_GAP[-1][0] else 0.0


def _malts_sd(inputs: MashInputs, result: MashResult) -> float:
    slopes = result.sensitivities
    together = strength = apart = 0.0
    for malt, acidity, buffer in zip(inputs.malts, slopes.acidities, slopes.buffers, strict=True):
        stray = abs(acidity) * malt.acidity_sd
        if malt.thins and not malt.measured:
            together += stray
            strength += buffer * BUFFER_RELATIVE_SD
        else:
            apart += stray * stray
    return sqrt(together * together + strength * strength + apart)


def outside_validation(
    inputs: MashInputs, result: MashResult, *, alkalinity: float | None = None
) -> tuple[str, ...]:
    """Which of a mash's figures lie where no measured mash stands behind the model.

    Parameters
    ----------
    inputs : MashInputs
    result : MashResult
        Of these inputs.
    alkalinity : float, optional
        What is left of that of the inputs [mEq/L]; by default all of it.

    Returns
    -------
    tuple of str
        Keys of `VALIDATED`; empty where all lie inside.

    Examples
    --------
    >>> from waterlint.chemistry.malts import malt_term
    >>> from waterlint.chemistry.mash import mash_ph
    >>> thin = MashInputs((malt_term("pale", 3.0),), 24.0, alkalinity=1.0)
    >>> outside_validation(thin, mash_ph(thin))
    ('thickness',)
    """
    figures = {
        "alkalinity": inputs.alkalinity if alkalinity is None else alkalinity,
        "calcium": inputs.calcium,
        "magnesium": inputs.magnesium,
        "thickness": result.thickness,
        "ph": result.ph,
    }
    return tuple(
        [name for name, (low, high) in VALIDATED.items() if not low <= figures[name] <= high]
    )


def at_reference_temperature(ph: float, temperature: float) -> tuple[float, float]:
    """Bring a pH measured in warm mash to what its cooled sample would read.

    Parameters
    ----------
    ph : float
        Of a meter that compensates its own electrode, as all do that show a temperature.
    temperature : float
        Of the sample [degrees Celsius].

    Returns
    -------
    tuple of float
        pH at 25 degrees Celsius, and the standard deviation that the correction adds.

    Notes
    -----
    Published drops differ by a factor of three; the deviation covers them.

    Examples
    --------
    >>> [round(figure, 2) for figure in at_reference_temperature(5.21, 65.0)]
    [5.43, 0.08]
    """
    warmer = temperature - REFERENCE_TEMPERATURE
    return ph + PH_PER_KELVIN * warmer, PH_PER_KELVIN_SD * abs(warmer)
