"""The mash on the sheet: the pH to expect, when and how to measure it."""

from __future__ import annotations

from collections.abc import Iterator

from waterlint.catalog.cautions import PREDICTION
from waterlint.chemistry.mash_uncertainty import (
    PH_PER_KELVIN,
    PH_PER_KELVIN_SD,
    REFERENCE_TEMPERATURE,
)
from waterlint.hints import Final
from waterlint.model.recipe import Recipe
from waterlint.output.sheet import MashPh
from waterlint.prediction.result import Prediction
from waterlint.rules.wording import number
from waterlint.sheet.amounts import degrees

MINUTES: Final = 15
"""After doughing in [min] that a sample is taken; common practice. The mashes that the model was
tested on were read after 10 to 25 minutes (Troester 2009)."""

ROOM: Final = 20.0
"""What a sample in a cool brewhouse is cooled to [degrees Celsius]; common practice."""

USUAL: Final = 65.0
"""Of a mash whose recipe states no temperature [degrees Celsius]; common practice."""


def mash_ph(recipe: Recipe, prediction: Prediction) -> MashPh | None:
    """The pH to expect, where it could be computed."""
    mash = prediction.mash
    if mash is None or mash.ph is None:
        return None
    target = recipe.target("mash_ph", "mash")
    return MashPh(
        mash.ph.value,
        mash.ph.low,
        mash.ph.high,
        mash.reference_temperature_c,
        "" if target is None else target.range.text,
    )


def mash_gaps(prediction: Prediction) -> Iterator[str]:
    """Why there is no mash pH, or what makes it rough."""
    known = prediction.mash is not None and prediction.mash.ph is not None
    for gap in prediction.gaps_of("mash_ph"):
        yield f"{'The pH is known only roughly' if known else 'No pH is predicted'}: {gap.reason}."


def measuring(recipe: Recipe) -> Iterator[str]:
    """How and when to take the mash's pH, in short sentences."""
    if "mash" not in recipe.vessels:
        return
    yield (
        f"When: {MINUTES} minutes after doughing in. Stir, take a sample, close the cup and cool "
        f"it to {ROOM:.0f} to {REFERENCE_TEMPERATURE:.0f} °C before the probe goes in. At "
        f"{ROOM:.0f} °C it reads {_drop(ROOM)} higher than at {REFERENCE_TEMPERATURE:.0f} °C."
    )
    stated = recipe.mash.temperature
    hot = USUAL if stated is None else stated.value
    where = f"{number(hot)} °C" if stated is None else degrees(stated)
    if hot > REFERENCE_TEMPERATURE + 5.0:
        yield (
            f"Hot, at {where}, the same mash reads about {_drop(hot)} ± {_drop_sd(hot)} "
            "lower (Palmer and Kaminski, as cited by Hosom 2018; other sources differ by a factor "
            "of three), so cool it."
        )
    yield PREDICTION


def _drop(temperature: float) -> str:
    return f"{PH_PER_KELVIN * abs(temperature - REFERENCE_TEMPERATURE):.2f}"


def _drop_sd(temperature: float) -> str:
    return f"{PH_PER_KELVIN_SD * abs(temperature - REFERENCE_TEMPERATURE):.2f}"
