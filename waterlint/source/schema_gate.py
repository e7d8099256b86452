"""Whether a document fits its schema at all, decided fast; why not is another room's work.

The schema is compiled to functions that walk the positioned tree, each place of it when a
document first has something there. They know the keywords that the schemas use and refuse to
compile any other, so that no keyword is ever passed over in silence.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Mapping
from functools import lru_cache
from typing import Final

from waterlint.source.nodes import Mapping as MappingNode
from waterlint.source.nodes import Node, Sequence
from waterlint.source.schema_fields import Schema
from waterlint.source.schema_texts import TEXT_KEYWORDS, Check, text_check
from waterlint.source.schema_validator import as_data, schema_of

#: What a schema says to people and to editors.
_WORDS: Final = frozenset(
    ("$schema", "title", "description", "examples", "definitions", "also", "house")
)
_MAPPING: Final = frozenset(
    ("required", "minProperties", "propertyNames", "properties", "additionalProperties")
)
_LIST: Final = frozenset(("items", "minItems", "uniqueItems"))
_KNOWN: Final = _WORDS | TEXT_KEYWORDS | _MAPPING | _LIST | {"if", "then", "else", "not"}

House = tuple[tuple[str, frozenset[str]], ...]


def fits(kind: str, root: Node, house: Mapping[str, Collection[str]] | None = None) -> bool:
    """Whether a document fits the schema of its kind.

    Parameters
    ----------
    kind : str
        ``recipe``, ``water`` or ``config``.
    root : Node
    house : mapping of str to collection of str, optional
        Words of the house's own, as for `waterlint.source.schema.check`.

    Returns
    -------
    bool
        True exactly where `waterlint.source.schema_validator.violations` finds nothing, but for
        words of the house's own.

    Examples
    --------
    >>> from waterlint.source.document import read_text
    >>> document = read_text("waterlint: config/1\\nscale: {mass: 1 g}\\n", "a.yaml").documents[0]
    >>> fits("config", document.root)
    True
    """
    words = tuple((name, frozenset(own)) for name, own in (house or {}).items())
    return _gate(kind, words)(root)


@lru_cache(maxsize=64)
def _gate(kind: str, house: House) -> Check:
    return _Compiler(schema_of(kind), house).check(schema_of(kind))


class _Compiler:
    """Makes checks from the parts of one schema."""

    def __init__(self, root: Schema, house: House) -> None:
        self._root = root
        self._house = dict(house)
        self._named: dict[str, Check] = {}

    def check(self, schema: Schema | bool) -> Check:
        """The check of a part of the schema.

        Raises
        ------
        ValueError
            If the part has a keyword that is not known here.
        """
        if isinstance(schema, bool):
            return _always if schema else _never
        if "$ref" in schema:  # in draft-07 nothing beside it counts
            return self._reference(schema["$ref"])
        if unknown := set(schema) - _KNOWN:
            raise ValueError(f"the schema has a keyword that is not known: {sorted(unknown)}")
        return _all(
            [
                *(
                    [text_check(schema, self._house)]
                    if not TEXT_KEYWORDS.isdisjoint(schema)
                    else ()
                ),
                *self._collections(schema),
                *self._conditions(schema),
            ]
        )

    def _reference(self, name: str) -> Check:
        if name not in self._named:
            part = self._root["definitions"][name.removeprefix("#/definitions/")]
            self._named[name] = self.check(part)
        return self._named[name]

    def _collections(self, schema: Schema) -> list[Check]:
        checks: list[Check] = []
        if not _MAPPING.isdisjoint(schema):
            checks.append(self._mapping(schema))
        if not _LIST.isdisjoint(schema):
            checks.append(self._list(schema))
        return checks

    def _mapping(self, schema: Schema) -> Check:
        required = frozenset(schema.get("required", ()))
        least: int = schema.get("minProperties", 0)
        name_fits = _name_check(schema.get("propertyNames"))
        properties: Schema = schema.get("properties", {})
        further = schema.get("additionalProperties", True)
        if not required and not least and name_fits is None and not properties and further is True:
            return _always
        made: dict[str, Check] = {}

        def check(node: Node) -> bool:
            if node.__class__ is not MappingNode:
                return True
            entries = node.entries
            if len(entries) < least:
                return False
            if not required <= entries.keys():
                return False
            for key, entry in entries.items():
                if name_fits is not None and not name_fits(key):
                    return False
                each = made.get(key)
                if each is None:
                    if key in properties:
                        each = made[key] = self.check(properties[key])
                    elif further is False:
                        return False
                    else:
                        each = other()
                if not each(entry.value):
                    return False
            return True

        @lru_cache(maxsize=1)
        def other() -> Check:
            return self.check(further)

        return check

    def _list(self, schema: Schema) -> Check:
        least: int = schema.get("minItems", 0)
        unique: bool = schema.get("uniqueItems", False)
        item: Schema | bool = schema.get("items", True)
        if isinstance(item, list):
            raise ValueError("items is only known with one schema for all")
        made: list[Check] = []

        def check(node: Node) -> bool:
            if node.__class__ is not Sequence:
                return True
            items = node.items
            if len(items) < least:
                return False
            if not made:
                made.append(self.check(item))
            fits_item = made[0]
            for each in items:
                if not fits_item(each):
                    return False
            return not unique or len({repr(as_data(each)) for each in items}) == len(items)

        return check

    def _conditions(self, schema: Schema) -> list[Check]:
        checks: list[Check] = []
        if "not" in schema:
            refused = self.check(schema["not"])
            checks.append(lambda node: not refused(node))
        if "if" in schema:
            condition = self.check(schema["if"])
            then, otherwise = (self.check(schema.get(key, True)) for key in ("then", "else"))
            checks.append(lambda node: (then if condition(node) else otherwise)(node))
        return checks


def _name_check(names: Schema | None) -> Callable[[str], object] | None:
    """What tells whether a key fits; `None` where every key does."""
    if names is None:
        return None
    if set(names) - _WORDS != {"pattern"}:
        raise ValueError("propertyNames is only known with a pattern")
    return re.compile(names["pattern"]).search


def _all(checks: list[Check]) -> Check:
    if len(checks) == 1:
        return checks[0]
    if len(checks) == 2:
        first, second = checks
        return lambda node: first(node) and second(node)

    def check(node: Node) -> bool:
        for each in checks:  # noqa: SIM110 — a generator for each value takes longer than this
            if not each(node):
                return False
        return True

    return check


def _always(node: Node) -> bool:
    return True


def _never(node: Node) -> bool:
    return False
