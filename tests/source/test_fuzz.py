"""Whatever a file contains, reading it raises nothing, and every place lies in the text."""

from __future__ import annotations

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from waterlint.finding import Span
from waterlint.source.document import (
    Mapping,
    Scalar,
    Sequence,
    SourceFile,
    line_text,
    read_bytes,
    read_text,
    walk,
)
from waterlint.source.parsing import Engine, available_engine

from .test_parsers_agree import LAYOUT, RECIPE


def check(source: SourceFile) -> None:
    spans: list[Span] = []
    for finding in source.findings:
        assert finding.level == "error" and finding.message and finding.help
        finding.message.encode()
        assert "\n" not in finding.message
        spans += [finding.span, *(related.span for related in finding.related)]
    for document in source.documents:
        for pointer, node in walk(document.root):
            assert document.find(pointer) is node
            assert document.span_of(pointer) == node.span
            spans += [node.span, node.place, document.span_of(pointer, key=True)]
            spans += [span for span in (node.anchor, node.via) if span is not None]
        for comment in document.comments:
            assert line_text(source, comment.line)[comment.column - 1 :].rstrip() == comment.text
    for span in spans:
        check_span(source, span)


def check_span(source: SourceFile, span: Span) -> None:
    assert 0 <= span.start <= span.end <= len(source.text)
    assert (span.line, span.column) <= (span.end_line, span.end_column)
    assert span.line >= 1 and span.column >= 1
    line, end_line = line_text(source, span.line), line_text(source, span.end_line)
    # A place may be a line end itself, and CRLF is two characters.
    assert span.column <= len(line) + 2 and span.end_column <= len(end_line) + 3
    if span.line == span.end_line and "\n" not in source.text[span.start : span.end]:
        written = source.text[span.start : span.end].rstrip("\r")
        assert line[span.column - 1 : span.end_column - 1] == written


@settings(max_examples=150, deadline=None)
@given(st.text(max_size=200))
def test_any_text(text: str) -> None:
    check(read_text(text, "a.yaml"))


@settings(max_examples=150, deadline=None)
@given(st.text(alphabet=st.characters(codec=None), max_size=50))
def test_any_text_with_lone_surrogates(text: str) -> None:
    check(read_text(text, "a.yaml"))


@settings(max_examples=150, deadline=None)
@given(st.binary(max_size=200))
def test_any_bytes(data: bytes) -> None:
    check(read_bytes(data, "a.yaml"))


@settings(max_examples=250, deadline=None)
@given(LAYOUT)
@pytest.mark.parametrize("engine", sorted({"pure", available_engine()}))
def test_texts_made_of_the_signs_of_yaml(engine: Engine, text: str) -> None:
    check(read_text(text, "a.yaml", engine=engine))


@settings(max_examples=200, deadline=None)
@given(st.integers(0, len(RECIPE)), st.integers(0, 4), st.binary(max_size=4))
def test_damaged_bytes(start: int, length: int, put: bytes) -> None:
    data = RECIPE.encode()
    check(read_bytes(data[:start] + put + data[start + length :], "a.yaml"))


@settings(max_examples=100, deadline=None)
@given(
    st.recursive(
        st.one_of(st.integers(-99, 99).map(str), st.text("aé🍺 :#'\"-\n", max_size=6), st.none()),
        lambda inner: (
            st.lists(inner, max_size=3)
            | st.dictionaries(st.text("abc/~", min_size=1, max_size=3), inner, max_size=3)
        ),
        max_leaves=12,
    )
)
def test_what_is_written_as_json_is_read_back(value: object) -> None:
    source = read_text(json.dumps(value, ensure_ascii=False), "a.yaml")
    assert source.findings == ()
    check(source)
    if source.documents:
        assert rebuilt(source.documents[0].root) == value


def rebuilt(node: object) -> object:
    if isinstance(node, Mapping):
        return {key: rebuilt(entry.value) for key, entry in node.entries.items()}
    if isinstance(node, Sequence):
        return [rebuilt(item) for item in node.items]
    assert isinstance(node, Scalar)
    return None if node.kind == "null" else node.text
