"""The proposals for a recipe: the best, others that are really different, and what stands in
the way."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from waterlint.catalog.limits import ACID_HANDLING
from waterlint.finding import Finding
from waterlint.records import dataclass
from waterlint.remedy.candidate import Candidate
from waterlint.remedy.levers import Lever, blend_levers, dose_levers
from waterlint.remedy.requirements import Requirement, value_of
from waterlint.remedy.search import Search, search_for
from waterlint.remedy.situation import Situation
from waterlint.remedy.wishes import BadWish, Wishes
from waterlint.rules.range_findings import title_of, unit_of
from waterlint.rules.wording import listed, number


@dataclass(frozen=True, slots=True)
class Proposal:
    """What is proposed for a recipe.

    Attributes
    ----------
    situation : Situation
    before, after : Candidate
        The same where nothing is to be changed, or nothing helps.
    cleared, left, new : tuple of Finding
        At or above the level asked for.
    requirements : tuple of Requirement
        All ranges that were looked at.
    remarks : tuple of str
        What contradicts what, and how near an aim was met.
    cautions : tuple of str
    """

    situation: Situation
    before: Candidate
    after: Candidate
    cleared: tuple[Finding, ...]
    left: tuple[Finding, ...]
    new: tuple[Finding, ...]
    requirements: tuple[Requirement, ...]
    remarks: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()

    @property
    def changes(self) -> tuple[tuple[Lever, float], ...]:
        """The levers that are turned, each with its steps."""
        pairs = zip(self.after.levers, self.after.steps, strict=True)
        return tuple((lever, count) for lever, count in pairs if count != lever.start)


def propose(situation: Situation, wishes: Wishes) -> list[Proposal]:
    """The best proposal, and as many others as are wished and as good.

    Parameters
    ----------
    situation : Situation
    wishes : Wishes

    Returns
    -------
    list of Proposal
        Never empty: the first changes nothing where nothing helps or nothing is needed.

    Raises
    ------
    SolverMissing
        If there is no solver, or it breaks down.
    CannotEdit
        If the text has no place for the change.
    BadWish
        If an additive is to be kept that the recipe does not have and the stock neither.
    """
    levers = dose_levers(situation, wishes)
    _refuse_unknown(situation, wishes, levers)
    search = search_for(situation, levers, wishes)
    start = search.start()
    forced = bool(wishes.without) or any(kept.amount is not None for kept in wishes.keep)
    if not start.counted and not start.missed_aims and not forced:
        return [_proposal(search, start, start, ())]
    best = search.best()
    if best is None or search.missed(best):
        search, best = _with_blends(search, best)
    if best is None or not (forced or best.rank[:4] < start.rank[:4]):
        kept = start if best is None or not forced else best
        remarks = _remarks(search, _on(search, start), forced and best is None)
        return [_proposal(search, start, kept, remarks)]
    proposals = [_proposal(search, start, best, _remarks(search, best, False))]
    different = [best.changed]
    while len(proposals) <= wishes.alternatives:
        other = search.best(different)
        if other is None or other.rank[:4] > best.rank[:4] or not other.changed:
            break
        proposals.append(_proposal(search, start, other, _remarks(search, other, False)))
        different.append(other.changed)
    return proposals


def _refuse_unknown(situation: Situation, wishes: Wishes, levers: list[Lever]) -> None:
    known = {lever.name for lever in levers}
    known |= {addition.name for addition in situation.recipe.additions}
    for kept in wishes.keep:
        if kept.name not in known:
            raise BadWish(f"--keep: {kept.name} is neither in the recipe nor in stock")
        has = any(lever.name == kept.name and kept.place in ("", lever.place) for lever in levers)
        if kept.amount is not None and not has:
            raise BadWish(f"--keep: no dose of {kept.name} there can be changed")


def _on(search: Search, start: Candidate) -> Candidate:
    """The start as a candidate of a search that may have more levers."""
    return start if start.levers == search.levers else search.start()


def _with_blends(search: Search, best: Candidate | None) -> tuple[Search, Candidate | None]:
    """Where doses do not clear all: the same search with a share of soft water as a means."""
    blends = [
        lever
        for lever in blend_levers(search.situation)
        if search.wishes.only is None or lever.name in search.wishes.only
    ]
    blends = [lever for lever in blends if lever.name not in search.wishes.without]
    if not blends:
        return search, best
    wider = search_for(search.situation, (*search.levers, *blends), search.wishes)
    found = wider.best()
    if found is None or (best is not None and found.rank[:4] >= best.rank[:4]):
        return search, best
    return wider, found


def _proposal(
    search: Search, start: Candidate, after: Candidate, remarks: tuple[str, ...]
) -> Proposal:
    was, now = Counter(map(_same, start.counted)), Counter(map(_same, after.counted))
    return Proposal(
        search.situation,
        start,
        after,
        tuple(each for each in start.counted if not now[_same(each)]),
        tuple(each for each in after.counted if was[_same(each)]),
        tuple(each for each in after.counted if not was[_same(each)]),
        search.found,
        remarks,
        tuple(_cautions(search.situation, after)),
    )


def _same(finding: Finding) -> tuple[str, str | None, str | None]:
    """What makes two findings of two texts one: places move, figures change."""
    return finding.rule, finding.quantity, finding.vessel


def _remarks(search: Search, candidate: Candidate, impossible: bool) -> tuple[str, ...]:
    if impossible:
        return ("no change keeps to what was asked for together with the steps of the scale",)
    return tuple(_remark(search, candidate, missed) for missed in search.missed(candidate))


def _remark(search: Search, candidate: Candidate, missed: int) -> str:
    wanted = search.found[missed]
    against = search.contradicting(candidate, missed)
    value = value_of(candidate.prediction, *wanted.key)
    unit = f" {unit_of(wanted.quantity)}".rstrip()
    title = title_of(*wanted.key)
    stays = "" if value is None else f"; {title} stays at {number(value)}{unit}"
    if wanted.aim is not None and value is not None:
        stays = f"; the nearest found is {number(value)}{unit}"
    if against is None:
        return f"{wanted.text}: nothing in stock, and no share of soft water, leads there{stays}"
    if against:
        others = listed([each.text for each in against])
        return f"{wanted.text} and {others} exclude each other with what is in stock{stays}"
    return f"{wanted.text}: no set of doses on the steps of the scale was found{stays}"


def _cautions(situation: Situation, after: Candidate) -> Iterator[str]:
    """For each acid of some strength and for lime that is dosed newly or more."""
    told: set[str] = set()
    for lever, count in zip(after.levers, after.steps, strict=True):
        additive = situation.case.catalog.additives.get(lever.name)
        if additive is None or count <= lever.start or lever.name in told:
            continue
        strength = additive.default_strength or 0.0
        if lever.addition.strength is not None:
            strength = lever.addition.strength.value
        strong = additive.role == "acid" and strength >= ACID_HANDLING.ceiling
        if additive.caution and (strong or additive.role == "alkali"):
            told.add(lever.name)
            yield f"{additive.title}: {additive.caution}"
