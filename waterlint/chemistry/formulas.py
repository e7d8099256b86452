"""Atomic weights and the molar mass of a formula.

References
----------
IUPAC abridged standard atomic weights, 2021.
"""

from __future__ import annotations

import re
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

_TOKEN = re.compile(r"([A-Z][a-z]?)(\d*)|(\()|\)(\d*)")


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
        lead = re.match(r"\d+", part) if index else None
        factor = int(lead.group()) if lead else 1
        for element, count in _part_elements(part[lead.end() :] if lead else part, formula).items():
            total[element] = total.get(element, 0) + factor * count
    return total


def _part_elements(part: str, formula: str) -> dict[str, int]:
    stack: list[dict[str, int]] = [{}]
    position = 0
    while position < len(part):
        token = _TOKEN.match(part, position)
        if token is None:
            raise ValueError(f"cannot read the formula {formula!r} at {part[position:]!r}")
        element, count, opening, group_count = token.groups()
        if element:
            if element not in ATOMIC_WEIGHTS:
                raise ValueError(f"no atomic weight for {element!r} in {formula!r}")
            stack[-1][element] = stack[-1].get(element, 0) + int(count or 1)
        elif opening:
            stack.append({})
        elif len(stack) > 1 and stack[-1]:
            group = stack.pop()
            for name, number in group.items():
                stack[-1][name] = stack[-1].get(name, 0) + number * int(group_count or 1)
        else:
            raise ValueError(f"unbalanced or empty parentheses in {formula!r}")
        position = token.end()
    if len(stack) != 1 or not stack[0]:
        raise ValueError(f"cannot read the formula {formula!r}")
    return stack[0]


def molar_mass(formula: str) -> float:
    """Molar mass of a formula [g/mol].

    Examples
    --------
    >>> round(molar_mass("CaSO4.2H2O"), 3)
    172.164
    """
    return sum(ATOMIC_WEIGHTS[name] * count for name, count in elements(formula).items())
