"""The proposals for a recipe: the best, others that are really different, and what stands in
the way."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from waterlint.finding import Finding
from waterlint.hints import Final
from waterlint.records import Record
from waterlint.remedy.blends import blend_levers
from waterlint.remedy.candidate import Candidate
from waterlint.remedy.conflicts import remark_on
from waterlint.remedy.keeping import check_kept
from waterlint.remedy.levers import Lever, dose_levers, tied_doses
from waterlint.remedy.requirement import Requirement
from waterlint.remedy.search import Search, search_for
from waterlint.remedy.situation import Situation
from waterlint.remedy.wishes import Wishes
from waterlint.rules.wording import listed


class Proposal(Record):
    """What is proposed for a recipe.

    Attributes
    ----------
    situation : Situation
    before, after : Candidate
        The same where nothing is to be changed, or nothing helps.
    cleared, left, new : tuple of Finding
        At or above the level asked for.
    notes : tuple of Finding
        Milder ones that were not there before.
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
    notes: tuple[Finding, ...]
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
    check_kept(situation, wishes, levers)
    search = search_for(situation, levers, wishes)
    start = search.start()
    forced = bool(wishes.without) or any(kept.amount is not None for kept in wishes.keep)
    if not start.counted and not start.missed_aims and not forced:
        return [_proposal(search, start, start, tuple(_on_measurements(situation)))]
    best, wider = search.best(), None
    if best is None or search.missed(best):
        wider = _with_blends(search)
        found = None if wider is None else wider.best()
        better = found is not None and (best is None or found.rank[:_EQUAL] < best.rank[:_EQUAL])
        if wider is not None and better:
            search, best = wider, found
    if best is None or not (forced or best.rank[:_EQUAL] < start.rank[:_EQUAL]):
        kept = start if best is None or not forced else best
        remarks = _remarks(wider or search, start, forced and best is None)
        return [_proposal(search, start, kept, remarks)]
    remarks = _remarks(wider or search, best, False)
    return [
        _proposal(search, start, best, remarks),
        *_alternatives(search, start, best, wishes.alternatives),
    ]


#: How much of a candidate's rank makes it as good as another: all but additives and steps.
_EQUAL: Final = 4


def _alternatives(
    search: Search, start: Candidate, best: Candidate, most: int
) -> Iterator[Proposal]:
    """Others that are as good and change another set of additives; last, ones that dilute."""
    different = [best.changed]
    searches = [search]
    if most and not any(lever.kind == "water" for lever in search.levers):
        searches += filter(None, [_with_blends(search)])
    made = 0
    for each in searches:
        while made < most:
            other = each.best(different)
            if other is None or other.rank[:_EQUAL] > best.rank[:_EQUAL] or not other.changed:
                break
            yield _proposal(each, start, other, _remarks(each, other, False))
            different.append(other.changed)
            made += 1


def _with_blends(search: Search) -> Search | None:
    """The same search with a share of soft water as a means; `None` where there is none."""
    blends = list(blend_levers(search.situation, search.wishes))
    if not blends:
        return None
    return search_for(search.situation, (*search.levers, *blends), search.wishes)


def _proposal(
    search: Search, start: Candidate, after: Candidate, remarks: tuple[str, ...]
) -> Proposal:
    was, now = Counter(map(_same, start.counted)), Counter(map(_same, after.counted))
    return Proposal(
        search.situation,
        start,
        after,
        tuple(each for each in start.counted if not now[_same(each)]),
        (
            *(each for each in after.counted if was[_same(each)]),
            *search.situation.measured(),
        ),
        tuple(each for each in after.counted if not was[_same(each)]),
        tuple(_new_notes(search.situation, after)),
        search.found,
        remarks,
        tuple(_cautions(search.situation, after)),
    )


def _new_notes(situation: Situation, after: Candidate) -> Iterator[Finding]:
    """What comes with the change below the level asked for; cautions are told in full anyhow."""
    had = {_same(each) for each in situation.report.findings if situation.is_own(each)}
    counted = {id(each) for each in after.counted}
    for each in after.report.findings:
        told = _same(each) in had or each.rule in _CAUTIONS or id(each) in counted
        if situation.is_own(each) and not told:
            yield each


_CAUTIONS: Final = frozenset({"acid-handling", "caustic-handling"})


def _same(finding: Finding) -> tuple[str, str | None, str | None]:
    """What makes two findings of two texts one: places move, figures change."""
    return finding.rule, finding.quantity, finding.vessel


def _remarks(search: Search, candidate: Candidate, impossible: bool) -> tuple[str, ...]:
    if impossible:
        return ("no change keeps to what was asked for together with the steps of the scale",)
    if candidate.levers != search.levers:
        candidate = search.widened(candidate)
    told = [remark_on(search, candidate, missed) for missed in search.missed(candidate)]
    tied = tied_doses(search.situation) if told or candidate.counted else []
    if tied:
        lines = dict.fromkeys(str(search.situation.line_of(pointer)) for pointer in tied)
        places = f"line{'s' if len(lines) > 1 else ''} {listed(list(lines))}"
        told.append(
            f"what an anchor ties together stays as it is, here doses at {places}: write them out "
            "to have them changed"
        )
    return tuple(dict.fromkeys([*told, *_on_measurements(search.situation)]))


def _on_measurements(situation: Situation) -> Iterator[str]:
    if situation.measured():
        yield (
            "what was measured speaks of the mash as it was brewed, and no change of doses makes "
            "it right"
        )


def _cautions(situation: Situation, after: Candidate) -> Iterator[str]:
    """For each acid, alkali and sulfite that is dosed newly or more."""
    told: set[str] = set()
    for lever, count in zip(after.levers, after.steps, strict=True):
        additive = situation.case.catalog.additives.get(lever.name)
        if additive is None or count <= lever.start or lever.name in told:
            continue
        strength = lever.addition.strength
        stated = None if strength is None else strength.value
        caution = additive.caution_at(lever.addition.form, stated)
        if caution:
            told.add(lever.name)
            yield f"{additive.title}: {caution}"
