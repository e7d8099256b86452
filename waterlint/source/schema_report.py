"""Violations of a schema as findings: what is wrong, where, and what to write instead."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from waterlint.finding import Edit, Finding, Fix
from waterlint.hints import Final
from waterlint.records import replace
from waterlint.source import schema_wording as wording
from waterlint.source.document import Document, SourceFile
from waterlint.source.edit_data import in_place_of
from waterlint.source.nodes import Scalar
from waterlint.source.schema_cascades import MISSING_KEY, MOST_COMPARED, UNKNOWN_KEY, candidates
from waterlint.source.schema_fields import Path, Schema, field_at, known_keys
from waterlint.source.schema_places import Place, Places
from waterlint.source.schema_validator import Violation
from waterlint.source.schema_wording import Words

_RULES: Final = {
    UNKNOWN_KEY: "unknown-key",
    MISSING_KEY: "missing-key",
    "minProperties": "missing-key",
    "type": "wrong-type",
}
"""Rules by keyword; all others are `bad-value`, or `bad-quantity` where a text is no quantity."""


class Reporter:
    """Makes the findings of one document."""

    __slots__ = ("_compared", "_document", "_house", "_places", "_source", "schema")

    def __init__(
        self,
        document: Document,
        source: SourceFile,
        schema: Schema,
        house: Mapping[str, Collection[str]] | None,
    ) -> None:
        self._document = document
        self._source = source
        self._house = house or {}
        self._places = Places(document, source.path)
        self._compared = 0
        self.schema = schema

    def findings(self, found: list[Violation]) -> list[Finding]:
        """The findings of all violations in the order of their places.

        What a value and its repetitions through aliases have in common is told once, at the
        value itself.
        """
        placed = [
            (violation, self._place(violation), violation.detail)
            for violation in found
            if not self._is_house_word(violation)
        ]
        originals = {
            (violation.keyword, place.identity, detail)
            for violation, place, detail in placed
            if not place.repeated
        }
        findings = [
            self._finding(violation, place)
            for violation, place, detail in placed
            if not place.repeated or (violation.keyword, place.identity, detail) not in originals
        ]
        return sorted(findings, key=lambda finding: finding.span.start)

    def wrong_kind(self, key: str, expected: list[str]) -> Finding:
        """The finding about a first key that names no kind or version that is known."""
        path: Path = (key,)
        node = self._places.node(path)
        words = wording.wrong_kind(node, key, expected)
        return self._told("bad-value", path, self._places.of_value(path), words)

    def _is_house_word(self, violation: Violation) -> bool:
        if violation.keyword != "enum" or "house" not in violation.schema:
            return False
        node = self._places.node(violation.path)
        own = self._house.get(violation.schema["house"], ())
        return isinstance(node, Scalar) and node.text in own

    def _place(self, violation: Violation) -> Place:
        path, keyword = violation.path, violation.keyword
        if keyword in (UNKNOWN_KEY, "propertyNames"):
            return self._places.of_key((*path, violation.detail))
        if keyword in (MISSING_KEY, "minProperties"):
            return self._places.of_block(path)
        place = self._places.of_value(path)
        if violation.end is None:
            return place
        span = self._source.lines.span(place.span.start, violation.end)
        return replace(place, span=span)

    def _finding(self, violation: Violation, place: Place) -> Finding:
        path = violation.path
        if violation.keyword in (UNKNOWN_KEY, "propertyNames"):
            path = (*path, violation.detail)
        rule = _RULES.get(violation.keyword, "bad-value")
        if violation.error is not None:
            rule = "bad-quantity"
        return self._told(rule, path, place, self._words(violation))

    def _words(self, violation: Violation) -> Words:
        path, keyword = violation.path, violation.keyword
        field, node = field_at(self.schema, path), self._places.node(path)
        where = wording.place_name(path, self.schema)
        if keyword == UNKNOWN_KEY:
            return self._unknown_key(violation, where, field)
        if keyword == MISSING_KEY:
            inner = field_at(self.schema, (*path, violation.detail))
            return wording.missing_key(violation, where, inner)
        if keyword == "type":
            return wording.wrong_type(node, where, path, field)
        if violation.error is not None:
            return wording.no_quantity(violation.error, path)
        return wording.bad_value(violation, node, where, path, field)

    def _unknown_key(self, violation: Violation, where: str, field: Schema) -> Words:
        key = violation.detail
        self._compared += 1
        near: list[str] = []
        if self._compared <= MOST_COMPARED:
            near = candidates(self.schema, violation.path, key)
        parent = self._places.node(violation.path)
        value = self._places.node((*violation.path, key))
        return wording.unknown_key(key, value, parent, where, known_keys(field), near)

    def _told(self, rule: str, path: Path, place: Place, words: Words) -> Finding:
        fix = None
        if words.replacement is not None and not place.repeated:
            text = words.replacement
            if rule != "wrong-type":  # there the quotes can be what is wrong
                stands = self._source.text[place.span.start : place.span.end]
                text = in_place_of(stands, text)
            edit = Edit(place.span.start, place.span.end, text)
            fix = Fix(f"write `{words.replacement}`", (edit,))
        return Finding(
            rule=rule,
            level="error",
            path=self._source.path,
            span=place.span,
            message=words.message,
            help=words.help,
            document=self._document.index,
            pointer=self._places.pointer(path),
            related=place.related,
            fix=fix,
        )
