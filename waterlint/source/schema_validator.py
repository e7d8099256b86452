"""A validator of the schemas that also knows quantities: where a document does not fit, and how."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache

from waterlint.hints import TYPE_CHECKING, Any
from waterlint.records import Record
from waterlint.source.nodes import Kind, Mapping, Node, Scalar, Sequence
from waterlint.source.schema_reading import is_date, passed_limit, read_quantity, schema_of
from waterlint.units import QuantityError

if TYPE_CHECKING:
    from jsonschema.exceptions import ValidationError
    from jsonschema.protocols import Validator

    from waterlint.source.schema_fields import Path, Schema

_DATE = r"([0-9]{4})[-/.]([0-9]{1,2})[-/.]([0-9]{1,2})"


class Text(str):
    """A single value as it is written, with what YAML takes it for."""

    __slots__ = ("kind",)
    kind: Kind


class Violation(Record):
    """One way in which a document does not fit its schema.

    Attributes
    ----------
    keyword : str
        The schema's keyword that is not met.
    path : tuple
        Where.
    schema : mapping
        The part of the schema that has the keyword.
    detail : str
        The key that is unknown or missing, or the limit that is passed.
    error : QuantityError or None
        Why a text is no quantity.
    condition : mapping or None
        The ``if`` under which the keyword holds.
    end : int or None
        Where a text ends that YAML has cut at a comma.
    """

    keyword: str
    path: Path
    schema: Schema
    detail: str = ""
    error: QuantityError | None = None
    condition: Schema | None = None
    end: int | None = None


def violations(kind: str, root: Node) -> Iterator[Violation]:
    """Everything in a document that does not fit the schema of its kind."""
    for error in _validator(kind).iter_errors(as_data(root)):
        cause = error.cause
        yield Violation(
            str(error.validator),
            tuple(error.absolute_path),
            error.schema if isinstance(error.schema, dict) else {},
            error.message,
            cause if isinstance(cause, QuantityError) else None,
            cause.schema if isinstance(cause, _Condition) else None,
        )


def as_data(node: Node) -> Any:
    """A value as a validator of JSON takes it."""
    if isinstance(node, Mapping):
        return {key: as_data(entry.value) for key, entry in node.entries.items()}
    if isinstance(node, Sequence):
        return [as_data(item) for item in node.items]
    assert isinstance(node, Scalar)
    text = Text(node.text)
    text.kind = node.kind
    return text


@lru_cache(maxsize=8)
def _validator(kind: str) -> Validator:
    from jsonschema import Draft7Validator
    from jsonschema.validators import extend

    checker = Draft7Validator.TYPE_CHECKER.redefine_many(
        {
            # A text field takes whatever was written: `name: 1999` is the text 1999.
            "string": lambda _, value: isinstance(value, Text) and value.kind != "null",
            "number": lambda _, value: isinstance(value, Text) and value.kind in ("int", "float"),
            "integer": lambda _, value: isinstance(value, Text) and value.kind == "int",
            "boolean": lambda _, value: isinstance(value, Text) and value.kind == "bool",
            "null": lambda _, value: isinstance(value, Text) and value.kind == "null",
        }
    )
    keywords = {
        "quantity": _quantity,
        "pattern": _pattern,
        "required": _required,
        "additionalProperties": _additional_properties,
        "propertyNames": _property_names,
        "uniqueItems": _unique_items,
        "if": _if,
    }
    extended: Any = extend(Draft7Validator, keywords, type_checker=checker)  # type: ignore[no-untyped-call]
    validator: Validator = extended(schema_of(kind))
    return validator


class _Condition(Exception):
    """Carries the ``if`` of a schema along with an error of its ``then``."""

    def __init__(self, schema: Schema) -> None:
        super().__init__()
        self.schema = schema


def _error(message: str, cause: Exception | None = None, **place: Any) -> ValidationError:
    from jsonschema.exceptions import ValidationError

    return ValidationError(message, cause=cause, **place)


def _if(validator: Any, condition: Schema, instance: Any, schema: Schema) -> Iterator[Any]:
    holds = validator.evolve(schema=condition).is_valid(instance)
    branch = "then" if holds else "else"
    if branch in schema:
        for error in validator.descend(instance, schema[branch], schema_path=branch):
            if error.cause is None and not error.relative_path:
                error.cause = _Condition(condition)
            yield error


def _required(validator: Any, keys: Any, instance: Any, schema: Schema) -> Iterator[Any]:
    if validator.is_type(instance, "object"):
        for key in keys:
            if key not in instance:
                yield _error(key)


def _additional_properties(
    validator: Any, allowed: Any, instance: Any, schema: Schema
) -> Iterator[Any]:
    if not validator.is_type(instance, "object"):
        return
    for key, value in instance.items():
        if key in schema.get("properties", {}):
            continue
        if allowed is False:
            yield _error(key)
        else:
            yield from validator.descend(value, allowed, path=key)


def _property_names(validator: Any, names: Schema, instance: Any, schema: Schema) -> Iterator[Any]:
    if validator.is_type(instance, "object"):
        for key in instance:
            if not re.search(names["pattern"], key):
                yield _error(key)


def _unique_items(validator: Any, wanted: bool, instance: Any, schema: Schema) -> Iterator[Any]:
    if not wanted or not validator.is_type(instance, "array"):
        return
    first: dict[str, int] = {}
    for index, item in enumerate(instance):
        earlier = first.setdefault(repr(item), index)
        if earlier != index:
            yield _error(str(earlier), path=(index,))


def _pattern(validator: Any, pattern: str, instance: Any, schema: Schema) -> Iterator[Any]:
    # Beside a quantity the pattern is for editors, which do not know the keyword.
    if "quantity" in schema or not validator.is_type(instance, "string"):
        return
    if not re.search(pattern, instance):
        yield _error(pattern)


def _quantity(validator: Any, wanted: Schema, instance: Any, schema: Schema) -> Iterator[Any]:
    if not validator.is_type(instance, "string"):
        return
    text = str(instance)
    if wanted["kind"] == "date":
        if not is_date(text):
            yield _error("date")
        return
    try:
        quantity = read_quantity(text, wanted)
    except QuantityError as error:
        yield _error("", cause=error)
        return
    limit = passed_limit(quantity, wanted)
    if limit:
        yield _error(limit)


def as_date(text: str) -> str | None:
    """The day that a text means though it is written otherwise, where that is certain.

    Examples
    --------
    >>> as_date("2026/3/14"), as_date("14.3.2026")
    ('2026-03-14', None)
    """
    match = re.fullmatch(_DATE, text.strip())
    if match is None:
        return None
    day = "-".join(part.zfill(2) for part in match.groups())
    return day if is_date(day) else None
