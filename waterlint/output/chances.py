"""Chances that limits hold, for people and as plain data."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence

from waterlint.finding import LEVELS, Level
from waterlint.hints import Final
from waterlint.output.comparison_figures import aligned
from waterlint.output.text import one_line
from waterlint.records import Record
from waterlint.rules.wording import in_range, listed, number, with_spread


class LimitChance(Record):
    """One side of a range at one level, who sets it, and how often it holds (0 to 1)."""

    side: str
    level: Level
    value: float
    origin: str
    basis: str
    holds: float


class Chance(Record):
    """How often a figure keeps its limits.

    Attributes
    ----------
    title, quantity, vessel, unit : str
    value, sd : float
        As predicted.
    drawn_sd, drawn_low, drawn_high : float
        Standard deviation of the draws, and the ends of their middle 68 %.
    limits : tuple of LimitChance
    holds : float
        How often all limits hold at once whose breach would be a warning, or where there is none
        of these those of notes (0 to 1).
    shares : mapping of str to float
        Of the figure's variance, what each source brings by itself (0 to 1), as they are named
        in `waterlint.chances.draws.SOURCES`. What is missing to 1 is brought by several
        together, or the noise of the draws.
    """

    title: str
    quantity: str
    vessel: str
    unit: str
    value: float
    sd: float
    drawn_sd: float
    drawn_low: float
    drawn_high: float
    limits: tuple[LimitChance, ...]
    holds: float
    shares: Mapping[str, float]

    @property
    def dominant(self) -> str | None:
        """The source that brings most of the variance; `None` where nothing varies."""
        most = max(self.shares, key=lambda source: self.shares[source], default=None)
        return most if most is not None and self.shares[most] > 0.0 else None


class Chances(Record):
    """The chances of one recipe; `together` is how often no figure gets a warning."""

    path: str
    document: int
    name: str
    samples: int
    seed: int
    chances: tuple[Chance, ...]
    together: float | None


_LEVELS: Final[tuple[Level, ...]] = LEVELS[::-1]

_WORDS: Final[Mapping[str, str]] = {
    "report": "water report",
    "seasons": "seasons",
    "treatment": "treatment",
    "malt": "malt",
    "weighing": "weighing",
    "volumes": "volumes",
    "model": "model and meter",
}

_HELP: Final[Mapping[str, str]] = {
    "report": "a better analysis of the water, or its ± in the report",
    "seasons": "an analysis of the water as it is on brew day",
    "treatment": "titrating the treated water",
    "malt": "the lots' own `di_ph` and the mill gap, or measuring the mash with a pH meter",
    "weighing": "a finer scale or measure",
    "volumes": "reading volumes more closely",
    "model": "measuring the mash with a pH meter",
}

#: A limit that holds more often than this is not worth a word of advice; common practice.
_SURE: Final = 0.95


def render(chances: Chances) -> str:
    """The chances of a recipe as a table, the limits that hold least often first, and advice."""
    return "\n".join(_lines(chances)) + "\n"


def _lines(chances: Chances) -> Iterator[str]:
    yield f"{one_line(chances.name)}: how often each limit holds, in {chances.samples} draws"
    if not chances.chances:
        yield "  No limit is known for what is predicted."
        return
    head = ("", "predicted", "holds", "range", "level", "what moves it")
    rows = [row for chance in _by_chance(chances) for row in _rows(chance, chances.samples)]
    yield from aligned([head, *rows], "  ")
    if chances.together is not None:
        yield f"  No warning at all: {_percent(chances.together)} of the draws."
    yield from _advice(chances)


def _by_chance(chances: Chances) -> list[Chance]:
    return sorted(chances.chances, key=lambda each: each.holds)


def _rows(chance: Chance, samples: int) -> Iterator[tuple[str, ...]]:
    levels = dict.fromkeys(limit.level for limit in chance.limits)
    for row, level in enumerate(sorted(levels, key=_LEVELS.index)):
        sides = {each.side: each for each in chance.limits if each.level == level}
        # Both sides of a range cannot be broken at once.
        holds = 1.0 - sum(1.0 - each.holds for each in sides.values())
        yield (
            chance.title if row == 0 else "",
            _predicted(chance) if row == 0 else "",
            _percent(max(holds, 0.0)),
            _range(sides, chance.unit),
            level,
            _moves(chance, samples) if row == 0 else "",
        )


def _predicted(chance: Chance) -> str:
    digits = 0 if chance.unit.startswith("mg/L") else 2
    return with_spread(chance.value, chance.sd, digits)


def _range(sides: Mapping[str, LimitChance], unit: str) -> str:
    low, high = (number(sides[side].value, 4) if side in sides else "" for side in ("low", "high"))
    return f"{in_range(low, high)} {unit}".strip()


def _percent(share: float) -> str:
    percent = 100.0 * share
    if 0.0 < percent < 0.5:
        return "< 1 %"
    return "> 99 %" if 99.5 <= percent < 100.0 else f"{percent:.0f} %"


def _moves(chance: Chance, samples: int) -> str:
    # What is less than twice its own standard error cannot be told from nothing.
    least = max(0.05, 2.0 / samples**0.5)
    ranked = sorted(chance.shares.items(), key=lambda each: -each[1])
    told = [f"{_WORDS[source]} {100.0 * share:.0f} %" for source, share in ranked if share >= least]
    return ", ".join(told) or "nothing"


def _advice(chances: Chances) -> Iterator[str]:
    unsure: dict[str, list[str]] = {}
    for chance in _by_chance(chances):
        if chance.holds < _SURE and chance.dominant is not None:
            unsure.setdefault(chance.dominant, []).append(chance.title)
    for source, titles in unsure.items():
        yield f"  To know more of {listed(titles)}: {_HELP[source]}."


def render_summary(chances: Sequence[Chances]) -> str:
    """Which source decides most often where a limit is not sure, over several recipes.

    Empty for a single recipe, which says it itself.
    """
    if len(chances) < 2:
        return ""
    unsure = Counter(
        chance.dominant
        for each in chances
        for chance in each.chances
        if chance.holds < _SURE and chance.dominant is not None
    )
    if not unsure:
        return (
            f"In these {len(chances)} recipes each limit holds in {100 * _SURE:.0f} % of draws.\n"
        )
    ranked = sorted(unsure.items(), key=lambda each: (-each[1], each[0]))
    lines = [
        f"In these {len(chances)} recipes {unsure.total()} figures keep their limits in less than "
        f"{100 * _SURE:.0f} % of the draws. What decides most of them:"
    ]
    lines += [f"  {_WORDS[source]}, {times} of them: {_HELP[source]}." for source, times in ranked]
    return "\n".join(lines) + "\n"


def as_data(chances: Chances) -> dict[str, object]:
    """The chances of a recipe as plain data."""
    return {
        "samples": chances.samples,
        "seed": chances.seed,
        "together": _rounded(chances.together),
        "figures": [
            {
                "quantity": each.quantity,
                "vessel": each.vessel,
                "unit": each.unit,
                "value": _rounded(each.value),
                "sd": _rounded(each.sd),
                "drawn_sd": _rounded(each.drawn_sd),
                "drawn_low": _rounded(each.drawn_low),
                "drawn_high": _rounded(each.drawn_high),
                "holds": _rounded(each.holds),
                "limits": [
                    {
                        "side": limit.side,
                        "level": limit.level,
                        "value": limit.value,
                        "origin": limit.origin,
                        "basis": limit.basis,
                        "holds": _rounded(limit.holds),
                    }
                    for limit in each.limits
                ],
                "shares": {source: _rounded(share) for source, share in each.shares.items()},
                "dominant": each.dominant,
            }
            for each in chances.chances
        ],
    }


def _rounded(value: float | None) -> float | None:
    # Five digits: more than the draws know, and fewer than processors differ in.
    return None if value is None else float(f"{value:.5g}") + 0.0
