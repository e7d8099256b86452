"""The dosing class of fixes: what a proposal changes, written into the text."""

from __future__ import annotations

from pathlib import Path

from waterlint.finding import Level
from waterlint.linter import Linter, Options, Report
from waterlint.records import dataclass
from waterlint.remedy.proposal import Proposal, propose
from waterlint.remedy.situation import Situation, situations
from waterlint.remedy.wishes import Wishes
from waterlint.remedy.writing import amount_text
from waterlint.source.edit import CannotEdit


@dataclass(frozen=True, slots=True)
class Dosed:
    """A text with the proposed doses of all its recipes.

    `remarks` say what was changed, and what could not be; `report` is of the text as it is then.
    """

    text: str
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
        remarks += _remarks(proposal)
    linter = Linter(options)
    return Dosed(text, tuple(remarks), linter.lint_text(text, path), linter)


def _remarks(proposal: Proposal) -> list[str]:
    name = proposal.situation.recipe.name
    told = [
        f"{name}: {lever.name} {lever.place} {amount_text(lever, lever.start)} → "
        f"{amount_text(lever, count)}"
        for lever, count in proposal.changes
    ]
    return told + [f"{name}: {remark}" for remark in proposal.remarks]
