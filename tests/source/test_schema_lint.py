"""The schemas themselves: the dialect, words on every property, examples that hold."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft7Validator

from waterlint.source import schema_reading
from waterlint.source.schema import KINDS, load_schema
from waterlint.source.schema_fields import resolve
from waterlint.source.schema_reading import is_date, read_quantity
from waterlint.units import KINDS as QUANTITY_KINDS
from waterlint.units.table import Kind

ALL = (*KINDS, "findings", "compare", "audit", "suggestion")
ROOTS: dict[str, Any] = {kind: load_schema(kind) for kind in ALL}
#: Keywords whose meaning every reader of the schemas shares, and our own three.
OURS = {"quantity", "also", "house"}
ANNOTATIONS = {"title", "description", "examples", "also"}
KEYWORDS = (
    ANNOTATIONS
    | OURS
    | {
        "$schema",
        "$ref",
        "additionalProperties",
        "const",
        "definitions",
        "else",
        "enum",
        "if",
        "items",
        "minItems",
        "minLength",
        "minProperties",
        "minimum",
        "not",
        "pattern",
        "properties",
        "propertyNames",
        "required",
        "then",
        "type",
        "uniqueItems",
    }
)


def _schemas(schema: Any, where: str = "") -> Iterator[tuple[str, dict[str, Any]]]:
    """Every schema within a schema."""
    if not isinstance(schema, dict):
        return
    yield where, schema
    for key in ("additionalProperties", "items", "if", "then", "else", "not", "propertyNames"):
        yield from _schemas(schema.get(key), f"{where}/{key}")
    for key in ("properties", "definitions"):
        for name, inner in schema.get(key, {}).items():
            yield from _schemas(inner, f"{where}/{key}/{name}")


WITHIN = [
    pytest.param(kind, where, schema, id=f"{kind}{where}")
    for kind in ALL
    for where, schema in _schemas(ROOTS[kind])
]
PROPERTIES = [
    param
    for param in WITHIN
    if re.search(r"/(properties|definitions)/[^/]+$|/(items|additionalProperties)$", param.id or "")
    and "/if/" not in (param.id or "")
]


@pytest.mark.parametrize("kind", ALL)
def test_a_schema_is_valid_draft_7(kind: str) -> None:
    schema = ROOTS[kind]
    assert schema["$schema"] == "http://json-schema.org/draft-07/schema#"
    Draft7Validator.check_schema(schema)


@pytest.mark.parametrize(("kind", "where", "schema"), WITHIN)
def test_only_keywords_that_are_meant(kind: str, where: str, schema: dict[str, Any]) -> None:
    # oneOf and anyOf tell the wrong branch; formats are not checked by all readers.
    assert set(schema) <= KEYWORDS
    if "$ref" in schema:  # readers pass over what stands beside a reference
        assert set(schema) - {"$ref"} <= ANNOTATIONS
    asking = [key for key in schema if key not in ANNOTATIONS | {"$schema"}]
    assert "type" not in asking or asking[0] == "type"  # a wrong type is told before all else
    if schema.get("properties") and "type" in schema:
        assert schema["additionalProperties"] is False
        assert set(schema.get("required", ())) <= set(schema["properties"])


@pytest.mark.parametrize(("kind", "where", "schema"), PROPERTIES)
def test_every_property_is_explained(kind: str, where: str, schema: dict[str, Any]) -> None:
    assert schema["title"][0].isupper() or schema["title"] == "pH"
    assert schema["description"].endswith(".")
    assert schema["description"].removesuffix(".") != schema["title"]
    assert schema["examples"]


def _plain(kind: str) -> Draft7Validator:
    return Draft7Validator(ROOTS[kind])


@pytest.mark.parametrize(("kind", "where", "schema"), PROPERTIES)
def test_examples_hold(kind: str, where: str, schema: dict[str, Any]) -> None:
    root = ROOTS[kind]
    validator = Draft7Validator({**schema, "definitions": root.get("definitions", {})})
    for example in schema["examples"]:
        assert [error.message for error in validator.iter_errors(example)] == []
        _hold_quantities(root, schema, example)


@pytest.mark.parametrize("kind", ALL)
def test_the_example_of_a_whole_file_holds(kind: str) -> None:
    root = ROOTS[kind]
    for example in root["examples"]:
        assert [error.message for error in _plain(kind).iter_errors(example)] == []
        _hold_quantities(root, root, example)


def _hold_quantities(root: Any, schema: Any, value: Any) -> None:
    schema = resolve(schema, root)
    if isinstance(value, dict):
        for key, inner in value.items():
            field = schema.get("properties", {}).get(key, schema.get("additionalProperties"))
            if isinstance(field, dict):
                _hold_quantities(root, field, inner)
    elif isinstance(value, list):
        for inner in value:
            _hold_quantities(root, schema.get("items", {}), inner)
    elif "quantity" in schema and schema["quantity"]["kind"] == "date":
        assert is_date(value)
    elif "quantity" in schema:
        assert read_quantity(str(value), schema["quantity"])


QUANTITIES = [param for param in WITHIN if "quantity" in param.values[2]]


@pytest.mark.parametrize(("kind", "where", "schema"), QUANTITIES)
def test_quantities_are_of_a_known_kind(kind: str, where: str, schema: dict[str, Any]) -> None:
    wanted = schema["quantity"]
    assert set(wanted) <= {"kind", "form", "substance", "exclusiveMinimum", "maximum"}
    assert wanted["kind"] in {*QUANTITY_KINDS, "date"}
    assert wanted["form"] in {"value", "range"}
    assert "string" in schema["type"]
    if wanted["kind"] == "concentration":
        name = where.rpartition("/")[2]
        if name == "additionalProperties":
            name = where.split("/")[-2]
        assert wanted["substance"] == {"dissolved_solids": "solids"}.get(name, name)


def _texts(kind: Kind, form: str) -> st.SearchStrategy[str]:
    digits = [""] if kind.whole else ["", ".5", ".04"]
    number = st.builds("{}{}".format, st.integers(0, 9999), st.sampled_from(digits))
    units = [unit.symbol for unit in kind.units] or (
        ["mg/L", "µg/L", "ppm"] if kind.chemical else [""]
    )
    unit = st.sampled_from([f" {each}" if each else "" for each in units])
    if form == "value":
        spread = number.map(lambda sd: f" ± {sd}") | st.just("")
        return st.builds("{}{}{}".format, number, spread, unit)
    pair = st.tuples(number, number).map(lambda two: sorted(two, key=float))
    both = pair.map(lambda two: f"{two[0]} .. {two[1]}")
    return st.builds(
        "{}{}".format, both | number.map(".. {}".format) | number.map("{} ..".format), unit
    )


#: One schema of each kind, form and pattern.
PATTERNS = {
    (schema["quantity"]["kind"], schema["quantity"]["form"], schema["pattern"]): schema
    for _, _, schema in (param.values for param in QUANTITIES)
}


@pytest.mark.parametrize("schema", PATTERNS.values(), ids=map(str, PATTERNS))
@given(data=st.data())
@settings(max_examples=20, deadline=None)
def test_patterns_for_editors_take_what_is_sound(
    schema: dict[str, Any], data: st.DataObject
) -> None:
    wanted = schema["quantity"]
    if wanted["kind"] == "date":
        text = data.draw(st.dates()).isoformat()
    else:
        text = data.draw(_texts(QUANTITY_KINDS[wanted["kind"]], wanted["form"]))
        read_quantity(text, wanted)
    assert re.search(schema["pattern"], text)


@pytest.mark.parametrize("text", ["15,5 L", "15", "much", "-5 L"])
def test_patterns_for_editors_refuse_common_slips(text: str) -> None:
    schema = ROOTS["recipe"]["properties"]["batch"]["properties"]["volume"]
    assert not re.search(schema["pattern"], text)


def test_other_names_are_no_keys_of_the_same_mapping() -> None:
    for kind in KINDS:
        for where, schema in _schemas(ROOTS[kind]):
            properties = schema.get("properties", {})
            for key, inner in properties.items():
                for name in inner.get("also", ()) if isinstance(inner, dict) else ():
                    assert name not in properties, (kind, where, key)
                    assert name == name.casefold()


def test_unknown_schema() -> None:
    for kind in ("beer", "../recipe", ""):
        with pytest.raises(ValueError, match="there is no schema"):
            load_schema(kind)


def test_schemas_are_found_in_a_wheel(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    package = tmp_path / "site" / "waterlint"
    (package / "schemas").mkdir(parents=True)
    (package / "source").mkdir()
    schema = {"title": "as installed"}
    (package / "schemas" / "recipe.schema.json").write_text(json.dumps(schema), encoding="utf-8")
    monkeypatch.setattr(schema_reading, "__file__", str(package / "source" / "x.py"))
    assert schema_reading.read_schema("recipe") == schema


def test_a_loaded_schema_is_the_callers_own() -> None:
    load_schema("recipe").clear()
    assert load_schema("recipe")["title"] == "Recipe"
