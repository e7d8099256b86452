"""A proposal's steps as changes of the recipe's text."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from decimal import Decimal

from waterlint.model.recipe import PLACES, VESSELS, Addition, Recipe
from waterlint.remedy.blends import shares_with
from waterlint.remedy.levers import Lever
from waterlint.remedy.situation import Situation
from waterlint.rules.wording import plain
from waterlint.source.edit import change_document
from waterlint.source.edit_data import AddItem, AddKey, Change, Remove, SetValue
from waterlint.source.nodes import Sequence as SequenceNode

#: Units that a changed dose keeps, as parts of g and mL; any other is written in g or mL, whose
#: grid it is on.
_KEPT_UNITS = {
    "mg": Decimal("0.001"),
    "kg": Decimal(1000),
    "L": Decimal(1000),
    "l": Decimal(1000),
    "ml": Decimal(1),
}

_UNIT = re.compile(r"[A-Za-z/]+$")

_ORDER = {place: number for number, place in enumerate((*PLACES, *VESSELS))}


def write_steps(situation: Situation, levers: Sequence[Lever], steps: Sequence[float]) -> str:
    """The text with the doses and shares of a proposal.

    Raises
    ------
    CannotEdit
        If the text is written in a way that leaves no place for them.
    """
    changed = [
        (lever, count) for lever, count in zip(levers, steps, strict=True) if count != lever.start
    ]
    changed.sort(key=lambda each: _ORDER[each[0].place])
    changes = list(_changes(situation, changed))
    return change_document(situation.text, situation.document.index, changes)


def _changes(situation: Situation, changed: Sequence[tuple[Lever, float]]) -> Iterator[Change]:
    recipe = situation.recipe
    new: dict[str, dict[str, str]] = {}
    gone: dict[int, list[str]] = {}
    for lever, count in changed:
        if lever.kind == "water":
            yield from _share_changes(situation, lever, count)
        elif lever.line is None:
            item = new.setdefault(lever.name, _head(lever.addition))
            item[lever.place] = amount_text(lever, count)
        elif count <= 0.0:
            gone.setdefault(lever.line, []).append(lever.place)
        else:
            yield _dose_change(recipe.additions[lever.line], lever, count)
    added = {
        (lever.line, lever.place) for lever, count in changed if count > 0.0 and lever.start <= 0.0
    }
    yield from _lines_changed(recipe, list(new.values()), gone, added)


def _lines_changed(
    recipe: Recipe,
    new: list[dict[str, str]],
    gone: dict[int, list[str]],
    added: set[tuple[int | None, str]],
) -> Iterator[Change]:
    """New lines, doses that go, and lines that are left with none; the last ones first."""
    emptied = {
        line
        for line, places in gone.items()
        if {dose.place for dose in recipe.additions[line].doses} == set(places)
        and not any(number == line for number, _ in added)
    }
    if recipe.additions:
        yield from (AddItem("/additions", item) for item in new)
    elif new and "additions" in recipe.keys:
        yield SetValue("/additions", new)
    elif new:
        yield AddKey("", "additions", new)
    if len(emptied) == len(recipe.additions) and emptied and not new:
        yield Remove("/additions")
        return
    for line in sorted(gone, reverse=True):
        if line in emptied:
            yield Remove(f"/additions/{line}")
        else:
            yield from (Remove(f"/additions/{line}/{place}") for place in gone[line])


def _head(addition: Addition) -> dict[str, str]:
    head = {"add": addition.name}
    if addition.form is not None:
        head["form"] = addition.form
    if addition.strength is not None:
        head["strength"] = addition.strength.text
    if addition.density is not None:
        head["density"] = addition.density.text
    return head


def _dose_change(addition: Addition, lever: Lever, count: float) -> Change:
    dose = next((dose for dose in addition.doses if dose.place == lever.place), None)
    if dose is None:
        return AddKey(addition.pointer, lever.place, amount_text(lever, count))
    text = amount_text(lever, count, dose.amount.text)
    return SetValue(f"{addition.pointer}/{lever.place}", text)


def amount_text(lever: Lever, count: float, unit: str = "") -> str:
    """An amount as a recipe writes it.

    Parameters
    ----------
    lever : Lever
    count : float
        Steps.
    unit : str
        That the recipe writes now, or an amount in it; kept where it is a decimal part or
        multiple.

    Examples
    --------
    >>> lever = Lever("gypsum", "mash", "salt", 0, Addition("gypsum", (), ""), "g",
    ...               Decimal("0.1"), 0.0, 2, 100)
    >>> amount_text(lever, 12), amount_text(lever, 12, "mg"), amount_text(lever, 12, "oz")
    ('1.2 g', '1200 mg', '1.2 g')
    """
    found = _UNIT.search(unit)
    kept = _KEPT_UNITS.get(found.group() if found else "")
    if kept is not None and lever.kind != "water":
        assert found is not None
        return f"{plain(_amount(lever, count) / kept)} {found.group()}"
    return plain_amount(lever, count)


def plain_amount(lever: Lever, count: float) -> str:
    """An amount in grams or millilitres; of a water in percent."""
    amount = _amount(lever, count)
    return f"{plain(amount * 100)} %" if lever.kind == "water" else f"{plain(amount)} {lever.unit}"


def _amount(lever: Lever, count: float) -> Decimal:
    return lever.step * Decimal(str(round(count, 6)))


def _share_changes(situation: Situation, lever: Lever, count: float) -> Iterator[Change]:
    """One water becomes a list; a list keeps its lines and gets other shares."""
    vessel = situation.recipe.vessels[lever.place]
    pointer = vessel.source_pointer
    shares = shares_with(vessel, lever.name, Decimal(str(round(count, 6))) * lever.step)
    texts = {water: f"{plain(part * 100)} %" for water, part in shares.items()}
    node = situation.document.find(pointer)
    if not isinstance(node, SequenceNode):
        items = [{"water": water, "share": text} for water, text in texts.items()]
        yield SetValue(pointer, items if len(items) > 1 else next(iter(texts)))
        return
    listed = [share.water for share in vessel.shares]
    for number, water in enumerate(listed):
        if water in texts:
            yield SetValue(f"{pointer}/{number}/share", texts[water])
    yield from (
        AddItem(pointer, {"water": water, "share": text})
        for water, text in texts.items()
        if water not in listed
    )
    for number, water in reversed(list(enumerate(listed))):
        if water not in texts:
            yield Remove(f"{pointer}/{number}")
