"""Where a style's water differs from what its emphasis says.

What is said of water is the BJCP's, in words; the numbers that stand for them are judgement.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from waterlint.catalog.emphasis import style_limit
from waterlint.catalog.limit import Limit
from waterlint.hints import Final
from waterlint.records import Record, field


class Override(Record):
    """What replaces the emphasis's ranges for one style.

    Attributes
    ----------
    limits : mapping of str to Limit
        By quantity; a side left open here is open.
    unchecked : frozenset of str
        Quantities that are no fault in this style, whatever their value.
    soft : bool
        The guideline calls its water soft or poor in minerals.
    """

    limits: Mapping[str, Limit] = field(default_factory=dict)
    unchecked: frozenset[str] = frozenset()
    soft: bool = False


_RATIO = "chloride_to_sulfate"
_Bounds = tuple[float | None, float | None]


def _override(says: str, *unchecked: str, soft: bool = False, **ranges: _Bounds) -> Override:
    """An override whose every number rests on what the guideline says in words."""
    basis = f"BJCP 2021: {says}; the number is common practice"
    return Override(
        MappingProxyType(
            {name: style_limit(name, low, high, basis) for name, (low, high) in ranges.items()}
        ),
        frozenset(unchecked),
        soft,
    )


_CZECH_PALE = _override(
    "little sulfate and carbonate", _RATIO, soft=True, calcium=(5, 150), sulfate=(None, 60)
)
_CZECH_DARK = _override("few minerals", _RATIO, soft=True, calcium=(5, 150), sulfate=(None, 100))
_SOFT_MALT = _override("soft water", _RATIO, soft=True, calcium=(5, 150), sulfate=(None, 100))
_FAIRLY_SOFT = _override("fairly soft water", soft=True, calcium=(10, 150), sulfate=(None, 150))
_EXPORT = _override(
    "much sulfate, carbonate and chloride",
    "alkalinity",
    "minerals",
    calcium=(20, 250),
    sulfate=(None, 350),
    chloride_to_sulfate=(0.2, 2.5),
)
_ALKALINE = Override(unchecked=frozenset({"alkalinity"}))

OVERRIDES: Final[Mapping[str, Override]] = MappingProxyType(
    {
        "czech-pale-lager": _CZECH_PALE,
        "czech-premium-pale-lager": _CZECH_PALE,
        "czech-amber-lager": _CZECH_DARK,
        "czech-dark-lager": _CZECH_DARK,
        "helles-bock": _SOFT_MALT,
        "scottish-light": _SOFT_MALT,
        "scottish-heavy": _SOFT_MALT,
        "scottish-export": _SOFT_MALT,
        "belgian-golden-strong-ale": _FAIRLY_SOFT,
        "belgian-tripel": _FAIRLY_SOFT,
        "german-helles-exportbier": _EXPORT,
        "german-pils": _override(
            "less sulfate in the south than in the north",
            chloride_to_sulfate=(0.1, 2.5),
        ),
        "hazy-ipa": _override("balanced or rich in chloride", chloride_to_sulfate=(0.8, 4)),
        "new-zealand-pilsner": _override(
            "few minerals, more chloride than sulfate",
            soft=True,
            calcium=(20, 150),
            chloride_to_sulfate=(0.8, 4),
        ),
        "ipa-argenta": _override(
            "low to moderate sulfate", sulfate=(None, 200), chloride_to_sulfate=(0.2, 2.0)
        ),
        "australian-sparkling-ale": _override(
            "little carbonate, moderate sulfate",
            sulfate=(None, 250),
            chloride_to_sulfate=(0.2, 2.5),
        ),
        # The guideline says nothing of its water.
        "saison": Override(
            {
                _RATIO: style_limit(
                    _RATIO, 0.2, 2.5, "common practice: a dry farmhouse ale, often on sulfate water"
                )
            }
        ),
        "altbier": _override(
            "a light mineral character is optional", chloride_to_sulfate=(0.2, 2.5)
        ),
        "historical-beer-piwo-grodziskie": _override(
            "moderately hard water with sulfate",
            sulfate=(None, 350),
            chloride_to_sulfate=(0.1, 4),
        ),
        # The guideline names carbonate, and for the first magnesium too, as usual in its home.
        "oud-bruin": Override(unchecked=frozenset({"alkalinity", "magnesium"})),
        "historical-beer-kentucky-common": _ALKALINE,
        "historical-beer-london-brown-ale": _ALKALINE,
        # Salt is an ingredient.
        "gose": Override(unchecked=frozenset({"sodium", "chloride"})),
    }
)
"""By style key."""
