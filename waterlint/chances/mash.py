"""The mash pH in every draw, by the same balance of protons as a single one."""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt

from waterlint.catalog.catalog import Catalog
from waterlint.chances.draws import Draws
from waterlint.chances.waters import Vessels
from waterlint.chemistry.ions import CALCIUM_CARBONATE_EQUIVALENT, IONS
from waterlint.chemistry.malts import (
    BUFFER_RELATIVE_SD,
    MASH_SCALE,
    REFERENCE_THICKNESS,
    THINNING,
    MaltTerm,
)
from waterlint.chemistry.mash import CHALK_CAP, CHALK_CREDIT, crush_factor
from waterlint.chemistry.mash_uncertainty import CARBON_DIOXIDE_KEPT_SD, CHALK_CREDIT_SD, crush_sd
from waterlint.chemistry.proton_balance import MashBalance, hardness_release, solve_many
from waterlint.hints import TYPE_CHECKING, Final
from waterlint.model.recipe import Recipe
from waterlint.prediction.contents import Contents, DosePart
from waterlint.prediction.mash import term_of
from waterlint.prediction.result import MashFigures
from waterlint.prediction.rows import ALKALINITY, CARBON, INDEX

if TYPE_CHECKING:
    from waterlint.chances.draws import Samples

_CALCIUM: Final = IONS["calcium"].equivalent_weight
_MAGNESIUM: Final = IONS["magnesium"].equivalent_weight

LEAST_CRUSH: Final = 0.3
"""No draw of the share of buffering that the crush makes available is less [-]; common practice."""

#: Kinds of the prediction's variance that add to the pH whatever the mash.
_ADDED: Final = ("model", "meter", "decoction")


def terms_of(recipe: Recipe, catalog: Catalog) -> tuple[MaltTerm, ...]:
    """What is in the mash from its start, for a recipe whose mash pH is predicted."""
    found = (
        term_of(malt, catalog.malts[malt.kind])
        for malt in recipe.grist
        if not malt.late and malt.mass.value > 0.0
    )
    return tuple(term for term in found if term is not None)


def mash_ph(
    recipe: Recipe,
    contents: Contents,
    vessels: Vessels,
    terms: Sequence[MaltTerm],
    predicted: MashFigures,
    draws: Draws,
) -> Samples:
    """The pH of the mash, as of a sample cooled to 25 degrees Celsius, shape (n,).

    Parameters
    ----------
    recipe : Recipe
    contents : Contents
        Of the mash tun.
    vessels : Vessels
    terms : sequence of MaltTerm
    predicted : MashFigures
        The prediction, for what the model and the meter add.
    draws : Draws

    Notes
    -----
    As in the prediction base malts that are known by class alone stray together, acids are
    balanced by the protons they give, and what the model leaves open is added to the pH. The
    masses of the grist are taken as weighed.
    """
    balance = _balance(recipe, contents, vessels, terms, draws)
    ph, _ = solve_many(balance)
    assert predicted.ph is not None
    variance = predicted.ph.sd**2 * sum(predicted.parts.get(kind, 0.0) for kind in _ADDED)
    if variance > 0.0:
        ph = ph + sqrt(variance) * draws.normal("model", "balance")
    return ph


def _balance(
    recipe: Recipe,
    contents: Contents,
    vessels: Vessels,
    terms: Sequence[MaltTerm],
    draws: Draws,
) -> MashBalance[Samples]:
    import numpy as np

    volume = vessels.volumes[contents.name]
    mass = sum(term.mass for term in terms)
    thickness = volume / mass
    buffer, base = _grist(recipe, terms, mass, thickness, draws)
    salts = [d for d in contents.doses if d.compound.kind != "acid" and not d.undissolved]
    water = vessels.with_doses(contents.name, salts) / volume
    chalk = _chalk(contents, vessels, volume, draws)
    plain, carbon = water[INDEX[ALKALINITY]], water[INDEX[CARBON]]
    alkalinity = plain + chalk
    # Told only where it is short of the alkalinity, as the prediction does.
    short = np.maximum(carbon, 0.0) + 0.5 * chalk
    whole = np.maximum(alkalinity, 0.0)
    counted = np.where(carbon >= plain, whole, np.minimum(whole, short))
    kept = 1.0 + CARBON_DIOXIDE_KEPT_SD * draws.normal("model", "carbon dioxide")
    return MashBalance(
        buffer,
        base / buffer,
        thickness,
        alkalinity,
        counted * np.maximum(kept, 0.0),
        hardness_release(
            water[INDEX["calcium"]] / _CALCIUM + chalk, water[INDEX["magnesium"]] / _MAGNESIUM
        ),
        _acids([d for d in contents.doses if d.compound.kind == "acid"], contents, vessels),
    )


def _grist(
    recipe: Recipe, terms: Sequence[MaltTerm], mass: float, thickness: Samples, draws: Draws
) -> tuple[Samples, Samples]:
    """Buffering [mEq/(kg pH)], and the same times the pH at which each malt rests."""
    import numpy as np

    gap = None if recipe.mash.mill_gap is None else recipe.mash.mill_gap.value
    crush = np.full(draws.samples, crush_factor(gap))
    if crush_sd(gap):
        drawn = crush + crush_sd(gap) * draws.normal("malt", "crush")
        crush = np.clip(drawn, LEAST_CRUSH, 1.0)
    rise = THINNING * np.log10(thickness / REFERENCE_THICKNESS)
    buffer, base = np.zeros(draws.samples), np.zeros(draws.samples)
    for number, term in enumerate(terms):
        by_class = term.thins and not term.measured
        strength = np.ones(draws.samples)
        if by_class:
            strength = np.maximum(
                1.0 + BUFFER_RELATIVE_SD * draws.normal("malt", "strength of base malts"), 0.1
            )
        rests = term.ph_di + (rise if term.thins else 0.0)
        if term.acidity_sd:
            z = draws.normal("malt", "base malts") if by_class else draws.normal("malt", number)
            rests = rests - term.acidity_sd * z / term.buffer
        weight = crush * MASH_SCALE / mass * term.mass * term.buffer * strength
        buffer = buffer + weight
        base = base + weight * rests
    return buffer, base


def _chalk(contents: Contents, vessels: Vessels, volume: Samples, draws: Draws) -> Samples:
    """What undissolved chalk counts for [mEq/L]."""
    import numpy as np

    doses = [dose for dose in contents.doses if dose.undissolved]
    stirred = np.zeros(draws.samples)
    for dose in doses:
        stirred += dose.amount * dose.compound.molar_mass * vessels.factor(contents.name, dose)
    if not doses:
        return stirred
    credit = CHALK_CREDIT + CHALK_CREDIT_SD * draws.normal("treatment", "chalk")
    counted = np.clip(credit, 0.0, 1.0) * np.minimum(stirred / volume, CHALK_CAP)
    equivalents: Samples = counted / CALCIUM_CARBONATE_EQUIVALENT
    return equivalents


def _acids(
    doses: Sequence[DosePart], contents: Contents, vessels: Vessels
) -> tuple[tuple[str, Samples], ...]:
    """Acids by name [mmol/L]."""
    found: dict[str, Samples] = {}
    for dose in doses:
        amount = dose.amount * vessels.factor(contents.name, dose) / vessels.volumes[contents.name]
        name = dose.compound.substance
        found[name] = found[name] + amount if name in found else amount
    return tuple(found.items())
