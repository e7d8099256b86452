"""Measured mashes: what was measured, what the model makes of it, and which malts are open."""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping
from math import hypot, sqrt

from waterlint.catalog.catalog import Catalog
from waterlint.catalog.malts import MaltKind
from waterlint.chemistry.malts import BUFFER_RELATIVE_SD, MaltTerm
from waterlint.chemistry.mash import MashInputs, MashResult, mash_ph
from waterlint.chemistry.mash_uncertainty import REFERENCE_TEMPERATURE, at_reference_temperature
from waterlint.hints import Final
from waterlint.model.recipe import Malt, Recipe
from waterlint.model.water import WaterReport
from waterlint.prediction.mash import mash_inputs, term_of
from waterlint.prediction.predict import contents_for_mash, predict
from waterlint.project.config import Scale
from waterlint.records import Record, replace

LEARNED: Final = "fit to measured mashes of the house"
"""How the basis of an entry begins that was learned: what it says is learned anew, not built on."""


class Label(Record):
    """A malt whose own pH is open.

    Attributes
    ----------
    like : str
        The built-in kind.
    name : str
        The malt's name as recipes write it, in small letters.
    kind : str
        What recipes write under `kind`: the built-in one, or the house's.
    """

    like: str
    name: str
    kind: str


class Mash(Record):
    """A measured mash.

    Attributes
    ----------
    path, document, name : str, int, str
        Of its recipe.
    ph : float
        Measured, brought to 25 degrees Celsius.
    warmer : float
        How much warmer than that the sample was [K]; how much that lowers a pH is not known well,
        and what is unknown of it is the same in all mashes.
    inputs : MashInputs
        With the defaults of the open malts.
    labels : tuple of Label or None
        Of each malt of `inputs`; `None` for one whose own figures are known.
    colors : tuple of float or None
        Of each malt [EBC].
    sd : float
        What model, meter, crush, water, weighing, the reading and the known malts leave open
        [pH]: everything but the open malts and the sample's warmth.
    """

    path: str
    document: int
    name: str
    ph: float
    warmer: float
    inputs: MashInputs
    labels: tuple[Label | None, ...]
    colors: tuple[float | None, ...]
    sd: float


class LeftOut(Record):
    """A measured mash that tells nothing, and why."""

    path: str
    name: str
    reason: str


def measured_mash(
    recipe: Recipe,
    waters: Mapping[str, WaterReport],
    catalog: Catalog,
    scale: Scale | None = None,
) -> Mash | LeftOut | None:
    """What a recipe's measured mash pH has to tell.

    Parameters
    ----------
    recipe : Recipe
    waters : mapping of str to WaterReport
    catalog : Catalog
    scale : Scale, optional

    Returns
    -------
    Mash, LeftOut or None
        `None` where no mash pH was measured.

    Notes
    -----
    A malt whose own pH or acidity the recipe or the house states is taken as it is; what was
    learned before is not, since the same mashes would count twice. A reading is brought to
    25 degrees Celsius by its sample's temperature; without that it compares with nothing.
    """
    measured = recipe.measured_ph
    if measured is None:
        return None
    if measured.temperature is None:
        return LeftOut(recipe.path, recipe.name, "its sample's temperature is not stated")
    prediction = predict(recipe, waters, catalog, scale)
    mash = prediction.mash
    vessels = contents_for_mash(recipe, waters, catalog, scale)
    if mash is None or mash.ph is None or "mash" not in vessels:
        gaps = prediction.gaps_of("mash_ph")
        reason = gaps[0].reason if gaps else "there is no mash"
        return LeftOut(recipe.path, recipe.name, f"its pH is not predicted: {reason}")
    malts = [
        _Open(malt, kind, term, _is_open(malt, kind))
        for malt in recipe.grist
        if not malt.late and malt.mass.value > 0.0
        for kind in (catalog.malts[malt.kind],)
        if (term := _term(malt, kind)) is not None
    ]
    inputs, _ = mash_inputs(recipe, vessels["mash"], tuple(each.term for each in malts))
    temperature = measured.temperature.value
    ph, _ = at_reference_temperature(measured.value.value, temperature)
    rest = sqrt(max(0.0, 1.0 - mash.parts.get("malts", 0.0))) * mash.ph.sd
    return Mash(
        path=recipe.path,
        document=recipe.document,
        name=recipe.name,
        ph=ph,
        warmer=temperature - REFERENCE_TEMPERATURE,
        inputs=inputs,
        labels=tuple(_label(each) if each.is_open else None for each in malts),
        colors=tuple(_color(each) for each in malts),
        sd=hypot(rest, measured.value.sd or 0.0, _rest_of_malts(malts, mash_ph(inputs))),
    )


class _Open(Record):
    """A malt of the mash, and whether its own pH is open."""

    malt: Malt
    kind: MaltKind
    term: MaltTerm
    is_open: bool


def _is_open(malt: Malt, kind: MaltKind) -> bool:
    """Whether neither the recipe nor the house states the malt's own figures."""
    if malt.di_ph is not None or malt.acidity is not None:
        return False
    stated = kind.di_ph is not None or kind.acidity is not None
    return not stated or kind.basis.startswith(LEARNED)


def _term(malt: Malt, kind: MaltKind) -> MaltTerm | None:
    """The malt's term; an open one's by the defaults of its kind."""
    if not _is_open(malt, kind):
        return term_of(malt, kind)
    return term_of(malt, replace(kind, di_ph=None, di_ph_sd=None, acidity=None))


def _label(each: _Open) -> Label:
    return Label(each.kind.like, known_as(each.malt.name), each.kind.name)


def known_as(name: str) -> str:
    """A malt's name as it is compared: small letters, single spaces.

    Examples
    --------
    >>> known_as("  Pale  Ale malt")
    'pale ale malt'
    """
    return " ".join(unicodedata.normalize("NFC", name).casefold().split())


def _color(each: _Open) -> float | None:
    color = each.malt.color
    return each.kind.color_ebc if color is None else color.value


def _rest_of_malts(malts: list[_Open], result: MashResult) -> float:
    """What the malts leave open that is not learned [pH]: figures of known ones, and buffering."""
    slopes = result.sensitivities
    known = strength = 0.0
    for each, acidity, buffer in zip(malts, slopes.acidities, slopes.buffers, strict=True):
        if not each.is_open:
            known = hypot(known, acidity * each.term.acidity_sd)
        elif each.term.thins:
            strength += buffer * BUFFER_RELATIVE_SD
    return hypot(known, strength)
