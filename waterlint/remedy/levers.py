"""What a proposal may turn: each additive in each place, in steps of the scale."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal
from math import ceil, floor

from waterlint.catalog.additives import Additive
from waterlint.catalog.limits import BELOW_SCALE
from waterlint.model.recipe import Addition, Dose, Recipe, Share, Vessel
from waterlint.prediction.compounds import Compound, find_compound
from waterlint.prediction.rows import ALKALINITY, INDEX
from waterlint.project.config import StockItem
from waterlint.records import dataclass, replace
from waterlint.remedy.situation import Situation
from waterlint.remedy.wishes import Wishes
from waterlint.rules.analyses import is_on
from waterlint.rules.doses import volume_of
from waterlint.units import Quantity

#: The most of a salt that is proposed [g/L of its vessel], half of what is called implausible;
#: common practice: no ion's range leaves room for more.
_MOST_SALT = 1.5

#: The most of an acid or alkali that is proposed [mEq/L of its vessel]; waters of more than
#: 10 mEq/L of alkalinity are not brewed with, common practice.
_MOST_ALKALINITY = 10.0

#: The least of a new dose [g/L]: less changes no ion by much more than 1 mg/L, which is called
#: negligible.
_LEAST_SALT = 0.004

#: The longest ladder of steps that is searched; above it steps are ten times as large, since a
#: brewhouse does not weigh 20 kg to 0.1 g.
_MOST_STEPS = 3000

#: A share of soft water is proposed in steps of this size [-].
BLEND_STEP = 0.05

#: Waters that stand in for dilution, the one that the recipe uses already first.
SOFT_WATERS = ("reverse-osmosis", "distilled")


@dataclass(frozen=True, slots=True)
class Lever:
    """One additive in one place, or the share of a soft water in one vessel.

    Attributes
    ----------
    name, place : str
        An additive, or a soft water, and where it goes.
    kind : {'salt', 'alkali', 'acid', 'water'}
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
        if kept.name == lever.name and kept.amount is None and kept.place in ("", lever.place):
            return None
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
    if additive is None or isinstance(compound, str) or _is_behind_alias(situation, line):
        return
    if compound.kind == "sulfite":
        # Its dose follows from the chlorine; `sulfite-dose` names it.
        return
    doses: dict[str, Dose] = {dose.place: dose for dose in addition.doses}
    places: list[str] = list(doses)
    if new_places and compound.kind in ("salt", "acid"):
        places += [place for place in _new_places(situation.recipe, additive) if place not in doses]
    for place in places:
        lever = _lever(situation, addition, line, additive, compound, place, doses.get(place))
        if lever is not None:
            yield lever


def _is_behind_alias(situation: Situation, line: int | None) -> bool:
    node = situation.document.find("/additions" if line is None else f"/additions/{line}")
    return node is not None and node.use is not None


def _new_places(recipe: Recipe, additive: Additive) -> list[str]:
    """Where a dose of it can be new: an alkali serves the mash alone, an acid no kettle."""
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
    unit, start = ("mL" if compound.liquid and compound.density else "g"), 0.0
    if dose is not None:
        unit, _, rate = dose.amount.unit.partition("/")
        start = dose.amount.value * (_rate_volume(recipe, place) if rate else 1.0)
    scale = Decimal(str(settings.scale.mass_g if unit == "g" else settings.scale.volume_ml))
    most = _most(additive, compound, unit, volume, place)
    if dose is not None and _only_less(additive, compound, place):
        most = 0.0
    most = max(most, start)
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
        _least(situation, scale, step, unit, volume),
        max(floor(most / float(step)), ceil(steps)),
    )


def _rate_volume(recipe: Recipe, place: str) -> float:
    if place == "fermenter":
        vessel = recipe.vessels.get(place)
        return 0.0 if vessel is None else vessel.volume.value
    return volume_of(recipe, place)


def _only_less(additive: Additive, compound: Compound, place: str) -> bool:
    """Chalk is never proposed, nor an alkali after the mash; less of them is."""
    late = additive.role == "alkali" and place in ("sparge", "kettle", "fermenter")
    return compound.kind == "chalk" or late


