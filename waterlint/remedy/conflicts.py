"""Why something cannot be had: which limits exclude each other, and what is nearest."""

from __future__ import annotations

from collections.abc import Collection
from math import inf

from waterlint.records import replace
from waterlint.remedy.candidate import Candidate
from waterlint.remedy.levers import Steps
from waterlint.remedy.linear import Key, Lines, draw, keys_of
from waterlint.remedy.program import Program
from waterlint.remedy.requirement import BOTH, RATIO, Requirement
from waterlint.remedy.rows import near_of
from waterlint.remedy.search import MOST_ROUNDS, Search
from waterlint.remedy.solver import is_impossible, solve
from waterlint.rules.wording import listed, number


def remark_on(search: Search, candidate: Candidate, missed: int) -> str:
    """A sentence on why a requirement is missed.

    Parameters
    ----------
    search : Search
    candidate : Candidate
        The best that was found.
    missed : int
        The requirement's number.

    Notes
    -----
    The set of limits that is named is irreducible on the straight lines through the candidate:
    without any one of them the rest could be kept. There can be other such sets.
    """
    kept = _kept(search, candidate, missed)
    lines, steps = _lines_to(search, candidate, {missed, *kept})
    program = search.program(lines, {})
    wanted, means = _wanted_text(search, candidate, missed), _means(search)
    if is_impossible(_only(program, {missed})):
        nearest = _nearest(search, lines, program, missed, set(kept))
        at_any_price = _nearest(search, lines, program, missed, set())
        if nearest and at_any_price.split()[-2:] != nearest.split()[-2:]:
            nearest += f", and at the price of the rest {at_any_price.split(' is ')[-1]}"
        return f"{wanted} is out of reach {means}{nearest or at_any_price}"
    if steps is not None or not is_impossible(_only(program, {missed, *kept})):
        stays = _stays(search, missed, candidate)
        return f"{wanted}: no set of doses on the steps of the scale was found{stays}"
    core = _core(program, missed, kept)
    others = listed([_side_text(search, program, each, {missed, *core}) for each in core])
    nearest = _nearest(search, lines, program, missed, set(kept))
    return f"{wanted} and {others} exclude each other {means}{nearest}"


def _lines_to(
    search: Search, candidate: Candidate, names: Collection[int]
) -> tuple[Lines, Steps | None]:
    """Lines as they are where the requirements of these numbers are sought together, and the
    steps that keep them all, if any do."""
    lines = draw(search.situation, search.levers, candidate.steps, keys_of(search.found))
    margins: dict[Key, float] = {}
    steps: Steps | None = None
    for _ in range(MOST_ROUNDS):
        solution = solve(_only(search.program(lines, margins), names))
        steps = None if solution is None else solution.steps
        if solution is None or not search.redraw(
            lines, margins, solution, search.prediction_at(solution.steps)
        ):
            break
    return lines, steps


def _kept(search: Search, candidate: Candidate, missed: int) -> list[int]:
    """The others that the candidate keeps; first those that would be given up first."""
    unkept = {missed, *search.missed(candidate)}
    numbers = [
        number
        for number in range(len(search.found) + len(search.limits))
        if number not in unkept and not (number < len(search.found) and search.found[number].graver)
    ]
    return sorted(numbers, key=lambda each: _is_wanted(search, each))


def _is_wanted(search: Search, number: int) -> bool:
    """Whether somebody has asked for it: then it is named rather than a general range."""
    if number >= len(search.found):
        return False
    each = search.found[number]
    recipe = search.situation.recipe
    return each.aim is not None or recipe.target(each.quantity, each.vessel) is not None


def _core(program: Program, missed: int, kept: list[int]) -> list[int]:
    """Of those kept, as few as exclude the missed one together."""
    core = list(kept)
    for each in kept:
        fewer = [other for other in core if other != each]
        if is_impossible(_only(program, {missed, *fewer})):
            core = fewer
    return core


def _side_text(search: Search, program: Program, number: int, names: set[int]) -> str:
    """A requirement by the one of its sides that stands in the way."""
    if number >= len(search.found) or not search.found[number].has_both_sides:
        return _text(search, number)
    each = search.found[number]
    for side in (replace(each, low=None), replace(each, high=None)):
        rows = tuple(
            row
            if row.name != number
            else replace(row, low=-inf)
            if side.low is None
            else replace(row, high=inf)
            for row in program.rows
        )
        if is_impossible(_only(replace(program, rows=rows), names)):
            return side.text
    return each.text


def _wanted_text(search: Search, candidate: Candidate, missed: int) -> str:
    """What is missed by its side that is."""
    if missed >= len(search.found):
        return _text(search, missed)
    each = search.found[missed]
    value = _value(each, search, candidate.steps)
    if not each.has_both_sides or value is None or each.low is None:
        return each.text
    return (replace(each, high=None) if value < each.low else replace(each, low=None)).text


def _only(program: Program, names: Collection[int]) -> Program:
    """The program with nothing but these requirements, none of which may be missed."""
    return replace(
        program,
        rows=tuple(row for row in program.rows if row.name is None or row.name in names),
        weights=(0.0,) * len(program.weights),
        nearest=(),
        different_from=(),
        restless=tuple(each for each in program.restless if each[1] in names),
    )


def _nearest(
    search: Search, lines: Lines, program: Program, missed: int, kept: Collection[int]
) -> str:
    """How near it can be had, where the others are kept."""
    if missed >= len(search.found) or search.found[missed].quantity == BOTH:
        return ""
    each = search.found[missed]
    weights = [0.0] * len(program.weights)
    weights[missed] = 1.0
    nearer = replace(
        _only(program, {missed, *kept}),
        weights=tuple(weights),
        nearest=(near_of(lines, each, missed),),
    )
    solution = solve(nearer)
    if solution is None:
        return ""
    value = _value(each, search, solution.steps)
    beside = ", the rest being kept," if kept else ""
    return "" if value is None else f"; the nearest{beside} is {_figure(each, value)}"


def _stays(search: Search, missed: int, candidate: Candidate) -> str:
    if missed >= len(search.found):
        return ""
    each = search.found[missed]
    value = _value(each, search, candidate.steps)
    return "" if value is None else f"; {each.title} stays at {_figure(each, value)}"


def _value(each: Requirement, search: Search, steps: Steps) -> float | None:
    actual = search.figures_at(steps)
    if each.quantity == RATIO:
        sulfate = actual.get(("sulfate", each.vessel), 0.0)
        return actual.get(("chloride", each.vessel), 0.0) / sulfate if sulfate > 0.0 else None
    return actual.get(each.key)


def _figure(each: Requirement, value: float) -> str:
    return f"{number(value)} {each.unit}".rstrip()


def _text(search: Search, number: int) -> str:
    if number < len(search.found):
        return search.found[number].text
    return search.limits[number - len(search.found)].text


def _means(search: Search) -> str:
    wishes = search.wishes
    bound = wishes.only is not None or wishes.without or wishes.keep
    means = "with what the call leaves to change" if bound else "with what is in stock"
    waters = list(dict.fromkeys(each.name for each in search.levers if each.kind == "water"))
    return f"{means} and {listed(waters)} water" if waters else means
