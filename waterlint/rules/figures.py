"""Predicted figures by the names that targets and rules give them."""

from __future__ import annotations

from waterlint.catalog import limits
from waterlint.catalog.styles import Style
from waterlint.hints import Final
from waterlint.model.recipe import Malt
from waterlint.prediction.result import Figure, Prediction, WaterFigures
from waterlint.rules.registry import Case, once


def figure_of(prediction: Prediction | None, quantity: str, vessel: str) -> Figure | None:
    """A predicted figure by its name; `None` where it is not known."""
    if prediction is None:
        return None
    if quantity == "mash_ph":
        return None if prediction.mash is None else prediction.mash.ph
    if quantity == "color":
        return None if prediction.color is None else prediction.color.srm
    water = water_of(prediction, vessel)
    if water is None:
        return None
    if quantity == "alkalinity":
        return water.alkalinity
    if quantity == "residual_alkalinity":
        return water.residual_alkalinity
    if quantity == "chloride_to_sulfate":
        return water.chloride_to_sulfate
    return water.ion(quantity)


def water_of(prediction: Prediction | None, vessel: str) -> WaterFigures | None:
    """The water of the mash, of the sparge, or of the whole batch."""
    if prediction is None:
        return None
    if vessel == "mash":
        return prediction.mash_water
    return prediction.sparge_water if vessel == "sparge" else prediction.batch_water


def style_of(case: Case) -> Style | None:
    """The recipe's style; `None` where it names none or an unknown one."""
    if case.recipe is None or case.recipe.style is None:
        return None
    return case.catalog.styles.get(case.recipe.style)


def is_of_the_style(case: Case, ion: str) -> bool:
    """Whether the style is made of an ion: the salt of a gose, the acid of a sour beer."""
    style = style_of(case)
    if style is None:
        return False
    return ion in style.unchecked or (ion == "lactate" and style.emphasis == "sour")


def extract_and_grain(case: Case) -> tuple[list[Malt], float]:
    """The extracts in file order, a house's own among them, and all grain [g]; sugar is neither."""
    assert case.recipe is not None
    extracts: list[Malt] = []
    grain = 0.0
    for malt in case.recipe.grist:
        kind = case.catalog.malts.get(malt.kind)
        if kind is not None and kind.like == "extract":
            extracts.append(malt)
        elif kind is None or kind.in_mash:
            grain += malt.mass.value
    return extracts, grain


@once
def is_mostly_extract(case: Case) -> bool:
    """Whether a grist has more malt extract than grain: the extract's minerals count nowhere."""
    if case.recipe is None:
        return False
    extracts, grain = extract_and_grain(case)
    return sum(malt.mass.value for malt in extracts) > grain


def brought_by(case: Case, quantity: str, vessel: str, *, waters: bool = False) -> dict[str, float]:
    """What each addition, or each of the waters too, does to a water, over all its doses.

    Of an ion [mg/L], or of alkalinity [mg/L as CaCO3], by the name that is told.
    """
    water = water_of(case.prediction, vessel)
    found: dict[str, float] = {}
    for each in () if water is None else water.contributions.get(quantity, ()):
        if waters or each.origin.startswith("/additions/"):
            found[each.label] = found.get(each.label, 0.0) + each.amount
    return found


def dosed(case: Case, ion: str, vessel: str) -> float:
    """How much of an ion of a water the additions bring [mg/L]; of the rest it has by itself."""
    return sum(brought_by(case, ion, vessel).values())


def most_dosed(case: Case, ion: str, vessel: str) -> str:
    """The addition that brings most of an ion of a water; empty where none brings any."""
    name, amount = largest(brought_by(case, ion, vessel))
    return name if amount > 0.0 else ""


def dosed_alkalinity(case: Case, vessel: str, sign: float) -> tuple[str, float]:
    """What alkalis (`sign` 1) or acids (-1) do to a water's alkalinity [mg/L as CaCO3].

    The name of the one that does most, empty where there is none, and what all of them do, as a
    positive number.
    """
    brought = brought_by(case, "alkalinity", vessel)
    does = {name: sign * amount for name, amount in brought.items() if sign * amount > 0.0}
    return largest(does)[0], sum(does.values())


def largest(amounts: dict[str, float]) -> tuple[str, float]:
    """The largest of some amounts [their unit], with its name; of none an empty name and 0."""
    return max(amounts.items(), key=lambda item: item[1], default=("", 0.0))


def is_of_the_water(case: Case, ion: str, vessel: str, limit: float) -> bool:
    """Whether a water is beyond an upper limit by itself, and additions hardly matter."""
    water = water_of(case.prediction, vessel)
    if water is None:
        return False
    value, brought = water.value(ion), dosed(case, ion, vessel)
    return value - brought > limit and brought <= _HARDLY * value


DILUTE: Final = "Dilute with distilled or reverse-osmosis water: the additions are not the cause."
"""What helps there."""

#: The part of an ion that additions may bring and are still not the cause; common practice.
_HARDLY: Final = 0.1


def is_ratio_meaningless(case: Case, vessel: str = "batch") -> bool:
    """Whether a water holds so little chloride and sulfate that their ratio says nothing."""
    return _larger_of_two(case, vessel) < limits.RATIO_MEANINGLESS.floor


def is_ratio_slight(case: Case, vessel: str = "batch") -> bool:
    """Whether a water holds so little of both that a style's ratio is no more than a note."""
    return _larger_of_two(case, vessel) < limits.RATIO_SLIGHT.floor


def is_chloride_alone(case: Case, vessel: str = "batch") -> bool:
    """Whether a soft water got calcium chloride only, and no more of it than is common."""
    water = water_of(case.prediction, vessel)
    return (
        water is not None
        and water.value("chloride") < limits.RATIO_CHLORIDE_ALONE.floor
        and water.value("sulfate") < limits.RATIO_SULFATE_LITTLE.floor
    )


def _larger_of_two(case: Case, vessel: str) -> float:
    water = water_of(case.prediction, vessel)
    return 0.0 if water is None else max(water.value("chloride"), water.value("sulfate"))