def _least(situation: Situation, scale: Decimal, step: Decimal, unit: str, volume: float) -> int:
    least = _LEAST_SALT * volume if unit == "g" else 0.0
    if is_on(situation.case, "below-scale"):
        least = max(least, BELOW_SCALE.floor * float(scale))
    return max(1, ceil(least / float(step) - 1e-9))


def _most(additive: Additive, compound: Compound, unit: str, volume: float, place: str) -> float:
    """[g or mL]"""
    grams_per_unit = (compound.density or 1.0) if unit == "mL" else 1.0
    per_unit = 1000.0 * grams_per_unit * compound.strength / compound.molar_mass
    strength = abs(per_unit * compound.per_millimole[INDEX[ALKALINITY]])
    if strength > 0.0:
        most = _MOST_ALKALINITY * volume / strength
    else:
        most = _MOST_SALT * volume / grams_per_unit
    hot = additive.solubility_hot_g_per_l if place in ("mash", "kettle") else None
    dissolves = hot if hot is not None else additive.solubility_g_per_l
    return most if dissolves is None else min(most, 0.98 * dissolves * volume)


def blend_levers(situation: Situation) -> list[Lever]:
    """The share of soft water in each vessel whose water is one alone, or that and a soft one."""
    recipe = situation.recipe
    used = [share.water for share in recipe.references]
    soft = next((water for water in used if water in SOFT_WATERS), SOFT_WATERS[0])
    found: list[Lever] = []
    for name, vessel in recipe.vessels.items():
        node = situation.document.find(vessel.source_pointer)
        if node is None or node.use is not None:
            continue
        shares = {share.water: share.share for share in vessel.shares}
        others = [water for water in shares if water not in SOFT_WATERS]
        own = [water for water in shares if water in SOFT_WATERS]
        if len(others) != 1 or len(shares) != len(vessel.shares) or len(own) > 1:
            continue
        start = shares[own[0]] / BLEND_STEP if own else 0.0
        start = float(round(start)) if abs(start - round(start)) < 1e-6 else start
        empty = Addition(own[0] if own else soft, (), vessel.source_pointer)
        found.append(
            Lever(
                empty.name,
                name,
                "water",
                None,
                empty,
                "share",
                Decimal(str(BLEND_STEP)),
                start,
                1,
                round(1.0 / BLEND_STEP),
            )
        )
    return found


def recipe_with(recipe: Recipe, levers: Iterable[Lever], steps: Iterable[float]) -> Recipe:
    """The recipe with its levers at other steps."""
    lines = list(recipe.additions)
    new: dict[str, Addition] = {}
    vessels = dict(recipe.vessels)
    for lever, count in zip(levers, steps, strict=True):
        if count == lever.start:
            continue
        if lever.kind == "water":
            share = lever.amount(count)
            vessels[lever.place] = _blended(recipe, lever, share)
            continue
        amount = Quantity(lever.amount(count), lever.unit)
        if lever.line is None:
            line = new.get(lever.name, lever.addition)
            new[lever.name] = _with_dose(line, lever, amount, f"/additions/new-{lever.name}")
        else:
            line = lines[lever.line]
            lines[lever.line] = _with_dose(line, lever, amount, line.pointer)
    return replace(recipe, additions=(*lines, *new.values()), vessels=vessels)


def _with_dose(line: Addition, lever: Lever, amount: Quantity, pointer: str) -> Addition:
    others = tuple(dose for dose in line.doses if dose.place != lever.place)
    if amount.value <= 0.0:
        return replace(line, doses=others)
    dose = Dose(lever.place, amount, f"{pointer}/{lever.place}")  # type: ignore[arg-type]
    return replace(line, doses=(*others, dose), pointer=pointer)


def _blended(recipe: Recipe, lever: Lever, share: float) -> Vessel:
    vessel = recipe.vessels[lever.place]
    other = next(each for each in vessel.shares if each.water not in SOFT_WATERS)
    parts = ((other.water, 1.0 - share), (lever.name, share))
    shares = tuple(Share(water, part, vessel.source_pointer) for water, part in parts if part > 0.0)
    return replace(vessel, shares=shares)
