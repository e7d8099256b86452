"""The mash's pH from a recipe's grist, its mash water and what was added to both."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache
from math import log10, sqrt

from waterlint.catalog.catalog import Catalog
from waterlint.catalog.malts import MaltKind
from waterlint.chemistry.acids import protons_given
from waterlint.chemistry.ions import CALCIUM_CARBONATE_EQUIVALENT, IONS
from waterlint.chemistry.malts import MaltTerm, malt_term
from waterlint.chemistry.mash import MashInputs, MashResult, Sensitivities, mash_ph
from waterlint.chemistry.mash_uncertainty import (
    MODEL_SD,
    REFERENCE_TEMPERATURE,
    VALIDATED,
    MashUncertainty,
    mash_ph_sd,
    outside_validation,
)
from waterlint.hints import Final
from waterlint.model.recipe import Malt, Recipe
from waterlint.prediction.contents import Contents, DosePart
from waterlint.prediction.mixture import Mixture, mix_some
from waterlint.prediction.result import Figure, Gap, MashFigures
from waterlint.prediction.rows import (
    ALKALINITY,
    CARBON,
    INDEX,
    Weights,
)

THICKNESS_LIMITS: Final = (1.5, 12.0)
"""Water to grist between which a pH is predicted [L/kg]; common practice: below no mash can be
stirred, above it is hardly one."""

THICKNESS_KNOWN: Final = 8.0
"""Up to which measurements reach [L/kg]: mashes from 2 to 5, titrations at 8; Troester 2009."""

THINNING_SD: Final = 0.1
"""Spread of how the grist's own pH rises with thickness [pH per decade], where that is thinner or
thicker than the measured mashes: Troester 2009 and Kolbach and Esser give 0.22 to 0.41."""

EXTRAPOLATED: Final = 2.0
"""Factor on the model's own error beyond the measured mashes [-]; common practice."""

#: What is told when it lies beyond the measured mashes; thickness has a limit of its own.
_NAMES: Final[Mapping[str, str]] = {
    "alkalinity": "the alkalinity",
    "calcium": "the calcium",
    "magnesium": "the magnesium",
    "ph": "the pH",
}

_CALCIUM: Final = IONS["calcium"].equivalent_weight
_MAGNESIUM: Final = IONS["magnesium"].equivalent_weight


NO_PH: Final = "acids and alkalis leave no pH that a mash can have"
"""Why there is no figure where the balance of protons closes at no pH."""


def predict_mash(
    recipe: Recipe, vessels: Mapping[str, Contents], catalog: Catalog
) -> tuple[MashFigures, Gap | None]:
    """The mash's figures, and what stands in the way of its pH or widens it.

    Parameters
    ----------
    recipe : Recipe
        With mash water.
    vessels : mapping of str to Contents
        By name; without ``mash`` where the mash water or its doses are not known.
    catalog : Catalog

    Returns
    -------
    tuple of MashFigures, Gap or None
        With a gap there is no pH, or one with a wider interval, as the gap says.

    Notes
    -----
    Acids are balanced by the protons they give at the mash's pH, not through the water's
    alkalinity; lime counts wholly, undissolved chalk by its credit. Late malt, sugar and
    extract take no part.
    """
    inside: list[MaltTerm] = []
    base = False
    for malt in recipe.grist:
        if malt.late or not malt.mass.value > 0.0:
            continue
        kind = catalog.malts.get(malt.kind)
        if kind is None:
            reason = f"the house's kind of malt {malt.kind!r} has an error of its own"
            return MashFigures(None, None), Gap("mash_ph", reason, malt.pointer)
        try:
            term = term_of(malt, kind)
        except ValueError as problem:
            return MashFigures(None, None), Gap("mash_ph", str(problem), malt.pointer)
        if term is not None:
            inside.append(term)
            base = base or kind.base or kind.like == "unmalted"
    if not inside:
        return MashFigures(None, None), Gap("mash_ph", "there is no malt in the mash", "/grist")
    thickness = recipe.vessels["mash"].volume.value / sum([term.mass for term in inside])
    bare = MashFigures(None, thickness)
    if "mash" not in vessels:
        return bare, None
    if not base:
        return bare, Gap("mash_ph", "the mash holds no base malt", "/grist")
    low, high = THICKNESS_LIMITS
    if not low <= thickness <= high:
        return bare, Gap(
            "mash_ph",
            f"{thickness:.3g} L/kg is outside {low:g} to {high:g} L/kg, where mashes are known",
            "/water/mash/volume",
        )
    return _figures(recipe, vessels, tuple(inside))


