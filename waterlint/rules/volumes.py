"""Whether the water that goes in can become the wort that is asked for."""

from __future__ import annotations

from collections.abc import Iterator

from waterlint.catalog import limits
from waterlint.finding import Finding
from waterlint.model.recipe import Recipe
from waterlint.records import Record
from waterlint.rules import analyses
from waterlint.rules.plausibility import implausible_thickness
from waterlint.rules.registry import Case, rule
from waterlint.rules.samples import recipe_example
from waterlint.rules.wording import listed, number


class Part(Record, frozen=False):
    """What is added to or taken from the water on its way to the fermenter [L]."""

    name: str
    low: float
    high: float

    def __str__(self) -> str:
        if self.low == self.high:
            return f"{self.name} {number(self.low)} L"
        return f"{self.name} {number(self.low)} to {number(self.high)} L"


@rule(
    "volume-balance",
    subject="recipe",
    levels=("warning",),
    group="Volumes",
    what=(
        "All water that goes in, less what the grain keeps, the boil drives off and the vessels "
        "hold back, against `batch.volume`, the wort in the fermenter. What is not stated is "
        "given room; a boil of 0 min drives off nothing. Sugar and extract may add the room "
        "they take up, or not, where the fermenter is topped up to its mark. A mash that is too "
        "thick or thin to be one is told by `implausible-quantity` instead."
    ),
    why=(
        "A slip in one volume is a slip in every concentration: salts are then weighed for a "
        "water that is not there."
    ),
    limits=(
        limits.GRAIN_ABSORPTION.line,
        limits.UNSTATED_EVAPORATION.line,
        limits.UNSTATED_LOSSES.line,
        limits.DISSOLVED_VOLUME.line,
        limits.VOLUME_BALANCE.line,
    ),
    configure="State `batch.evaporation` and `batch.losses`; `levels: {volume-balance: off}`.",
    failing=recipe_example("batch: {volume: 25 L, evaporation: 3 L, losses: 1 L}"),
    passing=recipe_example(),
)
def volume_balance(case: Case) -> Iterator[Finding]:
    """A batch volume that the recipe's water cannot give."""
    recipe = case.recipe
    assert recipe is not None
    if implausible_thickness(case) is not None and analyses.speaks_for(
        case, "implausible-quantity", "warning", "volume-balance", "warning"
    ):
        return
    batch = recipe.batch.volume.value
    water = sum([vessel.volume.value for vessel in recipe.vessels.values()])
    grain, dissolving = _grist(case)
    gains, takes = _gains(dissolving), _takes(recipe, grain)
    low = water + sum([part.low for part in gains]) - sum([part.high for part in takes])
    high = water + sum([part.high for part in gains]) - sum([part.low for part in takes])
    margin = limits.VOLUME_BALANCE.ceiling / 100.0 * batch
    hair = 1e-9 * max(batch, water)
    if low - margin - hair <= batch <= high + margin + hair:
        return
    parts = [f"water {number(water)} L", *(str(part) for part in (*gains, *takes))]
    yield case.finding(
        "volume-balance",
        "warning",
        "/batch/volume",
        f"the batch is {number(batch)} L, while {listed(parts)} leave "
        f"{_range(low, high)} L; {number(limits.VOLUME_BALANCE.ceiling)} % more or less is allowed",
        help=(
            "Look for a slip in the vessels' volumes, the grist or the batch." + _unstated(recipe)
        ),
        basis=limits.VOLUME_BALANCE.basis,
        quantity="volume",
        vessel="batch",
        value=batch,
        low=max(0.0, low - margin),
        high=max(0.0, high + margin),
        unit="L",
    )


def _grist(case: Case) -> tuple[float, float]:
    """Grain that keeps water, and sugar and extract that dissolve [kg]."""
    assert case.recipe is not None
    grain = dissolving = 0.0
    for malt in case.recipe.grist:
        kind = case.catalog.malts.get(malt.kind)
        if kind is None or kind.in_mash:
            grain += malt.mass.value / 1000.0
        else:
            dissolving += malt.mass.value / 1000.0
    return grain, dissolving


def _gains(kilograms: float) -> list[Part]:
    if not kilograms:
        return []
    # From nothing on: who tops up to the mark has the water that their room leaves.
    return [Part("sugar and extract", 0.0, limits.DISSOLVED_VOLUME.ceiling * kilograms)]


def _takes(recipe: Recipe, kilograms: float) -> list[Part]:
    batch = recipe.batch
    takes: list[Part] = []
    if kilograms:
        low, high = limits.GRAIN_ABSORPTION.floor, limits.GRAIN_ABSORPTION.ceiling
        takes.append(Part("grain", low * kilograms, high * kilograms))
    if batch.evaporation is not None:
        takes.append(Part("evaporation", batch.evaporation.value, batch.evaporation.value))
    elif batch.boil is None or batch.boil.value > 0.0:
        share = limits.UNSTATED_EVAPORATION.ceiling / 100.0
        takes.append(Part("evaporation (not stated)", 0.0, share * batch.volume.value))
    if batch.losses is not None:
        takes.append(Part("losses", batch.losses.value, batch.losses.value))
    else:
        share = limits.UNSTATED_LOSSES.ceiling / 100.0
        takes.append(Part("losses (not stated)", 0.0, share * batch.volume.value))
    return takes


def _range(low: float, high: float) -> str:
    if high - low < 0.05:
        return number(high)
    return f"{number(low)} to {number(high)}"


def _unstated(recipe: Recipe) -> str:
    keys = [
        f"`{key}`"
        for key, value in (
            ("evaporation", recipe.batch.evaporation),
            ("losses", recipe.batch.losses),
        )
        if value is None
    ]
    return f" Stating {listed(keys)} under `batch` narrows it down." if keys else ""
