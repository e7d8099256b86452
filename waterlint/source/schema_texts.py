"""Whether a single value is what a schema asks of it, decided fast."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping

from waterlint.hints import TYPE_CHECKING, Final
from waterlint.source.nodes import Kind
from waterlint.source.schema_reading import is_date, passed_limit, read_quantity
from waterlint.units import QuantityError

if TYPE_CHECKING:
    from waterlint.source.content import Content
    from waterlint.source.schema_fields import Schema

Check = Callable[["Content"], bool]

#: What is asked of a single value.
TEXT_KEYWORDS: Final = frozenset(("type", "const", "enum", "minLength", "pattern", "quantity"))
#: The types of JSON that a value of each kind counts as; a text field takes what was written.
_SCALAR_TYPES: Final[Mapping[Kind, frozenset[str]]] = {
    "null": frozenset(("null",)),
    "bool": frozenset(("string", "boolean")),
    "int": frozenset(("string", "number", "integer")),
    "float": frozenset(("string", "number")),
    "str": frozenset(("string",)),
}
#: Texts whose judgement is remembered at each place of a schema.
_MOST_REMEMBERED: Final = 2000


def text_check(schema: Schema, house: Mapping[str, frozenset[str]]) -> Check:
    """The check of what is asked of a single value; its type is asked of any value.

    Raises
    ------
    ValueError
        If a word to be taken is no text.
    """
    types = _types(schema)
    kinds = frozenset(kind for kind, are in _SCALAR_TYPES.items() if types is None or are & types)
    words = _words(schema, house)
    takes_mapping = words is None and (types is None or "object" in types)
    takes_list = words is None and (types is None or "array" in types)
    asks = _asks(schema)
    known: dict[str, bool] = {}

    def check(content: Content) -> bool:
        if not isinstance(content, tuple):
            return takes_list if isinstance(content, list) else takes_mapping
        text, kind = content
        if kind not in kinds or (words is not None and text not in words):
            return False
        if asks is None or kind == "null":
            return True
        fit = known.get(text)
        if fit is None:
            if len(known) >= _MOST_REMEMBERED:
                known.clear()
            fit = known[text] = asks(text)
        return fit

    return check


def _types(schema: Schema) -> frozenset[str] | None:
    types = schema.get("type")
    return None if types is None else frozenset([types] if isinstance(types, str) else types)


def _words(schema: Schema, house: Mapping[str, frozenset[str]]) -> frozenset[str] | None:
    """The words that are taken, those of the house among them; `None` where all are."""
    if "const" not in schema and "enum" not in schema:
        return None
    words = frozenset(schema["enum"] if "enum" in schema else (schema["const"],))
    if "const" in schema:
        words &= {schema["const"]}
    if not all(isinstance(word, str) for word in words):
        raise ValueError("const and enum are only known with texts")
    return words | house.get(schema.get("house", ""), frozenset())


def _asks(schema: Schema) -> Callable[[str], bool] | None:
    """What is asked of the text itself; `None` where nothing is."""
    least: int = schema.get("minLength", 0)
    wanted: Schema | None = schema.get("quantity")
    # Beside a quantity the pattern is for editors, which do not know the keyword.
    pattern = re.compile(schema["pattern"]).search if "pattern" in schema and not wanted else None
    if not least and wanted is None and pattern is None:
        return None

    def asks(text: str) -> bool:
        if len(text) < least or (pattern is not None and not pattern(text)):
            return False
        return wanted is None or _is_quantity(text, wanted)

    return asks


def _is_quantity(text: str, wanted: Schema) -> bool:
    if wanted["kind"] == "date":
        return is_date(text)
    try:
        return not passed_limit(read_quantity(text, wanted), wanted)
    except QuantityError:
        return False
