"""Quantities as brewers write them, and one canonical unit for each kind.

Every other room works in canonical units only.

Grammar
-------
A value is a plain decimal and its unit: ``14.5 L``. It may carry one standard deviation
(``42 ± 3 mg/L``, ``42 +/- 3 mg/L``), and a laboratory's figure may lie below what was detected
(``< 0.02 mg/L``, taken as half of it with a spread of half). A range is two plain decimals and
their unit, either side of it open: ``50 .. 110 mg/L``, ``.. 100 mg/L``, ``50 .. mg/L``.

Numbers have at most 12 digits, no sign and no exponent; upper and lower case of units are alike,
as are both micro signs and the degree sign, ``deg`` and nothing.
"""

from waterlint.units.parsing import parse, parse_range
from waterlint.units.quantity import Quantity, QuantityError, Range
from waterlint.units.table import KINDS, Kind

__all__ = ["KINDS", "Kind", "Quantity", "QuantityError", "Range", "parse", "parse_range"]
