"""A report's figures against drinking water limits, and against what beer tolerates."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from waterlint.catalog import limits
from waterlint.catalog.drinking_water import TO_BE_TOLD
from waterlint.catalog.limit import Limit
from waterlint.finding import Finding, Level
from waterlint.model.water import Analysis
from waterlint.rules import analyses
from waterlint.rules.balance import implausible_ions
from waterlint.rules.registry import Case, rule
from waterlint.rules.samples import report_example
from waterlint.rules.supply import is_softened
from waterlint.rules.wording import apart, listed, number, spread_clause
from waterlint.units import Quantity

#: Metals that beer notices before the drinker does, and the limits they meet there.
_METALS = {"iron": limits.IRON_IN_BREWING, "manganese": limits.MANGANESE_IN_BREWING}


def _limits_by_quantity() -> dict[str, tuple[Limit, ...]]:
    found: dict[str, tuple[Limit, ...]] = {}
    for limit in limits.DRINKING_WATER:
        if limit is not limits.NITRATE_NITRITE_SUM:
            found[limit.quantity] = (*found.get(limit.quantity, ()), limit)
    return found


_DRINKING = _limits_by_quantity()


def _key(quantity: str) -> str:
    """Where a report states a quantity."""
    return f"ions/{quantity}" if quantity in {"nitrate", *analyses.BALANCE_IONS} else quantity


def _stated(analysis: Analysis, quantity: str) -> Quantity | None:
    """A figure that was found and not only bounded, from the analysis or the main one."""
    found = analysis.ions.get(quantity) or analysis.traces.get(quantity)
    return None if found is None or analyses.is_below_detection(found) else found


def _authority(limit: Limit) -> str:
    return limit.basis.partition(" ")[0].rstrip(",")


def _by_authority(found: Iterable[Limit]) -> str:
    """The limits as a list, each number with those who set it."""
    names: dict[float, list[str]] = {}
    for limit in found:
        names.setdefault(limit.ceiling, []).append(_authority(limit))
    return listed(
        [f"{number(value)} mg/L ({', '.join(dict.fromkeys(who))})" for value, who in names.items()]
    )


@rule(
    "drinking-water-limit",
    subject="water",
    levels=("note", "warning"),
    group="The water report",
    what=(
        "Nitrate, nitrite, fluoride, sodium, chloride, sulfate, iron, manganese and copper "
        "against the drinking water limits of the EPA, the EU and the WHO. Beyond a limit for "
        "health it is a warning, beyond one for taste or appearance a note. Figures below "
        "detection are left alone; iron and manganese are left to `metals-in-brewing`, whose "
        "limits are as strict, and a softener's sodium to `softened-water`."
    ),
    why=(
        "Boiling and fermenting take none of these out. The authorities differ, and which of "
        "them is yours, this program cannot know: local rules decide. That a water passes here "
        "does not make it fit to drink; a private well needs more tests than a recipe holds."
    ),
    limits=(*(limit.line for limit in limits.DRINKING_WATER), limits.SODIUM_ADVISORY.line),
    configure="`levels: {drinking-water-limit: note}`, or `off`.",
    failing=report_example("  nitrate: 60 mg/L", "  chloride: 26 mg/L"),
    passing=report_example("  nitrate: 14 mg/L", "  chloride: 52 mg/L"),
)
def drinking_water_limit(case: Case) -> Iterator[Finding]:
    """Each figure, in the analysis that states it, beyond a drinking water limit."""
    assert case.report is not None
    for analysis in analyses.main_first(case.report):
        found = False
        for quantity, bounds in _DRINKING.items():
            figure = _stated(analysis, quantity)
            if figure is None or not analyses.states(analysis, _key(quantity)):
                continue
            exceeded = [limit for limit in bounds if not limit.contains(figure.value)]
            if not exceeded:
                continue
            level: Level = "note" if all(each.level == "note" for each in exceeded) else "warning"
            if quantity not in _left_to_others(case, analysis, level):
                found = found or quantity in {"nitrate", "nitrite"}
                yield _beyond(case, analysis, quantity, figure, bounds)
        if not found:
            yield from _both(case, analysis)


def _left_to_others(case: Case, analysis: Analysis, level: Level) -> Iterator[str]:
    """The quantities whose excess another rule tells, not more mildly than at `level`."""

    def tells(rule: str) -> bool:
        return analyses.speaks_for(case, rule, "warning", "drinking-water-limit", level)

    if tells("implausible-quantity"):
        yield from implausible_ions(analysis)
    if tells("metals-in-brewing"):
        yield from _METALS
    if tells("softened-water") and is_softened(analysis):
        yield "sodium"


def _beyond(
    case: Case, analysis: Analysis, quantity: str, figure: Quantity, bounds: tuple[Limit, ...]
) -> Finding:
    exceeded = [limit for limit in bounds if not limit.contains(figure.value)]
    health = [limit for limit in exceeded if limit.level == "warning"]
    telling = health or exceeded
    kept = [limit for limit in bounds if limit.contains(figure.value) and limit.level == "warning"]
    lowest = min(telling, key=lambda limit: limit.ceiling)
    message = (
        f"{quantity} is {apart(figure.value, lowest.ceiling)} mg/L{analyses.title(analysis)}, "
        f"{_what(telling)} {_by_authority(telling)}"
    )
    if health and kept:
        message += f", within {_by_authority(kept)}"
    spread = spread_clause(
        figure.value,
        analyses.stated_sd(figure, case.report.uncertainty if case.report else None),
        lowest.ceiling,
        "mg/L",
    )
    return case.finding(
        "drinking-water-limit",
        lowest.level,
        analyses.place(analysis, _key(quantity)),
        f"{message}.{spread}",
        help=_help(quantity, bool(health)),
        basis=lowest.basis,
        quantity=quantity,
        value=figure.value,
        high=lowest.ceiling,
        unit="mg/L",
    )


def _what(telling: list[Limit]) -> str:
    if all(TO_BE_TOLD in limit.label for limit in telling):
        return "of which health authorities want to be told above"
    kind = "health" if telling[0].level == "warning" else "taste or appearance"
    return f"over the drinking water limits for {kind} of"


def _help(quantity: str, health: bool) -> str:
    if health:
        return (
            "Ask the supplier or the local authority which limit holds for you. Until then brew "
            "on another supply, or blend with distilled or reverse osmosis water."
        )
    help = "Local rules decide. Blending with distilled or reverse osmosis water lowers it."
    if quantity == "sodium":
        advisory = limits.SODIUM_ADVISORY
        help += f" {advisory.basis}: {number(advisory.ceiling)} mg/L."
    return help


def _who(quantity: str) -> float:
    """The WHO's limit, the yardstick of the sum [mg/L]."""
    return next(each.ceiling for each in _DRINKING[quantity] if _authority(each) == "WHO")


