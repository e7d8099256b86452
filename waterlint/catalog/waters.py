"""Waters that need no report: distilled water and a typical reverse osmosis permeate."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from waterlint.chemistry.ions import CALCIUM_CARBONATE_EQUIVALENT, ion_balance
from waterlint.hints import Final, NamedTuple
from waterlint.records import Record


class Estimate(NamedTuple):
    """A value and its standard deviation, in one unit."""

    value: float
    sd: float


class KnownWater(Record):
    """A water that recipes may name without a file.

    Attributes
    ----------
    name : str
        As recipes write it.
    title : str
        In a sentence.
    ions : mapping of str to Estimate
        [mg/L], carbonate left out.
    alkalinity : Estimate
        [mg/L as CaCO3]
    ph : Estimate or None
    basis : str
    """

    name: str
    title: str
    ions: Mapping[str, Estimate]
    alkalinity: Estimate
    ph: Estimate | None
    basis: str


CARRIED: Final = (
    "calcium",
    "magnesium",
    "sodium",
    "potassium",
    "chloride",
    "sulfate",
    "nitrate",
)
"""The ions that a water may state; carbonate is told by alkalinity."""

REQUIRED: Final = ("calcium", "magnesium", "sodium", "chloride", "sulfate")
"""The ions that a water must state, as a report must."""

PERMEATE_SPREAD: Final = 0.5
"""One standard deviation of a permeate's figures as a fraction; common practice: membranes,
pressures and feed waters differ that much."""

_PERMEATE: Final = MappingProxyType(
    {
        "calcium": 2.0,
        "magnesium": 0.5,
        "sodium": 6.0,
        "potassium": 0.5,
        "chloride": 5.0,
        "sulfate": 2.0,
        "nitrate": 0.0,
    }
)
"""[mg/L]; common practice, a household membrane on tap water."""


def closing_alkalinity(ions: Mapping[str, float]) -> float:
    """The alkalinity that closes the charge balance of these ions [mg/L as CaCO3].

    Examples
    --------
    >>> round(closing_alkalinity({"calcium": 40.078, "chloride": 35.45}), 2)
    50.04
    """
    balance = ion_balance(ions)
    return (balance.cations - balance.anions) * CALCIUM_CARBONATE_EQUIVALENT


def _permeate() -> KnownWater:
    alkalinity = closing_alkalinity(_PERMEATE)
    return KnownWater(
        "reverse-osmosis",
        "reverse osmosis water",
        MappingProxyType(
            {ion: Estimate(value, PERMEATE_SPREAD * value) for ion, value in _PERMEATE.items()}
        ),
        Estimate(alkalinity, PERMEATE_SPREAD * alkalinity),
        Estimate(6.2, 0.4),
        "common practice: a typical permeate, each figure ± 50 %, alkalinity closing the charge; "
        "a permeate of one's own is better measured",
    )


_ALL = (
    KnownWater(
        "distilled",
        "distilled water",
        MappingProxyType({ion: Estimate(0.0, 0.0) for ion in CARRIED}),
        Estimate(0.0, 0.0),
        Estimate(7.0, 0.0),
        "by definition: nothing but water, pH 7.0 at 25 °C; that it takes up a little carbon "
        "dioxide from the air is left out",
    ),
    _permeate(),
)

WATERS: Final[Mapping[str, KnownWater]] = MappingProxyType({each.name: each for each in _ALL})
"""The built-in waters."""
