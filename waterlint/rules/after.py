"""What was measured on brew day against what was predicted."""

from __future__ import annotations

from collections.abc import Iterator
from math import hypot

from waterlint.catalog import limits
from waterlint.chemistry.mash_uncertainty import REFERENCE_TEMPERATURE, at_reference_temperature
from waterlint.finding import Finding
from waterlint.rules.registry import Case, rule
from waterlint.rules.samples import recipe_example
from waterlint.rules.wording import number

_POINTER = "/measured/mash_ph/value"


@rule(
    "measured-ph-disagrees",
    subject="recipe",
    needs=("measured pH",),
    levels=("warning",),
    group="After brew day",
    what=(
        "A measured mash pH against the predicted one. The reading is brought to 25 °C first, "
        "and the spreads of the prediction, of the reading and of that correction are added up. "
        "A reading without its temperature is not judged."
    ),
    why=(
        "Either the recipe says something other than what was brewed (water, malt, doses, "
        "volumes), or the meter is off, or the lot of malt is unusual. Each is worth knowing "
        "before the next batch."
    ),
    limits=(limits.MEASURED_PH.line,),
    configure=(
        "State what is known of the malt (`di_ph`, `acidity`) and the mill; "
        "`levels: {measured-ph-disagrees: note}`, or `off`."
    ),
    failing=recipe_example("measured: {mash_ph: {value: 6.15, temperature: 20 °C}}"),
    passing=recipe_example("measured: {mash_ph: {value: 5.6, temperature: 20 °C}}"),
)
def measured_ph_disagrees(case: Case) -> Iterator[Finding]:
    """A reading that the prediction's spread does not explain."""
    assert case.recipe is not None
    measured = case.recipe.measured_ph
    mash = None if case.prediction is None else case.prediction.mash
    if measured is None or measured.temperature is None or mash is None or mash.ph is None:
        return
    reading = measured.value.value
    temperature = measured.temperature.value
    cooled, correction_sd = at_reference_temperature(reading, temperature)
    sd = hypot(mash.ph.sd, measured.value.sd or 0.0, correction_sd)
    limit = limits.MEASURED_PH
    allowed = limit.ceiling * sd
    # A hair's breadth for the arithmetic: exactly at the limit is within it.
    if abs(cooled - mash.ph.value) <= allowed + 1e-9:
        return
    low, high = mash.ph.value - allowed, mash.ph.value + allowed
    at_25 = "" if _is_reference(temperature) else f" ({number(cooled)} at 25 °C)"
    yield case.finding(
        "measured-ph-disagrees",
        "warning",
        _POINTER,
        f"mash pH was measured as {number(reading)} at {number(temperature)} °C{at_25}, while "
        f"{number(mash.ph.value)} ± {number(sd, 2)} is predicted: the difference of "
        f"{number(abs(cooled - mash.ph.value), 2)} is more than {number(limit.ceiling)} times "
        "that spread",
        help=(
            "Calibrate the meter and compare water, doses and volumes with what was brewed. If "
            "they hold, the malt is unusual: mash a sample in distilled water and state its "
            "`di_ph`."
        ),
        basis=limit.basis,
        quantity="mash_ph",
        vessel="mash",
        value=cooled,
        low=low,
        high=high,
        unit="",
    )


def _is_reference(temperature: float) -> bool:
    return abs(temperature - REFERENCE_TEMPERATURE) < 0.5


@rule(
    "measured-ph-temperature",
    subject="recipe",
    needs=("measured pH",),
    levels=("note",),
    group="After brew day",
    what="A measured mash pH without the temperature of its sample.",
    why=(
        "The same mash reads a quarter of a unit lower hot than cooled, also on a meter that "
        "compensates: that corrects the electrode, not the mash. Without the temperature the "
        "reading compares with nothing."
    ),
    limits=("always — the drop from room to mash temperature is 0.1 to 0.35, by book",),
    configure="`levels: {measured-ph-temperature: off}`.",
    failing=recipe_example("measured: {mash_ph: {value: 5.5}}"),
    passing=recipe_example("measured: {mash_ph: {value: 5.6, temperature: 20 °C}}"),
)
def measured_ph_temperature(case: Case) -> Iterator[Finding]:
    """A reading without its temperature."""
    assert case.recipe is not None
    measured = case.recipe.measured_ph
    if measured is None or measured.temperature is not None:
        return
    yield case.finding(
        "measured-ph-temperature",
        "note",
        _POINTER,
        f"mash pH {number(measured.value.value)} was measured at a temperature that is not "
        "stated, so it cannot be compared with the prediction at 25 °C",
        help="Add `temperature`, that of the sample in the meter's beaker and not of the mash.",
        basis="a mash's pH falls as it warms; Palmer and Kaminski, as cited by Hosom 2018",
        quantity="mash_ph",
        vessel="mash",
        value=measured.value.value,
    )