@lru_cache(maxsize=1024)
def _term(
    kind: str,
    mass: float,
    color: float | None,
    di_ph: float | None,
    acidity: float | None,
    buffer: float | None,
    di_ph_sd: float,
    acidity_sd: float,
) -> MaltTerm | None:
    """`malt_term`, kept: a collection of recipes weighs the same malts over and over."""
    return malt_term(
        kind,
        mass,
        color=color,
        di_ph=di_ph,
        acidity=acidity,
        buffer=buffer,
        di_ph_sd=di_ph_sd,
        acidity_sd=acidity_sd,
    )


def term_of(malt: Malt, kind: MaltKind) -> MaltTerm | None:
    """A malt as the balance wants it: the recipe's figures before the house's.

    Parameters
    ----------
    malt : Malt
        With a mass above 0.
    kind : MaltKind

    Raises
    ------
    ValueError
        If its figures make no term.
    """
    color, di_ph, acidity, buffer = malt.color, malt.di_ph, malt.acidity, malt.buffer
    # An acidity that the recipe states is not overruled by the house's distilled-water pH.
    house_di_ph = kind.di_ph if acidity is None else None
    return _term(
        kind.like,
        malt.mass.value / 1000.0,
        kind.color_ebc if color is None else color.value,
        house_di_ph if di_ph is None else di_ph.value,
        kind.acidity if acidity is None else acidity.value,
        kind.buffer if buffer is None else buffer.value,
        (kind.di_ph_sd or 0.0) if di_ph is None else di_ph.sd or 0.0,
        0.0 if acidity is None else acidity.sd or 0.0,
    )


def _figures(
    recipe: Recipe, vessels: Mapping[str, Contents], terms: tuple[MaltTerm, ...]
) -> tuple[MashFigures, Gap | None]:
    inputs, water = mash_inputs(recipe, vessels["mash"], terms)
    result = mash_ph(inputs)
    if not result.converged:
        return (
            MashFigures(None, result.thickness),
            Gap("mash_ph", NO_PH, "/additions"),
        )
    uncertainty = mash_ph_sd(inputs, result, decoctions=recipe.mash.decoctions)
    beyond, widening = _beyond(inputs, result)
    parts = _parts(uncertainty, _variances(vessels, water, result) | widening)
    variance = sum(parts.values())
    return (
        MashFigures(
            ph=Figure(result.ph, sqrt(variance)),
            thickness_l_per_kg=result.thickness,
            reference_temperature_c=REFERENCE_TEMPERATURE,
            parts={name: part / variance for name, part in parts.items() if part},
            balance=result.balance,
        ),
        beyond,
    )


def mash_inputs(
    recipe: Recipe, mash: Contents, terms: tuple[MaltTerm, ...]
) -> tuple[MashInputs, Mixture]:
    """What decides a mash's pH, and the mash water without its acids and undissolved chalk.

    Parameters
    ----------
    recipe : Recipe
    mash : Contents
        Of the mash tun.
    terms : tuple of MaltTerm
        What is in it from the start.
    """
    # Acids and undissolved chalk stand in the balance by themselves.
    rest = [d for d in mash.doses if not d.is_balanced_apart]
    # How volumes move the pH is reckoned apart, from its slopes.
    water = mix_some(mash, rest)
    gap = recipe.mash.mill_gap
    return _inputs(mash, water, terms, None if gap is None else gap.value), water


def _inputs(
    mash: Contents, water: Mixture, terms: tuple[MaltTerm, ...], mill_gap: float | None
) -> MashInputs:
    """What decides the pH: `water` is the mash water without acids and undissolved chalk."""
    alkalinity, carbon = water.row[INDEX[ALKALINITY]], water.row[INDEX[CARBON]]
    chalk = sum([d.amount * d.compound.molar_mass for d in mash.doses if d.undissolved])
    return MashInputs(
        malts=terms,
        volume=mash.volume,
        alkalinity=alkalinity,
        calcium=water.row[INDEX["calcium"]] / _CALCIUM,
        magnesium=water.row[INDEX["magnesium"]] / _MAGNESIUM,
        # Told only where it is short of the alkalinity, as lime makes it: the credit of chalk was
        # found with all alkalinity taken as bicarbonate.
        carbon=None if carbon >= alkalinity else max(0.0, carbon),
        acids=_per_liter([d for d in mash.doses if d.compound.kind == "acid"], mash.volume),
        undissolved_chalk=chalk / mash.volume,
        mill_gap=mill_gap,
    )


