"""An audit as the JSON that `audit.schema.json` describes."""

from __future__ import annotations

import json
from collections.abc import Mapping

from waterlint.finding import LEVELS
from waterlint.output.audit import Audit, Row
from waterlint.output.json_report import as_data, rounded
from waterlint.prediction.result import Figure
from waterlint.version import __version__


def render(audit: Audit) -> str:
    """The audit as JSON text; the same collection gives the same bytes."""
    report = {
        "waterlint": __version__,
        "summary": {
            "files": audit.files,
            "recipes": audit.recipes,
            "shown": len(audit.rows),
            **audit.states(),
        },
        "recipes": [_row(row) for row in audit.rows],
        "other_findings": [as_data(finding) for finding in audit.others],
    }
    return json.dumps(report, indent=2, ensure_ascii=True, allow_nan=False) + "\n"


def _row(row: Row) -> dict[str, object]:
    worst = row.worst
    figures = dict(row.figures)
    return {
        "path": row.path,
        "document": row.document,
        "name": row.name,
        "style": row.style,
        "read": row.is_read,
        "worst": None if worst is None else worst.level,
        "worst_rule": None if worst is None else worst.rule,
        "counts": {level: row.count(level) for level in reversed(LEVELS)} | {"aside": row.aside},
        "mash_ph": _figure(figures.pop("mash_ph", None)),
        "residual_alkalinity_mg_l_caco3": _figure(figures.pop("residual_alkalinity", None)),
        "chloride_to_sulfate": _figure(figures.pop("chloride_to_sulfate", None)),
        "batch_ions_mg_l": _figures(figures),
        "mash_ions_mg_l": _figures(row.mash_ions),
        "beyond": dict(row.beyond),
        "findings": [as_data(finding) for finding in row.findings],
    }


def _figures(figures: Mapping[str, Figure]) -> dict[str, object] | None:
    return {name: _figure(figure) for name, figure in figures.items()} or None


def _figure(figure: Figure | None) -> dict[str, float | None] | None:
    if figure is None:
        return None
    return {
        "value": rounded(figure.value),
        "low": rounded(figure.low),
        "high": rounded(figure.high),
    }
