"""Places as SARIF writes them: relative URIs, and columns in UTF-16 code units."""

from __future__ import annotations

from urllib.parse import quote

from waterlint.finding import Span
from waterlint.source.lines import Lines

#: The name that consumers agree on for the folder that relative URIs start from (SARIF 2.1.0,
#: section 3.4.4, leaves it to producer and consumer).
BASE = "%SRCROOT%"


def artifact(path: str) -> dict[str, object]:
    """A file as an `artifactLocation`.

    A name that is no UTF-8 keeps its bytes, so that the URI still names the file.
    """
    try:
        raw = path.encode("utf-8", "surrogateescape")
    except UnicodeEncodeError:
        raw = path.encode("utf-8", "surrogatepass")
    return {"uri": quote(raw, safe="/"), "uriBaseId": BASE}


def region(span: Span, lines: Lines | None, *, widen: bool = True) -> dict[str, object]:
    """A place as a `region`.

    Parameters
    ----------
    span : Span
        Columns in code points.
    lines : Lines or None
        The file's lines; without them columns are taken over as they are.
    widen : bool
        Whether a place without extent gets the character that it stands before, since a
        consumer may show nothing, or refuse the report, where the end is not behind the start.
    """
    start = _column(span.column, span.line, lines)
    end = _column(span.end_column, span.end_line, lines)
    if widen and (span.end_line, span.end_column) <= (span.line, span.column):
        end = max(start + 1, _column(span.column + 1, span.line, lines))
    return {
        "startLine": span.line,
        "startColumn": start,
        "endLine": max(span.line, span.end_line),
        "endColumn": end,
    }


def _column(column: int, line: int, lines: Lines | None) -> int:
    """A column in UTF-16 code units: characters beyond U+FFFF take two."""
    if lines is None:
        return column
    before = lines.line(line)[: column - 1]
    return column + sum(character > "\uffff" for character in before)
