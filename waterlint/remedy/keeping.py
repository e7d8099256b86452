"""Whether what is to be kept can be: the wishes of a call against the levers of a recipe."""

from __future__ import annotations

from collections.abc import Sequence

from waterlint.remedy.levers import Lever
from waterlint.remedy.situation import Situation
from waterlint.remedy.wishes import BadWish, Kept, Wishes


def check_kept(situation: Situation, wishes: Wishes, levers: Sequence[Lever]) -> None:
    """Refuse what no dose of the recipe or the stock can be.

    Raises
    ------
    BadWish
        If an additive is neither in the recipe nor in stock, or its amount in another unit than
        it is measured in, or between two steps of the scale.
    """
    known = {lever.name for lever in levers}
    known |= {addition.name for addition in situation.recipe.additions}
    known |= {item.name for item in situation.case.settings.stock}
    for kept in wishes.keep:
        if kept.name not in known:
            raise BadWish(f"--keep: {kept.name} is neither in the recipe nor in stock")
        if kept.amount is not None:
            _check_amount(kept, levers)


def _check_amount(kept: Kept, levers: Sequence[Lever]) -> None:
    own = [lever for lever in levers if lever.name == kept.name and kept.place in ("", lever.place)]
    assert kept.amount is not None
    if not own:
        raise BadWish(f"--keep: no dose of {kept.name} there can be changed")
    units = {lever.unit for lever in own}
    if kept.unit not in units or len(units) > 1:
        raise BadWish(
            f"--keep: {kept.name} is measured in {' and '.join(sorted(units))} here, not in "
            f"{kept.unit}"
        )
    step = float(min(lever.step for lever in own))
    has = sum(lever.amount(lever.start) for lever in own)
    steps = kept.amount / step
    if abs(steps - round(steps)) > 1e-6 and abs(kept.amount - has) > 1e-6:
        raise BadWish(
            f"--keep: {kept.amount:g} {kept.unit} of {kept.name} is between two steps of the "
            f"scale, which shows {step:g} {kept.unit}"
        )
