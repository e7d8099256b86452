"""What is asked of a program beside ranges: weights, settled amounts, what excludes what."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from waterlint.hints import Final
from waterlint.remedy.levers import Lever
from waterlint.remedy.program import Row
from waterlint.remedy.requirement import Requirement
from waterlint.remedy.situation import Situation
from waterlint.remedy.wishes import Wishes

#: What missing beside a finding costs that is no finding of its own: all aims together, and a
#: limit that is only graver. Ten of the latter weigh as much as one finding.
AIMS_WEIGHT: Final = 0.5
GRAVER_WEIGHT: Final = 0.1


def weights_of(found: Sequence[Requirement]) -> list[float]:
    """What missing each requirement costs, a finding being 1."""
    aims = sum(each.aim is not None for each in found)
    return [
        GRAVER_WEIGHT if each.graver else 1.0 if each.aim is None else AIMS_WEIGHT / aims
        for each in found
    ]


def kept_rows(levers: Sequence[Lever], wishes: Wishes) -> Iterator[Row]:
    """What the brewer has settled, as rows that must be kept."""
    for kept in wishes.keep:
        if kept.amount is None:
            continue
        factors = tuple(
            float(lever.step)
            if lever.name == kept.name and kept.place in ("", lever.place)
            else 0.0
            for lever in levers
        )
        half = 0.5 * max(factors, default=0.0)
        if half > 0.0:
            yield Row(factors, kept.amount - half, kept.amount + half, None)


def exclusive(
    situation: Situation, levers: Sequence[Lever]
) -> Iterator[tuple[tuple[int, ...], tuple[int, ...]]]:
    """Acid and alkali in one vessel cancel; where that is accepted they may stay."""
    told = {each.rule for each in situation.counted(situation.report)}
    kinds: dict[str, list[int]] = {"acid": [], "alkali": []}
    for number, lever in enumerate(levers):
        if lever.place in ("mash", "liquor") and lever.kind in kinds:
            kinds[lever.kind].append(number)
    both = all(any(levers[n].start > 0.0 for n in each) for each in kinds.values())
    if not both or "acid-against-alkali" in told:
        yield tuple(kinds["acid"]), tuple(kinds["alkali"])
