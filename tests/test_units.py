"""Quantities: every unit of the format, every slip with its words, and that nothing else breaks."""

from __future__ import annotations

import math
import re

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from waterlint.units import KINDS, Quantity, QuantityError, Range, parse, parse_range
from waterlint.units.concentration import SUBSTANCES, base_units, bases
from waterlint.units.grammar import split_range, split_value

# What a unit is worth, from its definition, not from the code: 1 US gal = 231 in³ = 3.785411784 L,
# 1 imp gal = 4.54609 L, 1 lb = 453.59237 g, 1 grain = 1/7000 lb.
VALUES = [
    ("volume", "15.5 L", None, 15.5, "L"),
    ("volume", "15.5L", None, 15.5, "L"),
    ("volume", "500 ml", None, 0.5, "L"),
    ("volume", "2 HL", None, 200.0, "L"),
    ("volume", "5 US gal", None, 18.92705892, "L"),
    ("volume", "5 us GAL", None, 18.92705892, "L"),
    ("volume", "4 imp gal", None, 18.18436, "L"),
    ("volume", "4 US qt", None, 3.785411784, "L"),
    ("volume", "1 US bbl", None, 117.347765304, "L"),
    ("volume", "010 L", None, 10.0, "L"),
    ("mass", "350 g", None, 350.0, "g"),
    ("mass", "250 mg", None, 0.25, "g"),
    ("mass", "4.2 kg", None, 4200.0, "g"),
    ("mass", "4 oz", None, 113.3980925, "g"),
    ("mass", "9 lb", None, 4082.33133, "g"),
    ("dose", "1.2 g", None, 1.2, "g"),
    ("dose", "6 mL", None, 6.0, "mL"),
    ("dose", "0.12 g/L", None, 0.12, "g/L"),
    ("dose", "120 mg/L", None, 0.12, "g/L"),
    ("dose", "0.3 mL/L", None, 0.3, "mL/L"),
    ("dose", "12 g/hL", None, 0.12, "g/L"),
    ("dose", "1 g/US gal", None, 0.2641720523581484, "g/L"),
    ("kettle_dose", "0.05 oz", None, 1.41747615625, "g"),
    ("kettle_dose", "2 ml", None, 2.0, "mL"),
    ("rate", "5 g/l", None, 5.0, "g/L"),
    ("conductivity", "310 µS/cm", None, 310.0, "µS/cm"),
    ("conductivity", "310 μS/cm", None, 310.0, "µS/cm"),
    ("conductivity", "310 uS/cm", None, 310.0, "µS/cm"),
    ("conductivity", "0.31 mS/cm", None, 310.0, "µS/cm"),
    ("conductivity", "0.31 mmho/cm at 25 °C", None, 310.0, "µS/cm"),
    # One limit at both temperatures: directive 98/83/EC and the German ordinance of 2023.
    ("conductivity", "2500 µS/cm at 20 °C", None, 2790.0, "µS/cm"),
    ("conductivity", "2500 uS/cm at 20C", None, 2790.0, "µS/cm"),
    ("conductivity", "2500 µS/cm at 25°C", None, 2500.0, "µS/cm"),
    ("beer_color", "28 SRM", None, 28.0, "SRM"),
    ("beer_color", "19.7 EBC", None, 10.0, "SRM"),
    ("malt_color", "6 EBC", None, 6.0, "EBC"),
    ("malt_color", "60 °L", None, 157.8, "EBC"),
    ("malt_color", "60 L", None, 157.8, "EBC"),
    ("malt_color", "60 SRM", None, 157.8, "EBC"),
    ("malt_color", "0 SRM", None, 0.0, "EBC"),
    ("temperature", "66 °C", None, 66.0, "°C"),
    ("temperature", "66 C", None, 66.0, "°C"),
    ("temperature", "66 ° C", None, 66.0, "°C"),
    ("temperature", "66 degC", None, 66.0, "°C"),
    ("temperature", "66 ºC", None, 66.0, "°C"),
    ("temperature", "212 °F", None, 100.0, "°C"),
    ("temperature", "150.8 F", None, 66.0, "°C"),
    ("time", "60 min", None, 60.0, "min"),
    ("time", "1.5 h", None, 90.0, "min"),
    ("share", "60 %", None, 60.0, "%"),
    ("strength", "80%", None, 80.0, "%"),
    ("gap", "1.1 mm", None, 1.1, "mm"),
    ("density", "1.05 g/ml", None, 1.05, "g/mL"),
    ("acidity", "40 meq/kg", None, 40.0, "mEq/kg"),
    ("buffer", "45 mEq/kg/pH", None, 45.0, "mEq/kg/pH"),
    ("duration", "9 months", None, 9.0, "months"),
    ("duration", "1 month", None, 1.0, "months"),
    ("duration", "2 years", None, 24.0, "months"),
    ("duration", "52 weeks", None, 364 / (365.2425 / 12), "months"),
    ("duration", "1 day", None, 12 / 365.2425, "months"),
    ("ph", "5.51", None, 5.51, ""),
    ("ratio", "0.8", None, 0.8, ""),
    ("number", "1.5", None, 1.5, ""),
    ("count", "2", None, 2.0, ""),
    ("concentration", "42 mg/L", "calcium", 42.0, "mg/L"),
    ("concentration", "42 MG / l", "calcium", 42.0, "mg/L"),
    ("concentration", "42 ppm", "calcium", 42.0, "mg/L"),
    ("concentration", "20 µg/L", "iron", 0.02, "mg/L"),
    ("concentration", "20 ug/l", "iron", 0.02, "mg/L"),
    ("concentration", "42 mg/L as Ca", "calcium", 42.0, "mg/L"),
    ("concentration", "210 mg/L", "solids", 210.0, "mg/L"),
    ("concentration", "8 mg/L", "silica", 8.0, "mg/L"),
]

