"""What an audit of a collection shows, ready for every format."""

from __future__ import annotations

from collections.abc import Mapping

from waterlint.finding import LEVELS, Finding, Level
from waterlint.hints import Final
from waterlint.model.water import IONS
from waterlint.prediction.result import Figure
from waterlint.records import Record, field

#: The figures of a row by name, in the order of the columns; ions are those of the whole batch.
FIGURES: Final = ("mash_ph", "residual_alkalinity", *IONS, "chloride_to_sulfate")


class Row(Record):
    """One recipe of a collection.

    Attributes
    ----------
    path : str
        As findings show it.
    document : int
    name : str
        Empty where the file could not be read so far.
    style : str or None
        As the recipe writes it.
    figures : mapping of str to Figure
        By the names of `FIGURES`; what could not be computed is missing.
    mash_ions : mapping of str to Figure
        Of the mash water [mg/L].
    beyond : mapping of str to Level
        The figures that lie outside their range, with the level of the bound.
    findings : tuple of Finding
        That count, in the order of their places.
    aside : int
        How many more are excused, or known to a baseline.
    is_read : bool
        Whether the recipe could be read; where not, the findings say why.
    """

    path: str
    document: int
    name: str
    style: str | None
    figures: Mapping[str, Figure] = field(default_factory=dict)
    mash_ions: Mapping[str, Figure] = field(default_factory=dict)
    beyond: Mapping[str, Level] = field(default_factory=dict)
    findings: tuple[Finding, ...] = ()
    aside: int = 0
    is_read: bool = True

    @property
    def worst(self) -> Finding | None:
        """The gravest finding, of several the first."""
        return max(self.findings, key=lambda finding: LEVELS.index(finding.level), default=None)

    @property
    def gravity(self) -> int:
        """The worst finding's level as a number: 0 for none, 3 for an error."""
        worst = self.worst
        return 0 if worst is None else LEVELS.index(worst.level) + 1

    def count(self, level: Level) -> int:
        """How many findings of a level there are."""
        return sum(finding.level == level for finding in self.findings)


class Audit(Record):
    """A collection.

    Attributes
    ----------
    rows : tuple of Row
        The recipes that are shown, in the order shown.
    recipes : int
        How many there are, shown or not.
    files : int
        That were looked at, water reports and configurations too.
    others : tuple of Finding
        What is found in files that hold no recipe: water reports, configurations.
    """

    rows: tuple[Row, ...]
    recipes: int
    files: int
    others: tuple[Finding, ...] = ()

    def states(self) -> dict[str, int]:
        """How many of the rows have an error, a warning, a note as their worst, or none."""
        words = ("none", *LEVELS)
        counts = dict.fromkeys(reversed(words), 0)
        for row in self.rows:
            counts[words[row.gravity]] += 1
        return counts