def _per_liter(acids: Sequence[DosePart], volume: float) -> dict[str, float]:
    """Acids by name [mmol/L]."""
    found: dict[str, float] = {}
    for dose in acids:
        name = dose.compound.substance
        found[name] = found.get(name, 0.0) + dose.amount / volume
    return found


def _variances(
    vessels: Mapping[str, Contents], water: Mixture, result: MashResult
) -> dict[str, float]:
    """What waters, weighing and volumes bring to the variance of the pH."""
    mash, slopes = vessels["mash"], result.sensitivities
    weights: Weights = (
        (INDEX[ALKALINITY], slopes.alkalinity),
        (INDEX["calcium"], slopes.calcium / _CALCIUM),
        (INDEX["magnesium"], slopes.magnesium / _MAGNESIUM),
        (INDEX[CARBON], slopes.carbon),
    )
    variances = water.variances(weights)
    own = liquor = 0.0
    for dose in mash.doses:
        moved = _moved(dose, slopes, weights) / mash.volume
        if dose.is_balanced_apart:
            variances["weighing"] += (moved * dose.weighing_sd) ** 2
        if dose.place == "liquor":
            liquor += moved
        else:
            own += moved
    variances["volume"] = 0.0
    for vessel in vessels.values():
        # More water thins its own doses, and those of the liquor in every vessel alike; more of
        # it in the mash is more of the same mash water.
        per_liter = -liquor / vessel.liquor_volume if vessel.liquor_volume else 0.0
        if vessel is mash:
            per_liter += slopes.volume - own / mash.volume
        variances["volume"] += (per_liter * vessel.volume_sd) ** 2
    return variances


def _moved(dose: DosePart, slopes: Sensitivities, weights: Weights) -> float:
    """What a dose does to the pH, to first order, times the volume it is in [pH L]."""
    if dose.compound.kind == "acid":
        return slopes.acids[dose.compound.substance] * dose.amount
    if dose.undissolved:
        alkalinity = dose.unit.get(INDEX[ALKALINITY], 0.0) * dose.units
        return slopes.chalk * (alkalinity * CALCIUM_CARBONATE_EQUIVALENT)
    moved = 0.0
    for place, slope in weights:
        if place in dose.unit:
            moved += dose.unit[place] * dose.units * slope
    return moved


def _beyond(inputs: MashInputs, result: MashResult) -> tuple[Gap | None, dict[str, float]]:
    """Where no measured mash stands behind the model: what to say, and what it adds [pH2]."""
    # Alkalinity that an acid takes up is as good as absent.
    net = inputs.alkalinity - sum(
        [amount * protons_given(name, result.ph) for name, amount in inputs.acids.items()]
    )
    outside = outside_validation(inputs, result, alkalinity=net)
    added = {"model": 0.0}
    if "thickness" in outside:
        low, high = VALIDATED["thickness"]
        distance = log10(max(result.thickness / high, low / result.thickness))
        added["model"] += (THINNING_SD * distance) ** 2
    told = [_NAMES[name] for name in outside if name in _NAMES]
    if result.thickness > THICKNESS_KNOWN:
        told.insert(0, "the thickness")
    if not told:
        return None, added
    added["model"] += (EXTRAPOLATED**2 - 1.0) * MODEL_SD**2
    words = " and ".join([", ".join(told[:-1]), told[-1]] if told[1:] else told)
    reason = (
        f"{words} of the mash {'is' if len(told) == 1 else 'are'} beyond the mashes "
        "that the model was tested on, so its interval is widened"
    )
    return Gap("mash_ph", reason, "/water/mash"), added


def _parts(uncertainty: MashUncertainty, variances: Mapping[str, float]) -> dict[str, float]:
    """The variance by the kind of input."""
    parts = {name: sd * sd for name, sd in uncertainty.parts.items() if name != "inputs"}
    for name, variance in variances.items():
        parts[name] = parts.get(name, 0.0) + variance
    return parts
