"""The figures that rules judge, in every draw."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from waterlint.chances.draws import SOURCES, Draws
from waterlint.chances.mash import mash_ph, terms_of
from waterlint.chances.waters import Vessels
from waterlint.chemistry.ions import IONS
from waterlint.hints import TYPE_CHECKING, Final
from waterlint.prediction.contents import Contents
from waterlint.prediction.figures import LEAST_SULFATE, solve
from waterlint.prediction.predict import contents_of
from waterlint.prediction.rows import (
    ALKALINITY,
    ALKALINITY_AS_CACO3,
    CARBON,
    FURTHER,
    INDEX,
    RESIDUAL_ALKALINITY_AS_CACO3,
    ROWS,
    Weights,
)
from waterlint.rules.figures import figure_of
from waterlint.rules.registry import Case

if TYPE_CHECKING:
    from waterlint.chances.draws import Samples

Key = tuple[str, str]
"""A figure by quantity and vessel, as rules name it."""

#: What can move a water's figures; malts and model move the mash pH alone.
_OF_WATER: Final = ("report", "seasons", "treatment", "weighing", "volumes")

_SUMS: Final[Mapping[str, Weights]] = {
    "alkalinity": ALKALINITY_AS_CACO3,
    "residual_alkalinity": RESIDUAL_ALKALINITY_AS_CACO3,
}

#: What moves bicarbonate, and a step of each that is small in any water [mEq, mmol, mg].
_MOVES_BICARBONATE: Final = {ALKALINITY: 1e-3, CARBON: 1e-3} | {
    ion: 1e-3 * IONS[ion].molar_mass for ion in FURTHER if ion != "ammonium"
}


def sources_of(key: Key) -> tuple[str, ...]:
    """The sources that can move a figure."""
    if key[0] == "color":
        return ("model",)
    return SOURCES if key[0] == "mash_ph" else _OF_WATER


class Evaluation:
    """A recipe's figures as a function of the draws.

    Parameters
    ----------
    case : Case
        Of a recipe, with its prediction.
    keys : collection of Key
        The figures that are wanted; each is known to the prediction.
    """

    def __init__(self, case: Case, keys: Collection[Key]) -> None:
        assert case.recipe is not None
        waters = {
            name: water.report for name, water in case.waters.items() if water.report is not None
        }
        self._case, self._recipe, self._keys = case, case.recipe, keys
        self._contents = contents_of(case.recipe, waters, case.catalog, case.settings.scale)
        self._terms = terms_of(case.recipe, case.catalog) if ("mash_ph", "mash") in keys else ()

    def figures(self, draws: Draws) -> dict[Key, Samples]:
        """Each figure in every draw, shape (n,); none is ever not a number."""
        vessels = Vessels(self._contents, draws)
        mixed: dict[str, Samples | None] = {}
        found: dict[Key, Samples] = {}
        for key in self._keys:
            quantity, vessel = key
            if quantity == "mash_ph":
                found[key] = self._mash_ph(vessels, draws)
            elif quantity == "color":
                found[key] = self._color(draws)
            else:
                if vessel not in mixed:
                    mixed[vessel] = vessels.mixed(self._names(vessel))
                rows = mixed[vessel]
                if rows is not None:
                    found[key] = _of_rows(rows, quantity, self._contents, self._names(vessel))
        return found

    def _names(self, vessel: str) -> list[str]:
        return [*self._contents] if vessel == "batch" else [vessel]

    def _mash_ph(self, vessels: Vessels, draws: Draws) -> Samples:
        prediction = self._case.prediction
        assert prediction is not None and prediction.mash is not None
        return mash_ph(
            self._recipe, self._contents["mash"], vessels, self._terms, prediction.mash, draws
        )

    def _color(self, draws: Draws) -> Samples:
        figure = figure_of(self._case.prediction, "color", "batch")
        assert figure is not None
        return figure.value + figure.sd * draws.normal("model", "color")


def _of_rows(
    rows: Samples, quantity: str, contents: Mapping[str, Contents], names: list[str]
) -> Samples:
    import numpy as np

    if quantity == "chloride_to_sulfate":
        chloride, sulfate = rows[INDEX["chloride"]], rows[INDEX["sulfate"]]
        ratio: Samples = chloride / np.maximum(sulfate, LEAST_SULFATE)
        return ratio
    if quantity == "bicarbonate":
        return _bicarbonate(rows, contents, names)
    if quantity in _SUMS:
        total = np.zeros(rows.shape[1])
        for place, factor in _SUMS[quantity]:
            total += factor * rows[place]
        return total
    ion: Samples = rows[INDEX[quantity]]
    return ion


def _bicarbonate(rows: Samples, contents: Mapping[str, Contents], names: list[str]) -> Samples:
    """Bicarbonate to first order: each draw would be an equilibrium to solve."""
    import numpy as np

    volume = sum(contents[name].volume for name in names)
    middle = [
        sum(contents[name].total[place] for name in names) / volume for place in range(len(ROWS))
    ]
    drawn = np.full(rows.shape[1], solve(tuple(middle)).bicarbonate)
    for name, step in _MOVES_BICARBONATE.items():
        place = INDEX[name]
        more, less = list(middle), list(middle)
        more[place] += step
        less[place] -= step
        slope = (solve(tuple(more)).bicarbonate - solve(tuple(less)).bicarbonate) / (2.0 * step)
        drawn += slope * (rows[place] - middle[place])
    bicarbonate: Samples = np.maximum(drawn, 0.0)
    return bicarbonate
