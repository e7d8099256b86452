"""The pH of a mash from its grist, its water and its doses.

What the inputs come to as a balance of protons, its solution, and how the pH answers to each
input. See `waterlint.chemistry.proton_balance` for the equation.

References
----------
K. Troester, "The effect of brewing water and grist composition on the pH of the mash", 2009
(CC BY-NC 3.0; figures only).
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from itertools import pairwise
from math import isfinite, log, log10

from waterlint.chemistry.acids import acid, protons_given
from waterlint.chemistry.ions import CALCIUM_CARBONATE_EQUIVALENT
from waterlint.chemistry.malts import MASH_SCALE, REFERENCE_THICKNESS, THINNING, MaltTerm
from waterlint.chemistry.proton_balance import (
    CALCIUM_RELEASE,
    MAGNESIUM_RELEASE,
    RELEASE_SATURATION,
    MashBalance,
    carbonate_charge,
    hardness_release,
    released_and_slope,
    solve,
)
from waterlint.hints import Final, NamedTuple
from waterlint.records import Record, field

CRUSH_BY_GAP: Final = ((0.0, 1.00), (0.5, 0.95), (0.8, 0.90), (1.2, 0.80))
"""Share of the buffering that a mill gap [mm] makes available; Troester 2009, tables 17 and 18,
0 standing for pulverised."""

CRUSH_UNKNOWN: Final = 0.88
"""The same where the gap is not stated; common practice, about 0.9 mm."""

CRUSH_COARSEST: Final = 0.70
"""Where the extension of that line past 1.2 mm ends; no measurement found."""

CHALK_CREDIT: Final = 0.5
"""Share of undissolved chalk that counts in the mash [-]; Troester 2009, tables 8 and 12."""

CHALK_CAP: Final = 500.0
"""Undissolved chalk beyond which more does nothing [mg/L]; Troester 2009, section 3.8."""

_LN10: Final = log(10.0)


class MashInputs(Record):
    """What decides a mash's pH.

    Attributes
    ----------
    malts : tuple of MaltTerm
        What is in the mash from its start.
    volume : float
        Mash water [L].
    alkalinity : float
        Of the mash water with all salts and bases, before its acids [mEq/L].
    calcium, magnesium : float
        Of the mash water with all salts, undissolved chalk left out [mEq/L].
    carbon : float or None
        Inorganic carbon of that water [mmol/L]; None where its pH is not known.
    acids : mapping of str to float
        Doses by the names of `waterlint.chemistry.acids` [mmol/L of mash water].
    undissolved_chalk : float
        Chalk stirred in, not dissolved by CO2 [mg/L of mash water].
    mill_gap : float or None
        [mm]; 0 for pulverised malt.

    Notes
    -----
    Carbon beyond the alkalinity is free CO2, which mashing in drives off: it is not counted.
    Without `carbon` all alkalinity is taken as bicarbonate, as it is below pH 9.
    Alkalinity below 0 is strong acid. The malt's own calcium, magnesium and phosphate are
    inside its terms and must not be added.
    """

    malts: tuple[MaltTerm, ...]
    volume: float
    alkalinity: float = 0.0
    calcium: float = 0.0
    magnesium: float = 0.0
    carbon: float | None = None
    acids: Mapping[str, float] = field(default_factory=dict)
    undissolved_chalk: float = 0.0
    mill_gap: float | None = None


class Sensitivities(NamedTuple):
    """How far the mash's pH moves per unit of each input.

    Attributes
    ----------
    alkalinity, calcium, magnesium : float
        [pH per mEq/L]
    carbon : float
        At given alkalinity [pH per mmol/L].
    carbon_dioxide : float
        Of the share of it that stays in the mash, taken as 1 [pH per 1].
    volume : float
        More of the same treated mash water, doses in proportion [pH/L].
    acids : mapping of str to float
        [pH per mmol/L]
    chalk : float
        Of chalk that does dissolve [pH per mg/L].
    crush : float
        [pH per unit of the crush factor]
    acidities : tuple of float
        Of each malt [pH per mEq/kg, as titrated].
    buffers : tuple of float
        Of each malt, relative [pH per 1].
    masses : tuple of float
        Of each malt [pH/kg].
    """

    alkalinity: float
    calcium: float
    magnesium: float
    carbon: float
    carbon_dioxide: float
    volume: float
    acids: Mapping[str, float]
    chalk: float
    crush: float
    acidities: tuple[float, ...]
    buffers: tuple[float, ...]
    masses: tuple[float, ...]


class MashResult(NamedTuple):
    """A predicted mash pH, as of a sample cooled to 25 degrees Celsius.

    Attributes
    ----------
    ph : float
    converged : bool
        False where no pH between 0 and 14 balances the protons.
    thickness : float
        [L/kg]
    intrinsic_ph : float
        Of the grist in distilled water at this thickness.
    sensitivities : Sensitivities
    balance : MashBalance of float
    """

    ph: float
    converged: bool
    thickness: float
    intrinsic_ph: float
    sensitivities: Sensitivities
    balance: MashBalance[float]


@lru_cache(maxsize=64)
def crush_factor(mill_gap: float | None) -> float:
    """Share of the malts' buffering that a mill gap [mm] makes available [-].

    Examples
    --------
    >>> round(crush_factor(1.0), 3), crush_factor(None)
    (0.85, 0.88)
    """
    if mill_gap is None:
        return CRUSH_UNKNOWN
    points = CRUSH_BY_GAP
    below = [pair for pair in pairwise(points) if pair[0][0] <= mill_gap]
    (x0, y0), (x1, y1) = below[-1] if below else (points[0], points[1])
    return max(CRUSH_COARSEST, min(1.0, y0 + (y1 - y0) * (mill_gap - x0) / (x1 - x0)))


def credited_chalk(dose: float) -> float:
    """What undissolved chalk counts for, as dissolved chalk [mg/L of both].

    Examples
    --------
    >>> credited_chalk(240.0), credited_chalk(1200.0)
    (120.0, 250.0)
    """
    return CHALK_CREDIT * min(dose, CHALK_CAP)


def mash_balance(inputs: MashInputs) -> MashBalance[float]:
    """Reduce a mash to its balance of protons.

    Parameters
    ----------
    inputs : MashInputs

    Returns
    -------
    MashBalance of float

    Raises
    ------
    ValueError
        If there is no malt or no water, a figure is not finite, or an acid is unknown.

    Examples
    --------
    >>> from waterlint.chemistry.malts import malt_term
    >>> balance = mash_balance(MashInputs((malt_term("pale", 4.0),), 12.0, alkalinity=2.0))
    >>> round(balance.thickness, 1), round(balance.alkalinity, 1)
    (3.0, 2.0)
    """
    _check(inputs)
    thickness = inputs.volume / _mass(inputs)
    scale = _scale(inputs)
    rise = THINNING * log10(thickness / REFERENCE_THICKNESS)
    buffer = base = 0.0
    for malt in inputs.malts:
        weight = scale * malt.mass * malt.buffer
        buffer += weight
        base += weight * (malt.ph_di + (rise if malt.thins else 0.0))
    chalk = credited_chalk(inputs.undissolved_chalk) / CALCIUM_CARBONATE_EQUIVALENT
    alkalinity = inputs.alkalinity + chalk
    carbon = max(0.0, alkalinity)
    if inputs.carbon is not None:
        carbon = min(carbon, max(0.0, inputs.carbon) + 0.5 * chalk)
    return MashBalance(
        buffer,
        base / buffer,
        thickness,
        alkalinity,
        carbon,
        hardness_release(inputs.calcium + chalk, inputs.magnesium),
        tuple([(name, amount) for name, amount in inputs.acids.items() if amount]),
    )


def _mass(inputs: MashInputs) -> float:
    """The grist [kg]."""
    return sum([malt.mass for malt in inputs.malts])


def _scale(inputs: MashInputs) -> float:
    """Turns a malt's mass [kg] times its titrated figures into effect per kg of grist [1/kg]."""
    return crush_factor(inputs.mill_gap) * MASH_SCALE / _mass(inputs)


