"""A comparison as JSON; `schemas/compare.schema.json` describes it."""

from __future__ import annotations

import json
from collections.abc import Iterable

from waterlint.finding import Level
from waterlint.output.comparison import Comparison, FigureChange, FindingChange, RecipeChange
from waterlint.output.json_report import as_data as finding_data
from waterlint.output.suggestion import as_data as remedy_data
from waterlint.prediction.result import Figure
from waterlint.version import __version__


def render(comparison: Comparison) -> str:
    """A comparison as JSON text; the same comparison gives the same bytes."""
    recipes = comparison.recipes
    data = {
        "waterlint": __version__,
        "question": comparison.question,
        "fails_on": comparison.fails or "never",
        "summary": {
            "falling_out": comparison.falling,
            "changed": len(recipes) - comparison.falling,
            "same": comparison.same,
        },
        "recipes": [_recipe(recipe) for recipe in recipes],
        "files": [
            {
                "path": file.path,
                "old_path": file.old_path,
                "appearing": _changes(file.appearing, "before"),
                "going": _changes(file.going, "now"),
            }
            for file in comparison.files
        ],
        "remarks": list(comparison.remarks),
    }
    return json.dumps(data, indent=2, ensure_ascii=True, allow_nan=False) + "\n"


def _recipe(recipe: RecipeChange) -> dict[str, object]:
    return {
        "path": recipe.path,
        "document": recipe.document,
        "name": recipe.name,
        "old_path": recipe.old_path,
        "state": recipe.state,
        "falls_out": recipe.falls_out,
        "because": recipe.because,
        "figures": [_figure(figure) for figure in recipe.figures],
        "appearing": _changes(recipe.appearing, "before"),
        "going": _changes(recipe.going, "now"),
        "staying": recipe.staying,
        "remedy": None if recipe.remedy is None else remedy_data(recipe.remedy),
        "without_remedy": recipe.without_remedy or None,
    }


def _figure(figure: FigureChange) -> dict[str, object]:
    return {
        "quantity": figure.quantity,
        "vessel": figure.vessel,
        "unit": figure.unit,
        "before": _value(figure.before),
        "after": _value(figure.after),
        "low": figure.low,
        "high": figure.high,
    }


def _value(figure: Figure | None) -> dict[str, object] | None:
    if figure is None:
        return None
    return {"value": _rounded(figure.value), "sd": _rounded(figure.sd)}


def _rounded(value: float) -> float:
    # Seven significant digits hide the last bits of a float, as in predictions.
    return float(f"{value:.7g}") + 0.0


def _changes(changes: Iterable[FindingChange], other: str) -> list[dict[str, object]]:
    def level(change: FindingChange) -> Level | None:
        return change.other

    return [{"finding": finding_data(each.finding), other: level(each)} for each in changes]
