"""What a proposal has to keep: every range that the rules hold the figures to."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from waterlint.catalog import limits
from waterlint.chemistry.ions import CALCIUM_CARBONATE_EQUIVALENT
from waterlint.finding import LEVELS, Level
from waterlint.prediction.result import Figure, Prediction
from waterlint.records import dataclass, replace
from waterlint.remedy.situation import Situation
from waterlint.remedy.wishes import Aim
from waterlint.rules.figures import figure_of, style_of
from waterlint.rules.range_findings import title_of, unit_of
from waterlint.rules.ranges import Bound, bounds_of
from waterlint.rules.registry import Case
from waterlint.rules.targets import NAMED, wanted_figures
from waterlint.rules.wording import number

_RULES: Final = {
    ("mash_ph", "mash"): "mash-ph",
    ("calcium", "mash"): "mash-calcium",
    ("alkalinity", "sparge"): "sparge-alkalinity",
    ("chloride_to_sulfate", "batch"): "chloride-sulfate-ratio",
}

_PRACTICE: Final = (
    ("magnesium", limits.PRACTICE_MAGNESIUM),
    ("sulfate", limits.PRACTICE_SULFATE),
    ("sodium", limits.PRACTICE_SODIUM),
    ("lactate", limits.PRACTICE_LACTATE),
)

RATIO: Final = "chloride_to_sulfate"


@dataclass(frozen=True, slots=True)
class Requirement:
    """A figure and what it may be.

    Attributes
    ----------
    quantity, vessel : str
    low, high : float or None
    always : bool
        Of a ratio: whether it counts however little of both there is.
    aim : Aim or None
        Where it is a wish of the call and no limit.
    """

    quantity: str
    vessel: str
    low: float | None
    high: float | None
    always: bool = False
    aim: Aim | None = None

    @property
    def key(self) -> tuple[str, str]:
        """The figure."""
        return self.quantity, self.vessel

    @property
    def text(self) -> str:
        """In a sentence: ``mash pH within 5.2 to 5.7``."""
        unit = unit_of(self.quantity)
        unit = f" {unit}" if unit else ""
        title = title_of(self.quantity, self.vessel)
        if self.aim is not None:
            return f"{title} at {self.aim.text}"
        if self.low is None:
            return f"{title} of at most {number(self.high or 0.0)}{unit}"
        if self.high is None:
            return f"{title} of at least {number(self.low)}{unit}"
        return f"{title} within {number(self.low)} to {number(self.high)}{unit}"


def requirements(situation: Situation, aims: tuple[Aim, ...]) -> list[Requirement]:
    """Every range that counts at the level asked for, and the aims.

    A range whose finding an exception in the file excuses does not count.
    """
    case = situation.case
    excused = {
        (finding.quantity, finding.vessel)
        for finding in situation.report.accepted
        if situation.is_own(finding)
    }
    found: list[Requirement] = []
    for quantity, vessel in dict.fromkeys([*sorted(NAMED), *wanted_figures(case)]):
        if quantity == "color" or (quantity, vessel) in excused:
            continue
        requirement = _requirement(situation, quantity, vessel)
        if requirement is not None:
            found.append(requirement)
    for aim in aims:
        found.append(Requirement(aim.quantity, aim.vessel, aim.low, aim.high, True, aim))
    practice = [each for each in _practice(case) if each.key not in excused]
    return _joined([*found, *practice])


def _joined(found: list[Requirement]) -> list[Requirement]:
    """One requirement a figure: limits of the same figure narrow each other."""
    joined: dict[tuple[object, ...], Requirement] = {}
    for each in found:
        key = (*each.key, each.aim)
        known = joined.get(key)
        if known is None:
            joined[key] = each
            continue
        lows = [low for low in (known.low, each.low) if low is not None]
        highs = [high for high in (known.high, each.high) if high is not None]
        joined[key] = replace(known, low=max(lows, default=None), high=min(highs, default=None))
    return list(joined.values())


def _requirement(situation: Situation, quantity: str, vessel: str) -> Requirement | None:
    case, rule = situation.case, _rule_of(quantity, vessel)
    if case.settings.levels.get(rule) == "off":
        return None
    bounds = [
        bound
        for bound in bounds_of(_with_much_chloride(case), quantity, vessel)
        if _counts(situation.level, case, rule, bound)
    ]
    bounds += _overacid(situation, quantity, vessel, bounds)
    if not bounds or (figure_of(case.prediction, quantity, vessel) is None and quantity != RATIO):
        return None
    lows = [bound.value for bound in bounds if bound.side == "low"]
    highs = [bound.value for bound in bounds if bound.side == "high"]
    return Requirement(
        quantity,
        vessel,
        max(lows, default=None),
        min(highs, default=None),
        always=any(bound.origin == "target" for bound in bounds),
    )


def _rule_of(quantity: str, vessel: str) -> str:
    if (quantity, vessel) in _RULES:
        return _RULES[quantity, vessel]
    return f"batch-{quantity}" if (quantity, vessel) in NAMED else "target-missed"


def _counts(least: Level, case: Case, rule: str, bound: Bound) -> bool:
    level = case.settings.levels.get(rule, bound.level)
    return level != "off" and LEVELS.index(level) >= LEVELS.index(least)


def _overacid(
    situation: Situation, quantity: str, vessel: str, bounds: list[Bound]
) -> Iterator[Bound]:
    if (quantity, vessel) != ("alkalinity", "sparge"):
        return
    limit = limits.SPARGE_OVERACID
    bound = Bound(
        "low", limit.level, limit.floor * CALCIUM_CARBONATE_EQUIVALENT, "general", limit.basis
    )
    has_low = any(each.side == "low" for each in bounds)
    if not has_low and _counts(situation.level, situation.case, "sparge-overacid", bound):
        yield bound


def _with_much_chloride(case: Case) -> Case:
    """The case with so much chloride that its ratio means something: whether it does is decided
    by the doses, not by what stands there now."""
    prediction = case.prediction
    if prediction is None or prediction.batch_water is None:
        return case
    water = prediction.batch_water
    much = Figure(2.0 * limits.RATIO_MEANINGLESS.floor)
    batch = replace(water, ions={**water.ions, "chloride": much})
    return replace(case, prediction=replace(prediction, batch_water=batch))


def _practice(case: Case) -> Iterator[Requirement]:
    """What no dose may lead to, unless the water is so by itself or the style is made of it."""
    style, prediction = style_of(case), case.prediction
    water = None if prediction is None else prediction.batch_water
    if water is None or case.settings.levels.get("dose-beyond-practice") in ("off", "note"):
        return
    for ion, limit in _PRACTICE:
        wanted = style is not None and (
            ion in style.unchecked or (ion == "lactate" and style.emphasis == "sour")
        )
        figure = figure_of(prediction, ion, "batch")
        brought = sum(
            each.amount
            for each in water.contributions.get(ion, ())
            if each.origin.startswith("/additions/")
        )
        own = 0.0 if figure is None else figure.value - brought
        if not wanted and own <= limit.ceiling:
            yield Requirement(ion, "batch", None, limit.ceiling)


def value_of(prediction: Prediction, quantity: str, vessel: str) -> float | None:
    """A figure's value; an ion that only some additions bring is 0 where none does."""
    figure = figure_of(prediction, quantity, vessel)
    if figure is None and quantity == "lactate":
        return 0.0
    return None if figure is None else figure.value
