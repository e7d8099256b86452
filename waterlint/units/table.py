"""The kinds of quantity and their units."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from types import MappingProxyType

from waterlint.hints import Final
from waterlint.records import Record

US_GALLON: Final = 3.785411784
"""[L]; by definition, 231 cubic inches."""

IMPERIAL_GALLON: Final = 4.54609
"""[L]; by definition."""

US_BEER_BARREL: Final = 31.0 * US_GALLON
"""[L]; 31 US gallons, by definition."""

POUND: Final = 453.59237
"""[g]; by definition."""

GRAIN: Final = POUND / 7000.0
"""[g]; by definition."""

MONTH_DAYS: Final = 365.2425 / 12.0
"""[d]; the mean month of the Gregorian calendar, arithmetic."""

EBC_PER_SRM: Final = 1.97
"""Beer colour, 12.7 x 1.97 = 25 by the definitions of SRM and EBC."""

MALT_EBC_PER_LOVIBOND: Final = 2.65
"""[EBC per degree Lovibond]; Rowlett, as cited by Troester 2009."""

MALT_EBC_OFFSET: Final = -1.2
"""[EBC]; Rowlett, as cited by Troester 2009."""

CONDUCTIVITY_25_PER_20: Final = 2790.0 / 2500.0
"""[-] 1.116: one limit stated at both temperatures, 2,790 µS/cm at 25 °C in the German
Trinkwasserverordnung of 2023 and 2,500 µS/cm at 20 °C in directive 98/83/EC. ISO 7888 gives
about the same factor for natural waters (from memory)."""


class Unit(Record):
    """A unit, and how a number of it becomes the canonical one: ``factor x + offset``.

    `least` is the lowest canonical value; `also` are accepted beside the symbol.
    """

    symbol: str
    canonical: str
    factor: float = 1.0
    offset: float = 0.0
    least: float = float("-inf")
    also: tuple[str, ...] = ()

    def convert(self, number: float) -> float:
        """A number of this unit in the canonical one."""
        return max(self.least, self.factor * number + self.offset)


class Kind(Record):
    """A kind of quantity.

    Attributes
    ----------
    name : str
    noun : str
        With its article, for sentences.
    example, range_example : str
        A value and a range of it as one writes them.
    units : tuple of Unit
        In the order in which they are offered; empty for a bare number.
    chemical : bool
        Whether units depend on what is dissolved: see `waterlint.units.concentration`.
    signed : bool
        Whether a minus may stand in front.
    whole : bool
        Whether only whole numbers count.
    traces : bool
        Whether ``< 0.02`` can be meant: a laboratory's figure below detection.
    """

    name: str
    noun: str
    example: str
    units: tuple[Unit, ...] = ()
    chemical: bool = False
    signed: bool = False
    whole: bool = False
    traces: bool = False
    range_example: str = ""

    @property
    def bare(self) -> bool:
        """Whether it is a number without unit."""
        return not self.units and not self.chemical

    @property
    def bare_noun(self) -> str:
        """The noun without its article."""
        return self.noun.partition(" ")[2]


_VOLUME = (
    Unit("L", "L"),
    Unit("mL", "L", 1e-3),
    Unit("hL", "L", 100.0),
    Unit("US gal", "L", US_GALLON),
    Unit("imp gal", "L", IMPERIAL_GALLON),
    Unit("US qt", "L", US_GALLON / 4.0),
    Unit("US bbl", "L", US_BEER_BARREL),
)
_MASS = (
    Unit("g", "g"),
    Unit("mg", "g", 1e-3),
    Unit("kg", "g", 1e3),
    Unit("oz", "g", POUND / 16.0),
    Unit("lb", "g", POUND),
)
_RATE = (
    Unit("g/L", "g/L"),
    Unit("mg/L", "g/L", 1e-3),
    Unit("mL/L", "mL/L"),
    Unit("g/hL", "g/L", 1e-2),
    Unit("g/US gal", "g/L", 1.0 / US_GALLON),
)
_LIQUID = tuple(Unit(unit.symbol, "mL", unit.factor * 1e3) for unit in _VOLUME)
_CONDUCTIVITY = (
    Unit("µS/cm", "µS/cm"),
    Unit("mS/cm", "µS/cm", 1e3),
    Unit("mmho/cm", "µS/cm", 1e3),
)

_ALL = (
    Kind("volume", "a volume", "15.5 L", _VOLUME),
    Kind("mass", "a mass", "350 g", _MASS),
    Kind(
        "concentration",
        "a concentration",
        "42 mg/L",
        chemical=True,
        traces=True,
        range_example="50 .. 110 mg/L",
    ),
    Kind(
        "alkalinity",
        "an alkalinity",
        "96 mg/L as CaCO3",
        chemical=True,
        traces=True,
        range_example="20 .. 60 mg/L as CaCO3",
    ),
    Kind("hardness", "a hardness", "130 mg/L as CaCO3", chemical=True, traces=True),
    Kind(
        "residual_alkalinity",
        "a residual alkalinity",
        "40 mg/L as CaCO3",
        chemical=True,
        signed=True,
        range_example="-20 .. 40 mg/L as CaCO3",
    ),
    Kind("rate", "a rate by the vessel's water", "0.12 g/L", _RATE),
    Kind("dose", "a dose", "1.2 g", (*_MASS, *_LIQUID, *_RATE)),
    Kind("kettle_dose", "a dose by mass or volume", "1.4 g", (*_MASS, *_LIQUID)),
    Kind(
        "conductivity",
        "a conductivity",
        "310 µS/cm",
        (
            *_CONDUCTIVITY,
            *(
                Unit(
                    f"{u.symbol} at {temperature} °C",
                    u.canonical,
                    u.factor * factor,
                    also=(f"{u.symbol} at {temperature}°C",),
                )
                for temperature, factor in ((25, 1.0), (20, CONDUCTIVITY_25_PER_20))
                for u in _CONDUCTIVITY
            ),
        ),
    ),
    Kind(
        "beer_color",
        "a beer colour",
        "56 EBC",
        (Unit("SRM", "SRM"), Unit("EBC", "SRM", 1.0 / EBC_PER_SRM)),
        range_example="50 .. 60 EBC",
    ),
    Kind(
        "malt_color",
        "a malt colour",
        "6 EBC",
        (
            Unit("EBC", "EBC"),
            Unit("°L", "EBC", MALT_EBC_PER_LOVIBOND, MALT_EBC_OFFSET, 0.0),
            # The line passes below zero where there is no colour, in sugar.
            # Maltsters who print SRM mean what the comparator shows, degrees Lovibond.
            Unit("SRM", "EBC", MALT_EBC_PER_LOVIBOND, MALT_EBC_OFFSET, 0.0),
        ),
    ),
    Kind(
        "temperature",
        "a temperature",
        "66 °C",
        (Unit("°C", "°C"), Unit("°F", "°C", 5.0 / 9.0, -160.0 / 9.0)),
    ),
    Kind("time", "a time", "60 min", (Unit("min", "min"), Unit("h", "min", 60.0))),
    Kind("share", "a share", "60 %", (Unit("%", "%"),)),
    Kind("strength", "a strength by mass", "10 %", (Unit("%", "%"),)),
    Kind("gap", "a gap", "1.1 mm", (Unit("mm", "mm"),)),
    Kind("density", "a density", "1.05 g/mL", (Unit("g/mL", "g/mL"),)),
    Kind("acidity", "an acidity", "40 mEq/kg", (Unit("mEq/kg", "mEq/kg"),)),
    Kind("buffer", "a buffering", "45 mEq/kg/pH", (Unit("mEq/kg/pH", "mEq/kg/pH"),)),
    Kind(
        "duration",
        "a duration",
        "9 months",
        (
            Unit("months", "months", 1.0, also=("month",)),
            Unit("weeks", "months", 7.0 / MONTH_DAYS, also=("week",)),
            Unit("days", "months", 1.0 / MONTH_DAYS, also=("day",)),
            Unit("years", "months", 12.0, also=("year",)),
        ),
    ),
    Kind("ph", "a pH", "5.4", range_example="5.4 .. 5.6"),
    Kind("ratio", "a ratio", "0.8", range_example="0.8 .. 1.3"),
    Kind("number", "a number", "1.5"),
    Kind("count", "a whole number", "1", whole=True),
)

KINDS: Final[Mapping[str, Kind]] = MappingProxyType({kind.name: kind for kind in _ALL})
"""Every kind of quantity by name."""


@lru_cache(maxsize=512)
def spelled(unit: str) -> str:
    """A unit as it is compared: one case, one micro sign, one degree sign, no needless blanks.

    Examples
    --------
    >>> [spelled(text) for text in ("MG / l", "μS/cm", "° C", "deg C", "mg/L as CaCO₃")]
    ['mg/l', 'us/cm', '°c', '°c', 'mg/l as caco3']
    """
    text = unit.casefold().translate(_SIGNS)
    for written, meant in _SIMPLER:
        text = text.replace(written, meant)
    return text.strip()


# Casefolding has made both micro signs the same Greek letter; º is what some keyboards offer.
_SIGNS = str.maketrans({"μ": "u", "º": "°", "˚": "°", "₂": "2", "₃": "3", "₄": "4"})
_SIMPLER = (("degrees ", "°"), ("deg ", "°"), ("deg", "°"), ("° ", "°"), (" /", "/"), ("/ ", "/"))


def spellings(symbol: str) -> tuple[str, str]:
    """How a symbol may be written, as it is compared: with and without its degree sign."""
    text = spelled(symbol)
    return text, text.replace("°", "")


@lru_cache(maxsize=len(_ALL))
def _units_by_spelling(name: str) -> Mapping[str, Unit]:
    return {
        spelling: unit
        for unit in KINDS[name].units
        for symbol in (unit.symbol, *unit.also)
        for spelling in spellings(symbol)
    }


def find_unit(kind: Kind, unit: str) -> Unit | None:
    """The unit of a kind that is written like this; chemical kinds are not looked up here."""
    return _units_by_spelling(kind.name).get(spelled(unit))
