"""The search: solve on straight lines, look with the full model, draw the lines anew, prove."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import inf
from typing import Final

from waterlint.catalog import limits
from waterlint.linter import Report
from waterlint.records import dataclass
from waterlint.remedy.candidate import Candidate, group_of
from waterlint.remedy.levers import Lever, Steps, recipe_with, start_of
from waterlint.remedy.linear import Key, Lines, draw, figures, keys_of
from waterlint.remedy.program import Program, Row, Solution, Turn, solve
from waterlint.remedy.requirements import RATIO, Requirement, requirements
from waterlint.remedy.rows import MARGIN, limit_row, little_rows, ratio_rows
from waterlint.remedy.situation import Situation
from waterlint.remedy.wishes import Wishes
from waterlint.remedy.writing import write_steps

#: How often the lines are drawn anew. Two rounds are the rule, since the mash pH bends little.
MOST_ROUNDS: Final = 6

#: How far the mash pH may be from its line before it is drawn anew: less than a step of most
#: scales moves.
_CLOSE_PH: Final = 0.0015

#: What missing an aim costs beside a finding: findings come first.
AIM_WEIGHT: Final = 0.4

_PH: Final[Key] = ("mash_ph", "mash")


@dataclass(slots=True)
class Search:
    """The search of one recipe with one set of levers."""

    situation: Situation
    levers: tuple[Lever, ...]
    wishes: Wishes
    found: tuple[Requirement, ...]

    def start(self) -> Candidate:
        """The recipe as it is."""
        return self._candidate(start_of(self.levers), self.situation.text, self.situation.report)

    def best(self, different_from: Sequence[frozenset[str]] = ()) -> Candidate | None:
        """The best change that could be proven; `None` where there is none.

        Raises
        ------
        SolverMissing, CannotEdit
        """
        keys = keys_of(self.found)
        at = start_of(self.levers)
        lines = draw(self.situation, self.levers, at, keys)
        margins: dict[Key, float] = {}
        best: Candidate | None = None
        seen: set[Steps] = set()
        for _ in range(MOST_ROUNDS):
            solution = solve(self.program(lines, margins, different_from))
            if solution is None or solution.steps in seen:
                break
            seen.add(solution.steps)
            actual = self._figures(solution.steps, keys)
            candidate = self._proven(solution.steps)
            if best is None or candidate.rank < best.rank:
                best = candidate
            if not self._redraw(lines, margins, solution, actual):
                break
        return None if best is None else self._polished(best, keys)

    def _figures(self, steps: Steps, keys: Sequence[Key]) -> dict[Key, float]:
        recipe = recipe_with(self.situation.recipe, self.levers, steps)
        return figures(self.situation.predict(recipe), keys)

    def _redraw(
        self,
        lines: Lines,
        margins: dict[Key, float],
        solution: Solution,
        actual: dict[Key, float],
    ) -> bool:
        """Bring the lines to where the search has come; whether anything was to be brought."""
        moved = False
        for key, value in actual.items():
            if key not in lines.base:
                continue
            off = value - lines.value(key, solution.steps)
            if key == _PH:
                if abs(off) > _CLOSE_PH:
                    there = draw(self.situation, self.levers, solution.steps, [_PH], only_mash=True)
                    lines.base |= there.base
                    lines.slopes |= there.slopes
                    lines.at |= there.at
                    moved = True
            elif abs(off) > 1e-6 * max(1.0, abs(value)):
                lines.base[key] += off
                moved = True
        for number, each in enumerate(self.found):
            if number not in solution.missed and self._is_missed(each, actual):
                # By less than the lines are off: keep a little more room there.
                margins[each.key] = 4.0 * margins.get(each.key, MARGIN)
                moved = True
        return moved

    def missed(self, candidate: Candidate) -> list[int]:
        """The numbers of the requirements that a candidate does not keep."""
        actual = figures(candidate.prediction, keys_of(self.found))
        return [n for n, each in enumerate(self.found) if self._is_missed(each, actual)]

    def contradicting(self, candidate: Candidate, number: int) -> list[Requirement] | None:
        """What is missed where one requirement is kept at any price.

        Returns
        -------
        list of Requirement or None
            `None` where nothing keeps it.
        """
        keys = keys_of(self.found)
        lines = draw(self.situation, self.levers, candidate.steps, keys)
        margins: dict[Key, float] = {}
        missed: list[int] = [number]
        for _ in range(MOST_ROUNDS):
            solution = solve(self.program(lines, margins, must=number))
            if solution is None:
                return None
            actual = self._figures(solution.steps, keys)
            missed = [n for n, each in enumerate(self.found) if self._is_missed(each, actual)]
            if not self._redraw(lines, margins, solution, actual):
                break
        return None if number in missed else [self.found[each] for each in missed]

    def _is_missed(self, each: Requirement, actual: dict[Key, float]) -> bool:
        if each.quantity == RATIO:
            chloride, sulfate = (
                actual.get((ion, each.vessel), 0.0) for ion in ("chloride", "sulfate")
            )
            least = limits.RATIO_MEANINGLESS.floor
            if not each.always and chloride < least and sulfate < least:
                return False
            value = chloride / sulfate if sulfate > 0.0 else inf
        else:
            value = actual.get(each.key, 0.0)
        hair = 1e-9 * max(1.0, abs(value))
        low = -inf if each.low is None else each.low
        high = inf if each.high is None else each.high
        return not low - hair <= value <= high + hair

    def _proven(self, steps: Steps) -> Candidate:
        text = write_steps(self.situation, self.levers, steps)
        return self._candidate(steps, text, self.situation.lint(text))

    def _candidate(self, steps: Steps, text: str, report: Report) -> Candidate:
        recipe = recipe_with(self.situation.recipe, self.levers, steps)
        prediction = self.situation.predict(recipe)
        actual = figures(prediction, keys_of(self.found))
        return Candidate(
            self.levers,
            steps,
            text,
            report,
            prediction,
            tuple(self.situation.counted(report)),
            tuple(
                each
                for each in self.found
                if each.aim is not None and self._is_missed(each, actual)
            ),
        )

    def _polished(self, best: Candidate, keys: Sequence[Key]) -> Candidate:
        """The same change, each part of it as small as the full model lets it be."""
        steps = best.steps
        now = self._figures(steps, keys)
        missed = {each for each in self.found if self._is_missed(each, now)}
        shrunk = True
        while shrunk:
            shrunk = False
            for number, lever in enumerate(self.levers):
                nearer = _nearer(lever, steps[number])
                if nearer is None or self._is_kept(lever):
                    continue
                tried = (*steps[:number], nearer, *steps[number + 1 :])
                actual = self._figures(tried, keys)
                if all(each in missed or not self._is_missed(each, actual) for each in self.found):
                    steps, shrunk = tried, True
        if steps == best.steps or best.missed_aims:
            return best
        smaller = self._proven(steps)
        return smaller if smaller.rank < best.rank else best

    def _is_kept(self, lever: Lever) -> bool:
        named = any(kept.name == lever.name for kept in self.wishes.keep)
        late = lever.kind == "alkali" and lever.most <= lever.start
        return named or late or lever.name in self.wishes.without

    def program(
        self,
        lines: Lines,
        margins: dict[Key, float],
        different_from: Sequence[frozenset[str]] = (),
        *,
        must: int | None = None,
    ) -> Program:
        """The program on the lines; the requirement of number `must` may not be missed."""
        rows: list[Row] = []
        weights = [1.0] * len(self.found)
        conditions: list[tuple[Row, ...]] = []
        nearest: tuple[int, tuple[float, ...], float] | None = None
        for number, each in enumerate(self.found):
            margin = margins.get(each.key, MARGIN)
            if each.quantity == RATIO:
                unless = None
                if not each.always:
                    conditions.append(tuple(little_rows(lines, each.vessel)))
                    unless = len(conditions) - 1
                rows += ratio_rows(lines, each, number, unless, margin)
            elif each.key in lines.base:
                rows.append(limit_row(lines, each, number, margin))
                if each.aim is not None:
                    weights[number] = AIM_WEIGHT
                    nearest = (
                        number,
                        lines.slopes[each.key],
                        each.aim.middle - lines.intercept(each.key),
                    )
        weights += self._doses_to_go(rows)
        rows += self._kept_rows()
        if must is not None:
            weights[must] = 0.0
        return Program(
            tuple(self._turns()),
            tuple(rows),
            tuple(weights),
            tuple(conditions),
            tuple(self._exclusive()),
            tuple(different_from),
            nearest,
        )

    def _turns(self) -> Iterator[Turn]:
        for lever in self.levers:
            yield Turn(lever.start, min(lever.least, lever.most), lever.most, group_of(lever))

    def _doses_to_go(self, rows: list[Row]) -> list[float]:
        """A row for each dose that is a fault by being there; what leaving it costs."""
        weights: list[float] = []
        excused = {
            finding.pointer
            for finding in self.situation.report.accepted
            if self.situation.is_own(finding)
        }
        told = {
            finding.pointer
            for finding in self.situation.counted(self.situation.report)
            if finding.rule in ("alkali-after-mash", "undissolved-chalk")
        }
        for number, lever in enumerate(self.levers):
            if lever.line is None or lever.start <= 0.0:
                continue
            pointer = f"{self.situation.recipe.additions[lever.line].pointer}/{lever.place}"
            if pointer in told and pointer not in excused:
                factors = [0.0] * len(self.levers)
                factors[number] = 1.0
                rows.append(Row(tuple(factors), 0.0, 0.0, len(self.found) + len(weights)))
                weights.append(1.0)
        return weights

    def _kept_rows(self) -> Iterator[Row]:
        for kept in self.wishes.keep:
            if kept.amount is None:
                continue
            factors = tuple(
                float(lever.step)
                if lever.name == kept.name and kept.place in ("", lever.place)
                else 0.0
                for lever in self.levers
            )
            half = 0.5 * max(factors, default=0.0)
            if half > 0.0:
                yield Row(factors, kept.amount - half, kept.amount + half, None)

    def _exclusive(self) -> Iterator[tuple[tuple[int, ...], tuple[int, ...]]]:
        """Acid and alkali in one vessel cancel."""
        kinds: dict[str, list[int]] = {"acid": [], "alkali": []}
        for number, lever in enumerate(self.levers):
            if lever.place in ("mash", "liquor") and lever.kind in kinds:
                kinds[lever.kind].append(number)
        yield tuple(kinds["acid"]), tuple(kinds["alkali"])


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
    return Search(situation, tuple(levers), wishes, tuple(requirements(situation, wishes.aims)))
