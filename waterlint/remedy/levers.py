"""What a proposal may turn: each additive in each place, in steps of the scale."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal
from math import ceil, floor, inf

from waterlint.catalog.additives import Additive
from waterlint.model.recipe import VESSELS, Addition, Dose, Recipe
from waterlint.prediction.compounds import Compound, find_compound
from waterlint.project.config import StockItem
from waterlint.records import Record, replace
from waterlint.remedy.anchors import is_tied
from waterlint.remedy.reach import least_steps, most_amount, only_less
from waterlint.remedy.situation import Situation
from waterlint.remedy.wishes import Wishes
from waterlint.rules.doses import volume_of
from waterlint.units import Quantity

#: The longest ladder of steps that is searched; above it steps are ten times as large, since a
#: brewhouse does not weigh 20 kg to 0.1 g.
_MOST_STEPS = 3000


class Lever(Record):
    """One additive in one place, or the share of a soft water in one vessel.

    Attributes
    ----------
    name, place : str
        An additive, or a soft water, and where it goes.
    kind : {'salt', 'alkali', 'acid', 'sulfite', 'water'}
    line : int or None
        Its line of the recipe's additions; `None` for one that is not there yet.
    addition : Addition
        With form and strength, and without doses; for a water an empty one.
    unit : str
        ``g``, ``mL``, or ``share``.
    step : Decimal
        Of the scale, or a multiple of it [unit].
    start : float
        How many steps the recipe has; fractional where it is off the grid.
    least, most : int
        Steps: none, or from `least` to `most`.
    usual : float
        Steps that would be proposed at most, were they not there already.
    """

    name: str
    place: str
    kind: str
    line: int | None
    addition: Addition
    unit: str
    step: Decimal
    start: float
    least: int
    most: int
    usual: float = inf

    def amount(self, steps: float) -> float:
        """[unit]"""
        return float(self.step) * steps

    @property
    def on_grid(self) -> bool:
        """Whether the recipe's amount is a whole number of steps."""
        return abs(self.start - round(self.start)) < 1e-6


Steps = tuple[float, ...]


def start_of(levers: Sequence[Lever]) -> Steps:
    """The steps as the recipe has them."""
    return tuple(lever.start for lever in levers)


def dose_levers(situation: Situation, wishes: Wishes) -> list[Lever]:
    """The doses that may change: what the recipe has, and what is in stock."""
    recipe = situation.recipe
    found: list[Lever] = []
    for index, addition in enumerate(recipe.additions):
        first = all(each.name != addition.name for each in recipe.additions[:index])
        found += _levers_of(situation, addition, index, new_places=first)
    names = {addition.name for addition in recipe.additions}
    for item in situation.case.settings.stock:
        if item.name not in names:
            found += _levers_of(situation, _stocked(item), None, new_places=True)
    return [lever for each in found if (lever := _wished(each, wishes)) is not None]


def _wished(lever: Lever, wishes: Wishes) -> Lever | None:
    """The lever as far as the wishes leave it; `None` where it must stay as it is."""
    if lever.name in wishes.without:
        return replace(lever, most=0, least=0) if lever.start > 0.0 else None
    if wishes.only is not None and lever.name not in wishes.only:
        return None
    for kept in wishes.keep:
        if kept.name != lever.name or kept.place not in ("", lever.place):
            continue
        if kept.amount is None:
            return None
        # What the brewer settles may be little.
        lever = replace(lever, least=1)
    return lever


def _stocked(item: StockItem) -> Addition:
    return Addition(
        name=item.name,
        doses=(),
        pointer="",
        form=item.form,
        strength=_quantity(item.strength, "%"),
        density=_quantity(item.density, "g/mL"),
    )


def _quantity(value: float | None, unit: str) -> Quantity | None:
    return None if value is None else Quantity(value, unit, text=f"{value:g} {unit}")


def _levers_of(
    situation: Situation, addition: Addition, line: int | None, *, new_places: bool
) -> Iterator[Lever]:
    additive = situation.case.catalog.additives.get(addition.name)
    compound = find_compound(addition, situation.case.catalog)
    where = "/additions" if line is None else f"/additions/{line}"
    if additive is None or isinstance(compound, str) or is_tied(situation.document, where):
        return
    doses: dict[str, Dose] = {dose.place: dose for dose in addition.doses}
    # What the brewer has accepted, with a reason, stays.
    accepted = {each.pointer for each in situation.report.accepted if situation.is_own(each)}
    places = [
        place
        for place in doses
        if not is_tied(situation.document, f"{where}/{place}")
        and f"{where}/{place}" not in accepted
    ]
    if new_places and compound.kind != "chalk":
        places += [place for place in _new_places(situation.recipe, additive) if place not in doses]
    for place in places:
        lever = _lever(situation, addition, line, additive, compound, place, doses.get(place))
        if lever is not None:
            yield lever


def tied_doses(situation: Situation) -> list[str]:
    """The pointers of doses that an anchor ties to others, and that therefore stay."""
    return [
        dose.pointer
        for addition in situation.recipe.additions
        for dose in addition.doses
        if is_tied(situation.document, dose.pointer)
    ]


def _new_places(recipe: Recipe, additive: Additive) -> list[str]:
    """Where a dose of it can be new: an alkali serves the mash alone, an acid no kettle."""
    if additive.role == "sulfite":
        return [place for place in VESSELS if place in recipe.vessels]
    places = [place for place in ("mash", "sparge") if place in recipe.vessels]
    if additive.role == "alkali":
        return places[:1] if places[:1] == ["mash"] else []
    if additive.role == "salt":
        places.append("kettle")
    return places


def _lever(
    situation: Situation,
    addition: Addition,
    line: int | None,
    additive: Additive,
    compound: Compound,
    place: str,
    dose: Dose | None,
) -> Lever | None:
    recipe, settings = situation.recipe, situation.case.settings
    volume = volume_of(recipe, place)
    if volume <= 0.0:
        return None
    unit, start = _start(recipe, compound, place, dose)
    scale = Decimal(str(settings.scale.mass_g if unit == "g" else settings.scale.volume_ml))
    usual = most_amount(additive, compound, volume, place)
    if dose is not None and only_less(additive, compound, place):
        usual = 0.0
    most = max(usual, start)
    step = scale
    while most / float(step) > _MOST_STEPS:
        step *= 10
    steps = start / float(step)
    # What the arithmetic of floats leaves is no distance from the grid.
    steps = float(round(steps)) if abs(steps - round(steps)) < 1e-6 else steps
    return Lever(
        addition.name,
        place,
        additive.role,
        line,
        replace(addition, doses=()),
        unit,
        step,
        steps,
        least_steps(situation, compound, scale, step, volume),
        max(floor(most / float(step)), ceil(steps)),
        floor(usual / float(step)),
    )


def _start(recipe: Recipe, compound: Compound, place: str, dose: Dose | None) -> tuple[str, float]:
    """The unit that a lever counts in, and the amount that the recipe has [that unit]."""
    if dose is None:
        return ("mL" if compound.liquid and compound.density else "g"), 0.0
    unit, _, rate = dose.amount.unit.partition("/")
    return unit, dose.amount.value * (_rate_volume(recipe, place) if rate else 1.0)


def _rate_volume(recipe: Recipe, place: str) -> float:
    if place == "fermenter":
        vessel = recipe.vessels.get(place)
        return 0.0 if vessel is None else vessel.volume.value
    return volume_of(recipe, place)
