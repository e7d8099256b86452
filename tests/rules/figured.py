"""Cases whose predicted figures are set by hand, for what hangs on an exact value or spread."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache

from waterlint.chemistry.proton_balance import MashBalance
from waterlint.prediction.result import ColorFigures, Figure, MashFigures, WaterFigures
from waterlint.project.config import Settings
from waterlint.rules.registry import Case
from waterlint.rules.samples import recipe, report
from waterlint.units import Range

from .making import recipe_case


def case_of(*changes: str, water: tuple[str, ...] = (), settings: Settings | None = None) -> Case:
    """The sound recipe with changes, beside the sound report with changes."""
    case = _case(changes, water)
    return case if settings is None else replace(case, settings=settings)


@lru_cache(maxsize=256)
def _case(changes: tuple[str, ...], water: tuple[str, ...]) -> Case:
    return recipe_case(recipe(*changes), {"well.yaml": report(*water)})


def with_mash_ph(case: Case, ph: float, sd: float = 0.0, thickness: float = 3.0) -> Case:
    """The case with another mash pH, which moves by 0.052 with a mEq/L of alkalinity."""
    assert case.prediction is not None
    balance = MashBalance(thickness / 0.052, ph, thickness, 0.0, 0.0, 0.0)
    mash = MashFigures(Figure(ph, sd), thickness, balance=balance)
    return replace(case, prediction=replace(case.prediction, mash=mash))


def with_color(case: Case, srm: float, sd: float = 0.0, in_range: bool = True) -> Case:
    """The case with another predicted colour."""
    assert case.prediction is not None
    color = ColorFigures(Figure(srm, sd), 1.97 * srm, in_range)
    return replace(case, prediction=replace(case.prediction, color=color))


def with_water(
    case: Case, vessel: str, ions: Mapping[str, Figure] | None = None, **figures: object
) -> Case:
    """The case with other figures of the mash's, sparge's or batch's water."""
    assert case.prediction is not None
    name = f"{vessel}_water"
    water: WaterFigures = getattr(case.prediction, name)
    changed = replace(water, ions={**water.ions, **(ions or {})}, **figures)  # type: ignore[arg-type]
    return replace(case, prediction=replace(case.prediction, **{name: changed}))  # type: ignore[arg-type]


def with_ions(case: Case, vessel: str = "batch", sd: float = 0.0, **values: float) -> Case:
    """The case with other ions in a water, the ratio of chloride to sulfate in step."""
    changed = with_water(case, vessel, {ion: Figure(value, sd) for ion, value in values.items()})
    assert changed.prediction is not None
    water = getattr(changed.prediction, f"{vessel}_water")
    chloride, sulfate = (water.ions[ion].value for ion in ("chloride", "sulfate"))
    ratio = Figure(chloride / sulfate) if sulfate else None
    return with_water(changed, vessel, chloride_to_sulfate=ratio)


def house(**ranges: tuple[float | None, float | None]) -> Settings:
    """Settings of a house with ranges for all styles."""
    return Settings(
        ranges={
            name: Range(low, high, "", f"{low} .. {high}") for name, (low, high) in ranges.items()
        },
        origin={f"ranges.{name}": "waterlint.yaml:7" for name in ranges},
    )


def house_by_style(quantity: str, style: str, low: float | None, high: float | None) -> Settings:
    """Settings of a house with a range for one style."""
    return Settings(
        style_ranges={quantity: {style: Range(low, high, "", f"{low} .. {high}")}},
        origin={f"ranges.{quantity}.{style}": "waterlint.yaml:9"},
    )


def off(*rules: str) -> Settings:
    """Settings that switch rules off."""
    return Settings(levels=dict.fromkeys(rules, "off"))
