"""The fast gate and jsonschema: the same verdict on thousands of sound and broken documents."""

from __future__ import annotations

from copy import deepcopy
from random import Random
from typing import Any

import pytest

from waterlint.source import schema_faults, schema_gate
from waterlint.source.document import read_text
from waterlint.source.schema import KINDS, check, load_schema
from waterlint.source.schema_fields import field_at
from waterlint.source.schema_gate import _Compiler, fits
from waterlint.source.schema_validator import violations

from .schema_samples import build, paths, write

SCHEMAS: dict[str, dict[str, Any]] = {kind: load_schema(kind) for kind in KINDS}
SHALLOW = {kind: [path for path in paths(SCHEMAS[kind]) if len(path) < 5] for kind in KINDS}
MUTATED = 2000

#: What a slip of the pen, or malice, puts in the place of a value.
VALUES: tuple[Any, ...] = (
    "",
    "~",
    "null",
    "true",
    "no",
    0,
    7,
    1.5,
    "1e999",
    ".nan",
    "0x1F",
    "15.5 L",
    "15,5 L",
    "0 L",
    "-3 g",
    "500 °C",
    "12 %",
    "120 %",
    "5.4",
    "14.1",
    "50 .. 110 mg/L",
    "110 .. 50 mg/L",
    ".. 100 mg/L",
    "< 0.02 mg/L",
    "42 ± 3 mg/L as CaCO3",
    "2026-03-14",
    "2026-02-30",
    "boiled",
    "crystal",
    "recipe/1",
    "water/1",
    "config/1",
    "Moor-Floor",
    "moor-floor-malt",
    "a.b",
    {},
    [],
    {"volume": "15.5 L"},
    {"bicarbonate": "12 mg/L"},
    ["boiled"],
    ["boiled", "boiled"],
    [{"water": "distilled", "share": "50 %"}, {"water": "distilled", "share": "50 %"}],
)


def verdicts(kind: str, data: Any) -> tuple[bool, bool, str]:
    """What the gate says, what jsonschema says, and the text that they were asked about."""
    text = write(data).text
    document = read_text(text, "a.yaml").documents[0]
    return fits(kind, document.content), not list(violations(kind, document.root)), text


def enrich(kind: str, data: Any, random: Random) -> Any:
    """Put an example of the schema's own somewhere, mostly where it belongs."""
    data = deepcopy(data)
    path = random.choice(SHALLOW[kind])
    here = data
    for step in path[:-1]:
        inner = here.get(step) if isinstance(here, dict) else None
        if isinstance(here, list) and here:
            inner = here[0]
        if not isinstance(inner, dict | list):
            return data
        here = inner
    examples = field_at(SCHEMAS[kind], path).get("examples", [None])
    if isinstance(here, dict):
        here[path[-1]] = deepcopy(random.choice(examples))
    return data


def mutate(kind: str, data: Any, random: Random) -> Any:
    """Change something somewhere, mostly for the worse."""
    data = deepcopy(data)
    at, step = random.choice(list(_places(data)))
    what = random.randrange(6)
    if what == 0:
        del at[step]
    elif what == 1 and isinstance(at, dict):
        at[f"{step}{random.choice(('x', ' X'))}"] = at.pop(step)
    elif what == 2 and isinstance(at, list):
        at.append(deepcopy(at[step]))
    elif what == 3 and isinstance(at, dict):
        key = random.choice([key for _, key in _places(data) if isinstance(key, str)])
        at[key] = deepcopy(random.choice(VALUES))
    elif what == 4:
        at[step] = [at[step], at[step]]
    else:
        at[step] = deepcopy(random.choice(VALUES))
    return data


def _places(data: Any) -> Any:
    for step, value in data.items() if isinstance(data, dict) else enumerate(data):
        yield data, step
        if isinstance(value, dict | list):
            yield from _places(value)


@pytest.mark.parametrize("kind", KINDS)
def test_every_place_of_a_sound_file(kind: str) -> None:
    for path in paths(SCHEMAS[kind]):
        gate, judge, text = verdicts(kind, build(kind, SCHEMAS[kind], path))
        assert gate and judge, text


@pytest.mark.parametrize("kind", KINDS)
def test_mutated_files(kind: str) -> None:
    random = Random(20261125)
    whole = SCHEMAS[kind]["examples"]
    sound = [build(kind, SCHEMAS[kind], path) for path in paths(SCHEMAS[kind])]
    seen = {True: 0, False: 0}
    for number in range(MUTATED):
        data = random.choice([*whole, random.choice(sound)])
        for _ in range(1 + number % 3):
            change = mutate if random.random() < 0.4 else enrich
            data = change(kind, data, random) or data
        gate, judge, text = verdicts(kind, data)
        assert gate == judge, text
        seen[judge] += 1
    # Both verdicts come up often, else the comparison would say little.
    assert min(seen.values()) > MUTATED / 20, seen


@pytest.mark.parametrize("bicarbonate", [True, False])
@pytest.mark.parametrize("alkalinity", [True, False])
def test_one_of_alkalinity_and_bicarbonate(bicarbonate: bool, alkalinity: bool) -> None:
    data = deepcopy(SCHEMAS["water"]["examples"][0])
    data["ions"] |= {"bicarbonate": "117 mg/L"} if bicarbonate else {}
    if not alkalinity:
        del data["alkalinity"]
    gate, judge, text = verdicts("water", data)
    assert gate == judge == (bicarbonate or alkalinity), text


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("text", ["just a word", "[]", "{}", "- waterlint: recipe/1", "12"])
def test_documents_that_are_no_mapping(kind: str, text: str) -> None:
    document = read_text(text, "a.yaml").documents[0]
    assert fits(kind, document.content) == (not list(violations(kind, document.root)))


def test_a_word_of_the_house() -> None:
    data = deepcopy(SCHEMAS["recipe"]["examples"][0])
    data["grist"][0]["kind"] = "moor-floor-malt"
    content = read_text(write(data).text, "a.yaml").documents[0].content
    assert not fits("recipe", content)
    assert fits("recipe", content, {"malts": ["moor-floor-malt"]})
    assert not fits("recipe", content, {"styles": ["moor-floor-malt"]})


@pytest.mark.parametrize(
    "part",
    [
        {"oneOf": [{"type": "string"}]},
        {"type": "object", "patternProperties": {}},
        {"const": 5},
        {"enum": ["a", None]},
        {"items": [{"type": "string"}]},
        {"propertyNames": {"minLength": 2}},
    ],
)
def test_what_the_gate_does_not_know_is_refused(part: dict[str, Any]) -> None:
    with pytest.raises(ValueError, match="known"):
        _Compiler(part, ()).check(part)


def test_a_sound_file_needs_no_jsonschema(monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*_: object) -> None:
        raise AssertionError("jsonschema was asked")

    monkeypatch.setattr(schema_faults, "find_faults", fail)
    source = read_text(write(SCHEMAS["recipe"]["examples"][0]).text, "a.yaml")
    assert check(source.documents[0], source, "recipe") == []


def test_only_so_many_texts_are_remembered() -> None:
    part = {"type": "string", "quantity": {"kind": "volume", "form": "value"}}
    decide = schema_gate._Compiler(part, ()).check(part)
    for number in range(5000):
        assert decide((f"{number} L", "str"))
    (known,) = [
        cell.cell_contents
        for cell in decide.__closure__ or ()
        if isinstance(cell.cell_contents, dict)
    ]
    assert len(known) <= 2000
