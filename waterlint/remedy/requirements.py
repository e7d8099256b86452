"""What a proposal has to keep: every range that the rules hold the figures to."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from waterlint.catalog import limits
from waterlint.chemistry.ions import CALCIUM_CARBONATE_EQUIVALENT
from waterlint.finding import LEVELS, Level
from waterlint.hints import Final
from waterlint.prediction.result import Figure, Prediction
from waterlint.records import replace
from waterlint.remedy.requirement import (
    BOTH,
    IONS,
    RATIO,
    SCALE,
    Little,
    Requirement,
    value_of,
)
from waterlint.remedy.situation import Situation
from waterlint.remedy.spread import within_spread
from waterlint.remedy.wishes import Aim
from waterlint.rules.figures import figure_of, is_of_the_style, style_of
from waterlint.rules.minerals import tells_both
from waterlint.rules.ranges import Bound, bounds_of
from waterlint.rules.registry import Case
from waterlint.rules.targets import NAMED, wanted_figures

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


def requirements(
    situation: Situation, aims: Sequence[Aim], prediction: Prediction | None = None
) -> list[Requirement]:
    """Every range that counts at the level asked for, and the aims.

    A range whose finding an exception in the file excuses does not count.

    Parameters
    ----------
    situation : Situation
    aims : sequence of Aim
    prediction : Prediction or None
        Whose spreads narrow the ranges; that of the recipe as it stands where it is not given.
        The requirements are the same ones in the same order for any.
    """
    prediction = situation.prediction if prediction is None else prediction
    case = situation.case
    excused = {
        (finding.rule, finding.quantity, finding.vessel)
        for finding in situation.report.accepted
        if situation.is_own(finding)
    }
    keys = {(quantity, vessel) for _, quantity, vessel in excused}
    found: list[Requirement] = []
    for quantity, vessel in dict.fromkeys([*sorted(NAMED), *wanted_figures(case)]):
        if quantity == "color":
            continue
        if (quantity, vessel) not in keys or {
            rule for rule, *key in excused if key == [quantity, vessel]
        } == {"narrow-pass"}:
            narrows = ("narrow-pass", quantity, vessel) not in excused
            found += _of_figure(situation, quantity, vessel, prediction if narrows else None)
    practice = [each for each in _practice(situation) if each.key not in keys]
    found = _joined([*found, *practice])
    found += (each for each in _of_minerals(situation) if each.key not in keys)
    return [*found, *(Requirement(a.quantity, a.vessel, a.low, a.high, aim=a) for a in aims)]


def _joined(found: list[Requirement]) -> list[Requirement]:
    """Limits of one figure and one gravity narrow each other."""
    joined: dict[tuple[object, ...], Requirement] = {}
    for each in found:
        key = (*each.key, each.graver)
        known = joined.get(key)
        if known is None:
            joined[key] = each
            continue
        lows = [low for low in (known.low, each.low) if low is not None]
        highs = [high for high in (known.high, each.high) if high is not None]
        joined[key] = replace(
            known,
            low=max(lows, default=None),
            high=min(highs, default=None),
            little=min(known.little, each.little, key=_reach),
        )
    return list(joined.values())


def _reach(little: tuple[Little, ...]) -> float:
    """Up to how much chloride something does not count [mg/L]; the least is the strictest."""
    return max([each.chloride for each in little], default=0.0)


def _of_figure(
    situation: Situation, quantity: str, vessel: str, prediction: Prediction | None
) -> Iterator[Requirement]:
    """What is asked of one figure at the mildest level, and what at graver ones.

    `prediction` narrows it by its spread, where that rule is on.
    """
    case, rule = situation.case, _rule_of(quantity, vessel)
    if case.settings.levels.get(rule) == "off":
        return
    if value_of(situation.prediction, quantity, vessel) is None and quantity != RATIO:
        return
    known = list(bounds_of(_with_much_chloride(case), quantity, vessel))
    known += _overacid(situation, quantity, vessel, known)
    known += _extremes(situation, quantity, vessel)
    narrow = _narrow(situation, quantity, vessel, known, prediction)
    told: Requirement | None = narrow
    for level in LEVELS[LEVELS.index(situation.level) :]:
        bounds = [bound for bound in known if _counts(level, case, rule, bound)]
        if not bounds:
            continue
        each = _within(quantity, vessel, bounds, _little(case, rule, bounds, level))
        if told is None:
            told = each
        elif told is narrow and level == situation.level:
            told = _joined([told, each])[0]
        elif (each.low, each.high) != (told.low, told.high):
            yield replace(each, graver=True)
    if told is not None:
        yield told


def _within(
    quantity: str, vessel: str, bounds: list[Bound], little: tuple[Little, ...]
) -> Requirement:
    lows = [bound.value for bound in bounds if bound.side == "low"]
    highs = [bound.value for bound in bounds if bound.side == "high"]
    return Requirement(
        quantity,
        vessel,
        max(lows, default=None),
        min(highs, default=None),
        little,
    )


def _little(case: Case, rule: str, bounds: list[Bound], level: Level) -> tuple[Little, ...]:
    """Where the bounds of a ratio do not count at a level; see `bounds_of`."""
    origins = {bound.origin for bound in bounds}
    if "target" in origins:
        return ()
    told = case.settings.levels.get(rule, "note")
    if origins != {"style"} or (told != "off" and LEVELS.index(told) >= LEVELS.index(level)):
        return (Little(limits.RATIO_MEANINGLESS.floor, limits.RATIO_MEANINGLESS.floor),)
    slight = Little(limits.RATIO_SLIGHT.floor, limits.RATIO_SLIGHT.floor)
    style = style_of(case)
    if style is not None and style.emphasis == "hop-bitter":
        return (slight,)
    alone = limits.RATIO_CHLORIDE_ALONE.floor, limits.RATIO_SULFATE_LITTLE.floor
    return (slight, Little(*alone, only_high=True))


def _narrow(
    situation: Situation,
    quantity: str,
    vessel: str,
    known: list[Bound],
    prediction: Prediction | None,
) -> Requirement | None:
    """The range of the warnings, narrowed by the figure's spread; `None` where none is asked."""
    figure = None if prediction is None else figure_of(prediction, quantity, vessel)
    bounds = [bound for bound in known if bound.level == "warning"]
    limit = limits.NARROW_PASS
    if figure is None or not bounds or not situation.asks("narrow-pass", limit.level):
        return None
    rule = _rule_of(quantity, vessel)
    plain = _within(quantity, vessel, bounds, _little(situation.case, rule, bounds, "warning"))
    narrowed = within_spread(plain.low, plain.high, figure.sd)
    if narrowed is None:
        return plain
    return replace(plain, low=narrowed[0], high=narrowed[1], spread=figure.sd)