# Arithmetic with the atomic weights of IUPAC (abridged, 2021): H 1.008, C 12.011, N 14.007,
# O 15.999, Mg 24.305, S 32.06, Cl 35.45, Ca 40.078. One °dH is 10 mg/L CaO, one °fH 10 mg/L CaCO3,
# one °e a grain per imperial gallon, gpg a grain per US gallon.
CHEMISTRY = [
    ("alkalinity", "100 mg/L as CaCO3", None, 100.0),
    ("alkalinity", "100 mg/L", None, 100.0),
    ("alkalinity", "121.93 mg/L as HCO3", None, 100.0),
    ("alkalinity", "1.9983 mmol/L", None, 100.0),
    ("alkalinity", "1.9983 mEq/L", None, 100.0),
    ("alkalinity", "1 mmol/L as CaCO3", None, 100.086),
    ("alkalinity", "1 °dH", None, 17.848),
    ("residual_alkalinity", "1 mmol/L", None, 50.043),
    ("hardness", "1 mmol/L", None, 100.09),
    ("hardness", "1 mEq/L", None, 50.043),
    ("hardness", "10 mg/L as Mg", None, 41.18),
    ("hardness", "10 mg/L as Ca", None, 24.97),
    ("hardness", "1 °e", None, 14.254),
    ("hardness", "1 °fH", None, 10.0),
    ("hardness", "1 fH", None, 10.0),
    ("hardness", "1 gpg", None, 17.118),
    ("hardness", "5.608 dH", None, 100.09),
    ("hardness", "0.5603 °dH", None, 10.0),
    ("hardness", "1 deg dH", None, 17.848),
    ("concentration", "10 mg/L as N", "nitrate", 44.27),
    ("concentration", "10 mg/L as NO3", "nitrate", 10.0),
    ("concentration", "1 mg/L as N", "nitrite", 46.005 / 14.007),
    ("concentration", "1 mg/L as N", "ammonium", 18.039 / 14.007),
    ("concentration", "10 mg/L as S", "sulfate", 29.96),
    ("concentration", "10 mg/L as s", "sulfate", 29.96),
    ("concentration", "10 mg/L as SO4", "sulfate", 10.0),
    ("concentration", "10000 µg/L as S", "sulfate", 29.96),
    ("concentration", "100 mg/L as CaCO3", "calcium", 40.04),
    ("concentration", "100 mg/L as CaCO₃", "magnesium", 24.28),
    ("concentration", "100 mg/L as CaCO3", "bicarbonate", 121.93),
    ("concentration", "100 mg/L as CaCO3", "carbonate", 59.96),
    ("concentration", "1 mmol/L", "calcium", 40.078),
    ("concentration", "1 mEq/L", "calcium", 20.039),
    ("concentration", "1 mmol/L", "sulfate", 96.056),
    ("concentration", "1 mEq/L", "sulfate", 48.028),
    ("concentration", "1 mmol/L as N", "nitrate", 62.004),
    ("concentration", "1 °dH", "calcium", 7.147),
    ("concentration", "1 °dH", "magnesium", 4.334),
    ("concentration", "1 °dH", "bicarbonate", 21.76),
    ("concentration", "1 mg/L", "chlorine", 1.0),
    ("concentration", "1 mg/L as Cl2", "chloramine", 1.0),
    ("concentration", "1 mg/L as NH2Cl", "chloramine", 70.9 / 51.473),
]


