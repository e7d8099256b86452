"""Two YAML parsers behind one stream of events.

The C parser is many times faster, the pure one is always there. They differ on texts at the edge
of YAML, so the pure parser is the judge: the C parser is only asked about texts without such
constructs, and whatever it refuses is put before the pure parser, whose verdict and message
count. Both ways therefore give the same tree and the same findings.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

from waterlint.hints import Literal, Protocol

Engine = Literal["c", "pure"]


class Mark(Protocol):
    """A place that a parser reports; only the character index is used."""

    index: int


class Event(Protocol):
    """What both parsers tell about each piece of a document; the class name says which piece."""

    start_mark: Mark
    end_mark: Mark
    anchor: str | None
    tag: str | None
    style: str | None
    value: str
    flow_style: bool | None


class SyntaxFault(Exception):
    """The text is no YAML.

    Attributes
    ----------
    problem : str
        What the parser missed, in its own words.
    offset : int
        The character at which it noticed.
    context : str
        What it was reading.
    context_offset : int or None
        Where that started.
    """

    def __init__(self, problem: str, offset: int, context: str, context_offset: int | None) -> None:
        super().__init__(problem)
        self.problem = problem
        self.offset = offset
        self.context = context
        self.context_offset = context_offset


class DoubtfulText(Exception):
    """The C parser refuses this text; the pure parser has to judge it."""


#: Constructs on which the two parsers were seen to differ, found by comparing them on random
#: texts, each with the sign that a text must have for it. A match costs only time: the pure
#: parser then reads the text. What stands before a sign is looked at behind it, since a pattern
#: that starts with a letter is searched for much faster.
_DISPUTED: tuple[tuple[str, re.Pattern[str]], ...] = (
    ("\t", re.compile(r"(?<![^\r\n]) *\t")),  # a tab in the indentation
    ("\t", re.compile(r"[|>][0-9+-]{0,2} *\t")),  # a tab behind the sign of a block text
    ("#", re.compile(r"#(?:(?<=[|>]#)|(?<=[|>].#)|(?<=[|>]..#))")),  # a comment right behind it
    ("%", re.compile(r"%(?<![^\r\n].)")),  # a line that starts like a directive, but is none
    ("!", re.compile(r"!(?<![^\s\[{,].)")),  # a tag
    ("?", re.compile(r"\?(?<![^\s\[{,].)(?!\S)")),  # a key with a question mark in front
    ("...", re.compile(r"\.\.\.(?<![^\r\n]...)(?!\S)")),  # the end mark of a document
    # an anchor or alias with other signs in its name
    ("&", re.compile(r"&[0-9A-Za-z_-]*[^0-9A-Za-z_\s,\[\]{}-]")),
    ("*", re.compile(r"\*[0-9A-Za-z_-]*[^0-9A-Za-z_\s,\[\]{}-]")),
)


def available_engine() -> Engine:
    """The faster of the parsers that are installed."""
    try:
        import _ruamel_yaml  # noqa: F401
    except ImportError:
        return "pure"
    return "c"


def is_disputed(text: str) -> bool:
    """Whether a text has constructs on which the parsers may differ."""
    return any(sign in text and pattern.search(text) for sign, pattern in _DISPUTED)


def feed_from_c(text: str, take: Callable[[Iterator[Event]], None]) -> None:
    """Give the events of a text to `take`, by the C parser.

    Raises
    ------
    DoubtfulText
        When the C parser refuses the text.
    """
    from _ruamel_yaml import CParser
    from ruamel.yaml.error import YAMLError

    try:
        take(iter(CParser(text).get_event, None))
    except YAMLError as error:
        raise DoubtfulText from error


def feed_from_pure(text: str, take: Callable[[Iterator[Event]], None]) -> None:
    """Give the events of a text to `take`, by the pure parser.

    Raises
    ------
    SyntaxFault
        When the text is no YAML; the events given before stand.
    """
    take(_parse_pure(text))


def _parse_pure(text: str) -> Iterator[Event]:
    from ruamel.yaml.error import MarkedYAMLError

    from waterlint.source.pure_scanner import parser

    reached = 0
    try:
        for event in parser().parse(text):
            reached = event.end_mark.index
            yield event
    except MarkedYAMLError as error:
        mark, context_mark = error.problem_mark, error.context_mark
        offset = (mark or context_mark).index if mark or context_mark else reached
        context_offset = None if context_mark is None else context_mark.index
        context, problem = error.context or "", error.problem or error.context or ""
        raise SyntaxFault(problem, min(offset, len(text)), context, context_offset) from error
    except Exception as error:
        # The scanner itself stumbles over some hostile texts (a number of an escape too large
        # for a character, for one). To the user that is one more way of being no YAML.
        raise SyntaxFault(type(error).__name__, min(reached, len(text)), "", None) from error
