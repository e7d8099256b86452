"""The search: solve on straight lines, look with the full model, draw the lines anew, prove."""

from __future__ import annotations

from collections.abc import Sequence

from waterlint.hints import Final
from waterlint.linter import Report
from waterlint.prediction.result import Prediction
from waterlint.records import Record, replace
from waterlint.remedy.candidate import Candidate, group_of
from waterlint.remedy.dose_limits import DoseLimit, dose_limits
from waterlint.remedy.levers import Lever, Steps, start_of
from waterlint.remedy.linear import BENT, Key, Lines, draw, figures, keys_of
from waterlint.remedy.posing import exclusive, kept_rows, weights_of
from waterlint.remedy.program import Program, Row, Solution, Turn
from waterlint.remedy.requirement import Requirement, is_missed
from waterlint.remedy.requirements import requirements
from waterlint.remedy.rows import MARGIN, rows_of
from waterlint.remedy.situation import Situation
from waterlint.remedy.solver import solve
from waterlint.remedy.turned import recipe_with
from waterlint.remedy.wishes import Wishes
from waterlint.remedy.writing import write_steps

#: How often the lines are drawn anew. Two rounds are the rule, since the mash pH bends little.
MOST_ROUNDS: Final = 8


class Search(Record, frozen=False):
    """The search of one recipe with one set of levers.

    `found` are the requirements of figures, by number; those of doses, `limits`, count on from
    there.
    """

    situation: Situation
    levers: tuple[Lever, ...]
    wishes: Wishes
    found: tuple[Requirement, ...]
    limits: tuple[DoseLimit, ...]

    def start(self) -> Candidate:
        """The recipe as it is."""
        return self._candidate(start_of(self.levers), self.situation.text, self.situation.report)

    def widened(self, candidate: Candidate) -> Candidate:
        """A candidate of a search with fewer levers, the others left as they are."""
        steps = {
            id(lever): count for lever, count in zip(candidate.levers, candidate.steps, strict=True)
        }
        more = tuple(steps.get(id(lever), lever.start) for lever in self.levers)
        return replace(candidate, levers=self.levers, steps=more)

    def best(self, different_from: Sequence[frozenset[str]] = ()) -> Candidate | None:
        """The best change that could be proven; `None` where there is none.

        Raises
        ------
        SolverMissing, CannotEdit
        """
        keys = keys_of(self.found)
        lines = draw(self.situation, self.levers, start_of(self.levers), keys)
        margins: dict[Key, float] = {}
        best: Candidate | None = None
        seen: set[Steps] = set()
        past: list[Lines] = []
        cuts: list[Lines] = []
        for _ in range(MOST_ROUNDS):
            solution = solve(self.program(lines, margins, different_from, cuts))
            if solution is None:
                break
            if solution.steps in seen:
                if cuts:
                    break
                # Going in circles between two lines: from now on all of them hold together.
                cuts = past
                continue
            seen.add(solution.steps)
            past.append(lines.bent())
            candidate = self._proven(solution.steps)
            if best is None or candidate.rank < best.rank:
                best = candidate
            if not self.redraw(lines, margins, solution, candidate.prediction):
                break
        return None if best is None else self._polished(best, keys)

    def figures_at(self, steps: Steps) -> dict[Key, float]:
        """The figures by the full model."""
        return figures(self.prediction_at(steps), keys_of(self.found))

    def prediction_at(self, steps: Steps) -> Prediction:
        """All figures by the full model."""
        return self.situation.predict(recipe_with(self.situation.recipe, self.levers, steps))

    def redraw(
        self, lines: Lines, margins: dict[Key, float], solution: Solution, prediction: Prediction
    ) -> bool:
        """Bring the lines to where the search has come; whether anything was to be brought."""
        moved = self._narrow_anew(prediction)
        actual = figures(prediction, keys_of(self.found))
        for key, value in actual.items():
            if key not in lines.base:
                continue
            off = value - lines.value(key, solution.steps)
            if key in BENT:
                if abs(off) > BENT[key]:
                    there = draw(self.situation, self.levers, solution.steps, [key], only_mash=True)
                    lines.base |= there.base
                    lines.slopes |= there.slopes
                    lines.at |= there.at
                    moved = True
            elif abs(off) > 1e-6 * max(1.0, abs(value)):
                lines.base[key] += off
                moved = True
        for number, each in enumerate(self.found):
            if number not in solution.missed and is_missed(each, actual):
                # By less than the lines are off: keep a little more room there.
                margins[each.key] = 4.0 * margins.get(each.key, MARGIN)
                moved = True
        return moved

    def _narrow_anew(self, prediction: Prediction) -> bool:
        """Narrow the ranges by the spreads as they are now; whether that changes any by much."""
        if not any(each.spread for each in self.found):
            return False
        fresh = {
            (*each.key, each.graver): each
            for each in requirements(self.situation, (), prediction)
            if each.spread
        }
        moved = False
        kept: list[Requirement] = []
        for each in self.found:
            new = fresh.get((*each.key, each.graver))
            if each.aim is not None or not each.spread or new is None:
                kept.append(each)
                continue
            assert new.spread is not None
            moved |= abs(new.spread - each.spread) > 1e-3 * each.spread
            kept.append(replace(each, low=new.low, high=new.high, spread=new.spread))
        self.found = tuple(kept)
        return moved

    def missed(self, candidate: Candidate) -> list[int]:
        """The numbers of the requirements that a candidate does not keep, but for graver ones."""
        actual = figures(candidate.prediction, keys_of(self.found))
        numbers = [
            n for n, each in enumerate(self.found) if not each.graver and is_missed(each, actual)
        ]
        return numbers + [
            n
            for n, each in enumerate(self.limits, len(self.found))
            if each.is_missed_by(self.levers, candidate.steps)
        ]

    def _proven(self, steps: Steps) -> Candidate:
        text = write_steps(self.situation, self.levers, steps)
        return self._candidate(steps, text, self.situation.lint(text))

    def _candidate(self, steps: Steps, text: str, report: Report) -> Candidate:
        prediction = self.prediction_at(steps)
        actual = figures(prediction, keys_of(self.found))
        aims = (each for each in self.found if each.aim is not None)
        return Candidate(
            self.levers,
            steps,
            text,
            report,
            prediction,
            tuple(self.situation.counted(report)),
            tuple(each for each in aims if is_missed(each, actual)),
        )

    def _polished(self, best: Candidate, keys: Sequence[Key]) -> Candidate:
        """The same change, each part of it as small as the full model lets it be."""
        steps = best.steps
        now = self.figures_at(steps)
        missed = {each for each in self.found if is_missed(each, now)}
        unkept = {each for each in self.limits if each.is_missed_by(self.levers, steps)}
        shrunk = True
        while shrunk:
            shrunk = False
            for number, lever in enumerate(self.levers):
                nearer = _nearer(lever, steps[number])
                if nearer is None or self._is_kept(lever):
                    continue
                tried = (*steps[:number], nearer, *steps[number + 1 :])
                if any(
                    each not in unkept and each.is_missed_by(self.levers, tried)
                    for each in self.limits
                ):
                    continue
                actual = self.figures_at(tried)
                if all(each in missed or not is_missed(each, actual) for each in self.found):
                    steps, shrunk = tried, True
        if steps == best.steps or best.missed_aims:
            return best
        smaller = self._proven(steps)
        return smaller if smaller.rank < best.rank else best

    def _is_kept(self, lever: Lever) -> bool:
        named = any(kept.name == lever.name for kept in self.wishes.keep)
        return named or lever.name in self.wishes.without

    def program(
        self,
        lines: Lines,
        margins: dict[Key, float],
        different_from: Sequence[frozenset[str]] = (),
        cuts: Sequence[Lines] = (),
    ) -> Program:
        """The program on the lines, and on former ones that hold besides."""
        made = rows_of(self.found, lines, margins)
        for former in cuts:
            made.rows += rows_of(self.found, former, margins).rows
        restless: list[tuple[int, int]] = []
        for number, limit in enumerate(self.limits, len(self.found)):
            if limit.restless is not None:
                restless.append((limit.restless, number))
            else:
                made.rows.append(Row(limit.factors, limit.low, limit.high, number))
        return Program(
            tuple(
                Turn(lever.start, min(lever.least, lever.most), lever.most, group_of(lever))
                for lever in self.levers
            ),
            (*made.rows, *kept_rows(self.levers, self.wishes)),
            (*weights_of(self.found), *(1.0 for _ in self.limits)),
            tuple(made.conditions),
            tuple(exclusive(self.situation, self.levers)),
            tuple(different_from),
            tuple(made.nearest),
            tuple(restless),
        )


def _nearer(lever: Lever, steps: float) -> float | None:
    """One step back towards the recipe's amount, where that can be dosed."""
    if steps == lever.start:
        return None
    if abs(steps - lever.start) <= 1.0:
        return lever.start
    nearer = steps + (1.0 if steps < lever.start else -1.0)
    return nearer if nearer >= lever.least or nearer == 0.0 else lever.start


def search_for(situation: Situation, levers: Sequence[Lever], wishes: Wishes) -> Search:
    """A search with these levers; a wished amount counts from the first."""
    return Search(
        situation,
        tuple(levers),
        wishes,
        tuple(requirements(situation, wishes.aims)),
        tuple(dose_limits(situation, levers)),
    )
