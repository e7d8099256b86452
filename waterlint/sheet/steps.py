"""The steps of a brew day as far as water and weighing go: vessels in the order of their use."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from waterlint.catalog.additives import Additive
from waterlint.catalog.catalog import Catalog
from waterlint.hints import Final
from waterlint.model.recipe import Recipe, Vessel
from waterlint.output.sheet import Line, Step
from waterlint.prediction.doses import LIQUOR_VESSELS
from waterlint.prediction.result import Prediction
from waterlint.records import Record, replace
from waterlint.rules.registry import UsedWater
from waterlint.sheet.amounts import degrees, portion_text, shown, significant
from waterlint.sheet.mash import mash_gaps
from waterlint.sheet.scaling import Portion

#: What goes into a water first: sulfite before any acid, acid when the rest is dissolved.
_ORDER: Final = {"sulfite": 0, "salt": 1, "alkali": 2, "acid": 3}

#: Salts that belong into the mash itself, not into its water, by their name in chemistry.
_AFTER_DOUGHING_IN: Final = frozenset({"calcium_carbonate", "calcium_hydroxide"})

_GYPSUM: Final = (
    "Gypsum dissolves slowly, and more in cold water than in hot: stir until it is gone."
)

_TITLES: Final[Mapping[str, str]] = {
    "liquor": "Brewing water, before the split",
    "mash-water": "Mash water, before the grain",
    "mash": "Mash",
    "sparge": "Sparge water",
    "kettle": "Kettle, before the boil",
    "fermenter": "Fermenter",
}


class Brew(Record):
    """What the steps are made of: a recipe as it will be brewed, and what is known of it."""

    recipe: Recipe
    catalog: Catalog
    waters: Mapping[str, UsedWater]
    measured: tuple[Portion, ...]
    prediction: Prediction


def steps(brew: Brew) -> tuple[Step, ...]:
    """Every step that has something to weigh, to fill or to mind."""
    by_place: dict[str, list[Portion]] = {}
    for portion in brew.measured:
        if not portion.exact > 0.0:
            continue  # the recipe says: none
        by_place.setdefault(_place(portion, brew.catalog), []).append(portion)
    found = [_grist(brew), _liquor(brew, by_place.get("liquor", []))]
    for place in ("mash-water", "mash", "sparge", "kettle", "fermenter"):
        found.append(_step(brew, place, by_place.get(place, [])))
    return tuple(_said_once([step for step in found if step is not None]))


def _said_once(found: Iterable[Step]) -> Iterator[Step]:
    """What is no matter of safety is told at the first vessel alone."""
    told: set[str] = set()
    for step in found:
        kept = tuple(each for each in step.remarks if each != _GYPSUM or each not in told)
        told.update(kept)
        yield replace(step, remarks=kept)


def _place(portion: Portion, catalog: Catalog) -> str:
    """Where a portion stands on the sheet: doses of the mash go into its water where they can."""
    if portion.dose.place != "mash":
        return portion.dose.place
    return "mash" if _waits_for_grain(portion, catalog) else "mash-water"


def _waits_for_grain(portion: Portion, catalog: Catalog) -> bool:
    addition = portion.addition
    form = None if addition.dissolved else _form(catalog, addition.name, addition.form)
    return form in _AFTER_DOUGHING_IN


def _form(catalog: Catalog, name: str, form: str | None) -> str | None:
    additive = catalog.additives.get(name)
    found = None if additive is None else additive.form(form)
    return None if found is None else found.salt


def _grist(brew: Brew) -> Step | None:
    if not brew.recipe.grist:
        return None
    lines = tuple(
        Line(
            amount=shown("mass", malt.mass),
            name=malt.name,
            note="late: joins when the mash is done" if malt.late else "",
            value=malt.mass.value,
            unit="g",
            exact=malt.mass.value,
            pointer=malt.pointer,
        )
        for malt in brew.recipe.grist
    )
    gap = brew.recipe.mash.mill_gap
    remarks = () if gap is None else (f"Mill gap {significant(gap.value)} mm.",)
    return Step("grist", "Grist", "", (), lines, remarks)


def _liquor(brew: Brew, doses: list[Portion]) -> Step | None:
    if not doses:
        return None
    vessels = [brew.recipe.vessels[name] for name in LIQUOR_VESSELS if name in brew.recipe.vessels]
    first = vessels[0].volume
    together = replace(first, value=sum(vessel.volume.value for vessel in vessels))
    return Step(
        "liquor",
        _TITLES["liquor"],
        shown("volume", together),
        (),
        _lines(brew.catalog, doses),
        tuple(_mixing(brew.catalog, "liquor", doses)),
    )


def _step(brew: Brew, place: str, doses: list[Portion]) -> Step | None:
    vessel = brew.recipe.vessels.get("mash" if place == "mash-water" else place)
    remarks = list(_mixing(brew.catalog, place, doses))
    aim = ""
    waters: tuple[str, ...] = ()
    if place == "mash":
        if vessel is None:
            return None
        temperature = brew.recipe.mash.temperature
        aim = "" if temperature is None else f"at {degrees(temperature)}"
        remarks += mash_gaps(brew.prediction)
    elif vessel is not None:
        aim, waters = shown("volume", vessel.volume), tuple(_waters(vessel, brew.waters))
    elif not doses:
        return None
    return Step(place, _TITLES[place], aim, waters, _lines(brew.catalog, doses), tuple(remarks))


def _waters(vessel: Vessel, waters: Mapping[str, UsedWater]) -> Iterator[str]:
    """What to fill: each water with its volume where there are several, and its treatment."""
    for share in vessel.shares:
        used = waters.get(share.water)
        name = share.water if used is None or used.report is None else used.report.name
        amount = shown("volume", vessel.volume, share.share) if len(vessel.shares) > 1 else ""
        yield " ".join(
            [*([amount] if amount else []), ", ".join([name or share.water, *vessel.treatments])]
        )


def _lines(catalog: Catalog, doses: Iterable[Portion]) -> tuple[Line, ...]:
    ordered = sorted(doses, key=lambda portion: _ORDER[_role(catalog, portion.addition.name)])
    return tuple(
        Line(
            amount=portion_text(portion),
            name=_name(portion, catalog.additives.get(portion.addition.name)),
            note=_note(portion),
            value=float(portion.amount),
            unit=portion.unit,
            exact=portion.exact,
            pointer=portion.dose.pointer,
        )
        for portion in ordered
    )


def _role(catalog: Catalog, name: str) -> str:
    additive = catalog.additives.get(name)
    return "salt" if additive is None else additive.role


def _name(portion: Portion, additive: Additive | None) -> str:
    """The additive with all that its label must say."""
    addition = portion.addition
    words = [addition.name.replace("-", " ") if additive is None else additive.title]
    several = additive is not None and len(additive.forms) > 1
    if addition.form is not None and several:
        words.append(addition.form)
    strength = None if additive is None else additive.default_strength
    if addition.strength is not None:
        strength = addition.strength.value
    named = ", ".join(words)
    return named if strength is None else f"{named} {significant(strength)} %"


def _note(portion: Portion) -> str:
    if not portion.amount:
        exact = f"{significant(portion.exact)} {portion.unit}"
        return f"the recipe asks for {exact}, less than the scale shows"
    if portion.milliliters is not None:
        return f"or {portion.milliliters.normalize():f} mL, which is coarser"
    if portion.exact and abs(float(portion.amount) / portion.exact - 1.0) >= 0.05:
        return f"the recipe asks for {significant(portion.exact)} {portion.unit}"
    return ""


def _mixing(catalog: Catalog, place: str, doses: Iterable[Portion]) -> Iterator[str]:
    """What to know of the order in which things are stirred in at a place."""
    used = {portion.addition.name: portion.addition for portion in doses}
    roles = {_role(catalog, name) for name in used}
    salts = {_form(catalog, name, each.form) for name, each in used.items() if not each.dissolved}
    if "sulfite" in roles:
        yield "Sulfite first, stirred in well, before any acid is opened: acid sets its gas free."
    if "gypsum" in salts:
        yield _GYPSUM
    if "calcium_carbonate" in salts:
        how = ": stir it into the mash. The" if place == "mash" else "; the"
        yield f"Chalk does not dissolve in water{how} figures count half of it."
    if "calcium_hydroxide" in salts and place == "mash":
        yield "Lime after doughing in: half of it, stir, wait, measure, and only then the rest."
    if "acid" in roles:
        yield "Acid last: slowly into the water, never water into acid, and stir."
