"""From a written text to a quantity or a range."""

from __future__ import annotations

from functools import lru_cache

from waterlint.hints import Final
from waterlint.units.concentration import find_chemical_unit
from waterlint.units.grammar import split_range, split_value
from waterlint.units.quantity import MOST_DIGITS, MOST_LETTERS, Quantity, Range
from waterlint.units.table import KINDS, Kind, Unit, find_unit

_NO_UNIT: Final = Unit("", "")


def parse(kind: str, text: str, substance: str | None = None) -> Quantity:
    """Read a value.

    Parameters
    ----------
    kind : str
        A key of `waterlint.units.KINDS`.
    text : str
        What was written.
    substance : str, optional
        What a concentration is about: ``calcium``, ``sulfate`` …; without it only mg/L and its
        like are taken.

    Returns
    -------
    Quantity
        In the canonical unit of the kind, of which a dose has four.

    Raises
    ------
    QuantityError
        If the text is no such quantity.

    Notes
    -----
    Limits such as "more than zero" are not judged here.

    Examples
    --------
    >>> parse("concentration", "8 mg/L as S", "sulfate").value.__round__(2)
    23.97
    >>> parse("alkalinity", "42 +/- 3 mg/L").sd
    3.0
    >>> parse("volume", "15,5 L")
    Traceback (most recent call last):
    waterlint.units.quantity.QuantityError: `15,5 L` has a decimal comma
    """
    return _parse(kind, substance, text)


def parse_range(kind: str, text: str, substance: str | None = None) -> Range:
    """Read a range: ``50 .. 110 mg/L``, ``.. 100 mg/L``, ``50 .. mg/L``.

    Parameters
    ----------
    kind, text, substance
        As for `parse`.

    Returns
    -------
    Range
        In the canonical unit of the kind; `None` for an open side.

    Raises
    ------
    QuantityError
        If the text is no such range, or its lower limit is above its upper one.

    Examples
    --------
    >>> parse_range("ph", "5.4 .. 5.6").high
    5.6
    >>> parse_range("concentration", ".. 90 mg/L", "sodium").low is None
    True
    """
    return _parse_range(kind, substance, text)


@lru_cache(maxsize=4096)
def _parse(name: str, substance: str | None, text: str) -> Quantity:
    kind = KINDS[name]  # by name, since a name is quicker to look up than all that a kind says
    written = " ".join(text.split())
    quantity = _read(kind, substance, written, text) if len(written) <= MOST_LETTERS else None
    if quantity is not None:
        return quantity
    # What is wrong with a text is another module's work, which most runs never need.
    from waterlint.units.explaining import explain

    raise explain(kind, substance, written, lambda guess: _read(kind, substance, guess) is not None)


@lru_cache(maxsize=1024)
def _parse_range(name: str, substance: str | None, text: str) -> Range:
    kind = KINDS[name]
    written = " ".join(text.split())
    limits = _read_range(kind, substance, written, text) if len(written) <= MOST_LETTERS else None
    if limits is not None:
        return limits
    from waterlint.units.explaining import explain_range

    raise explain_range(
        kind, substance, written, lambda guess: _read_range(kind, substance, guess) is not None
    )


def _read(kind: Kind, substance: str | None, text: str, shown: str = "") -> Quantity | None:
    """The value that stands in a text, `None` where there is a fault in it; `shown` goes along."""
    written = split_value(text)
    unit = None if written is None else unit_of(kind, substance, written.unit)
    if written is None or unit is None or _too_long(written.number, written.sd):
        return None
    number = float(written.number)
    sd = None if written.sd is None else float(written.sd)
    if written.below:
        if not kind.traces or sd is not None:
            return None
        number = sd = number / 2.0
    if kind.whole and not number.is_integer():
        return None
    return Quantity(
        value=unit.convert(number),
        unit=unit.canonical,
        sd=None if sd is None else unit.factor * sd,
        text=shown,
        resolution=unit.factor * 0.5 * 10.0 ** -len(written.number.partition(".")[2]),
    )


def _read_range(kind: Kind, substance: str | None, text: str, shown: str = "") -> Range | None:
    """The range that stands in a text, `None` where there is a fault in it; `shown` goes along."""
    written = split_range(text)
    unit = None if written is None else unit_of(kind, substance, written.unit)
    if written is None or unit is None:
        return None
    limits = [limit for limit in written[:2] if limit is not None]
    if not limits or _too_long(*limits):
        return None
    if not kind.signed and any(limit[0] in "-−" for limit in limits):
        return None
    low, high = (
        None if limit is None else unit.convert(float(limit.replace("−", "-")))
        for limit in written[:2]
    )
    if low is not None and high is not None and low > high:
        return None
    return Range(low, high, unit.canonical, shown)


def unit_of(kind: Kind, substance: str | None, unit: str) -> Unit | None:
    """The unit of a kind that is written like this; of what is dissolved, for its substance."""
    if kind.bare:
        return None if unit else _NO_UNIT
    if kind.chemical:
        return find_chemical_unit(kind, substance, unit)
    return find_unit(kind, unit)


def _too_long(*numbers: str | None) -> bool:
    # Hardly a number is long enough to have its digits counted.
    return any(
        len(number) > MOST_DIGITS and sum(map(str.isdigit, number)) > MOST_DIGITS
        for number in numbers
        if number is not None
    )
