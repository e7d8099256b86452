"""Whether a document fits its schema at all, decided fast; why not is another room's work.

The schema is compiled to functions that walk what a document says, each place of it when a
document first has something there. They know the keywords that the schemas use and refuse to
compile any other, so that no keyword is ever passed over in silence. A mapping of single values
that was found to fit at a place is known there: recipes of one house have many in common.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Mapping
from functools import lru_cache

from waterlint.hints import TYPE_CHECKING, Final
from waterlint.source.schema_reading import schema_of
from waterlint.source.schema_texts import TEXT_KEYWORDS, Check, text_check

if TYPE_CHECKING:
    from waterlint.source.content import Content
    from waterlint.source.schema_fields import Schema

#: What a schema says to people and to editors.
_WORDS: Final = frozenset(
    ("$schema", "title", "description", "examples", "definitions", "also", "house")
)
_MAPPING: Final = frozenset(
    ("required", "minProperties", "propertyNames", "properties", "additionalProperties")
)
_LIST: Final = frozenset(("items", "minItems", "uniqueItems"))
_KNOWN: Final = _WORDS | TEXT_KEYWORDS | _MAPPING | _LIST | {"if", "then", "else", "not"}

#: Mappings that are remembered at each place of a schema.
_MOST_REMEMBERED: Final = 1000

House = tuple[tuple[str, frozenset[str]], ...]


def fits(kind: str, content: Content, house: Mapping[str, Collection[str]] | None = None) -> bool:
    """Whether a document fits the schema of its kind.

    Parameters
    ----------
    kind : str
        ``recipe``, ``water`` or ``config``.
    content : Content
        What the document says.
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
    >>> fits("config", document.content)
    True
    """
    words = tuple((name, frozenset(own)) for name, own in (house or {}).items())
    return _gate(kind, words)(content)


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
        checks = [*self._collections(schema), *self._conditions(schema)]
        asked = TEXT_KEYWORDS.intersection(schema)
        # What asks for a mapping or a list tells by itself that something else is none.
        if asked and not (asked == {"type"} and schema["type"] in _asked_for(schema)):
            checks.insert(0, text_check(schema, self._house))
        return _all(checks) if _MAPPING.isdisjoint(schema) else _remembering(_all(checks))

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
        required: frozenset[str] = frozenset(schema.get("required", ()))
        least: int = schema.get("minProperties", 0)
        name_fits = _name_check(schema.get("propertyNames"))
        properties: Schema = schema.get("properties", {})
        further = schema.get("additionalProperties", True)
        is_asked = schema.get("type") == "object"
        asks_all = further is not True or name_fits is not None
        made: dict[str, Check] = {}

        def check(content: Content) -> bool:
            if not isinstance(content, dict):
                return not is_asked
            if len(content) < least or not required <= content.keys():
                return False
            keys = content if asks_all else [key for key in properties if key in content]
            for key in keys:
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
                if not each(content[key]):
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
        is_asked = schema.get("type") == "array"
        made: list[Check] = []

        def check(content: Content) -> bool:
            if not isinstance(content, list):
                return not is_asked
            if len(content) < least:
                return False
            if not made:
                made.append(self.check(item))
            fits_item = made[0]
            for each in content:
                if not fits_item(each):
                    return False
            return not unique or len({repr(_texts(each)) for each in content}) == len(content)

        return check

    def _conditions(self, schema: Schema) -> list[Check]:
        checks: list[Check] = []
        if "not" in schema:
            refused = self.check(schema["not"])
            checks.append(lambda content: not refused(content))
        if "if" in schema:
            condition = self.check(schema["if"])
            then, otherwise = (self.check(schema.get(key, True)) for key in ("then", "else"))
            checks.append(lambda content: (then if condition(content) else otherwise)(content))
        return checks


def _asked_for(schema: Schema) -> Collection[str]:
    """The kinds of collections that a part of the schema asks something of."""
    parts = (("object", _MAPPING), ("array", _LIST))
    return [kind for kind, keywords in parts if not keywords.isdisjoint(schema)]


def _name_check(names: Schema | None) -> Callable[[str], object] | None:
    """What tells whether a key fits; `None` where every key does."""
    if names is None:
        return None
    if set(names) - _WORDS != {"pattern"}:
        raise ValueError("propertyNames is only known with a pattern")
    return re.compile(names["pattern"]).search


def _remembering(check: Check) -> Check:
    """The same check; it remembers mappings of nothing but single values that fit."""
    known: set[object] = set()
    is_flat = True

    def remembered(content: Content) -> bool:
        nonlocal is_flat
        if not is_flat or not isinstance(content, dict):
            return check(content)
        entries = tuple(content.items())
        try:
            if entries in known:
                return True
        except TypeError:  # there are collections at this place, which cannot be looked up
            is_flat = False
        if not check(content):
            return False
        if is_flat:
            if len(known) >= _MOST_REMEMBERED:
                known.clear()
            known.add(entries)
        return True

    return remembered


def _all(checks: list[Check]) -> Check:
    if len(checks) == 1:
        return checks[0]
    if len(checks) == 2:
        first, second = checks
        return lambda content: first(content) and second(content)

    def check(content: Content) -> bool:
        for each in checks:  # noqa: SIM110 — a generator for each value takes longer than this
            if not each(content):
                return False
        return True

    return check


def _texts(content: Content) -> object:
    """A content by its texts alone, as its schema compares it."""
    if isinstance(content, dict):
        return {key: _texts(value) for key, value in content.items()}
    return [_texts(item) for item in content] if isinstance(content, list) else content[0]


def _always(content: Content) -> bool:
    return True


def _never(content: Content) -> bool:
    return False
