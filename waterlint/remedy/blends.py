"""Dilution as a means: the share of a soft water in a vessel."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from waterlint.hints import Final
from waterlint.model.recipe import Addition, Share, Vessel
from waterlint.records import replace
from waterlint.remedy.anchors import is_tied
from waterlint.remedy.levers import Lever
from waterlint.remedy.situation import Situation
from waterlint.remedy.wishes import Wishes

#: A share of soft water is proposed in steps of this size [-].
BLEND_STEP: Final = 0.05

#: Waters that stand in for dilution, the more usual first.
SOFT_WATERS: Final = ("reverse-osmosis", "distilled")

#: To what shares are rounded [-]: a hundredth of a percent.
_ROUNDING: Final = Decimal("0.0001")


def blend_levers(situation: Situation, wishes: Wishes) -> Iterator[Lever]:
    """The share of soft water in each vessel that is not filled with it alone.

    Waters that are there keep their proportions. A vessel whose water stands at an anchor, or
    behind an alias, is left out.
    """
    recipe = situation.recipe
    used = {share.water for share in recipe.references}
    allowed = [
        water
        for water in sorted(SOFT_WATERS, key=lambda each: each not in used)
        if water not in wishes.without and (wishes.only is None or water in wishes.only)
    ]
    for name, vessel in recipe.vessels.items():
        if is_tied(situation.document, vessel.source_pointer):
            continue
        shares = {share.water: share.share for share in vessel.shares}
        others = [water for water in shares if water not in SOFT_WATERS]
        own = [water for water in shares if water in SOFT_WATERS]
        hard = sum(shares[water] for water in others)
        if len(shares) != len(vessel.shares) or len(own) > 1 or hard <= 0.0:
            continue
        if not allowed or (own and own[0] not in allowed):
            continue
        start = shares[own[0]] / BLEND_STEP if own else 0.0
        start = float(round(start)) if abs(start - round(start)) < 1e-6 else start
        soft = own[0] if own else allowed[0]
        empty = Addition(soft, (), vessel.source_pointer)
        step = Decimal(str(BLEND_STEP))
        yield Lever(
            soft, name, "water", None, empty, "share", step, start, 1, round(1.0 / BLEND_STEP)
        )


def shares_with(vessel: Vessel, soft_water: str, share: Decimal) -> dict[str, Decimal]:
    """The shares of a vessel's waters where so much of it is a soft one, those that are left.

    Examples
    --------
    >>> from waterlint.units import Quantity
    >>> parts = tuple(Share(name, part, "") for name, part in (("a", 0.6), ("b", 0.4)))
    >>> vessel = Vessel("mash", Quantity(10.0, "L"), parts, (), "")
    >>> [str(part) for part in shares_with(vessel, "distilled", Decimal("0.25")).values()]
    ['0.4500', '0.3000', '0.2500']
    """
    if share >= 1:
        return {soft_water: Decimal(1)}
    others = [each for each in vessel.shares if each.water not in SOFT_WATERS]
    total = Decimal(str(sum(each.share for each in others)))
    left = 1 - share
    found: dict[str, Decimal] = {}
    for each in others:
        part = (left * Decimal(str(each.share)) / total).quantize(_ROUNDING)
        found[each.water] = part
    # What rounding leaves goes to the first.
    found[others[0].water] += left - sum(found.values())
    if share > 0:
        found[soft_water] = share.quantize(_ROUNDING)
    return found


def blended(vessel: Vessel, lever: Lever, count: float) -> Vessel:
    """A vessel with another share of a soft water."""
    share = Decimal(str(round(count, 6))) * lever.step
    shares = shares_with(vessel, lever.name, share)
    return replace(
        vessel,
        shares=tuple(
            Share(water, float(part), vessel.source_pointer) for water, part in shares.items()
        ),
    )
