"""The formats of a report by name; a format's module is imported only when it is asked for."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from types import MappingProxyType

from waterlint.hints import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from waterlint.output.outcome import Outcome


def _text(outcome: Outcome) -> str:
    return "".join(_text_pieces(outcome))


def _text_pieces(outcome: Outcome) -> Iterator[str]:
    from waterlint.output import text

    return text.pieces(
        outcome.findings, outcome.summary, outcome.line, color=outcome.color, width=outcome.width
    )


def _json(outcome: Outcome) -> str:
    from waterlint.output import json_report

    return json_report.render(outcome.findings, outcome.accepted, outcome.summary)


def _sarif(outcome: Outcome) -> str:
    from waterlint.output import sarif

    return sarif.render(outcome)


def _github(outcome: Outcome) -> str:
    from waterlint.output import github

    return github.render(outcome.findings, outcome.summary)


def _gitlab(outcome: Outcome) -> str:
    from waterlint.output import gitlab

    return gitlab.render(outcome.findings, (*outcome.accepted, *outcome.known))


def _junit(outcome: Outcome) -> str:
    from waterlint.output import junit

    return junit.render(outcome.findings, outcome.accepted, outcome.paths, outcome.weight)


def _markdown(outcome: Outcome) -> str:
    from waterlint.output import markdown

    return markdown.render(outcome.findings, outcome.accepted, outcome.summary, outcome.paths)


FORMATS: Final[Mapping[str, Callable[[Outcome], str]]] = MappingProxyType(
    {
        "text": _text,
        "json": _json,
        "sarif": _sarif,
        "github": _github,
        "gitlab": _gitlab,
        "junit": _junit,
        "markdown": _markdown,
    }
)


def pieces(name: str, outcome: Outcome) -> Iterable[str]:
    """A report piece by piece, so that a long text for people is never held as a whole."""
    return _text_pieces(outcome) if name == "text" else (FORMATS[name](outcome),)
