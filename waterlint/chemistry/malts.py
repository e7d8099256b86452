"""What malts bring to the mash's proton balance: class defaults, and a lot's own figures.

A malt is a line: kept at pH it releases buffer x (pH - ph_di) mEq of protons a kilogram. Base
malts are known by the pH of their mash in distilled water, coloured malts by their titrated
acidity to pH 5.7, which is the same line seen from its other end.

References
----------
K. Troester, "The effect of brewing water and grist composition on the pH of the mash", 2009
(CC BY-NC 3.0; figures only): tables 2 (mash pH in distilled water, 4 L/kg) and 4 (titrations,
8 L/kg).
"""

from __future__ import annotations

from collections.abc import Mapping
from math import isfinite, log10
from types import MappingProxyType

from waterlint.hints import Final, NamedTuple
from waterlint.records import Record

TITRATION_END: Final = 5.7
"""pH that acidities are titrated to; Troester 2009."""

TITRATION_THICKNESS: Final = 8.0
"""Water to malt of those titrations [L/kg]; Troester 2009, table 4."""

REFERENCE_THICKNESS: Final = 4.0
"""Water to malt at which `di_ph` is stated [L/kg]; Troester 2009, table 2."""

THINNING: Final = 0.30
"""Rise of a base malt's own mash pH with a tenfold dilution [pH per decade]; Troester 2009 tables
15, 16 and 4 against 2 give 0.28 to 0.41, Kolbach and Esser's worts 0.22."""

MASH_SCALE: Final = 1.2
"""Buffering in the mash over titrated buffering [-]; our regression on Troester's mashes: titrated
acidity at 25 degrees Celsius understates the effect in the mash."""

BASE_BUFFER: Final = 43.0 / MASH_SCALE
"""Of base malts, as titrated [mEq/(kg pH)]: 43 pulverised and in the mash, by our regression on
Troester's tables 3 to 18, 38 as milled; his direct titrations are 32 to 38."""

BUFFER_RELATIVE_SD: Final = 6.0 / 38.0
"""Spread of base malts' buffering [-]: fits and titrations between 32 and 43."""


class MaltClass(NamedTuple):
    """What is known of a kind of malt when nothing is known of the lot.

    Attributes
    ----------
    ph_di : float or None
        pH of its mash in distilled water at 4 L/kg; None where acidity tells.
    acidity, acidity_per_ebc : float
        To pH 5.7 [mEq/kg], and what each EBC adds.
    buffer : float
        As titrated [mEq/(kg pH)].
    sd : float
        One standard deviation, of `ph_di` [pH] or else of the acidity [mEq/kg].
    basis : str
    """

    ph_di: float | None
    acidity: float
    acidity_per_ebc: float
    buffer: float
    sd: float
    basis: str


def _base(ph_di: float, sd: float, basis: str) -> MaltClass:
    return MaltClass(ph_di, 0.0, 0.0, BASE_BUFFER, sd, basis)


def _acid(acidity: float, buffer: float, sd: float, basis: str, per_ebc: float = 0.0) -> MaltClass:
    return MaltClass(None, acidity, per_ebc, buffer, sd, basis)


_PALE = "Troester 2009, table 2: three Pilsner lots, pale ale and six-row malt, 5.73 to 5.79"

MALT_CLASSES: Final[Mapping[str, MaltClass]] = MappingProxyType(
    {
        "pilsner": _base(5.75, 0.07, _PALE),
        "pale": _base(5.75, 0.07, _PALE),
        "two-row": _base(
            5.65, 0.08, "Troester 2009, table 2: 5.56; fitted to mashes of Hosom 2018: 5.62"
        ),
        "wheat": _base(6.00, 0.10, "Troester 2009, table 2: one lot, 6.04"),
        "rye": _base(6.00, 0.10, "from memory: as wheat"),
        "vienna": _base(5.60, 0.08, "Troester 2009, tables 2 and 4: 5.56"),
        "munich": _base(5.45, 0.10, "Troester 2009, tables 2 and 4: 5.30 to 5.46 at 15 to 25 EBC"),
        "toasted": _acid(20.0, 33.0, 10.0, "Troester 2009, table 4: one biscuit malt, 20.2"),
        "crystal": _acid(
            14.0, 42.0, 9.0, "line through Troester 2009, table 4, r2 0.77", per_ebc=0.13
        ),
        "roasted": _acid(40.0, 42.0, 6.0, "Troester 2009, table 4: 35.4 to 46.4 at any colour"),
        "acidulated": _acid(337.0, 139.0, 30.0, "Troester 2009, table 4: 315 and 358"),
        "unmalted": _base(5.80, 0.20, "from memory: a guess, no measurement found"),
    }
)
"""Class defaults by kind."""