@pytest.mark.parametrize(("kind", "text", "substance", "value", "unit"), VALUES)
def test_value(kind: str, text: str, substance: str | None, value: float, unit: str) -> None:
    quantity = parse(kind, text, substance)
    assert quantity.value == pytest.approx(value, rel=1e-12)
    assert quantity.unit == unit
    assert quantity.text == text
    assert quantity.sd is None


@pytest.mark.parametrize(("kind", "text", "substance", "value"), CHEMISTRY)
def test_chemical_value(kind: str, text: str, substance: str | None, value: float) -> None:
    quantity = parse(kind, text, substance)
    assert quantity.value == pytest.approx(value, rel=3e-4)
    assert quantity.unit == ("mg/L" if kind == "concentration" else "mg/L as CaCO3")


@pytest.mark.parametrize(
    ("text", "substance", "value", "sd", "resolution"),
    [
        ("42 ± 3 mg/L", "calcium", 42.0, 3.0, 0.5),
        ("42 +/- 3 mg/L", "calcium", 42.0, 3.0, 0.5),
        ("42±3mg/L", "calcium", 42.0, 3.0, 0.5),
        ("42.0 ± 3 mg/L", "calcium", 42.0, 3.0, 0.05),
        ("8 ± 1 mg/L as S", "sulfate", 23.969, 2.9961, 1.498),
        ("< 0.02 mg/L", "iron", 0.01, 0.01, 0.005),
        ("<20 µg/L", "iron", 0.01, 0.01, 0.0005),
        ("1 mg/L", "iron", 1.0, None, 0.5),
        ("1.00 mg/L", "iron", 1.0, None, 0.005),
    ],
)
def test_spread_and_last_digit(
    text: str, substance: str, value: float, sd: float | None, resolution: float
) -> None:
    quantity = parse("concentration", text, substance)
    assert quantity.value == pytest.approx(value, rel=1e-4)
    assert quantity.sd == (None if sd is None else pytest.approx(sd, rel=1e-4))
    assert quantity.resolution == pytest.approx(resolution, rel=1e-3)


def test_spread_of_a_scale_with_an_offset() -> None:
    assert parse("temperature", "212 ± 9 °F").sd == pytest.approx(5.0)
    assert parse("malt_color", "60 ± 2 °L").sd == pytest.approx(5.3)


@pytest.mark.parametrize(
    ("kind", "text", "substance", "low", "high"),
    [
        ("concentration", "50 .. 110 mg/L", "calcium", 50.0, 110.0),
        ("concentration", "50..110mg/L", "calcium", 50.0, 110.0),
        ("concentration", ".. 100 mg/L", "calcium", None, 100.0),
        ("concentration", "50 .. mg/L", "calcium", 50.0, None),
        ("concentration", "10 .. 20 mg/L as S", "sulfate", 29.96, 59.92),
        ("ph", "5.4 .. 5.6", None, 5.4, 5.6),
        ("ph", "5.4..5.6", None, 5.4, 5.6),
        ("ph", "5.4 .. 5.4", None, 5.4, 5.4),
        ("ratio", ".. 1.3", None, None, 1.3),
        ("ratio", "0.8 ..", None, 0.8, None),
        ("beer_color", "19.7 .. 39.4 EBC", None, 10.0, 20.0),
        ("alkalinity", "1 .. 2 °fH", None, 10.0, 20.0),
        ("residual_alkalinity", "-50 .. 10 mg/L", None, -50.0, 10.0),
        ("residual_alkalinity", "−5 .. -1 °fH", None, -50.0, -10.0),
    ],
)
def test_range(
    kind: str, text: str, substance: str | None, low: float | None, high: float | None
) -> None:
    limits = parse_range(kind, text, substance)
    assert limits.low == (None if low is None else pytest.approx(low, rel=1e-4))
    assert limits.high == (None if high is None else pytest.approx(high, rel=1e-4))
    assert limits.text == text


