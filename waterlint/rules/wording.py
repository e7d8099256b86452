"""Figures as sentences show them."""

from __future__ import annotations

from collections.abc import Callable
from math import ceil, floor, log10

from waterlint.hints import TYPE_CHECKING

if TYPE_CHECKING:
    from decimal import Decimal


def number(value: float, digits: int = 3) -> str:
    """A number with so many significant digits, without exponent or idle zeros.

    Parameters
    ----------
    value : float
        Any finite number.
    digits : int
        Significant digits; digits before the point are never rounded away.

    Examples
    --------
    >>> number(1234.56), number(0.04567), number(12.0), number(0.0)
    ('1235', '0.0457', '12', '0')
    """
    if value == 0.0:
        return "0"
    decimals = max(0, digits - 1 - floor(log10(abs(value))))
    text = f"{value:.{decimals}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text in {"-0", "0"} else text.replace("-", "−")


def about(value: float) -> str:
    """What is told as being about so much: two significant digits, before the point too.

    Examples
    --------
    >>> about(1464.2), about(34.4), about(1.62), about(0.0)
    ('about 1500', 'about 34', 'about 1.6', 'about 0')
    """
    return f"about {number(float(f'{value:.2g}'), 2)}"


def fixed(value: float, digits: int) -> str:
    """A number with so many decimals; nothing has no sign.

    Examples
    --------
    >>> fixed(-12.34, 1), fixed(-0.04, 1), fixed(12.0, 2)
    ('−12.3', '0.0', '12.00')
    """
    return f"{round(value, digits) + 0.0:.{digits}f}".replace("-", "−")


#: Decimals that a small spread may bring; more would look surer than any report is.
_FINEST = 2


def with_spread(value: float, sd: float, digits: int) -> str:
    """A figure and its standard deviation, which is never shown as none where there is one.

    Examples
    --------
    >>> with_spread(42.4, 3.2, 0), with_spread(0.6, 0.03, 0), with_spread(5.4, 0.0, 1)
    ('42 ± 3', '0.60 ± 0.03', '5.4 ± 0.0')
    """
    finest = max(digits + 1, _FINEST)
    while sd > 0.0 and digits < finest and round(sd, digits) == 0.0:
        digits += 1
    return f"{fixed(value, digits)} ± {fixed(sd, digits)}"


def in_range(low: str, high: str) -> str:
    """A range by the numbers of its sides; a side that is open is empty.

    Examples
    --------
    >>> in_range("5.2", "5.7"), in_range("", "90"), in_range("50", ""), in_range("", "")
    ('5.2 to 5.7', 'at most 90', 'at least 50', '')
    """
    if low and high:
        return f"{low} to {high}"
    if low:
        return f"at least {low}"
    return f"at most {high}" if high else ""


def plain(amount: Decimal) -> str:
    """A decimal with all its digits, without exponent and without zeros at its end.

    Examples
    --------
    >>> from decimal import Decimal
    >>> plain(Decimal("2.50")), plain(Decimal("3E+2")), plain(Decimal("0.00"))
    ('2.5', '300', '0')
    """
    text = f"{amount:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def at_least(value: float, digits: int = 2) -> str:
    """A number rounded up, for an amount that must not be less.

    Examples
    --------
    >>> at_least(0.0893), at_least(12.01), at_least(0.5), at_least(0.0)
    ('0.09', '13', '0.5', '0')
    """
    return _rounded(value, digits, ceil)


def at_most(value: float, digits: int = 2) -> str:
    """A number rounded down, for an amount that must not be more.

    Examples
    --------
    >>> at_most(19.97), at_most(0.0899), at_most(0.5), at_most(0.0)
    ('19', '0.089', '0.5', '0')
    """
    return _rounded(value, digits, floor)


def _rounded(value: float, digits: int, way: Callable[[float], int]) -> str:
    if value == 0.0:
        return "0"
    step = 10.0 ** (floor(log10(abs(value))) + 1 - digits)
    # What is round already stays so, whatever the arithmetic of floats makes of it.
    return number(way(round(value / step, 9)) * step, digits)


def apart(value: float, limit: float, digits: int = 3) -> str:
    """`value` with as many digits as it takes to tell it from `limit`.

    Examples
    --------
    >>> apart(10.004, 10.0), apart(14.2, 10.0), apart(10.0, 10.0)
    ('10.004', '14.2', '10')
    """
    while digits < 9 and value != limit and number(value, digits) == number(limit, digits):
        digits += 1
    return number(value, digits)


def spread_clause(value: float, sd: float | None, limit: float, unit: str) -> str:
    """A sentence for a figure whose 68 % interval reaches across `limit`; else nothing.

    Parameters
    ----------
    value, limit : float
        [`unit`]
    sd : float or None
        One standard deviation [`unit`], `None` where nothing is stated.
    unit : str
        The unit's name.

    Examples
    --------
    >>> spread_clause(52.0, 4.0, 50.0, "mg/L")
    ' Its stated spread, 48 to 56 mg/L, reaches across the limit.'
    >>> spread_clause(60.0, 4.0, 50.0, "mg/L")
    ''
    """
    if not sd or not value - sd < limit < value + sd:
        return ""
    low, high = number(lowest(value, sd, unit)), number(value + sd)
    return f" Its stated spread, {low} to {high} {unit}, reaches across the limit."


def lowest(value: float, sd: float, unit: str) -> float:
    """The lower end of an interval; of an amount, which is told in mg/L, not less than nothing.

    Examples
    --------
    >>> lowest(3.0, 10.0, "mg/L"), lowest(3.0, 10.0, "mg/L as CaCO3")
    (0.0, -7.0)
    """
    return max(0.0, value - sd) if unit == "mg/L" else value - sd


def listed(words: list[str], last: str = "and") -> str:
    """Words as a list in a sentence.

    Examples
    --------
    >>> listed(["gypsum"]), listed(["a", "b", "c"], "or")
    ('gypsum', 'a, b or c')
    """
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} {last} {words[-1]}"
