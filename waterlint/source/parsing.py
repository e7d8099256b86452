"""Two YAML parsers behind one stream of events.

The C parser is many times faster, the pure one is always there. They differ on texts at the edge
of YAML, so the pure parser is the judge: the C parser is only asked about texts without such
constructs, and whatever it refuses is put before the pure parser, whose verdict and message
count. Both ways therefore give the same tree and the same findings.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Literal, Protocol

Engine = Literal["c", "pure"]


class Mark(Protocol):
    """A place that a parser reports; only the character index is used."""

    index: int


class Event(Protocol):
    """What both parsers tell about each piece of a document, by class name."""

    start_mark: Mark
    end_mark: Mark
    anchor: str | None
    tag: str | None
    style: str | None
    value: str
    flow_style: bool | None


class SyntaxFault(Exception):
    """The text is no YAML: what the parser missed, and at which character it stopped."""

    def __init__(self, problem: str, offset: int, context: str, context_offset: int | None) -> None:
        super().__init__(problem)
        self.problem = problem
        self.offset = offset
        self.context = context
        self.context_offset = context_offset


#: Constructs on which the two parsers were seen to differ: tabs, ...
_DISPUTED = re.compile(r"\t")


def available_engine() -> Engine:
    """The faster of the parsers that are installed."""
    try:
        import _ruamel_yaml  # noqa: F401
    except ImportError:
        return "pure"
    return "c"


def parse(text: str, engine: Engine) -> Iterator[Event]:
    """Yield the events of a text whose characters have been checked.

    Raises
    ------
    SyntaxFault
        When the text is no YAML. Events yielded before stand. With the C parser a refusal is
        raised as `DoubtfulText` instead, and says no more than that.
    """
    return _parse_c(text) if engine == "c" else _parse_pure(text)


class DoubtfulText(Exception):
    """The C parser refuses this text; the pure parser has to judge it."""


def is_disputed(text: str) -> bool:
    """Whether a text has constructs on which the parsers may differ."""
    return _DISPUTED.search(text) is not None


def _parse_c(text: str) -> Iterator[Event]:
    from _ruamel_yaml import CParser
    from ruamel.yaml.error import YAMLError

    try:
        parser = CParser(text)
        while (event := parser.get_event()) is not None:
            yield event
    except YAMLError as error:
        raise DoubtfulText from error


def _parse_pure(text: str) -> Iterator[Event]:
    from ruamel.yaml import YAML
    from ruamel.yaml.error import MarkedYAMLError, YAMLError

    end = 0
    try:
        for event in YAML(typ="safe", pure=True).parse(text):
            end = event.end_mark.index
            yield event
    except MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        offset = end if mark is None else mark.index
        context_mark = error.context_mark
        context_offset = None if context_mark is None else context_mark.index
        raise SyntaxFault(
            error.problem or "", min(offset, len(text)), error.context or "", context_offset
        ) from error
    except (YAMLError, ValueError, IndexError, TypeError, AttributeError, AssertionError) as error:
        raise SyntaxFault(type(error).__name__, end, "", None) from error