# Text, what the message says, what the help says, and what is offered.
SLIPS = [
    ("volume", "15,5 L", "decimal comma", "`15.5 L`", "15.5 L"),
    ("ph", "5,51", "decimal comma", "`5.51`", "5.51"),
    ("volume", "15,5 ± 0,5 L", "decimal comma", "`15.5 ± 0.5 L`", "15.5 ± 0.5 L"),
    ("volume", "15,5", "decimal comma", "written in L", None),
    ("volume", "1,000 L", "thousands", "`1.000 L` or `1000 L`", None),
    ("volume", "0,125 L", "decimal comma", "`0.125 L`", "0.125 L"),
    ("volume", "1,234.5 L", "groups", "`1234.5 L`", "1234.5 L"),
    ("volume", "1.234,5 L", "groups", "`1234.5 L`", "1234.5 L"),
    ("volume", "1 000 L", "groups", "`1000 L`", "1000 L"),
    ("volume", "1\u2009000 L", "groups", "`1000 L`", "1000 L"),
    ("volume", "1'000 L", "groups", "`1000 L`", "1000 L"),
    ("volume", "1_000 L", "groups", "`1000 L`", "1000 L"),
    ("volume", "15", "has no unit", "L, mL, hL, US gal, imp gal, US qt or US bbl", None),
    ("share", "60", "has no unit", "%", None),
    ("concentration", "42", "has no unit", "mg/L, µg/L, ppm, mmol/L, mEq/L, °dH", None),
    ("volume", "5 gal", "not the same everywhere", "`5 US gal` or `5 imp gal`", None),
    ("volume", "5 gallons", "not the same everywhere", "`5 US gal` or `5 imp gal`", None),
    ("volume", "1 bbl", "not the same everywhere", "`1 US bbl`", None),
    ("dose", "1 g/gal", "not the same everywhere", "`1 g/US gal`", None),
    ("dose", "1 tsp", "tsp holds more or less", "Weigh it", None),
    ("dose", "½ teaspoon", "teaspoon holds", "Weigh it", None),
    ("dose", "2 tbsp", "tbsp", "Weigh it", None),
    ("dose", "a pinch", "pinch", "Weigh it", None),
    ("dose", "3 drops", "drops", "Weigh it", None),
    ("volume", "-5 L", "negative", "15.5 L", None),
    ("volume", "−5 L", "negative", "15.5 L", None),
    ("volume", "+5 L", "sign", "`5 L`", "5 L"),
    ("volume", "1e3 L", "exponent", "`1000 L`", "1000 L"),
    ("dose", "5E-2 g", "exponent", "`0.05 g`", "0.05 g"),
    ("volume", "1e999 L", "exponent", "written in L", None),
    ("volume", ".5 L", "point", "`0.5 L`", "0.5 L"),
    ("volume", "15. L", "point", "`15 L`", "15 L"),
    ("volume", "1/2 L", "fraction", "`0.5`", None),
    ("volume", "1234567890123 L", "more than 12 digits", "Round it", None),
    ("volume", "1.234567890123 L", "more than 12 digits", "Round it", None),
    ("volume", "", "nothing is written", "15.5 L", None),
    ("volume", "much", "has no number", "15.5 L", None),
    ("concentration", "n.d.", "has no number", "`< 0.02 mg/L`", None),
    ("concentration", "<= 0.02 mg/L", "does not begin", "`< 0.02 mg/L`", "< 0.02 mg/L"),
    ("concentration", "< 0.02 ± 0.01 mg/L", "both < and ±", "42 mg/L", None),
    ("volume", "< 5 L", "below what was detected", "15.5 L", None),
    ("volume", "~15 L", "does not begin with its number", "`15 L`", "15 L"),
    ("volume", "ca. 15 L", "does not begin with its number", "`15 L`", "15 L"),
    ("ph", "pH 5.4", "does not begin with its number", "`5.4`", "5.4"),
    ("ph", "5.4 pH", "has a unit", "`5.4`", "5.4"),
    ("ph", "5.4.1", "cannot be read", "5.4", None),
    ("count", "1.5", "no whole number", "1", None),
    ("volume", "3 kg", "`kg` is a unit of mass, and a volume", "15.5 L", None),
    ("mass", "3 L", "`L` is a unit of volume, and a mass", "350 g", None),
    ("beer_color", "60 °L", "`°L` is a unit of malt colour", "SRM or EBC", None),
    ("concentration", "42 mg", "`mg` is a unit of mass", "Did you mean `42 mg/L`?", None),
    ("conductivity", "310 µS", "no unit of conductivity", "Did you mean `310 µS/cm`?", None),
    ("kettle_dose", "0.1 g/L", "`g/L` is a unit of rate", "g, mg, kg, oz, lb", None),
    ("volume", "15 furlongs", "no unit of volume", "15.5 L", None),
    ("volume", "15 litres", "not how this format writes", "`15 L`", "15 L"),
    ("mass", "9 lbs", "not how this format writes", "`9 lb`", "9 lb"),
    ("density", "1.05 g/cm3", "not how this format writes", "`1.05 g/mL`", "1.05 g/mL"),
    ("volume", "15-16 L", "is a range", "15.5 L", None),
    ("volume", "15 .. 16 L", "is a range", "15.5 L", None),
    ("volume", "42 L ± 3 L", "its unit in front of ±", "`42 ± 3 L`", "42 ± 3 L"),
    ("concentration", "42 mg/L ± 5 %", "its unit in front of ±", "42 mg/L", None),
    ("concentration", "8 mg/L CaCO3", "what was counted", "`8 mg/L as CaCO3`", "8 mg/L as CaCO3"),
    ("concentration", "8 mg CaCO3/L", "what was counted", "`8 mg/L as CaCO3`", "8 mg/L as CaCO3"),
    ("concentration", "8 mg/L as N", "`as N` is no way to count", "`as Ca` or `as CaCO3`", None),
    ("concentration", "5 °dH as CaCO3", "already says", "`5 °dH`", "5 °dH"),
    ("concentration", "3 mEq/L as Ca", "already says", "`3 mEq/L`", "3 mEq/L"),
]