def _both(case: Case, analysis: Analysis) -> Iterator[Finding]:
    """Nitrate and nitrite together, where each by itself passes."""
    nitrate, nitrite = (_stated(analysis, name) for name in ("nitrate", "nitrite"))
    if nitrate is None or nitrite is None:
        return
    if not (analyses.states(analysis, "ions/nitrate") or analyses.states(analysis, "nitrite")):
        return
    limit = limits.NITRATE_NITRITE_SUM
    shares = (nitrate.value / _who("nitrate"), nitrite.value / _who("nitrite"))
    if limit.contains(sum(shares)):
        return
    key = "ions/nitrate" if shares[0] >= shares[1] else "nitrite"
    yield case.finding(
        "drinking-water-limit",
        limit.level,
        analyses.place(analysis, key),
        f"nitrate {number(nitrate.value)} mg/L and nitrite {number(nitrite.value)} mg/L"
        f"{analyses.title(analysis)} come to {apart(sum(shares), limit.ceiling)} together, over "
        f"{number(limit.ceiling)}, by {limit.label}",
        help=_help("nitrate", True),
        basis=limit.basis,
        quantity=limit.quantity,
        value=sum(shares),
        high=limit.ceiling,
        unit="",
    )


@rule(
    "metals-in-brewing",
    subject="water",
    levels=("warning",),
    group="The water report",
    what="Iron and manganese beyond what beer tolerates. Figures below detection are left alone.",
    why=(
        "Both drive oxidation: the beer stales, hazes and gushes sooner. Iron tastes of ink, "
        "darkens the beer and weakens yeast; manganese leaves brown scale."
    ),
    limits=(limits.IRON_IN_BREWING.line, limits.MANGANESE_IN_BREWING.line),
    configure="`levels: {metals-in-brewing: note}`, or `off`.",
    failing=report_example("iron: 0.45 mg/L"),
    passing=report_example("iron: < 0.02 mg/L"),
)
def metals_in_brewing(case: Case) -> Iterator[Finding]:
    """Each metal, in the analysis that states it, beyond what beer tolerates."""
    assert case.report is not None
    for analysis in analyses.main_first(case.report):
        for metal, limit in _METALS.items():
            figure = _stated(analysis, metal)
            if figure is None or not analyses.states(analysis, metal):
                continue
            if limit.contains(figure.value):
                continue
            drinking = [each for each in _DRINKING[metal] if not each.contains(figure.value)]
            message = (
                f"{metal} is {apart(figure.value, limit.ceiling)} mg/L{analyses.title(analysis)}, "
                f"over the {number(limit.ceiling)} mg/L that beer tolerates"
            )
            if drinking:
                message += f", and over the drinking water limits of {_by_authority(drinking)}"
            spread = spread_clause(
                figure.value,
                analyses.stated_sd(figure, case.report.uncertainty),
                limit.ceiling,
                "mg/L",
            )
            yield case.finding(
                "metals-in-brewing",
                "warning",
                analyses.place(analysis, metal),
                f"{message}.{spread}",
                help=(
                    "Let the water be aerated and filtered through sand or an iron filter before "
                    "it is used, or brew on another supply."
                ),
                basis=limit.basis,
                quantity=metal,
                value=figure.value,
                high=limit.ceiling,
                unit="mg/L",
            )
