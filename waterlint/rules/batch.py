"""The whole batch: each ion against its range, unless a more telling rule speaks of it."""

from __future__ import annotations

from collections.abc import Iterator

from waterlint.finding import Finding
from waterlint.hints import Final
from waterlint.records import Record
from waterlint.rules.analyses import tells_at
from waterlint.rules.consequences import follows_from_a_dose
from waterlint.rules.figures import DILUTE, brought_by, is_of_the_water, largest
from waterlint.rules.ion_rules import ION_RULES, IonRule
from waterlint.rules.kettle_dose import kettle_excess
from waterlint.rules.limit_lines import lines
from waterlint.rules.minerals import BOTH, tells_both
from waterlint.rules.practice import practice_excess
from waterlint.rules.range_findings import beyond
from waterlint.rules.ranges import Bound, judge
from waterlint.rules.registry import Case, Check, rule
from waterlint.rules.wording import number

#: From which share on it is most, and from which the rest is not worth a word, as fractions.
_MOST: Final = 0.5
_NEARLY_ALL: Final = 0.99


def _register(row: IonRule) -> Check:
    name = f"batch-{row.ion}"

    @rule(
        name,
        subject="recipe",
        levels=("note", "warning"),
        group="The whole batch",
        what=(
            f"The {row.ion} that all waters and all additions bring to the whole batch, over all "
            "its water, against the range of the recipe, the house, the style or any beer. Where "
            "a rule says more of the same excess, such as `kettle-only-excess`, this one is silent."
        ),
        why=row.why,
        limits=lines(name, row.ion if row.styled else ""),
        configure=(
            f"`ranges: {{{row.ion}: {row.wish}}}` in waterlint.yaml for the house or for paths, "
            f"`targets: {{{row.ion}: {row.wish}}}` in a recipe; missing either is a warning."
        ),
        failing=row.failing,
        passing=row.passing,
    )
    def check(case: Case) -> Iterator[Finding]:
        return ion_findings(case, row)

    return check


def ion_findings(case: Case, row: IonRule) -> Iterator[Finding]:
    """An ion of the whole batch beyond its range, unless a more telling rule says so."""
    verdict = judge(case, row.ion, "batch")
    bound = None if verdict is None else verdict.broken
    if verdict is None or bound is None or is_told_elsewhere(case, row.ion, bound):
        return
    most = None if bound.side == "low" else _most_of_it(case, row.ion)
    yield beyond(
        case,
        f"batch-{row.ion}",
        verdict,
        bound,
        help=_help(case, row, bound, most),
        also="" if most is None else most.sentence,
    )


class _Most(Record):
    """The water or the addition that brings most of an ion, over all vessels.

    Attributes
    ----------
    label : str
    amount : float
        [mg/L of the batch]
    share : float
        Of all that is brought [-].
    """

    label: str
    amount: float
    share: float

    @property
    def sentence(self) -> str:
        """What is told of it."""
        if self.share > _NEARLY_ALL:
            return f" It comes with {self.label}."
        part = "Most" if self.share > _MOST else "The largest part"
        return f" {part} of it, {number(self.amount)} mg/L, comes with {self.label}."


def _most_of_it(case: Case, ion: str) -> _Most | None:
    brought = brought_by(case, ion, "batch", waters=True)
    label, amount = largest(brought)
    return _Most(label, amount, amount / sum(brought.values())) if brought else None


def _help(case: Case, row: IonRule, bound: Bound, most: _Most | None) -> str:
    if bound.side == "low":
        return row.too_low
    if is_of_the_water(case, row.ion, "batch", bound.value):
        return DILUTE
    if not row.usual or most is None or most.share <= _MOST or most.label in row.usual:
        return row.too_high
    # Less of the usual salts is no help where most comes with another, sodium with a sulfite say.
    if most.label not in case.catalog.additives:
        return row.too_high
    return f"Use less {most.label}, or dilute with distilled or reverse-osmosis water."


def is_told_elsewhere(case: Case, ion: str, bound: Bound) -> bool:
    """Whether another rule says more of this excess of an ion."""
    if bound.side == "low":
        return False
    rule, own = f"batch-{ion}", bound.level
    level = case.settings.levels.get(rule, own)
    if level == "off":
        return True
    if tells_at(case, "kettle-only-excess", own, level) and kettle_excess(case, ion) is not None:
        return True
    if tells_at(case, "dose-beyond-practice", "warning", level) and practice_excess(case, ion):
        return bound.origin != "target"
    if follows_from_a_dose(case, rule, ion, "batch", bound):
        return True
    wanted = bound.origin in ("target", "house")
    if wanted or bound.level != "note" or ion not in BOTH:
        return False
    return tells_at(case, "minerals-high", "note", level) and tells_both(case)


for _row in ION_RULES:
    _register(_row)
