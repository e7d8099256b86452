"""Amounts as the sheet shows them: in the brewer's own unit, on the grid of the scale."""

from __future__ import annotations

from math import floor, log10

from waterlint.hints import Final, Literal
from waterlint.rules.wording import plain
from waterlint.sheet.scaling import FIGURES, Portion, own_unit
from waterlint.units import Quantity

#: The part of a large unit of volume below which litres say more.
_LEAST: Final = 0.1


def shown(kind: Literal["volume", "mass"], quantity: Quantity, share: float = 1.0) -> str:
    """A volume or a mass, or a share of it, in the unit that the recipe writes.

    Examples
    --------
    >>> shown("volume", Quantity(15.5, "L", text="15.5 L"))
    '15.5 L'
    >>> shown("mass", Quantity(8400.0, "g", text="4.2 kg")), shown("mass", Quantity(1e5, "g"))
    ('8.4 kg', '100 kg')
    >>> shown("volume", Quantity(26.5, "L", text="26.5 L"), 0.75)
    '19.9 L'
    >>> shown("volume", Quantity(3.5, "L", text="0.03 US bbl"))  # as none can be measured
    '3.5 L'
    """
    unit, size = own_unit(kind, quantity)
    if kind == "volume" and size > 1.0 and quantity.value * share < _LEAST * size:
        unit, size = "L", 1.0
    if kind == "mass" and unit == "g" and quantity.value * share >= 1000.0:
        unit, size = "kg", 1000.0
    if share != 1.0:
        return f"{_short(quantity.value * share / size)} {unit}"
    return f"{significant(quantity.value / size)} {unit}"


def degrees(quantity: Quantity) -> str:
    """A temperature as the recipe writes it.

    Examples
    --------
    >>> degrees(Quantity(66.666667, "°C", text="152 °F")), degrees(Quantity(66.0, "°C"))
    ('152 °F', '66 °C')
    """
    return quantity.text or f"{significant(quantity.value)} °C"


def significant(value: float) -> str:
    """A number of at least so many figures as a scaled amount has, without idle zeros.

    Examples
    --------
    >>> significant(15.5), significant(0.3333333), significant(1234.5), significant(17.25)
    ('15.5', '0.333', '1234.5', '17.25')
    """
    if not value > 0.0:
        return "0"
    # What was written with more figures keeps them; what was computed ends somewhere.
    exact = f"{value:.6g}"
    if "e" not in exact and len(exact.replace(".", "").strip("0")) <= FIGURES + 2:
        return exact
    return _short(value)


def _short(value: float) -> str:
    if not value > 0.0:
        return "0"
    text = f"{value:.{max(0, FIGURES - 1 - floor(log10(value)))}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def portion_text(portion: Portion) -> str:
    """A portion's amount with as many decimals as its tool has.

    Examples
    --------
    >>> from decimal import Decimal
    >>> from waterlint.model.recipe import Addition, Dose
    >>> dose = Dose("mash", Quantity(1.0, "g"), "/additions/0/mash")
    >>> def portion(amount: str, step: str) -> Portion:
    ...     number = Decimal(amount)
    ...     return Portion(
    ...         Addition("gypsum", (dose,), "/additions/0"), dose, "g", 1.0, Decimal(step), number
    ...     )
    >>> portion_text(portion("1.0", "0.1")), portion_text(portion("4520.3", "0.1"))
    ('1.0 g', '4.5203 kg')
    >>> portion_text(portion("0.0", "0.1"))
    'none'
    """
    if not portion.amount:
        return "none"
    if portion.amount >= 1000:
        unit = {"g": "kg", "mL": "L"}[portion.unit]
        return f"{plain(portion.amount / 1000)} {unit}"
    digits = max(0, -int(portion.step.normalize().as_tuple().exponent))
    return f"{portion.amount:.{digits}f} {portion.unit}"
