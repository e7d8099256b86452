"""The limits of a rule as its documentation lists them, each with its basis, from the catalogue."""

from __future__ import annotations

from waterlint.catalog.emphasis import LIKE, RANGES
from waterlint.catalog.limit import Limit
from waterlint.catalog.limits import of_rule
from waterlint.rules.wording import listed


def lines(rule: str, styled: str = "") -> tuple[str, ...]:
    """The general limits of a rule, then those by style.

    Parameters
    ----------
    rule : str
    styled : str
        The quantity that styles have a range of; empty where they have none.

    Returns
    -------
    tuple of str

    Examples
    --------
    >>> lines("batch-sulfate", "sulfate")[1].partition(": ")[0]
    'styles like best-bitter and american-ipa'
    """
    general = tuple(limit.line for limit in of_rule(rule))
    return (*general, *_by_emphasis(styled)) if styled else general


def _by_emphasis(quantity: str) -> list[str]:
    groups: dict[Limit, list[str]] = {}
    for emphasis, ranges in RANGES.items():
        if quantity in ranges:
            groups.setdefault(ranges[quantity], []).append(emphasis)
    return [
        f"styles like {listed([style for each in emphases for style in LIKE[each]])}: {limit.line}"
        for limit, emphases in groups.items()
    ]