def _extremes(situation: Situation, quantity: str, vessel: str) -> Iterator[Bound]:
    """Where no mash should be, all of its interval."""
    figure = figure_of(situation.prediction, quantity, vessel)
    if quantity != "mash_ph" or figure is None:
        return
    limit = limits.MASH_PH_ERROR
    yield Bound("low", limit.level, limit.floor - figure.sd, "general", limit.basis)
    yield Bound("high", limit.level, limit.ceiling + figure.sd, "general", limit.basis)


def _of_minerals(situation: Situation) -> Iterator[Requirement]:
    """What the notes on the sum of minerals and on scale ask, where they are to be cleared."""
    case = situation.case
    style, water = style_of(case), situation.prediction.batch_water
    free = style is not None and "minerals" in style.unchecked
    if water is not None and not free:
        if situation.asks("minerals-high", limits.MINERALS_HIGH_BOTH.level) and (
            tells_both(case) or not _wants_both(case)
        ):
            yield Requirement(BOTH, "batch", None, limits.MINERALS_HIGH_BOTH.ceiling)
        whole = not any(is_of_the_style(case, ion) for ion in water.ions)
        if whole and situation.asks("minerals-high", limits.MINERALS_HIGH_SUM.level):
            yield Requirement(IONS, "batch", None, limits.MINERALS_HIGH_SUM.ceiling)
    known = value_of(situation.prediction, SCALE, "mash") is not None
    if known and situation.asks("mash-scale", limits.MASH_SCALE.level):
        yield Requirement(SCALE, "mash", None, limits.MASH_SCALE.ceiling)


def _wants_both(case: Case) -> bool:
    """Whether target or house allow much of both."""
    return all(
        any(
            bound.side == "high"
            and bound.origin in ("target", "house")
            and bound.value > limits.MINERALS_HIGH_BOTH.ceiling
            for bound in bounds_of(case, ion, "batch")
        )
        for ion in ("chloride", "sulfate")
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
    if not has_low and situation.asks("sparge-overacid", bound.level):
        yield bound


def _with_much_chloride(case: Case) -> Case:
    """The case with so much chloride that its ratio counts fully: whether it does is decided by
    the doses, not by what stands there now."""
    prediction = case.prediction
    if prediction is None or prediction.batch_water is None:
        return case
    water = prediction.batch_water
    much = Figure(2.0 * limits.RATIO_CHLORIDE_ALONE.floor)
    batch = replace(water, ions={**water.ions, "chloride": much})
    return replace(case, prediction=replace(prediction, batch_water=batch))


def _practice(situation: Situation) -> Iterator[Requirement]:
    """What no dose may lead to, unless the water is so by itself or the style is made of it."""
    case = situation.case
    style, prediction = style_of(case), case.prediction
    water = None if prediction is None else prediction.batch_water
    for ion, limit in _PRACTICE:
        if water is None or not situation.asks("dose-beyond-practice", limit.level):
            continue
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
