"""Atomic weights and the molar mass of a formula.

References
----------
IUPAC abridged standard atomic weights, 2021.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from waterlint.hints import Final

ATOMIC_WEIGHTS: Final[Mapping[str, float]] = MappingProxyType(
    {
        "H": 1.008,
        "C": 12.011,
        "N": 14.007,
        "O": 15.999,
        "F": 18.998,
        "Na": 22.990,
        "Mg": 24.305,
        "Si": 28.085,
        "P": 30.974,
        "S": 32.06,
        "Cl": 35.45,
        "K": 39.098,
        "Ca": 40.078,
        "Mn": 54.938,
        "Fe": 55.845,
        "Cu": 63.546,
    }
)
"""Atomic weights [g/mol], IUPAC abridged 2021."""

_DIGITS: Final = "0123456789"


def elements(formula: str) -> dict[str, int]:
    """Count the atoms of a formula.

    Parameters
    ----------
    formula : str
        Such as ``Ca(OH)2`` or ``MgSO4.7H2O``; no charges.

    Returns
    -------
    dict of str to int
        Atoms of each element.

    Raises
    ------
    ValueError
        If the formula cannot be read, or names an element without a weight here.

    Examples
    --------
    >>> elements("CaSO4.2H2O")
    {'Ca': 1, 'S': 1, 'O': 6, 'H': 4}
    """
    total: dict[str, int] = {}
    for index, part in enumerate(formula.split(".")):
        # A pattern would do as well, and take longer to compile than all tables to be made.
        start = _after_digits(part, 0) if index else 0
        factor = int(part[:start] or 1)
        for element, count in _part_elements(part, start, formula).items():
            total[element] = total.get(element, 0) + factor * count
    return total


def _part_elements(part: str, position: int, formula: str) -> dict[str, int]:
    found: dict[str, int] = {}
    around: list[dict[str, int]] = []
    while position < len(part):
        start, sign = position, part[position]
        position += 1
        if sign == "(":
            around.append(found)
            found = {}
            continue
        if sign.isupper() and part[position : position + 1].islower():
            sign = part[start : position + 1]
            position += 1
        end = _after_digits(part, position)
        count = int(part[position:end] or 1)
        if sign in ATOMIC_WEIGHTS:
            found[sign] = found.get(sign, 0) + count
        elif sign[0].isupper():
            raise ValueError(f"no atomic weight for {sign!r} in {formula!r}")
        elif sign != ")":
            raise ValueError(f"cannot read the formula {formula!r} at {part[start:]!r}")
        elif around and found:
            group, found = found, around.pop()
            for name, number in group.items():
                found[name] = found.get(name, 0) + number * count
        else:
            raise ValueError(f"unbalanced or empty parentheses in {formula!r}")
        position = end
    if around or not found:
        raise ValueError(f"cannot read the formula {formula!r}")
    return found


def _after_digits(text: str, position: int) -> int:
    while position < len(text) and text[position] in _DIGITS:
        position += 1
    return position


def molar_mass(formula: str) -> float:
    """Molar mass of a formula [g/mol].

    Examples
    --------
    >>> round(molar_mass("CaSO4.2H2O"), 3)
    172.164
    """
    return sum(ATOMIC_WEIGHTS[name] * count for name, count in elements(formula).items())