OUTSIDE_MASH: Final = frozenset({"sugar", "extract"})
"""Kinds that take no part in the mash."""

CRYSTAL_COLOR: Final = 120.0
"""Assumed for crystal malt of unstated colour [EBC]; common practice, a middle one."""

CRYSTAL_COLOR_SD: Final = 60.0
"""[EBC]; common practice."""


class MaltTerm(Record):
    """One malt in the balance.

    Attributes
    ----------
    mass : float
        [kg]
    ph_di : float
        Where it neither gives nor takes protons; of base malts at 4 L/kg.
    buffer : float
        As titrated [mEq/(kg pH)].
    thins : bool
        Whether `ph_di` rises as the mash gets thinner: base malts.
    acidity_sd : float
        One standard deviation of what it releases [mEq/kg], as titrated.
    measured : bool
        Whether the lot's own figures are behind it.
    """

    mass: float
    ph_di: float
    buffer: float
    thins: bool = True
    acidity_sd: float = 0.0
    measured: bool = True


def malt_term(
    kind: str,
    mass: float,
    *,
    color: float | None = None,
    di_ph: float | None = None,
    acidity: float | None = None,
    buffer: float | None = None,
    di_ph_sd: float = 0.0,
    acidity_sd: float = 0.0,
) -> MaltTerm | None:
    """A malt's term from its kind and what is known of the lot.

    Parameters
    ----------
    kind : str
        Key in `MALT_CLASSES`, or one of `OUTSIDE_MASH`.
    mass : float
        [kg]
    color : float, optional
        [EBC]; matters for crystal malt.
    di_ph : float, optional
        The lot's mash pH in distilled water at 4 L/kg; where given, it tells.
    acidity : float, optional
        The lot's titrated acidity to pH 5.7 [mEq/kg]; tells where `di_ph` is not given.
    buffer : float, optional
        The lot's titrated buffering [mEq/(kg pH)].
    di_ph_sd, acidity_sd : float
        One standard deviation of the lot's figures.

    Returns
    -------
    MaltTerm or None
        None for what takes no part in the mash.

    Raises
    ------
    ValueError
        If the kind is unknown, a figure is not finite, or mass or buffering is not above 0.

    Notes
    -----
    A base malt's acidity comes from a thin titration (8 L/kg), and its pH in distilled water is
    brought from there to 4 L/kg. A lot whose figures carry no spread of their own is taken as
    exact: the model's error already holds a meter's.

    Examples
    --------
    >>> malt_term("crystal", 0.35, color=160.0)
    MaltTerm(mass=0.35, ph_di=4.871428571428572, buffer=42.0, thins=False, acidity_sd=9.0, \
measured=False)
    """
    if kind in OUTSIDE_MASH:
        return None
    if kind not in MALT_CLASSES:
        known = ", ".join(sorted((*MALT_CLASSES, *OUTSIDE_MASH)))
        raise ValueError(f"unknown kind of malt {kind!r}; known are {known}")
    default = MALT_CLASSES[kind]
    slope = default.buffer if buffer is None else buffer
    _check(mass, slope, color, di_ph, acidity, di_ph_sd, acidity_sd)
    thins = default.ph_di is not None
    if di_ph is not None:
        return MaltTerm(mass, di_ph, slope, thins, slope * di_ph_sd, True)
    if acidity is not None:
        shift = THINNING * log10(TITRATION_THICKNESS / REFERENCE_THICKNESS) if thins else 0.0
        return MaltTerm(
            mass, TITRATION_END - acidity / slope - shift, slope, thins, acidity_sd, True
        )
    if default.ph_di is not None:
        return MaltTerm(mass, default.ph_di, slope, True, slope * default.sd, False)
    spread = default.sd
    if default.acidity_per_ebc and color is None:
        spread = (spread**2 + (default.acidity_per_ebc * CRYSTAL_COLOR_SD) ** 2) ** 0.5
    released = default.acidity + default.acidity_per_ebc * (
        CRYSTAL_COLOR if color is None else color
    )
    return MaltTerm(mass, TITRATION_END - released / slope, slope, False, spread, False)


def _check(mass: float, buffer: float, *figures: float | None) -> None:
    if not all(isfinite(figure) for figure in (mass, buffer, *figures) if figure is not None):
        raise ValueError("a malt's figures must be finite")
    if not (mass > 0.0 and buffer > 0.0):
        raise ValueError(f"mass and buffering must be above 0, got {mass} kg and {buffer}")
