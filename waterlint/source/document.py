"""Read a YAML file into positioned trees, with a finding for everything that is refused.

The reader never raises for what a file contains, and knows no field of a recipe by name.
"""

from __future__ import annotations

from waterlint.finding import Finding
from waterlint.hints import TYPE_CHECKING
from waterlint.records import Record, field
from waterlint.source.block import read_block
from waterlint.source.comments import Comment
from waterlint.source.decoding import decode, exceeds_limit, too_large
from waterlint.source.faults import Faults
from waterlint.source.gate import refuse_characters
from waterlint.source.lines import Lines
from waterlint.source.nodes import (
    Entry,
    Kind,
    Mapping,
    Node,
    Scalar,
    Sequence,
    escape,
    unescape,
    walk,
)
from waterlint.source.tree import Document

if TYPE_CHECKING:
    from waterlint.source.parsing import Engine

__all__ = [
    "Comment",
    "Document",
    "Entry",
    "Kind",
    "Mapping",
    "Node",
    "Scalar",
    "Sequence",
    "SourceFile",
    "escape",
    "line_text",
    "read_bytes",
    "read_text",
    "unescape",
    "walk",
]


class SourceFile(Record):
    """A file as it was read.

    Attributes
    ----------
    path : str
        Its name in findings.
    text : str
        Its text without byte order mark, line ends untouched; empty when it cannot be read.
    documents : tuple of Document
        What it says; documents that are broken or say nothing are left out.
    findings : tuple of Finding
        Its faults, in the order of their places.
    lines : Lines
        Its line table.
    has_bom : bool
        Whether a byte order mark stands in front of the text.
    """

    path: str
    text: str
    documents: tuple[Document, ...]
    findings: tuple[Finding, ...]
    lines: Lines = field(repr=False, compare=False)
    has_bom: bool = False


def read_bytes(data: bytes, path: str) -> SourceFile:
    """Read the bytes of a file; faults become findings, whatever they are."""
    text, faults = decode(data, path)
    if faults is not None:
        return SourceFile(path, text, (), tuple(faults.findings), faults.lines)
    return read_text(text, path)


def read_text(text: str, path: str, *, engine: Engine | None = None) -> SourceFile:
    """Read a text; faults become findings, whatever it contains.

    Parameters
    ----------
    text : str
        The text, with or without byte order mark.
    path : str
        The name of the file in findings.
    engine : str, optional
        The parser, ``c`` or ``pure``; without it the fastest that is installed. The outcome is
        the same.

    Examples
    --------
    >>> source = read_text("water:\\n  mash: {volume: 15.5 L}\\n", "a.yaml")
    >>> source.documents[0].span_of("/water/mash/volume")
    Span(line=2, column=18, end_line=2, end_column=24, start=24, end=30)
    """
    if exceeds_limit(text):
        faults = too_large(path)
        return SourceFile(path, "", (), tuple(faults.findings), faults.lines)
    has_bom = text.startswith("\ufeff")
    lines = Lines(text[1:] if has_bom else text)
    faults = Faults(lines, path)
    documents = _documents(faults, engine)
    if documents:  # the comments at the end of a file belong to its last document
        documents[-1].end = len(lines.text)
    findings = sorted(faults.findings, key=lambda finding: finding.span.start)
    return SourceFile(path, lines.text, tuple(documents), tuple(findings), lines, has_bom)


def _documents(faults: Faults, engine: Engine | None) -> list[Document]:
    """The documents of a text; without an `engine` one that needs no parser is read without."""
    document = read_block(faults.lines) if engine is None else None
    if document is not None:
        return [document]
    if refuse_characters(faults):
        return []
    # Imported late: most texts need no parser.
    from waterlint.source.reading import read_documents

    return read_documents(faults, engine)


def line_text(source: SourceFile, line: int) -> str:
    """A line of a file, counted from 1, without its line end; empty where there is none."""
    return source.lines.line(line)
