"""What two states of the same recipes differ in, ready to be shown."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from waterlint.finding import LEVELS, Finding, Level
from waterlint.hints import Final, Literal
from waterlint.output.suggestion import Suggested
from waterlint.prediction.result import Figure
from waterlint.records import Record

State = Literal["changed", "added", "removed"]

#: Figures nearer to each other than this are the same, as a fraction: the arithmetic of floats.
_SAME: Final = 1e-7


class FigureChange(Record):
    """A figure before and after, and the range in which it gets no warning now.

    `vessel` is mash, sparge or batch. A figure that is not known is `None`, and so is a side of
    the range that is open.
    """

    title: str
    quantity: str
    vessel: str
    unit: str
    before: Figure | None
    after: Figure | None
    low: float | None = None
    high: float | None = None

    @property
    def moves(self) -> bool:
        """Whether the figure or its spread is another one."""
        if self.before is None or self.after is None:
            return self.before is not self.after
        pairs = ((self.before.value, self.after.value), (self.before.sd, self.after.sd))
        return any(abs(a - b) > _SAME * max(abs(a), abs(b), 1e-6) for a, b in pairs)


class FindingChange(Record):
    """A finding of one side; `other` is the level that it has on the other side, if it is there.

    One that becomes graver appears, one that becomes milder goes.
    """

    finding: Finding
    other: Level | None = None


class FileChange(Record):
    """What appears and goes in a file that is no recipe: a water report, a configuration.

    `old_path` is the file's name before, where that is another one.
    """

    path: str
    appearing: tuple[FindingChange, ...]
    going: tuple[FindingChange, ...]
    old_path: str | None = None


class RecipeChange(Record):
    """A recipe whose figures or findings change.

    Attributes
    ----------
    path, document, name : str, int, str
        As it is now, or was last.
    old_path : str or None
        Where it was before, if elsewhere.
    state : {'changed', 'added', 'removed'}
    because : str
        Why it is looked at, as a sentence without a full stop.
    figures : tuple of FigureChange
        All of them, also those that stay.
    appearing, going : tuple of FindingChange
    staying : int
        How many findings are there before and after.
    falls_out : bool
        Whether a finding appears that is grave enough to fail.
    remedy : Suggested or None
        The change of doses that mends it, where one was asked for and found.
    without_remedy : str
        Why there is none where one was asked for.
    """

    path: str
    document: int
    name: str
    state: State
    because: str
    figures: tuple[FigureChange, ...]
    appearing: tuple[FindingChange, ...]
    going: tuple[FindingChange, ...]
    staying: int
    falls_out: bool
    old_path: str | None = None
    remedy: Suggested | None = None
    without_remedy: str = ""

    @property
    def order(self) -> tuple[object, ...]:
        """Recipes that fall out come first, and of those the gravest."""
        levels = [LEVELS.index(each.finding.level) for each in self.appearing]
        fewest_first = (-max(levels, default=-1), -len(levels)) if self.falls_out else (0, 0)
        return (not self.falls_out, *fewest_first, self.path, self.document)


class Comparison(Record):
    """What differs between two states.

    Attributes
    ----------
    question : str
        What was compared, as a heading says it.
    recipes : tuple of RecipeChange
        In the order in which they are shown.
    files : tuple of FileChange
        By path.
    same : int
        Recipes that depend on what changed and whose figures and findings stay.
    fails : Level or None
        The mildest level that fails; `None` for never.
    remarks : tuple of str
        What could not be looked at.
    """

    question: str
    recipes: tuple[RecipeChange, ...]
    files: tuple[FileChange, ...]
    same: int
    fails: Level | None
    remarks: tuple[str, ...] = ()

    @property
    def falling(self) -> int:
        """How many recipes fall out."""
        return sum(recipe.falls_out for recipe in self.recipes)


def ordered(recipes: Iterable[RecipeChange]) -> tuple[RecipeChange, ...]:
    """Recipes in the order in which they are shown."""
    return tuple(sorted(recipes, key=lambda recipe: recipe.order))


def tally(comparison: Comparison) -> str:
    """The recipes, counted in a sentence.

    Examples
    --------
    >>> tally(Comparison("", (), (), 3, "warning"))
    'No recipe falls out; 3 recipes stay as they are.'
    """
    falling, moving = comparison.falling, len(comparison.recipes) - comparison.falling
    if not comparison.recipes and not comparison.same:
        return "No recipe depends on what changed."
    parts = [f"{_count(falling)} {'falls' if falling < 2 else 'fall'} out"]
    if moving:
        verb = "changes" if moving == 1 else "change"
        parts.append(f"{_count(moving)} {verb} without falling out")
    if comparison.same:
        stay = "stays as it is" if comparison.same == 1 else "stay as they are"
        parts.append(f"{_count(comparison.same)} {stay}")
    return f"{'; '.join(parts)}."


def _count(number: int) -> str:
    return {0: "No recipe", 1: "1 recipe"}.get(number, f"{number} recipes")


def words(change: FindingChange, *, appears: bool) -> str:
    """What becomes of a finding, in a word or two.

    Examples
    --------
    >>> from waterlint.finding import FILE_START
    >>> graver = FindingChange(Finding("mash-ph", "error", "a.yaml", FILE_START, ""), "warning")
    >>> words(graver, appears=True)
    'error, before a warning'
    """
    level = change.finding.level
    if change.other is None:
        return f"new {level}" if appears else f"{level} gone"
    return f"{level}, before a {change.other}" if appears else f"{level}, now a {change.other}"


def moving(recipe: RecipeChange) -> Iterator[FigureChange]:
    """Those figures of a recipe that change."""
    return (figure for figure in recipe.figures if figure.moves)
