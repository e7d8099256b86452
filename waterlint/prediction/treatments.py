"""What a treatment makes of a water before anything is added to it."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from math import hypot

from waterlint.chemistry.boiling import boil
from waterlint.chemistry.ions import CALCIUM_CARBONATE_EQUIVALENT, IONS
from waterlint.chemistry.water import Water
from waterlint.hints import Final
from waterlint.prediction.rows import ALKALINITY, CARBON, INDEX, REPORTED, Row, row
from waterlint.prediction.sources import SourceWater, carbon_ratio, inorganic_carbon
from waterlint.records import replace

BOILED_LEAST: Final = 1.0
"""Alkalinity, or calcium where that runs out first, that a boil leaves at the most [mEq/L], 50 mg/L
as CaCO3 or 20 mg/L of calcium: a rule of thumb of A. J. deLange's, as quoted. At the least it
leaves what is in equilibrium with chalk. The mean of both ends is the figure, half their distance
its spread: a brewer's titrations of a boiled chalk water, 40 to 45 mg/L as CaCO3 after 10 to 45
minutes, lie within."""

LIMED_ALKALINITY: Final = 0.8
"""Alkalinity that lime softening leaves [mEq/L], 40 mg/L as CaCO3; from memory: the practical
limit of waterworks is given as 30 to 50."""

LIMED_ALKALINITY_SD: Final = 0.3
"""Its spread [mEq/L]; common practice, lime is dosed by the report and not by titration."""

LIMED_CALCIUM: Final = 0.7
"""Calcium that lime softening leaves at least [mEq/L], 35 mg/L as CaCO3; from memory, as
above."""

LIMED_PH: Final = 8.5
"""pH of a softened water after it has stood, for its carbon dioxide only; from memory."""

LIMED_PH_SD: Final = 0.7
"""Spread of it; from memory."""

_CALCIUM = INDEX["calcium"]
_ALKALINITY = INDEX[ALKALINITY]
_CARBON = INDEX[CARBON]
_EQUIVALENT = IONS["calcium"].equivalent_weight


def blended(parts: Sequence[tuple[SourceWater, float]]) -> SourceWater:
    """Waters mixed before a treatment, as one.

    Parameters
    ----------
    parts : sequence of (SourceWater, float)
        Each water and its share; the shares add up to 1.

    Returns
    -------
    SourceWater
    """
    if len(parts) == 1:
        return parts[0][0]

    def mean(rows: Sequence[Row]) -> Row:
        return tuple(
            sum(value * share for value, (_, share) in zip(column, parts, strict=True))
            for column in zip(*rows, strict=True)
        )

    def quadrature(rows: Sequence[Row]) -> Row:
        return tuple(
            hypot(*(value * share for value, (_, share) in zip(column, parts, strict=True)))
            for column in zip(*rows, strict=True)
        )

    waters = [water for water, _ in parts]
    return SourceWater(
        label=" and ".join(water.label for water in waters),
        values=mean([water.values for water in waters]),
        sd_report=quadrature([water.sd_report for water in waters]),
        sd_seasons=quadrature([water.sd_seasons for water in waters]),
        carbon_per_alkalinity=_ratio(mean([water.values for water in waters])),
        ph_unknown=next((water.ph_unknown for water in waters if water.ph_unknown), ""),
        chlorine=sum(water.chlorine * share for water, share in parts),
        chloramine=sum(water.chloramine * share for water, share in parts),
    )


def _ratio(values: Row) -> float:
    return carbon_ratio(values[_CARBON], values[_ALKALINITY])


def treated(water: SourceWater, treatments: Collection[str]) -> SourceWater:
    """A water after those treatments that change its minerals, in their order.

    Parameters
    ----------
    water : SourceWater
    treatments : collection of str
        As a recipe writes them; those that only take chlorine change nothing here.

    Returns
    -------
    SourceWater

    Notes
    -----
    What falls is chalk: calcium and alkalinity go down by the same equivalents, all else stays.
    """
    for treatment in treatments:
        if treatment == "boiled":
            water = _boiled(water)
        elif treatment == "lime-softened":
            water = _limed(water)
    return water


def _boiled(water: SourceWater) -> SourceWater:
    low, high, high_share = _ends_of_boil(water)
    outcome = tuple([(b - a) / 2.0 for a, b in zip(low, high, strict=True)])
    places = (_CALCIUM, _ALKALINITY, _CARBON)
    settled = {place: (low[place] + high[place]) / 2.0 for place in places}
    after = _with(water, settled)
    if after.values[_ALKALINITY] >= water.values[_ALKALINITY]:
        # Nothing fell: only carbon dioxide went, and what was uncertain still is.
        return replace(
            after,
            sd_report=_cleared(water.sd_report, _CARBON),
            sd_seasons=_cleared(water.sd_seasons, _CARBON),
        )
    return _fallen(water, after, (_share_of_excess(low) + high_share) / 2.0, outcome)


def _ends_of_boil(water: SourceWater) -> tuple[Row, Row, float]:
    """The least and most that a boil leaves; what part of an excess alkalinity bears at most."""
    chemical = Water.from_carbon(
        {name: water.values[INDEX[name]] for name in REPORTED},
        water.values[_ALKALINITY] * CALCIUM_CARBONATE_EQUIVALENT,
        max(0.0, water.values[_CARBON]),
    )
    by_alkalinity = max(0.0, water.values[_ALKALINITY] - BOILED_LEAST)
    by_calcium = max(0.0, water.values[_CALCIUM] / _EQUIVALENT - BOILED_LEAST)
    most = min(by_alkalinity, by_calcium) * CALCIUM_CARBONATE_EQUIVALENT
    low = boil(chemical)
    high = boil(chemical, most=most) if low.precipitated > most else low
    ends = [
        row(
            {
                "calcium": end.calcium,
                ALKALINITY: end.alkalinity / CALCIUM_CARBONATE_EQUIVALENT,
                CARBON: end.dic,
            }
        )
        for end in (low.water, high.water)
    ]
    if high is low:
        return ends[0], ends[1], _share_of_excess(ends[1])
    return ends[0], ends[1], 0.0 if by_alkalinity <= by_calcium else 1.0


def _share_of_excess(end: Row) -> float:
    """What alkalinity bears of an excess where calcium times its square is given."""
    calcium = max(end[_CALCIUM] / _EQUIVALENT, 1e-6)
    pull = end[_ALKALINITY] / (2.0 * calcium)
    return pull / (1.0 + pull)


def _limed(water: SourceWater) -> SourceWater:
    calcium = water.values[_CALCIUM] / _EQUIVALENT
    alkalinity = water.values[_ALKALINITY]
    by_alkalinity, by_calcium = alkalinity - LIMED_ALKALINITY, calcium - LIMED_CALCIUM
    fallen = max(0.0, min(by_alkalinity, by_calcium))
    values = {name: water.values[INDEX[name]] for name in REPORTED}
    values["calcium"] = (calcium - fallen) * _EQUIVALENT
    values[ALKALINITY] = alkalinity - fallen
    carbon = inorganic_carbon(values, LIMED_PH)
    settled = {
        _CALCIUM: values["calcium"],
        _ALKALINITY: values[ALKALINITY],
        _CARBON: carbon.value,
    }
    after = replace(
        _with(water, settled),
        carbon_per_alkalinity=carbon.per_alkalinity,
        ph_unknown="the pH after lime softening depends on how much lime was left over",
        sd_report=_cleared(water.sd_report, _CARBON),
        sd_seasons=_cleared(water.sd_seasons, _CARBON),
        joint=(*water.joint, ("treatment", row({CARBON: carbon.per_ph * LIMED_PH_SD}))),
    )
    if not fallen:
        return after
    outcome = row(
        {
            "calcium": LIMED_ALKALINITY_SD * _EQUIVALENT,
            ALKALINITY: LIMED_ALKALINITY_SD,
            CARBON: LIMED_ALKALINITY_SD * carbon.per_alkalinity,
        }
    )
    return _fallen(water, after, 0.0 if by_alkalinity < by_calcium else 1.0, outcome)


def _with(water: SourceWater, settled: dict[int, float]) -> SourceWater:
    values = list(water.values)
    for place, value in settled.items():
        values[place] = value
    return replace(water, values=tuple(values), carbon_per_alkalinity=_ratio(tuple(values)))


def _fallen(
    before: SourceWater, after: SourceWater, alkalinity_share: float, outcome: Row
) -> SourceWater:
    """Carry a report's spread through the fall of chalk.

    The excess of calcium over alkalinity, in equivalents, stays; an error in it ends up in
    calcium but for `alkalinity_share`, which lowers the alkalinity that is left.
    """
    moves: list[tuple[str, Row]] = [("treatment", outcome)]
    for kind, spread in (("report", before.sd_report), ("seasons", before.sd_seasons)):
        for excess in (spread[_CALCIUM] / _EQUIVALENT, spread[_ALKALINITY]):
            if excess:
                moves.append(
                    (
                        kind,
                        row(
                            {
                                "calcium": (1.0 - alkalinity_share) * excess * _EQUIVALENT,
                                ALKALINITY: -alkalinity_share * excess,
                                CARBON: -alkalinity_share * excess * after.carbon_per_alkalinity,
                            }
                        ),
                    )
                )
    places = (_CALCIUM, _ALKALINITY, _CARBON)
    return replace(
        after,
        sd_report=_cleared(before.sd_report, *places),
        sd_seasons=_cleared(before.sd_seasons, *places),
        joint=(*after.joint, *moves),
    )


def _cleared(spread: Row, *places: int) -> Row:
    return tuple(0.0 if place in places else value for place, value in enumerate(spread))
