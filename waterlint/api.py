"""The public functions for use from Python; `waterlint` itself offers them by name."""

from __future__ import annotations

from collections.abc import Iterable
from os import PathLike

from waterlint.finding import Finding
from waterlint.hints import TYPE_CHECKING
from waterlint.linter import Linter, Options, Report
from waterlint.paths import Path
from waterlint.prediction.result import Prediction
from waterlint.project.discovery import discover

if TYPE_CHECKING:
    from concurrent.futures import Executor


def lint_text(
    text: str, filename: str = "a.yaml", config: str | PathLike[str] | None = None
) -> list[Finding]:
    """Lint a text as if it stood in the file `filename`.

    Parameters
    ----------
    text : str
        One or several documents.
    filename : str
        Where it would stand: what it refers to and its configuration are looked for from there.
        The file need not exist.
    config : path, optional
        A configuration to use instead of the nearest ``waterlint.yaml``.

    Returns
    -------
    list of Finding
        Sorted by place; findings of the water reports it uses included.

    Examples
    --------
    >>> lint_text("waterlint: recipe/1\\nname: Pale\\n")[0].rule
    'missing-key'
    """
    return list(_linter(config).lint_text(text, Path(filename)).findings)


def lint_paths(
    paths: Iterable[str | PathLike[str]],
    config: str | PathLike[str] | None = None,
    executor: Executor | None = None,
) -> Report:
    """Lint files and folders.

    Parameters
    ----------
    paths : iterable of paths
        Folders are searched for YAML files of waterlint's kinds.
    config : path, optional
        A configuration to use instead of the nearest ``waterlint.yaml`` of each file.
    executor : concurrent.futures.Executor, optional
        Where the files are judged: a pool of processes, or a cluster whose machines have this
        package and the files under the same paths. By default here, one after the other.

    Returns
    -------
    Report
        Its `findings` are sorted by place; they are the same wherever they were found.

    Notes
    -----
    Nothing is kept for later runs, as the command ``waterlint check`` does.
    """
    linter = _linter(config)
    found = discover([Path(path) for path in paths], linter.configs, linter.disk)
    return linter.lint(found, executor)


def predict_text(text: str, filename: str = "a.yaml") -> list[Prediction]:
    """The predictions of every recipe in a text that has no errors in the way.

    Parameters
    ----------
    text : str
        One or several recipe documents.
    filename : str
        Where it would stand; the water reports it names are looked for from there.

    Returns
    -------
    list of Prediction
        In the order of the documents.
    """
    linter = _linter(None)
    path = Path(filename)
    linter.take_text(text, path)
    return list(linter.predictions(path))


def _linter(config: str | PathLike[str] | None) -> Linter:
    return Linter(Options(config=None if config is None else Path(config)))
