"""How a figure beyond its range is told: the place, the sentence, the limits, the report behind."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from waterlint.chemistry.ions import as_calcium_carbonate
from waterlint.finding import Finding, Level, Related
from waterlint.hints import Final
from waterlint.model.recipe import Vessel
from waterlint.model.water import WaterReport
from waterlint.rules.ranges import SIDES, Bound, Verdict
from waterlint.rules.registry import Case
from waterlint.rules.wording import apart, lowest, number, spread_clause

_TITLES: Final[Mapping[str, str]] = MappingProxyType(
    {
        "mash_ph": "mash pH",
        "color": "colour",
        "alkalinity": "alkalinity",
        "residual_alkalinity": "residual alkalinity",
        "chloride_to_sulfate": "chloride to sulfate",
    }
)

_UNITS: Final[Mapping[str, str]] = MappingProxyType(
    {
        "mash_ph": "",
        "color": "SRM",
        "alkalinity": "mg/L as CaCO3",
        "residual_alkalinity": "mg/L as CaCO3",
        "chloride_to_sulfate": "",
    }
)

_WATERS: Final[Mapping[str, str]] = MappingProxyType(
    {"mash": "the mash water", "sparge": "the sparge water", "batch": "the whole batch"}
)


def title_of(quantity: str, vessel: str) -> str:
    """A figure in words.

    Examples
    --------
    >>> title_of("sodium", "batch"), title_of("mash_ph", "mash")
    ('sodium of the whole batch', 'mash pH')
    """
    title = _TITLES.get(quantity, quantity)
    return title if quantity in ("mash_ph", "color") else f"{title} of {_WATERS[vessel]}"


def unit_of(quantity: str) -> str:
    """The unit of a figure; empty for pH and ratio."""
    return _UNITS.get(quantity, "mg/L")


def with_unit(text: str, quantity: str) -> str:
    """A number's text with the figure's unit, if it has one."""
    return f"{text} {unit_of(quantity)}".rstrip()


def limit_text(bound: Bound, quantity: str) -> str:
    """A bound in words, with who sets it."""
    value = with_unit(number(bound.value), quantity)
    if bound.origin == "target":
        return f"the target's {value}"
    if bound.origin == "house":
        return f"the house's {value}"
    return f"the {value} of {bound.name}" if bound.origin == "style" else value


def sentence(verdict: Verdict, bound: Bound) -> str:
    """What is wrong: figure, value, unit, limit."""
    value = apart(verdict.figure.value, bound.value)
    side = "below" if bound.side == "low" else "above"
    return (
        f"{title_of(verdict.quantity, verdict.vessel)} is {with_unit(value, verdict.quantity)}, "
        f"{side} {limit_text(bound, verdict.quantity)}"
    )


def spread(verdict: Verdict, bound: Bound) -> str:
    """A sentence where the 68 % interval reaches across the bound, or on to a graver one."""
    figure, quantity = verdict.figure, verdict.quantity
    across = spread_clause(figure.value, figure.sd, bound.value, unit_of(quantity)).replace(
        " ,", ","
    )
    next_one = next(
        (
            other
            for other in verdict.bounds
            if other.side == bound.side and other.level != bound.level
            if not other.is_broken_by(figure.value)
            if other.is_broken_by(figure.low if bound.side == "low" else figure.high)
        ),
        None,
    )
    if next_one is None:
        return across
    reached = with_unit(number(next_one.value), quantity)
    if across:
        return f"{across} It reaches the {next_one.level}'s {reached} too."
    low = lowest(figure.value, figure.sd, unit_of(quantity))
    interval = f"{number(low)} to {with_unit(number(figure.high), quantity)}"
    return f" Its stated spread, {interval}, reaches the {next_one.level}'s {reached}."


def beyond(
    case: Case,
    rule: str,
    verdict: Verdict,
    bound: Bound,
    *,
    help: str,
    pointer: str = "",
    also: str = "",
) -> Finding:
    """The finding about a figure beyond a bound, one that it breaks.

    `help` says what to do, `pointer` the place where it is neither the bound's own nor the
    water's, and `also` follows the sentence about the figure.
    """
    place = pointer or bound.pointer or source_pointer(case, verdict.vessel)
    tail = spread(verdict, bound) + also
    low, high = range_at(verdict, bound.level)
    figure = verdict.figure
    return case.finding(
        rule,
        bound.level,
        place,
        sentence(verdict, bound) + (f".{tail}" if tail else ""),
        help=help,
        basis=bound.basis,
        related=() if pointer else report_behind(case, verdict, bound),
        quantity=verdict.quantity,
        vessel=verdict.vessel,
        value=figure.value,
        value_low=figure.low,
        value_high=figure.high,
        low=low,
        high=high,
        unit=unit_of(verdict.quantity),
    )


def range_at(verdict: Verdict, level: Level) -> tuple[float | None, float | None]:
    """The range at a level; what cannot be negative begins at 0 where nothing else bounds it."""
    low, high = (verdict.bound(side, level) for side in SIDES)
    floor = 0.0 if unit_of(verdict.quantity) == "mg/L" else None
    return floor if low is None else low.value, None if high is None else high.value


def source_pointer(case: Case, vessel: str) -> str:
    """Where the recipe names the water behind a figure: for the batch, of the most of it."""
    found = main_vessel(case, vessel)
    return "/water" if found is None else found.source_pointer


def main_vessel(case: Case, vessel: str) -> Vessel | None:
    """The vessel itself; for the batch the one with most water, the first of equals."""
    if case.recipe is None:
        return None
    vessels = case.recipe.vessels
    if vessel in vessels:
        return vessels[vessel]
    return max(vessels.values(), key=lambda each: each.volume.value, default=None)


def report_behind(case: Case, verdict: Verdict, bound: Bound) -> tuple[Related, ...]:
    """The line of a shared report whose own figure already lies beyond the bound."""
    vessel = main_vessel(case, verdict.vessel)
    if vessel is None:
        return ()
    share = max(vessel.shares, key=lambda each: each.share, default=None)
    water = None if share is None else case.waters.get(share.water)
    if water is None or water.report is None or water.document is None or water.path is None:
        return ()
    found = _reported(water.report, verdict.quantity)
    if found is None or not bound.is_broken_by(found[0]):
        return ()
    value = with_unit(apart(found[0], bound.value), verdict.quantity)
    return (
        Related(
            water.path,
            water.document.place_of(found[1]),
            f"{water.report.name} has {value} itself",
        ),
    )


def _reported(report: WaterReport, quantity: str) -> tuple[float, str] | None:
    """A report's own figure and its pointer; `None` where it does not state it."""
    for analysis in (report.newest, report.main):
        if quantity in analysis.ions and f"ions/{quantity}" in analysis.own:
            return analysis.ions[quantity].value, f"{analysis.pointer}/ions/{quantity}"
        if quantity == "alkalinity" and analysis.alkalinity and "alkalinity" in analysis.own:
            return analysis.alkalinity.value, f"{analysis.pointer}/alkalinity"
        if quantity == "alkalinity" and "ions/bicarbonate" in analysis.own:
            value = as_calcium_carbonate("bicarbonate", analysis.ions["bicarbonate"].value)
            return value, f"{analysis.pointer}/ions/bicarbonate"
    return None
