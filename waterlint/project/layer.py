"""What one configuration file states, and how such statements lie on top of each other."""

from __future__ import annotations

from collections.abc import Mapping

from waterlint.catalog.additives import Additive
from waterlint.catalog.malts import MaltKind
from waterlint.catalog.styles import Style
from waterlint.catalog.waters import KnownWater
from waterlint.hints import TYPE_CHECKING, Generic, TypeVar
from waterlint.paths import Path
from waterlint.project.config import LevelOrOff, StockItem
from waterlint.records import Record, field
from waterlint.units import Range

if TYPE_CHECKING:
    from waterlint.project.glob import Glob

T = TypeVar("T")


class Stated(Generic[T], Record):
    """A value, as it is shown, and where it was stated."""

    value: T
    text: str
    origin: str


class Pattern(Record):
    """A pattern for paths below `folder`."""

    glob: Glob
    folder: Path

    def matches(self, path: Path) -> bool:
        """Whether `path`, which is absolute, lies below the folder and fits."""
        if not path.is_relative_to(self.folder):
            return False
        return self.glob.matches(path.relative_to(self.folder).as_posix())


class Entries(Record):
    """The house's own entries for the catalogue, by name; `faulty` as ``styles/NAME``."""

    additives: Mapping[str, Additive] = field(default_factory=dict)
    malts: Mapping[str, MaltKind] = field(default_factory=dict)
    styles: Mapping[str, Style] = field(default_factory=dict)
    waters: Mapping[str, KnownWater] = field(default_factory=dict)
    faulty: frozenset[str] = frozenset()

    def over(self, low: Entries) -> Entries:
        """These entries, and those of `low` whose names they leave free."""
        return Entries(
            {**low.additives, **self.additives},
            {**low.malts, **self.malts},
            {**low.styles, **self.styles},
            {**low.waters, **self.waters},
            low.faulty | self.faulty,
        )


class Values(Record):
    """Settings as far as they are stated; a list counts as one value.

    `style_ranges` is keyed by quantity and style.
    """

    levels: Mapping[str, Stated[LevelOrOff]] = field(default_factory=dict)
    ranges: Mapping[str, Stated[Range]] = field(default_factory=dict)
    style_ranges: Mapping[tuple[str, str], Stated[Range]] = field(default_factory=dict)
    report_age: Stated[float] | None = None
    scale_mass: Stated[float] | None = None
    scale_volume: Stated[float] | None = None
    stock: Stated[tuple[StockItem, ...]] | None = None
    require: Stated[tuple[str, ...]] | None = None
    exclude: Stated[tuple[Pattern, ...]] | None = None
    baseline: Stated[Path] | None = None
    rules: Stated[tuple[str, ...]] | None = None

    def over(self, low: Values) -> Values:
        """These values, and those of `low` where nothing is stated here.

        A range for all styles says so also against a style's own range in `low`.
        """
        kept = {key: each for key, each in low.style_ranges.items() if key[0] not in self.ranges}
        return Values(
            {**low.levels, **self.levels},
            {**low.ranges, **self.ranges},
            {**kept, **self.style_ranges},
            self.report_age or low.report_age,
            self.scale_mass or low.scale_mass,
            self.scale_volume or low.scale_volume,
            self.stock or low.stock,
            self.require or low.require,
            self.exclude or low.exclude,
            self.baseline or low.baseline,
            self.rules or low.rules,
        )


class Layer(Record):
    """One configuration file: what holds everywhere, and what for the paths of a pattern only."""

    values: Values = field(default_factory=Values)
    paths: tuple[tuple[Pattern, Values], ...] = ()
    entries: Entries = field(default_factory=Entries)
