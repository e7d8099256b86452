"""The way from a text to its documents: what is checked when, and who parses."""

from __future__ import annotations

import re

from waterlint.source.builder import Builder
from waterlint.source.faults import Faults
from waterlint.source.gate import hide_directives
from waterlint.source.ledger import LimitReached
from waterlint.source.parsing import (
    DoubtfulText,
    Engine,
    SyntaxFault,
    available_engine,
    feed_from_c,
    feed_from_pure,
    is_disputed,
)
from waterlint.source.tree import Document

#: The most broken documents of one file that get a finding each.
_MAX_BROKEN = 10
_DOCUMENT_START = re.compile(r"(?<![^\r\n])---(?!\S)")


def read_documents(faults: Faults, engine: Engine | None) -> list[Document]:
    """Read the documents of a text; what is wrong is added to `faults`.

    A document that is no YAML is left out, and the reading goes on with the next one. Without an
    `engine` the fastest reads that is installed.
    """
    engine = engine or available_engine()
    text = hide_directives(faults)
    builder = Builder(faults)
    try:
        for _ in range(_MAX_BROKEN):
            broken_at = _read_until_broken(builder, text, engine)
            if broken_at is None:
                break
            following = _DOCUMENT_START.search(text, broken_at)
            if following is None:
                break
            resume = following.start()
            builder.abandon_document(resume)
            # Line breaks in place of what is read keep every offset true.
            text = "\n" * resume + text[resume:]
    except LimitReached:
        pass
    return builder.documents


def _read_until_broken(builder: Builder, text: str, engine: Engine) -> int | None:
    """Read documents up to the first that is broken; where to look for the next one."""
    if engine == "c" and not is_disputed(text):
        checkpoint = builder.checkpoint()
        try:
            feed_from_c(text, builder.take)
            return None
        except DoubtfulText:
            builder.restore(checkpoint)
    try:
        feed_from_pure(text, builder.take)
    except SyntaxFault as fault:
        if fault.problem.startswith("expected '<document start>'"):
            builder.reopen_document()
        # Few texts are no YAML, and those that are need none of this.
        from waterlint.source.syntax import explain

        slip = explain(builder.faults.lines, fault)
        builder.faults.add("invalid-yaml", slip.start, slip.end, slip.message, slip.help)
        return fault.offset
    return None