@pytest.mark.parametrize(("kind", "text", "message", "help", "suggestion"), SLIPS)
def test_slip(kind: str, text: str, message: str, help: str, suggestion: str | None) -> None:
    with pytest.raises(QuantityError) as caught:
        parse(kind, text, "calcium" if kind == "concentration" else None)
    assert message in caught.value.message
    assert help in caught.value.help
    assert caught.value.suggestion == suggestion
    assert str(caught.value) == caught.value.message


@pytest.mark.parametrize(
    ("text", "substance", "message", "help", "suggestion"),
    [
        ("5 dH", "sodium", "`dH` says nothing about sodium", "mg/L, µg/L, ppm, mmol/L or", None),
        ("5 mmol/L", "solids", "says nothing about solids", "mg/L, µg/L or ppm", None),
        ("5 mmol/L", None, "says nothing about this figure", "mg/L, µg/L or ppm", None),
        ("5 mg/L as N", "solids", "solids takes no `as`", "`5 mg/L`", "5 mg/L"),
        ("5 mEq/L", "silica", "says nothing about silica", "mmol/L", None),
        ("5 mg/L as S", "nitrate", "no way to count nitrate", "`as NO3` or `as N`", None),
        ("5 mg/L-N", "nitrate", "says what was counted", "`5 mg/L as N`", "5 mg/L as N"),
        ("5 mg N/L", "nitrate", "says what was counted", "`5 mg/L as N`", "5 mg/L as N"),
    ],
)
def test_slip_of_a_substance(
    text: str, substance: str | None, message: str, help: str, suggestion: str | None
) -> None:
    with pytest.raises(QuantityError) as caught:
        parse("concentration", text, substance)
    assert message in caught.value.message
    assert help in caught.value.help
    assert caught.value.suggestion == suggestion


