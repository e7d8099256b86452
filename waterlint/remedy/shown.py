"""A proposal as what is shown of it."""

from __future__ import annotations

from collections.abc import Iterator

from waterlint.model.recipe import PLACES, VESSELS, Addition, Dose
from waterlint.output.suggestion import DoseRow, FigureRow, Suggested
from waterlint.prediction.result import Prediction
from waterlint.remedy.levers import Lever
from waterlint.remedy.proposal import Proposal
from waterlint.remedy.requirement import ION_PAIR, RATIO, Requirement, is_missed, value_of
from waterlint.remedy.writing import amount_text, plain_amount
from waterlint.rules.figures import figure_of
from waterlint.rules.wording import number as rounded
from waterlint.source.diff import diff_text

#: In the order of a brew day.
_PLACES = {place: number for number, place in enumerate(dict.fromkeys((*PLACES, *VESSELS)))}

_VESSELS = {vessel: number for number, vessel in enumerate(("mash", "sparge", "batch"))}


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
    doses = sorted((_dose(proposal, lever, count) for lever, count in changes), key=_order_of_dose)
    return Suggested(
        path=situation.shown,
        document=situation.document.index,
        name=situation.recipe.name,
        number=number,
        level=situation.level,
        changed=bool(changes),
        additives=len(after.changed),
        steps=after.size,
        doses=tuple(doses),
        unchanged=tuple(sorted(_unchanged(proposal), key=_order_of_dose)),
        figures=tuple(_figures(proposal)),
        cleared=proposal.cleared,
        left=proposal.left,
        new=proposal.new,
        notes=proposal.notes,
        remarks=proposal.remarks,
        cautions=proposal.cautions,
        diff=diff_text(situation.text, after.text, situation.shown),
    )


def _order_of_dose(row: DoseRow) -> int:
    return _PLACES[row.vessel]


def _dose(proposal: Proposal, lever: Lever, count: float) -> DoseRow:
    strength = lever.addition.strength
    before = _written(proposal, lever)
    after = amount_text(lever, count, before or "") if count > 0.0 else None
    change = f"{count - lever.start:+.6g}"
    amount = plain_amount(lever, abs(count - lever.start))
    if lever.start > 0.0 and count > 0.0:
        change = f"{'+' if count > lever.start else '−'}{amount}"
    else:
        change = "new" if count > 0.0 else "leave out"
    return DoseRow(
        lever.name,
        lever.addition.form,
        None if strength is None else strength.text,
        lever.place,
        before,
        after,
        round(count - lever.start, 6),
        change,
        _note(proposal, lever, count, before),
    )


def _note(proposal: Proposal, lever: Lever, count: float, before: str | None) -> str:
    """What a share is in litres, and what a rate is on the scale."""
    if lever.kind == "water":
        volume = proposal.situation.recipe.vessels[lever.place].volume.value
        return f"{rounded(volume * lever.amount(count))} L of the {rounded(volume)} L"
    if before is not None and "/" in before:
        return f"{before} is {rounded(lever.amount(lever.start))} {lever.unit}"
    return ""


def _written(proposal: Proposal, lever: Lever) -> str | None:
    """The amount that the recipe has, in its own words."""
    if lever.start <= 0.0:
        return None
    if lever.line is None:
        return amount_text(lever, lever.start)
    doses = proposal.situation.recipe.additions[lever.line].doses
    return next(dose.amount.text for dose in doses if dose.place == lever.place)


def _unchanged(proposal: Proposal) -> Iterator[DoseRow]:
    """The doses that stay as they are: the whole of what is weighed stands together."""
    changed = {(lever.line, lever.place) for lever, _ in proposal.changes}
    for number, addition in enumerate(proposal.situation.recipe.additions):
        for dose in addition.doses:
            if (number, dose.place) not in changed:
                yield _kept_row(addition, dose)


def _kept_row(addition: Addition, dose: Dose) -> DoseRow:
    strength = None if addition.strength is None else addition.strength.text
    text = dose.amount.text
    return DoseRow(addition.name, addition.form, strength, dose.place, text, text, 0.0, "as it is")


def _figures(proposal: Proposal) -> Iterator[FigureRow]:
    """Each figure that has a range, by vessel, and the ratio."""
    found: dict[tuple[str, str], Requirement] = {}
    for each in proposal.requirements:
        if not each.graver and (each.aim is not None or each.key not in found):
            found[each.key] = each
    found.setdefault((RATIO, "batch"), Requirement(RATIO, "batch", None, None))
    for each in sorted(found.values(), key=lambda each: _VESSELS[each.vessel]):
        before = value_of(proposal.before.prediction, *each.key)
        after = value_of(proposal.after.prediction, *each.key)
        figure = figure_of(proposal.after.prediction, *each.key)
        if before is not None or after is not None:
            yield FigureRow(
                each.title,
                each.quantity,
                each.vessel,
                each.unit,
                before,
                after,
                None if figure is None else figure.sd,
                each.low,
                each.high,
                _is_slight(each, proposal.before.prediction),
                _is_slight(each, proposal.after.prediction),
            )


def _is_slight(each: Requirement, prediction: Prediction) -> bool:
    """Whether a ratio does not count for the little chloride and sulfate that there is."""
    pair = ((ion, each.vessel) for ion in ION_PAIR)
    ions = {key: value_of(prediction, *key) or 0.0 for key in pair}
    return each.quantity == RATIO and not is_missed(each, ions)
