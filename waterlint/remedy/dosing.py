"""The dosing class of fixes: what a proposal changes, written into the text."""

from __future__ import annotations

from collections.abc import Iterator

from waterlint.finding import Level
from waterlint.linter import Linter, Options, Report
from waterlint.paths import Path
from waterlint.records import Record
from waterlint.remedy.proposal import Proposal, propose
from waterlint.remedy.situation import Situation, situations
from waterlint.remedy.wishes import Wishes
from waterlint.remedy.writing import amount_text
from waterlint.source.edit import CannotEdit


class Dosed(Record):
    """A text with the proposed doses of all its recipes.

    `changes` say what was changed, `remarks` what could not be and what to take care of; `report`
    is of the text as it is then.
    """

    text: str
    changes: tuple[str, ...]
    remarks: tuple[str, ...]
    report: Report
    linter: Linter


def write_doses(text: str, path: Path, options: Options, level: Level) -> Dosed:
    """Write the best proposal for each recipe of a text that has findings to clear.

    Raises
    ------
    SolverMissing
        If there is no solver, or it breaks down.
    """
    changes: list[str] = []
    remarks: list[str] = []
    number = 0
    while True:
        found = list(situations(text, path, options, level))
        if number >= len(found):
            break
        situation = found[number]
        number += 1
        if not isinstance(situation, Situation):
            continue
        try:
            proposal = propose(situation, Wishes())[0]
        except CannotEdit as error:
            remarks.append(f"{situation.recipe.name}: the doses cannot be written here: {error}")
            continue
        text = proposal.after.text
        changes += _changes(proposal)
        name = situation.recipe.name
        remarks += (f"{name}: in the way: {remark}" for remark in proposal.remarks)
        remarks += (f"{name}: caution: {caution}" for caution in proposal.cautions)
    linter = Linter(options)
    return Dosed(text, tuple(changes), tuple(remarks), linter.lint_text(text, path), linter)


def _changes(proposal: Proposal) -> Iterator[str]:
    for lever, count in proposal.changes:
        before, after = (
            amount_text(lever, each) if each > 0.0 else "none" for each in (lever.start, count)
        )
        place = f"{proposal.situation.recipe.name}: {lever.place}"
        yield f"{place}: {lever.name}: {before} → {after}"