RANGE_SLIPS = [
    ("ph", "5.4", "one value, and a range", "`.. 5.4` for at most", None),
    ("concentration", "50 mg/L", "one value, and a range", "`50 .. mg/L` for at least", None),
    ("ph", "5.2-5.7", "not how this format writes a range", "`5.2 .. 5.7`", "5.2 .. 5.7"),
    ("ph", "5.2 – 5.7", "not how this format writes a range", "`5.2 .. 5.7`", "5.2 .. 5.7"),
    ("ph", "5.2 to 5.7", "not how this format writes a range", "`5.2 .. 5.7`", "5.2 .. 5.7"),
    ("ph", "5.2 ... 5.7", "not how this format writes a range", "`5.2 .. 5.7`", "5.2 .. 5.7"),
    ("ph", "5.2…5.7", "not how this format writes a range", "`5.2 .. 5.7`", "5.2 .. 5.7"),
    ("ph", "5,2 .. 5,7", "decimal comma", "`5.2 .. 5.7`", "5.2 .. 5.7"),
    ("ph", "5.7 .. 5.2", "above the upper one", "`5.2 .. 5.7`", "5.2 .. 5.7"),
    ("ph", "..", "has no number", "`5.4 .. 5.6`", None),
    ("ph", "5.2 .. 5.7 pH", "has a unit", "`5.2 .. 5.7`", "5.2 .. 5.7"),
    ("ratio", "-0.5 .. 1", "negative", "`0.8 .. 1.3`", None),
    ("concentration", "50 .. 110", "has no unit", "`50 .. 110 mg/L`", None),
    ("concentration", ".. mg/L", "has no number", "`50 .. 110 mg/L`", None),
    ("concentration", "50 .. 110 mg", "unit of mass", "Did you mean `50 .. 110 mg/L`?", None),
    ("concentration", "5 mg/L .. 9 mg/L", "in front of ..", "`5 .. 9 mg/L`", "5 .. 9 mg/L"),
    ("concentration", "5 mg/L .. 9", "in front of ..", "`5 .. 9 mg/L`", "5 .. 9 mg/L"),
    ("concentration", "max 100 mg/L", "writes a range", "`.. 100 mg/L`", ".. 100 mg/L"),
    ("concentration", "<= 100 mg/L", "writes a range", "`.. 100 mg/L`", ".. 100 mg/L"),
    ("concentration", "at least 50 mg/L", "writes a range", "`50 .. mg/L`", "50 .. mg/L"),
    ("concentration", "1234567890123 .. mg/L", "12 digits", "Round it", None),
]


@pytest.mark.parametrize(("kind", "text", "message", "help", "suggestion"), RANGE_SLIPS)
def test_range_slip(kind: str, text: str, message: str, help: str, suggestion: str | None) -> None:
    with pytest.raises(QuantityError) as caught:
        parse_range(kind, text, "calcium" if kind == "concentration" else None)
    assert message in caught.value.message
    assert help in caught.value.help
    assert caught.value.suggestion == suggestion


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_examples_of_a_kind_are_such_quantities(kind: str) -> None:
    substance = "calcium" if kind == "concentration" else None
    assert isinstance(parse(kind, KINDS[kind].example, substance), Quantity)
    if KINDS[kind].range_example:
        assert isinstance(parse_range(kind, KINDS[kind].range_example, substance), Range)


@pytest.mark.parametrize("name", sorted(set(SUBSTANCES) - {"alkalinity", "hardness"}))
def test_every_unit_that_is_offered_is_taken(name: str) -> None:
    kind = KINDS["residual_alkalinity" if "alkalinity" in name else "concentration"]
    for unit in base_units(kind, name):
        assert parse(kind.name, f"1 {unit}", name).value > 0.0
    for basis in bases(SUBSTANCES[name]):
        assert parse(kind.name, f"1 mg/L as {basis}", name).value > 0.0


