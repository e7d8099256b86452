"""What a page tells of one recipe when it is opened, as data that the page draws."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from waterlint.finding import LEVELS, Finding
from waterlint.hints import Final
from waterlint.model.water import IONS
from waterlint.output.audit import Row
from waterlint.prediction.result import Contribution, Figure, Prediction, WaterFigures
from waterlint.rules.ranges import Bound, bounds_of
from waterlint.rules.registry import Case

Data = dict[str, object]

#: The rows of the table of waters besides the ions: title, unit.
_FURTHER: Final[Mapping[str, tuple[str, str]]] = {
    "alkalinity": ("alkalinity", "mg/L as CaCO3"),
    "residual_alkalinity": ("residual alkalinity", "mg/L as CaCO3"),
    "hardness": ("hardness", "mg/L as CaCO3"),
    "chloride_to_sulfate": ("chloride to sulfate", ""),
    "ph": ("pH of the water", ""),
}

_VESSELS: Final = ("mash", "sparge", "batch")

_ORIGINS: Final[Mapping[str, str]] = {
    "target": "by the recipe's target",
    "house": "by the house's range",
    "style": "by the style",
    "general": "for any beer",
}


def detail(row: Row, case: Case | None) -> Data:
    """Everything about a recipe, in short keys; `audit_recipe.js` draws it."""
    data: Data = {
        "name": row.name,
        "path": row.path,
        "style": row.style or "",
        "aside": row.aside,
        "found": [_finding(finding) for finding in row.findings],
    }
    prediction = None if case is None else case.prediction
    if case is None or prediction is None:
        return data
    waters = (prediction.mash_water, prediction.sparge_water, prediction.batch_water)
    data["litres"] = [None if water is None else _short(water.volume_l) for water in waters]
    data["waters"] = [
        *(_water_row(case, ion, ion, "mg/L", waters) for ion in _ions(waters)),
        *(_water_row(case, name, *words, waters) for name, words in _FURTHER.items()),
    ]
    data["sources"] = _sources(prediction.batch_water)
    data["gaps"] = [[gap.figure, gap.reason] for gap in prediction.gaps]
    _add_mash(data, case, prediction)
    return data


def _add_mash(data: Data, case: Case, prediction: Prediction) -> None:
    mash, color = prediction.mash, prediction.color
    if mash is not None:
        data["mash"] = {
            "ph": _figure(mash.ph),
            "bounds": _bounds(bounds_of(case, "mash_ph", "mash")),
            "at": mash.reference_temperature_c,
            "thickness": None
            if mash.thickness_l_per_kg is None
            else _short(mash.thickness_l_per_kg),
        }
    if color is not None:
        data["color"] = [_short(color.ebc), _short(color.srm.value)]


def _ions(waters: Iterable[WaterFigures | None]) -> list[str]:
    names = dict.fromkeys(IONS)
    for water in waters:
        if water is not None:
            names |= {ion: None for ion, figure in water.ions.items() if figure.value > 0.0}
    return list(names)


def _water_row(
    case: Case,
    name: str,
    title: str,
    unit: str,
    waters: tuple[WaterFigures | None, WaterFigures | None, WaterFigures | None],
) -> Data:
    prediction = case.prediction
    assert prediction is not None
    share = prediction.kettle_share.get(name)
    found = {
        vessel: bounds
        for vessel, water in zip(_VESSELS, waters, strict=True)
        if water is not None and (bounds := _bounds(bounds_of(case, name, vessel)))
    }
    return {
        "title": title,
        "unit": unit,
        "in": [None if water is None else _figure(_of(water, name)) for water in waters],
        "kettle": None if share is None else _short(share),
        "bounds": found,
    }


def _of(water: WaterFigures, name: str) -> Figure | None:
    if name in _FURTHER:
        found = getattr(water, name)
        return found if isinstance(found, Figure) else None
    return water.ion(name)


def _sources(water: WaterFigures | None) -> list[Data]:
    """What every water and dose brings to the whole batch, in milligrams."""
    if water is None:
        return []
    found: dict[str, Data] = {}
    for ion, contributions in water.contributions.items():
        for each in contributions:
            entry = found.setdefault(each.origin, _source(each))
            amounts = entry["mg"]
            assert isinstance(amounts, dict)
            amounts[ion] = _short(each.amount * water.volume_l)
    return list(found.values())


def _source(contribution: Contribution) -> Data:
    return {
        "label": contribution.label,
        "place": contribution.place,
        "water": contribution.origin.startswith("/water"),
        "mg": {},
    }


def _bounds(bounds: Iterable[Bound]) -> list[list[object]]:
    return [
        [
            int(bound.side == "high"),
            LEVELS.index(bound.level),
            _short(bound.value),
            f"{_ORIGINS[bound.origin]} {bound.name}".rstrip(),
            bound.basis,
        ]
        for bound in bounds
    ]


def _finding(finding: Finding) -> list[object]:
    span = finding.span
    return [
        LEVELS.index(finding.level),
        finding.rule,
        finding.message,
        finding.help,
        finding.basis,
        finding.path,
        span.line,
        span.column,
    ]


def _figure(figure: Figure | None) -> list[float] | None:
    return None if figure is None else [_short(figure.value), float(f"{figure.sd:.2g}")]


def _short(value: float) -> float:
    # Four significant digits are what charts and tables show at most; more would only take room.
    return float(f"{value:.4g}")
