"""Every key of every kind of file, broken in every way: one finding, its rule, line and column."""

from __future__ import annotations

from typing import Any

import pytest

from waterlint.finding import Finding
from waterlint.source.document import read_text
from waterlint.source.schema import KINDS, check, load_schema
from waterlint.source.schema_fields import field_at

from .schema_samples import Path, Raw, Sample, build, paths, write

SCHEMAS: dict[str, dict[str, Any]] = {kind: load_schema(kind) for kind in KINDS}
PLACES = [
    (kind, path)
    for kind in KINDS
    for path in paths(SCHEMAS[kind])
    # The ranges of some paths are those of all: one definition, tested once.
    if path[:3] != ("paths", 0, "ranges") or len(path) == 3
]
KEYS = [(kind, path) for kind, path in PLACES if isinstance(path[-1], str)]
NAMED = [
    (kind, path)
    for kind, path in KEYS
    if path[-1] in field_at(SCHEMAS[kind], path[:-1]).get("properties", {})
]


def _id(value: object) -> str:
    return "/".join(map(str, value)) if isinstance(value, tuple) else str(value)


def _check(kind: str, sample: Sample) -> list[Finding]:
    source = read_text(sample.text, "a.yaml")
    assert not source.findings, sample.text
    return check(source.documents[0], source, kind)


def _only(kind: str, sample: Sample, rule: str, place: tuple[int, int]) -> Finding:
    findings = _check(kind, sample)
    told = [(finding.rule, finding.span.line, finding.span.column) for finding in findings]
    assert told == [(rule, *place)], sample.text
    finding = findings[0]
    assert finding.level == "error" and finding.message and finding.help
    return finding


def _set(data: Any, path: Path, value: object) -> None:
    for step in path[:-1]:
        data = data[step]
    data[path[-1]] = value


def _rename(data: Any, path: Path, name: str) -> None:
    for step in path[:-1]:
        data = data[step]
    entries = list(data.items())
    data.clear()
    data.update({name if key == path[-1] else key: value for key, value in entries})


def _broken(kind: str, path: Path, value: object) -> Sample:
    data = build(kind, SCHEMAS[kind], path)
    _set(data, path, value)
    return write(data)


def _field(kind: str, path: Path) -> Any:
    return field_at(SCHEMAS[kind], path)


def _types(kind: str, path: Path) -> list[str]:
    types = _field(kind, path)["type"]
    return [types] if isinstance(types, str) else list(types)


@pytest.mark.parametrize(("kind", "path"), PLACES, ids=_id)
def test_the_example_itself_is_sound(kind: str, path: Path) -> None:
    sample = write(build(kind, SCHEMAS[kind], path))
    assert _check(kind, sample) == [], sample.text
    assert path in sample.values


@pytest.mark.parametrize(("kind", "path"), [p for p in NAMED if p[1] != ("waterlint",)], ids=_id)
def test_misspelt_key(kind: str, path: Path) -> None:
    data = build(kind, SCHEMAS[kind], path)
    wrong = f"{path[-1]}x"
    _rename(data, path, wrong)
    sample = write(data)
    finding = _only(kind, sample, "unknown-key", sample.keys[(*path[:-1], wrong)])
    assert f"`{wrong}`" in finding.message
    assert f"`{path[-1]}`" in finding.help
    if finding.fix is not None:
        (edit,) = finding.fix.edits
        mended = sample.text[: edit.start] + edit.replacement + sample.text[edit.end :]
        assert mended == write(build(kind, SCHEMAS[kind], path)).text


REQUIRED = [
    (kind, path)
    for kind, path in NAMED
    if path[-1] in field_at(SCHEMAS[kind], path[:-1]).get("required", ()) and path != ("waterlint",)
]


@pytest.mark.parametrize(("kind", "path"), REQUIRED, ids=_id)
def test_missing_key(kind: str, path: Path) -> None:
    data = build(kind, SCHEMAS[kind], path)
    parent = data
    for step in path[:-1]:
        parent = parent[step]
    del parent[path[-1]]
    if not parent:  # an empty mapping has no block of its own to stand in
        key = next(iter(_optional(kind, path[:-1])))
        parent[key] = build(kind, SCHEMAS[kind], (), (*path[:-1], key))
    sample = write(data)
    block = path[:-1]
    if not block:
        place = (1, 1)
    else:
        place = sample.keys[block] if block in sample.keys else sample.values[block]
    finding = _only(kind, sample, "missing-key", place)
    assert f"`{path[-1]}`" in finding.message
    assert f"{path[-1]}: " in finding.help