def test_milliequivalents_agree_with_the_ions_of_chemistry() -> None:
    from waterlint.chemistry.ions import IONS

    for name, what in SUBSTANCES.items():
        if what.charge and name in IONS:
            assert what.charge == abs(IONS[name].charge)
            value = parse("concentration", "1 mEq/L", name).value
            assert value == pytest.approx(IONS[name].equivalent_weight, rel=1e-9)


NUMBERS = st.from_regex(re.compile(r"[0-9]{1,6}(\.[0-9]{1,4})?", re.ASCII), fullmatch=True)


@given(number=NUMBERS, sd=st.none() | NUMBERS, data=st.data())
@settings(max_examples=150, deadline=None)
def test_value_of_any_number(number: str, sd: str | None, data: st.DataObject) -> None:
    kind = data.draw(st.sampled_from([kind for kind in KINDS.values() if kind.units]))
    unit = data.draw(st.sampled_from(kind.units))
    spread = "" if sd is None else f" ± {sd}"
    quantity = parse(kind.name, f"{number}{spread} {unit.symbol}")
    assert math.isfinite(quantity.value)
    assert quantity.value == unit.convert(float(number))
    assert quantity.sd == (None if sd is None else pytest.approx(float(sd) * unit.factor))
    assert quantity.resolution > 0.0


WRITTEN = st.text(max_size=30) | st.lists(
    st.sampled_from(
        [
            *"0123456789.,-+ ±<>=~",
            "mg",
            "/L",
            " as ",
            "CaCO3",
            "°",
            "dH",
            "..",
            "gal",
            "e",
            "µ",
            "'",
        ]
    ),
    max_size=9,
).map("".join)


@given(text=WRITTEN, kind=st.sampled_from(sorted(KINDS)))
@example(text="\ud800", kind="volume")
@example(text="٣ L", kind="volume")
@example(text="²", kind="ph")
@settings(max_examples=400, deadline=None)
def test_nothing_but_a_quantity_error(text: str, kind: str) -> None:
    for read in (parse, parse_range):
        try:
            result = read(kind, text, "calcium" if kind == "concentration" else None)
        except QuantityError as error:
            assert error.message and error.help
            if error.suggestion is not None:
                assert read(kind, error.suggestion, "calcium" if kind == "concentration" else None)
            continue
        assert result.text == text
        assert re.search(r"[0-9]", text)


def test_a_long_text_is_cut_in_the_message() -> None:
    with pytest.raises(QuantityError) as caught:
        parse("volume", "L" * 10_000)
    assert len(caught.value.message) < 120


#: The grammar once more, as patterns.
_NUMBER = r"[0-9]+(?:\.[0-9]+)?"
_UNIT = r"(?P<unit>(?![0-9.,±+<>=/'’_–-]).+|)"
VALUE = re.compile(
    rf"(?P<below>< ?)?(?P<number>{_NUMBER})(?: ?(?:±|\+/-|\+-) ?(?P<sd>{_NUMBER}))? ?{_UNIT}"
)
RANGE = re.compile(rf"(?P<low>[-−]?{_NUMBER})? ?\.\.(?!\.) ?(?P<high>[-−]?{_NUMBER})? ?{_UNIT}")
PIECES = ("1", "2.5", ".", " ", "..", "-", "−", "±", "+/-", "+-", "<", "L", "+", ",", "mg/L", "°")


@given(text=st.lists(st.sampled_from(PIECES), max_size=9).map("".join))
@settings(max_examples=500)
@example("1 ± 2.5.")
@example(".. 2.5.")
@example("1 2.5")
def test_texts_are_taken_apart_as_the_patterns_say(text: str) -> None:
    value, limits = VALUE.fullmatch(text), RANGE.fullmatch(text)
    assert split_value(text) == (
        value and (value["below"] is not None, value["number"], value["sd"], value["unit"])
    )
    assert split_range(text) == (limits and (limits["low"], limits["high"], limits["unit"]))
