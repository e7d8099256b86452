"""waterlint: brewing-water recipes as safe as code.

The functions and types for use from Python are imported when they are first asked for, so that
`import waterlint` stays light:

`lint_text`, `lint_paths`, `predict_text`, `Finding`, `Span`, `Report`, `Prediction`.
"""

from __future__ import annotations

TYPE_CHECKING = False
if TYPE_CHECKING:
    from waterlint.api import lint_paths, lint_text, predict_text
    from waterlint.finding import Finding, Span
    from waterlint.linter import Report
    from waterlint.prediction.result import Prediction
    from waterlint.version import __version__

__all__ = [
    "Finding",
    "Prediction",
    "Report",
    "Span",
    "__version__",
    "lint_paths",
    "lint_text",
    "predict_text",
]

_HOMES = {
    "lint_text": "waterlint.api",
    "lint_paths": "waterlint.api",
    "predict_text": "waterlint.api",
    "Finding": "waterlint.finding",
    "Span": "waterlint.finding",
    "Report": "waterlint.linter",
    "Prediction": "waterlint.prediction.result",
    "__version__": "waterlint.version",
}


def __getattr__(name: str) -> object:
    home = _HOMES.get(name)
    if home is None:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from importlib import import_module

    return getattr(import_module(home), name)
