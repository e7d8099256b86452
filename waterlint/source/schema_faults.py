"""Everything that keeps a document from fitting its schema, as findings."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from waterlint.finding import Finding
from waterlint.source.document import Document, SourceFile
from waterlint.source.nodes import Scalar
from waterlint.source.schema_cascades import without_consequences
from waterlint.source.schema_commas import join_at_commas
from waterlint.source.schema_reading import KIND_KEY, KINDS, schema_of
from waterlint.source.schema_report import Reporter
from waterlint.source.schema_validator import violations


def find_faults(
    document: Document,
    source: SourceFile,
    kind: str,
    house: Mapping[str, Collection[str]] | None = None,
) -> list[Finding]:
    """The faults of a document against the schema of its kind.

    Parameters are those of `waterlint.source.schema.check`.
    """
    expected = {name: schema_of(name)["properties"][KIND_KEY]["const"] for name in KINDS}
    reporter = Reporter(document, source, schema_of(kind if kind in KINDS else KINDS[0]), house)
    if kind not in KINDS:
        return [reporter.wrong_kind(KIND_KEY, list(expected.values()))]
    first = document.find(f"/{KIND_KEY}")
    if isinstance(first, Scalar) and first.text != expected[kind]:
        return [reporter.wrong_kind(KIND_KEY, [expected[kind]])]
    found = join_at_commas(list(violations(kind, document.root)), document.root, reporter.schema)
    return reporter.findings(without_consequences(found, document, reporter.schema))