def _optional(kind: str, path: Path) -> list[str]:
    field = _field(kind, path)
    return [key for key in field["properties"] if key not in field["required"]]


@pytest.mark.parametrize(("kind", "path"), [p for p in KEYS if p[1] != ("waterlint",)], ids=_id)
def test_no_value(kind: str, path: Path) -> None:
    sample = _broken(kind, path, Raw(""))
    finding = _only(kind, sample, "wrong-type", sample.keys[path])
    assert f"`{path[-1]}` has no value" in finding.message


@pytest.mark.parametrize(("kind", "path"), PLACES, ids=_id)
def test_wrong_type(kind: str, path: Path) -> None:
    types = _types(kind, path)
    wrong = {"string": "a text", "array": "[a list]", "object": "{a: group}"}
    for name in ("string", "array", "object"):
        if name in types or (path == ("waterlint",)):
            continue
        if name == "string" and ("boolean" in types or "number" in types):
            continue
        sample = _broken(kind, path, Raw(wrong[name]))
        _only(kind, sample, "wrong-type", sample.values[path])


QUANTITIES = [(kind, path) for kind, path in PLACES if "quantity" in _field(kind, path)]


@pytest.mark.parametrize(("kind", "path"), QUANTITIES, ids=_id)
def test_bad_quantity(kind: str, path: Path) -> None:
    wanted = _field(kind, path)["quantity"]
    if wanted["kind"] == "date":
        sample = _broken(kind, path, Raw("2026-02-30"))
        finding = _only(kind, sample, "bad-value", sample.values[path])
        assert "no day of the calendar" in finding.message
        return
    for text in ("much", "5 furlongs", "-5 L", "1e3"):
        sample = _broken(kind, path, Raw(text))
        finding = _only(kind, sample, "bad-quantity", sample.values[path])
        assert finding.message.startswith(_own_name(path))


def _own_name(path: Path) -> str:
    return str([step for step in path if isinstance(step, str)][-1])


WITH_UNIT = [
    (kind, path)
    for kind, path in QUANTITIES
    if _field(kind, path)["quantity"]["kind"] not in {"ph", "ratio", "count", "date"}
]


@pytest.mark.parametrize(("kind", "path"), WITH_UNIT, ids=_id)
def test_bare_number_where_a_unit_is_needed(kind: str, path: Path) -> None:
    wanted = _field(kind, path)["quantity"]
    text = "5 .. 9" if wanted["form"] == "range" else "5"
    sample = _broken(kind, path, Raw(text))
    finding = _only(kind, sample, "bad-quantity", sample.values[path])
    assert "has no unit" in finding.message and "example" in finding.help


LIMITED = [
    (kind, path, limit)
    for kind, path in QUANTITIES
    for limit in ("exclusiveMinimum", "maximum")
    if limit in _field(kind, path)["quantity"]
]


@pytest.mark.parametrize(("kind", "path", "limit"), LIMITED, ids=_id)
def test_limits_of_a_quantity(kind: str, path: Path, limit: str) -> None:
    field = _field(kind, path)
    unit = str(field["examples"][0]).partition(" ")[2]
    value = "0" if limit == "exclusiveMinimum" else "99999"
    text = "1 .. 99999" if field["quantity"]["form"] == "range" else f"{value} {unit}".strip()
    sample = _broken(kind, path, Raw(text))
    finding = _only(kind, sample, "bad-value", sample.values[path])
    assert ("above 0" if value == "0" else "at most") in finding.message


@pytest.mark.parametrize(
    ("kind", "path"),
    [p for p in PLACES if "enum" in _field(*p) or "enum" in _field(*p).get("then", {})],
    ids=_id,
)
def test_unknown_word(kind: str, path: Path) -> None:
    sample = _broken(kind, path, Raw("qqq"))
    finding = _only(kind, sample, "bad-value", sample.values[path])
    assert "`qqq`" in finding.message and "Write `" in finding.help


@pytest.mark.parametrize(
    ("kind", "path"), [p for p in PLACES if _field(*p).get("minLength")], ids=_id
)
def test_empty_text(kind: str, path: Path) -> None:
    sample = _broken(kind, path, Raw('""'))
    finding = _only(kind, sample, "bad-value", sample.values[path])
    assert "is empty" in finding.message


@pytest.mark.parametrize(
    ("kind", "path"), [p for p in PLACES if _field(*p).get("minItems")], ids=_id
)
def test_empty_list(kind: str, path: Path) -> None:
    sample = _broken(kind, path, Raw("[]"))
    finding = _only(kind, sample, "bad-value", sample.values[path])
    assert "is empty" in finding.message
