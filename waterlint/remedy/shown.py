"""A proposal as what is shown of it."""

from __future__ import annotations

from collections.abc import Iterator

from waterlint.output.suggestion import DoseRow, FigureRow, Suggested
from waterlint.remedy.levers import Lever
from waterlint.remedy.proposal import Proposal
from waterlint.remedy.writing import amount_text
from waterlint.rules.figures import figure_of
from waterlint.rules.range_findings import title_of, unit_of
from waterlint.source.diff import diff_text


def show(proposal: Proposal, number: int) -> Suggested:
    """What is shown of a proposal.

    Parameters
    ----------
    proposal : Proposal
    number : int
        1 for the best, and on for the others.
    """
    situation, after = proposal.situation, proposal.after
    changes = proposal.changes
    return Suggested(
        path=situation.shown,
        document=situation.document.index,
        name=situation.recipe.name,
        number=number,
        level=situation.level,
        changed=bool(changes),
        additives=len(after.changed),
        steps=after.size,
        doses=tuple(_dose(proposal, lever, count) for lever, count in changes),
        figures=tuple(_figures(proposal)),
        cleared=proposal.cleared,
        left=proposal.left,
        new=proposal.new,
        remarks=proposal.remarks,
        cautions=proposal.cautions,
        diff=diff_text(situation.text, after.text, situation.shown),
    )


def _dose(proposal: Proposal, lever: Lever, count: float) -> DoseRow:
    strength = lever.addition.strength
    return DoseRow(
        lever.name,
        lever.addition.form,
        None if strength is None else strength.text,
        lever.place,
        _written(proposal, lever),
        amount_text(lever, count) if count > 0.0 else None,
        round(count - lever.start, 6),
    )


def _written(proposal: Proposal, lever: Lever) -> str | None:
    """The amount that the recipe has, in its own words."""
    if lever.start <= 0.0:
        return None
    if lever.line is None:
        return amount_text(lever, lever.start)
    doses = proposal.situation.recipe.additions[lever.line].doses
    return next(dose.amount.text for dose in doses if dose.place == lever.place)


def _figures(proposal: Proposal) -> Iterator[FigureRow]:
    """Each figure that has a range, and those that the change moves."""
    told: set[tuple[str, str]] = set()
    for each in proposal.requirements:
        if each.key in told:
            continue
        told.add(each.key)
        before = figure_of(proposal.before.prediction, *each.key)
        after = figure_of(proposal.after.prediction, *each.key)
        if before is None and after is None:
            continue
        yield FigureRow(
            title_of(*each.key),
            each.quantity,
            each.vessel,
            unit_of(each.quantity),
            None if before is None else before.value,
            None if after is None else after.value,
            None if after is None else after.sd,
            each.low,
            each.high,
        )
