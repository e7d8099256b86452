"""What the brewer wants of a proposal besides clean findings."""

from __future__ import annotations

from collections.abc import Iterable

from waterlint.model.recipe import PLACES
from waterlint.model.water import IONS
from waterlint.project.nearest import did_you_mean
from waterlint.records import Record
from waterlint.units import QuantityError, parse, parse_range

#: How near to a single value an aim is met: a hundredth and a half of pH is less than a meter
#: tells apart, a twentieth of an ion less than a report does; common practice.
PH_TOLERANCE = 0.015
RELATIVE_TOLERANCE = 0.05

_KINDS = {
    "mash_ph": "ph",
    "alkalinity": "alkalinity",
    "residual_alkalinity": "residual_alkalinity",
    "chloride_to_sulfate": "ratio",
}


class BadWish(ValueError):
    """A wish that cannot be read; the text says how to write it."""


class Kept(Record):
    """An additive whose amount is settled [g or mL]; `place` is empty for all places together.

    `amount` is `None` where it stays as the recipe has it.
    """

    name: str
    place: str
    amount: float | None
    unit: str = "g"


class Aim(Record):
    """A range for a figure: `middle` is the single value where one was asked for."""

    quantity: str
    vessel: str
    low: float
    high: float
    text: str
    middle: float


class Wishes(Record):
    """All wishes of a call. `only` is `None` where any additive may change."""

    keep: tuple[Kept, ...] = ()
    without: frozenset[str] = frozenset()
    only: frozenset[str] | None = None
    aims: tuple[Aim, ...] = ()
    alternatives: int = 0


def read_kept(text: str, known: Iterable[str]) -> Kept:
    """A wish such as ``gypsum=2 g``, ``gypsum.mash=2 g`` or ``gypsum``.

    Raises
    ------
    BadWish
    """
    names, sign, amount = text.partition("=")
    name, _, place = names.strip().partition(".")
    read_name(name, known)
    if place and place not in PLACES:
        raise BadWish(f"--keep: {place!r} is no place; the places are {', '.join(PLACES)}")
    if not sign:
        return Kept(name, place, None)
    try:
        quantity = parse("dose", amount.strip())
    except QuantityError as error:
        raise BadWish(f"--keep: {error.message}. {error.help}") from error
    if quantity.unit not in ("g", "mL"):
        raise BadWish(f"--keep takes a mass or a volume, not {amount.strip()!r}")
    return Kept(name, place, quantity.value, quantity.unit)


def read_name(name: str, known: Iterable[str]) -> str:
    """The name of an additive.

    Raises
    ------
    BadWish
        If no such additive is known.
    """
    known = list(known)
    if name not in known:
        guess = did_you_mean(name, known) or f"Known are {', '.join(sorted(known))}."
        raise BadWish(f"{name!r} is no known additive. {guess}")
    return name


def read_aim(text: str) -> Aim:
    """A wish such as ``mash_ph=5.4``, ``calcium=80 mg/L`` or ``mash.calcium=60 .. 80 mg/L``.

    Raises
    ------
    BadWish

    Examples
    --------
    >>> aim = read_aim("mash_ph=5.4")
    >>> aim.vessel, round(aim.low, 3), round(aim.high, 3)
    ('mash', 5.385, 5.415)
    """
    names, sign, wanted = (part.strip() for part in text.partition("="))
    vessel, _, quantity = names.rpartition(".")
    known = [*_KINDS, *IONS]
    if not sign or quantity not in known or vessel not in ("", "mash", "sparge", "batch"):
        raise BadWish(
            f"--aim takes QUANTITY=VALUE such as mash_ph=5.4 or sparge.alkalinity='.. 30 mg/L as "
            f"CaCO3', not {text!r}; quantities are {', '.join(known)}"
        )
    vessel = "mash" if quantity == "mash_ph" else vessel or "batch"
    kind = _KINDS.get(quantity, "concentration")
    try:
        if ".." in wanted:
            asked = parse_range(kind, wanted, quantity)
            low = 0.0 if asked.low is None else asked.low
            high = 1e6 if asked.high is None else asked.high
            return Aim(quantity, vessel, low, high, wanted, min(max(0.5 * (low + high), low), high))
        value = parse(kind, wanted, quantity).value
    except QuantityError as error:
        raise BadWish(f"--aim: {error.message}. {error.help}") from error
    spread = PH_TOLERANCE if quantity == "mash_ph" else RELATIVE_TOLERANCE * abs(value)
    return Aim(quantity, vessel, value - spread, value + spread, wanted, value)
