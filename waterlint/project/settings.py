"""What holds for a file: what is stated about it, as the settings that the rules read."""

from __future__ import annotations

from collections.abc import Iterator

from waterlint.catalog.catalog import Catalog
from waterlint.finding import Finding
from waterlint.hints import TypeVar
from waterlint.paths import Path
from waterlint.project.config import Scale, Settings
from waterlint.project.config_values import stock_text
from waterlint.project.layer import Pattern, Stated, Values
from waterlint.records import Record, field
from waterlint.units import Range

T = TypeVar("T")

BUILT_IN = "built in"


class FileConfig(Record):
    """What holds for a file.

    Attributes
    ----------
    settings : Settings
        For the rules.
    catalog : Catalog
        With the house's own entries.
    findings : tuple of Finding
        What is wrong with the configuration; what is wrong is left out of the settings.
    config_path : Path or None
        The `waterlint.yaml` that holds; `None` where there is none.
    paths : tuple of str
        That file and those it builds on, as they are shown.
    exclude : tuple of Pattern
        What folder searches leave out.
    baseline : Path or None
        The file of the findings that are known.
    plugins : tuple of str
        Names of modules that add rules.
    values : Values
        All that is stated, with its origin.
    """

    settings: Settings
    catalog: Catalog
    findings: tuple[Finding, ...] = ()
    config_path: Path | None = None
    paths: tuple[str, ...] = ()
    exclude: tuple[Pattern, ...] = ()
    baseline: Path | None = None
    plugins: tuple[str, ...] = ()
    values: Values = field(default_factory=Values)

    @property
    def is_broken(self) -> bool:
        """Whether the configuration says something that could not be followed."""
        return any(finding.level == "error" for finding in self.findings)


def settings_of(values: Values) -> Settings:
    """The settings that follow from what is stated; where nothing is, the built-in ones."""
    built_in = Settings()
    style_ranges: dict[str, dict[str, Range]] = {}
    for (quantity, style), stated in values.style_ranges.items():
        style_ranges.setdefault(quantity, {})[style] = stated.value
    return Settings(
        levels={rule: stated.value for rule, stated in values.levels.items()},
        ranges={quantity: stated.value for quantity, stated in values.ranges.items()},
        style_ranges=style_ranges,
        report_age_months=_or(values.report_age, built_in.report_age_months),
        scale=Scale(
            _or(values.scale_mass, built_in.scale.mass_g),
            _or(values.scale_volume, built_in.scale.volume_ml),
        ),
        stock=_or(values.stock, built_in.stock),
        require=_or(values.require, built_in.require),
        origin={key: origin for key, _, origin in statements(values)},
    )


def _or(stated: Stated[T] | None, built_in: T) -> T:
    return built_in if stated is None else stated.value


def statements(values: Values) -> Iterator[tuple[str, str, str]]:
    """Each value with its key, its text and its origin; what is built in among them.

    Yields
    ------
    tuple of str
        A key such as ``levels.report-age`` or ``ranges.chloride_to_sulfate.pale-ale``, the
        value, and a path and line, ``the command line`` or ``built in``.
    """
    built_in = Settings()
    for rule, level in sorted(values.levels.items()):
        yield f"levels.{rule}", level.text, level.origin
    for quantity, limits in sorted(values.ranges.items()):
        yield f"ranges.{quantity}", limits.text, limits.origin
    for (quantity, style), limits in sorted(values.style_ranges.items()):
        yield f"ranges.{quantity}.{style}", limits.text, limits.origin
    yield _line("report_age", values.report_age, f"{built_in.report_age_months:g} months")
    yield _line("scale.mass", values.scale_mass, f"{built_in.scale.mass_g:g} g")
    yield _line("scale.volume", values.scale_volume, f"{built_in.scale.volume_ml:g} mL")
    yield _line("stock", values.stock, stock_text(built_in.stock))
    yield _line("require", values.require, "nothing")
    yield _line("exclude", values.exclude, "nothing")
    yield _line("baseline", values.baseline, "none")
    yield _line("rules", values.rules, "no more than the built-in ones")


def _line(key: str, stated: Stated[T] | None, built_in: str) -> tuple[str, str, str]:
    return (key, built_in, BUILT_IN) if stated is None else (key, stated.text, stated.origin)
