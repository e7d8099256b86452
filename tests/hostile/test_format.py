"""Recipes made from the schema, then changed: whatever comes out, every report of it is valid."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from functools import lru_cache
from pathlib import Path
from random import Random

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.fuzzing.mutating import mutate, seeds
from tests.fuzzing.targets import TARGETS, surroundings
from waterlint.source import schema
from waterlint.source.document import read_text
from waterlint.source.schema import load_schema

Schema = Mapping[str, object]

KINDS = ("recipe", "water", "config")


@pytest.fixture(scope="module", autouse=True)
def folder() -> Iterator[Path]:
    with surroundings() as there:
        yield there


@lru_cache(maxsize=8)
def valid(kind: str) -> st.SearchStrategy[object]:
    """Documents that fit the schema of a kind."""
    whole = load_schema(kind)
    return _fitting(whole, whole, 0)


def _fitting(part: Schema, whole: Schema, depth: int) -> st.SearchStrategy[object]:
    if isinstance(part.get("$ref"), str):
        target: object = whole
        for step in str(part["$ref"]).removeprefix("#/").split("/"):
            assert isinstance(target, Mapping)
            target = target[step]
        assert isinstance(target, Mapping)
        return _fitting({**target, **{k: v for k, v in part.items() if k != "$ref"}}, whole, depth)
    if "const" in part:
        return st.just(part["const"])
    examples = part.get("examples")
    words = part.get("enum")
    if isinstance(words, list):
        return st.sampled_from(words)
    keys = part.get("properties")
    if isinstance(keys, Mapping) and (depth < 6 or not examples):
        required = part.get("required", [])
        assert isinstance(required, list)
        made = {name: _fitting(inner, whole, depth + 1) for name, inner in keys.items()}
        needed = {name: made.pop(name) for name in keys if name in required}
        return st.fixed_dictionaries(needed, optional=made)
    items = part.get("items")
    if part.get("type") == "array" and isinstance(items, Mapping):
        return st.lists(_fitting(items, whole, depth + 1), min_size=1, max_size=3)
    if isinstance(examples, list):
        return st.sampled_from(examples)
    choices = part.get("anyOf") or part.get("oneOf")
    if isinstance(choices, list):
        return st.one_of([_fitting(choice, whole, depth + 1) for choice in choices])
    return st.sampled_from(["words", "5 L", "2 g"])


def text_of(document: object) -> str:
    """A document as a file has it: its kind comes first."""
    assert isinstance(document, dict)
    ordered = {"waterlint": document["waterlint"], **document}
    return json.dumps(ordered, ensure_ascii=False, indent=1)


def test_the_documents_are_often_sound() -> None:
    """Else the changes would be tried on nothing but refused texts."""
    sound: list[bool] = []

    @settings(max_examples=20, deadline=None, database=None, derandomize=True)
    @given(st.sampled_from(KINDS).flatmap(valid))
    def count(document: object) -> None:
        source = read_text(text_of(document), "a.yaml")
        kind = schema.kind_of(source.documents[0])
        assert kind in KINDS
        sound.append(not source.findings and not schema.check(source.documents[0], source, kind))

    count()
    assert sum(sound) >= len(sound) // 10


_BUDGET = settings(
    max_examples=40, deadline=None, suppress_health_check=list(HealthCheck), database=None
)


@_BUDGET
@given(st.sampled_from(KINDS).flatmap(valid), st.integers(0, 2**32))
def test_made_and_changed(document: object, seed: int) -> None:
    text = text_of(document)
    TARGETS["linter"](text.encode("utf-8", "surrogatepass"))
    TARGETS["linter"](mutate(text, Random(seed)).encode("utf-8", "replace"))


@pytest.mark.parametrize("name", TARGETS)
def test_every_target_of_the_fuzzer(name: str) -> None:
    """What the fuzzer tries for hours is tried here for a second, so that it keeps working."""
    random = Random(7)
    for _ in range(8):
        text = mutate(random.choice(seeds()), random)
        TARGETS[name](random.randbytes(8) + text.encode("utf-8", "replace"))
        TARGETS[name](text.encode("utf-8", "surrogatepass"))
