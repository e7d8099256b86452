"""Keeping account of what cannot be computed, and why."""

from __future__ import annotations

from collections.abc import Mapping

from waterlint.hints import Final
from waterlint.model.recipe import Recipe
from waterlint.prediction.result import Gap

#: The figures that need to know what is in a place.
NEEDING: Final[Mapping[str, tuple[str, ...]]] = {
    "liquor": ("mash_water", "sparge_water", "mash_ph", "batch_water", "wort"),
    "mash": ("mash_water", "mash_ph", "batch_water", "wort"),
    "sparge": ("sparge_water", "batch_water", "wort"),
    "kettle": ("batch_water", "wort"),
    "fermenter": ("batch_water", "wort"),
}

#: Figures that a recipe has only with a vessel.
_OF_VESSEL: Final[Mapping[str, str]] = {
    "mash_water": "mash",
    "mash_ph": "mash",
    "sparge_water": "sparge",
}


class Gaps:
    """The gaps of one prediction, in the order in which they were found."""

    def __init__(self, recipe: Recipe) -> None:
        self._vessels = frozenset(recipe.vessels)
        self._found: dict[Gap, None] = {}
        self._figures: set[str] = set()

    def place(self, place: str, reason: str, pointer: str) -> None:
        """Note that a place's contents are not known, for every figure that needs them."""
        for figure in NEEDING[place]:
            vessel = _OF_VESSEL.get(figure)
            if vessel is None or vessel in self._vessels:
                self.add(figure, reason, pointer)

    def add(self, figure: str, reason: str, pointer: str) -> None:
        """Note one figure; the same cause is told once."""
        self._found[Gap(figure, reason, pointer)] = None
        self._figures.add(figure)

    def has(self, figure: str) -> bool:
        """Whether a figure cannot be computed."""
        return figure in self._figures

    @property
    def found(self) -> tuple[Gap, ...]:
        """All gaps."""
        return tuple(self._found)
