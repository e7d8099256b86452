"""Density of acids and calcium chloride solutions by strength.

References
----------
Handbook: engineeringtoolbox.com, "Density of aqueous solutions", tables d_1953 (inorganic
chlorides), d_1955 (inorganic acids), d_1958 (organic acids), 20 degrees Celsius. The copy read had
lost its empty cells: the lactic acid values of 40, 60 and 80 % were told from others by fit.
Model: M. Laliberte, J. Chem. Eng. Data 54 (2009) 1725, as computed by the `thermo` library and
only within its fitted range; it agrees with the handbook to 0.0026 g/mL.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from math import isfinite
from types import MappingProxyType

from waterlint.hints import Final, NamedTuple

_HANDBOOK: Final = "engineeringtoolbox.com tables of solution densities, 20 °C"
_MODEL: Final = "Laliberté 2009, J. Chem. Eng. Data 54, 1725, computed at 20 °C"
_MEMORY: Final = "from memory, common table value at 20 °C"
_LACTIC_STRONG: Final = "a supplier's data page: 1.20 to 1.21 between 88 and 92 %"

TABLE_SD: Final = 0.003
"""One standard deviation of a tabulated density in use [g/mL]; common practice: the bottle stands
at 15 to 25 degrees Celsius, and the table and model differ by less."""

MEMORY_SD: Final = 0.01
"""The same where a point is from memory or a data page's range [g/mL]; common practice."""


class Density(NamedTuple):
    """Density of a solution at room temperature.

    Attributes
    ----------
    value, sd : float
        [g/mL]
    basis : str
    """

    value: float
    sd: float
    basis: str


class _Point(NamedTuple):
    """A row of a table: mass percent, g/mL, source."""

    strength: float
    density: float
    basis: str


def _points(basis: str, *pairs: tuple[float, float]) -> list[_Point]:
    return [_Point(strength, density, basis) for strength, density in pairs]


def _table(*parts: list[_Point]) -> tuple[_Point, ...]:
    return tuple(sorted(point for part in parts for point in part))


_WATER = _points("water at 20 °C, from memory", (0.0, 0.9982))


@lru_cache(maxsize=1)  # built when asked for, which many runs do not
def _tables() -> Mapping[str, tuple[_Point, ...]]:
    """By strength in percent by mass; calcium chloride as CaCl2."""
    return {
        "lactic": _table(
            _WATER,
            _points(
                _HANDBOOK,
                (1, 1.0002),
                (5, 1.0086),
                (10, 1.0199),
                (20, 1.0439),
                (40, 1.0915),
                (60, 1.1392),
                (80, 1.1848),
            ),
            _points(_LACTIC_STRONG, (88, 1.206), (92, 1.21)),
        ),
        "phosphoric": _table(
            _WATER,
            _points(
                _HANDBOOK,
                (1, 1.0038),
                (5, 1.0254),
                (10, 1.0531),
                (20, 1.1135),
                (30, 1.1804),
                (40, 1.2536),
            ),
            _points(
                _MODEL,
                (50, 1.3360),
                (60, 1.4252),
                (70, 1.5234),
                (75, 1.576),
                (80, 1.6313),
                (85, 1.689),
            ),
        ),
        "hydrochloric": _table(
            _WATER,
            _points(
                _HANDBOOK,
                (1, 1.0031),
                (5, 1.0228),
                (10, 1.0476),
                (20, 1.0980),
                (30, 1.1492),
                (40, 1.1977),
            ),
            _points(_MODEL, (37, 1.1846)),
        ),
        "sulfuric": _table(
            _WATER,
            _points(
                _HANDBOOK,
                (1, 1.0049),
                (5, 1.0318),
                (10, 1.0661),
                (20, 1.1398),
                (30, 1.2191),
                (40, 1.3028),
                (50, 1.3952),
                (70, 1.6105),
                (100, 1.8305),
            ),
            _points(_MODEL, (60, 1.4976), (75, 1.6681)),
            _points(
                _MEMORY,
                (80, 1.727),
                (85, 1.779),
                (90, 1.814),
                (93, 1.828),
                (96, 1.836),
                (98, 1.836),
            ),
        ),
        "calcium_chloride": _table(
            _WATER,
            _points(
                _HANDBOOK,
                (1, 1.0065),
                (5, 1.0401),
                (10, 1.0835),
                (20, 1.1775),
                (30, 1.2816),
                (40, 1.3957),
            ),
            _points(_MODEL, (33, 1.3147), (37, 1.3593)),
        ),
    }


_ALIASES: Final[Mapping[str, str]] = MappingProxyType(
    {
        "lactic-acid": "lactic",
        "phosphoric-acid": "phosphoric",
        "hydrochloric-acid": "hydrochloric",
        "sulfuric-acid": "sulfuric",
        "calcium-chloride": "calcium_chloride",
        "calcium_chloride_anhydrous": "calcium_chloride",
    }
)


def strength_range(solution: str) -> tuple[float, float] | None:
    """The strengths between which a density is known [% by mass]; `None` if none is."""
    table = _tables().get(_ALIASES.get(solution, solution))
    return None if table is None else (table[0].strength, table[-1].strength)


def density(solution: str, strength: float) -> Density | None:
    """Density of a solution.

    Parameters
    ----------
    solution : str
        An acid by chemistry's name (``lactic``) or the catalogue's (``lactic-acid``), or
        ``calcium-chloride``.
    strength : float
        [% by mass]; of calcium chloride as CaCl2.

    Returns
    -------
    Density or None
        `None` for a solution without a table, or a strength outside of it.

    Notes
    -----
    Linear between tabulated strengths, which costs less than 0.003 g/mL. At 20 degrees Celsius;
    a solution thins by 0.0003 to 0.001 g/mL a degree.

    Examples
    --------
    >>> found = density("lactic-acid", 80)
    >>> found.value, found.sd
    (1.1848, 0.003)
    >>> density("citric-acid", 50) is None
    True
    """
    table = _tables().get(_ALIASES.get(solution, solution))
    if table is None or not isfinite(strength):
        return None
    if not table[0].strength <= strength <= table[-1].strength:
        return None
    place = next(place for place, point in enumerate(table) if point.strength >= strength)
    right = table[place]
    if right.strength == strength:
        return Density(right.density, _sd(right), right.basis)
    left = table[place - 1]
    part = (strength - left.strength) / (right.strength - left.strength)
    bases = dict.fromkeys((left.basis, right.basis))
    return Density(
        left.density + part * (right.density - left.density),
        max(_sd(left), _sd(right)),
        f"between {left.strength:g} and {right.strength:g} %: {'; '.join(bases)}",
    )


def _sd(point: _Point) -> float:
    return TABLE_SD if point.basis in (_HANDBOOK, _MODEL) or not point.strength else MEMORY_SD
