"""Ranges of liquor by what a style leans on, where no override of the style says otherwise.

A sulfate or sodium maximum is the largest value that is still unremarkable, no aim. Calcium
ranges hold for mash and batch alike. Most numbers have thin support, and their basis says so.

References
----------
Taylor 1981, Brewing and Distilling International, and in Handbook of Brewing, as quoted by A. J.
deLange and others. Jeffery, Brewing Theory and Practice (1950s), its water table as reprinted.
Foster, Pale Ale; Palmer, How to Brew; Noonan, Brewing Lager Beer; Narziss and Fix on mash pH: all
as quoted. Montana State University, pages on ions in brewing. Oxford Companion to Beer, 2012.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from waterlint.catalog.limit import Limit
from waterlint.finding import Level
from waterlint.hints import Final, Literal, get_args

Emphasis = Literal["hop-bitter", "hop-aroma", "balanced", "malt", "roast", "wheat", "sour"]

EMPHASES: Final[tuple[Emphasis, ...]] = get_args(Emphasis)

LIKE: Final[Mapping[str, tuple[str, str]]] = MappingProxyType(
    {
        "hop-bitter": ("best-bitter", "american-ipa"),
        "hop-aroma": ("hazy-ipa", "new-zealand-pilsner"),
        "balanced": ("kolsch", "blonde-ale"),
        "malt": ("munich-helles", "dark-mild"),
        "roast": ("irish-stout", "american-porter"),
        "wheat": ("weissbier", "witbier"),
        "sour": ("berliner-weisse", "lambic"),
    }
)
"""Two styles of each emphasis, by which people are told of it."""

RULES: Final[Mapping[str, tuple[str, str, Level, str]]] = MappingProxyType(
    {
        "calcium": ("batch-calcium", "batch", "note", "mg/L"),
        "chloride_to_sulfate": ("chloride-sulfate-ratio", "batch", "warning", ""),
        "sulfate": ("batch-sulfate", "batch", "note", "mg/L"),
        "sodium": ("batch-sodium", "batch", "warning", "mg/L"),
        "mash_ph": ("mash-ph", "mash", "note", ""),
    }
)
"""Rule, vessel, level and unit of each quantity that a style has a range for."""


_LABELS: Final = {
    "calcium": "calcium of mash water and whole batch",
    "mash_ph": "mash pH of a cooled sample",
}


def style_limit(quantity: str, low: float | None, high: float | None, basis: str) -> Limit:
    """A style's range of a quantity.

    Raises
    ------
    ValueError
        If styles have no range of it, or as `Limit` does.
    """
    if quantity not in RULES:
        raise ValueError(f"a style has no range of {quantity!r}; known are {', '.join(RULES)}")
    rule, vessel, level, unit = RULES[quantity]
    return Limit(rule, quantity, vessel, level, low, high, unit, basis, _LABELS.get(quantity, ""))


_CA_LOW_40 = "low: Jeffery, mild 42, just under Palmer's 50"
_CA_LOW_20 = "low: common practice (soft waters are brewed with; Pilsen has 7 in Noonan)"
_CA_HIGH_150 = "high: Palmer"
_CA_HIGH_200 = "high: Jeffery, pale ale 180, and Vienna's 200 in Noonan"
_CA_HIGH_200_PRACTICE = "high: common practice (calcium chloride brings it)"

_SO4_200 = "common practice, within the 176 to 259 where liking turns in water (AQUA 66, 2017, 598)"
_SO4_150_MALT = "Jeffery, mild 146; Montana State, 150"
_SO4_150_WHEAT = "common practice"
_NA_100 = "Taylor, Handbook of Brewing: sweetens to 100"
_NA_150 = "Oxford Companion to Beer: stouts to 150; Palmer: 0 to 150"

_PH_56 = "low: Noonan, Fix, Palmer; high: Narziss, Fix, MBAA"
_PH_57 = "low: Noonan, Fix, Palmer; high: common practice, between Narziss and Palmer's 5.8"
_PH_ROAST = "low: common practice, a little above other beers; high: Palmer"


def _ranges(
    calcium: tuple[float, float, str],
    ratio: tuple[float, float, str] | None,
    sulfate: tuple[float, str],
    sodium: tuple[float, str],
    mash_ph: tuple[float, float, str],
) -> Mapping[str, Limit]:
    found = {
        "calcium": style_limit("calcium", *calcium),
        "sulfate": style_limit("sulfate", None, *sulfate),
        "sodium": style_limit("sodium", None, *sodium),
        "mash_ph": style_limit("mash_ph", *mash_ph),
    }
    if ratio is not None:
        found["chloride_to_sulfate"] = style_limit("chloride_to_sulfate", *ratio)
    return MappingProxyType(found)


RANGES: Final[Mapping[Emphasis, Mapping[str, Limit]]] = MappingProxyType(
    {
        "hop-bitter": _ranges(
            (40, 200, f"{_CA_LOW_40}; {_CA_HIGH_200}"),
            (
                0.05,
                1.3,
                "low: just under Burton water, 0.06 in Foster; high: Taylor's 1 to 1 and slack, "
                "common practice",
            ),
            (400, "Beer and Wine Journal; between Palmer's 350 and Jeffery's 472"),
            (100, _NA_100),
            (5.2, 5.6, _PH_56),
        ),
        "hop-aroma": _ranges(
            (40, 200, f"{_CA_LOW_40}; {_CA_HIGH_200_PRACTICE}"),
            (0.5, 4, "low: one of Taylor's steps towards sulfate; high: common practice"),
            (200, _SO4_200),
            (100, _NA_100),
            (5.2, 5.6, _PH_56),
        ),
        "balanced": _ranges(
            (20, 150, f"{_CA_LOW_20}; {_CA_HIGH_150}"),
            (0.4, 2.5, "Taylor's 1:2 to 2:1, widened by a quarter, common practice"),
            (200, _SO4_200),
            (100, _NA_100),
            (5.2, 5.6, _PH_56),
        ),
        "malt": _ranges(
            (20, 150, f"{_CA_LOW_20}; {_CA_HIGH_150}"),
            (0.7, 4, "low: Jeffery, mild; high: common practice, Montana State's 2 lies inside"),
            (150, _SO4_150_MALT),
            (100, _NA_100),
            (5.2, 5.7, _PH_57),
        ),
        "roast": _ranges(
            (40, 150, f"{_CA_LOW_40}; {_CA_HIGH_150}"),
            (0.7, 6, "low: common practice; high: Jeffery, stout 5.4; Montana State's 3 inside"),
            (150, "Montana State, 150"),
            (150, _NA_150),
            (5.3, 5.8, _PH_ROAST),
        ),
        "wheat": _ranges(
            (20, 150, f"{_CA_LOW_20}; {_CA_HIGH_150}"),
            (0.5, 4, "common practice: no source with numbers for wheat beer was found"),
            (150, _SO4_150_WHEAT),
            (100, _NA_100),
            (5.2, 5.6, _PH_56),
        ),
        "sour": _ranges(
            (20, 200, f"{_CA_LOW_20}; {_CA_HIGH_200_PRACTICE}"),
            None,
            (250, "common practice; the drinking water figure of EPA and EU"),
            (150, f"common practice; {_NA_150}"),
            (5.2, 5.7, _PH_57),
        ),
    }
)
"""By emphasis and quantity. Of sour beers the ratio is not judged: acid and fruit outweigh it."""
