"""The quantities that mixing conserves, in one fixed order.

Everything a vessel holds is a row of numbers: ions by mass, alkalinity and inorganic carbon by
amount. All mixing is then addition, and whatever is no sum (pH, bicarbonate) is solved last.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from waterlint.chemistry.ions import (
    CALCIUM_CARBONATE_EQUIVALENT,
    IONS,
    KOLBACH_CALCIUM,
    KOLBACH_MAGNESIUM,
)
from waterlint.hints import Final

REPORTED: Final = (
    "calcium",
    "magnesium",
    "sodium",
    "potassium",
    "chloride",
    "sulfate",
    "nitrate",
)
"""The ions that every figure of a water shows, bicarbonate aside [mg]."""

FURTHER: Final = ("lactate", "phosphate", "citrate", "sulfite", "ammonium")
"""Ions that only some additions bring, shown where there are any [mg]."""

IONS_OF_ROWS: Final = len(REPORTED) + len(FURTHER)
"""So many places of a `Row` are ions; what follows is none."""

ALKALINITY: Final = "alkalinity"
"""Total alkalinity [mEq]."""

CARBON: Final = "inorganic_carbon"
"""Dissolved inorganic carbon [mmol]."""

ROWS: Final = (*REPORTED, *FURTHER, ALKALINITY, CARBON)
"""The order of every `Row`."""

INDEX: Final[Mapping[str, int]] = {name: place for place, name in enumerate(ROWS)}

Row = tuple[float, ...]
"""Amounts or concentrations in the order of `ROWS`: mg, mEq of alkalinity, mmol of carbon."""

Weights = tuple[tuple[int, float], ...]
"""A sum of rows: place in `ROWS` and factor."""

Sparse = Mapping[int, float]
"""The entries of a `Row` that are not 0, by their places: a salt brings two ions of twelve."""

EMPTY: Final[Row] = (0.0,) * len(ROWS)


def row(amounts: Mapping[str, float]) -> Row:
    """Put named amounts in order; what is not named is 0.

    Raises
    ------
    KeyError
        If a name is none of `ROWS`.
    """
    values = [0.0] * len(ROWS)
    for name, amount in amounts.items():
        values[INDEX[name]] = amount
    return tuple(values)


def sparse(values: Row) -> Sparse:
    """A row by its entries that are not 0.

    Examples
    --------
    >>> sparse(row({"calcium": 40.0})) == {INDEX["calcium"]: 40.0}
    True
    """
    return {place: value for place, value in enumerate(values) if value}


def dense(values: Sparse) -> Row:
    """The row of which these are the entries.

    Examples
    --------
    >>> dense({INDEX["calcium"]: 40.0}) == row({"calcium": 40.0})
    True
    """
    found = [0.0] * len(ROWS)
    for place, value in values.items():
        found[place] = value
    return tuple(found)


def scaled(values: Sparse, factor: float) -> Sparse:
    """Entries times a number."""
    return {place: value * factor for place, value in values.items()}


def combination(parts: Iterable[tuple[Row, float]]) -> Row:
    """The sum of rows, each times its factor.

    Examples
    --------
    >>> mixed = combination([(row({"calcium": 40.0}), 0.5), (row({"calcium": 10.0}), 0.5)])
    >>> mixed[INDEX["calcium"]]
    25.0
    """
    listed = list(parts)
    if not listed:
        return EMPTY
    first, factor = listed[0]
    if len(listed) == 1:
        return tuple([value * factor for value in first])
    second, other = listed[1]
    total = [a * factor + b * other for a, b in zip(first, second, strict=True)]
    for values, factor in listed[2:]:
        total = [sum_ + value * factor for sum_, value in zip(total, values, strict=True)]
    return tuple(total)


def weighed(values: Row, weights: Weights) -> float:
    """A weighted sum of a row's entries."""
    total = 0.0
    for place, factor in weights:
        total += values[place] * factor
    return total


def _milliequivalents(ion: str) -> float:
    return 1.0 / IONS[ion].equivalent_weight


#: Alkalinity as mg CaCO3.
ALKALINITY_AS_CACO3: Final[Weights] = ((INDEX[ALKALINITY], CALCIUM_CARBONATE_EQUIVALENT),)

#: Hardness as mg CaCO3: calcium and magnesium by equivalents.
HARDNESS_AS_CACO3: Final[Weights] = (
    (INDEX["calcium"], CALCIUM_CARBONATE_EQUIVALENT * _milliequivalents("calcium")),
    (INDEX["magnesium"], CALCIUM_CARBONATE_EQUIVALENT * _milliequivalents("magnesium")),
)

#: Kolbach's residual alkalinity as mg CaCO3.
RESIDUAL_ALKALINITY_AS_CACO3: Final[Weights] = (
    ALKALINITY_AS_CACO3[0],
    (INDEX["calcium"], -HARDNESS_AS_CACO3[0][1] / KOLBACH_CALCIUM),
    (INDEX["magnesium"], -HARDNESS_AS_CACO3[1][1] / KOLBACH_MAGNESIUM),
)
