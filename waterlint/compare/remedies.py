"""Remedies for recipes that fall out, where the solver is installed."""

from __future__ import annotations

from waterlint.compare.comparing import Mend
from waterlint.finding import Level
from waterlint.linter import Options
from waterlint.output.comparison import RecipeChange
from waterlint.paths import Path
from waterlint.project.files import Disk, ReadProblem
from waterlint.records import replace
from waterlint.remedy.proposal import propose
from waterlint.remedy.shown import show
from waterlint.remedy.situation import Situation, situations
from waterlint.remedy.solver import need_solver
from waterlint.remedy.wishes import Wishes
from waterlint.source.edit import CannotEdit


def mender(options: Options, level: Level) -> Mend:
    """What looks for the smallest change of doses that clears a recipe's findings.

    Parameters
    ----------
    options : Options
        Of the later side.
    level : Level
        The mildest findings to clear.

    Raises
    ------
    SolverMissing
        If there is no solver.
    """
    need_solver()

    def mend(path: Path, change: RecipeChange) -> RecipeChange:
        data = Disk().bytes_of(path)
        if isinstance(data, ReadProblem):
            return replace(change, without_remedy=data.message)
        text = data.decode("utf-8", errors="replace")
        for situation in situations(text, path, options, level):
            if isinstance(situation, Situation) and situation.document.index == change.document:
                return _mended(situation, change)
        return replace(change, without_remedy="errors stand in the way")

    return mend


def _mended(situation: Situation, change: RecipeChange) -> RecipeChange:
    try:
        best = propose(situation, Wishes())[0]
    except CannotEdit as error:
        return replace(change, without_remedy=f"a change has no place in this file: {error}")
    if not best.changes:
        remarks = "; ".join(best.remarks) or "no change of doses clears what is found"
        return replace(change, without_remedy=remarks)
    return replace(change, remedy=show(best, 1))