def _check(inputs: MashInputs) -> None:
    amounts = (
        inputs.calcium,
        inputs.magnesium,
        inputs.undissolved_chalk,
        inputs.mill_gap or 0.0,
        *inputs.acids.values(),
    )
    for amount in amounts:
        if not (isfinite(amount) and amount >= 0.0):
            raise ValueError(
                "calcium, magnesium, chalk, mill gap and acids must be finite, not negative"
            )
    if not (isfinite(inputs.alkalinity) and isfinite(inputs.carbon or 0.0)):
        raise ValueError("alkalinity and carbon must be finite")
    if not inputs.malts:
        raise ValueError("no malt is in the mash")
    if not (isfinite(inputs.volume) and inputs.volume > 0.0):
        raise ValueError(f"the mash water must be above 0 L, got {inputs.volume}")
    for name in inputs.acids:
        acid(name)


def mash_ph(inputs: MashInputs) -> MashResult:
    """Predict a mash's pH.

    Parameters
    ----------
    inputs : MashInputs

    Returns
    -------
    MashResult

    Raises
    ------
    ValueError
        As `mash_balance` does.

    Notes
    -----
    pH as of a sample cooled to room temperature. CO2 is taken to stay in the mash. Time,
    temperature, decoction and acid rest are left out. Against 155 measured mashes of Troester
    2009 the error is 0.05 (root mean square); see `waterlint.chemistry.mash_uncertainty`.

    Examples
    --------
    >>> from waterlint.chemistry.malts import malt_term
    >>> pale = malt_term("pale", 4.5)
    >>> round(mash_ph(MashInputs((pale,), 14.0, alkalinity=1.9, calcium=2.5)).ph, 2)
    5.74
    """
    balance = mash_balance(inputs)
    ph, converged = solve(balance)
    return MashResult(
        ph,
        converged,
        balance.thickness,
        balance.intrinsic_ph,
        _sensitivities(inputs, balance, ph),
        balance,
    )


