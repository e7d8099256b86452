"""Styles named no closer than most brewers name them, each spanning some of the guideline's."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from waterlint.catalog.emphasis import Emphasis
from waterlint.hints import Final, NamedTuple


class Family(NamedTuple):
    """A general style.

    Attributes
    ----------
    name : str
    emphasis : Emphasis
        What its members lean on, or most of them.
    members : tuple of str
        Style keys; colour is the span of theirs.
    """

    name: str
    emphasis: Emphasis
    members: tuple[str, ...]


FAMILIES: Final[Mapping[str, Family]] = MappingProxyType(
    {
        "amber-ale": Family("Amber Ale", "balanced", ("american-amber-ale", "irish-red-ale")),
        "bitter": Family(
            "Bitter", "hop-bitter", ("ordinary-bitter", "best-bitter", "strong-bitter")
        ),
        "brown-ale": Family("Brown Ale", "balanced", ("british-brown-ale", "american-brown-ale")),
        "ipa": Family("IPA", "hop-bitter", ("english-ipa", "american-ipa")),
        "pale-ale": Family("Pale Ale", "hop-bitter", ("american-pale-ale", "strong-bitter")),
        "porter": Family("Porter", "roast", ("english-porter", "american-porter")),
        "stout": Family("Stout", "roast", ("irish-stout", "oatmeal-stout", "american-stout")),
        "wheat-beer": Family(
            "Wheat Beer", "wheat", ("american-wheat-beer", "weissbier", "witbier")
        ),
    }
)
"""By style key. Which styles are members is common practice."""