def _sensitivities(inputs: MashInputs, balance: MashBalance[float], ph: float) -> Sensitivities:
    """Slopes of the pH: each input's own effect on `released` over the pH's."""
    rest, slope = released_and_slope(balance, ph)
    gain = -1.0 / slope
    water = balance.thickness * gain
    charge = carbonate_charge(ph)
    # carbon follows alkalinity where all of it is taken as carbonate
    follows = balance.alkalinity > 0.0 and balance.carbon == balance.alkalinity
    per_alkalinity = (charge if follows else 0.0) - 1.0
    per_carbon = 0.0 if follows else charge
    unsaturated = _unsaturated(balance.release)
    per_chalk = per_alkalinity + 0.5 * per_carbon + CALCIUM_RELEASE * unsaturated
    scale, lines = _scale(inputs), _lines(inputs, balance, ph)
    grist = balance.buffer * (ph - balance.intrinsic_ph)
    volume, masses = _amounts(inputs, balance, lines, scale, gain, rest, grist)
    weights = [gain * scale * malt.mass for malt in inputs.malts]
    # By their places: names would take as long as the figures.
    return Sensitivities(
        water * per_alkalinity,
        water * CALCIUM_RELEASE * unsaturated,
        water * MAGNESIUM_RELEASE * unsaturated,
        water * per_carbon,
        water * balance.carbon * charge,
        volume,
        {name: water * protons_given(name, ph) for name in inputs.acids},
        water * per_chalk / CALCIUM_CARBONATE_EQUIVALENT,
        gain * balance.buffer * (ph - balance.intrinsic_ph) / crush_factor(inputs.mill_gap),
        tuple(weights),
        tuple([weight * line for weight, line in zip(weights, lines, strict=True)]),
        masses,
    )


def _unsaturated(release: float) -> float:
    """Slope of `hardness_release` against its own start: (1 - y/s)^2 for y = x/(1 + x/s)."""
    return (1.0 - release / RELEASE_SATURATION) ** 2


def _lines(inputs: MashInputs, balance: MashBalance[float], ph: float) -> list[float]:
    """What each malt releases at a pH [mEq/kg, as titrated]."""
    rise = THINNING * log10(balance.thickness / REFERENCE_THICKNESS)
    return [
        malt.buffer * (ph - malt.ph_di - (rise if malt.thins else 0.0)) for malt in inputs.malts
    ]


def _amounts(
    inputs: MashInputs,
    balance: MashBalance[float],
    lines: list[float],
    scale: float,
    gain: float,
    rest: float,
    grist: float,
) -> tuple[float, tuple[float, ...]]:
    """Slopes of the pH against the water's volume [1/L] and each malt's mass [1/kg].

    `lines` are what each malt releases, `grist` what they all release, and `rest` what is left
    of the whole balance [mEq/kg].
    """
    mass = _mass(inputs)
    thinning = sum([scale * malt.mass * malt.buffer for malt in inputs.malts if malt.thins])
    # of `released` against thickness: the water's own part, and the thinning of the base malts
    per_thickness = (rest - grist - thinning * THINNING / _LN10) / (balance.thickness)
    return gain * per_thickness / mass, tuple(
        [
            gain * (scale * line - grist / mass - per_thickness * balance.thickness / mass)
            for line in lines
        ]
    )
