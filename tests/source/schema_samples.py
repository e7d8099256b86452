"""Whole files made from the examples of a schema, with the place of every key and value."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from waterlint.source.schema_fields import as_yaml, field_at, resolve

Path = tuple[str | int, ...]

#: What a file needs beyond `required`, by kind and by where it stands.
_ALSO_NEEDED = {
    ("recipe", ()): ("grist",),
    ("recipe", ("additions", 0)): ("mash",),
    ("water", ()): ("alkalinity",),
}


@dataclass(slots=True)
class Sample:
    """A file's text, and by path the line and column of each key and value."""

    text: str = ""
    keys: dict[Path, tuple[int, int]] = field(default_factory=dict)
    values: dict[Path, tuple[int, int]] = field(default_factory=dict)


def paths(schema: dict[str, Any], at: Path = ()) -> Iterator[Path]:
    """Every place that a schema describes; a map of free names has one, by its example."""
    inner = field_at(schema, at)
    names = list(inner.get("properties", {}))
    free = inner.get("additionalProperties")
    if isinstance(free, dict):
        examples = [example for example in inner["examples"] if isinstance(example, dict)]
        names.append(next(iter(examples[0])))
    for name in names:
        yield (*at, name)
        yield from paths(schema, (*at, name))
    if "items" in inner or "items" in inner.get("else", {}):
        yield (*at, 0)
        yield from paths(schema, (*at, 0))


def build(kind: str, schema: dict[str, Any], wanted: Path, at: Path = ()) -> Any:
    """The least data that has the place `wanted`, filled with the schema's examples."""
    inner = resolve(field_at(schema, at), schema)
    types = inner.get("type", "string")
    types = [types] if isinstance(types, str) else types
    step = wanted[0] if wanted else None
    if "array" in types and (isinstance(step, int) or types == ["array"]):
        return [build(kind, schema, wanted[1:] if isinstance(step, int) else (), (*at, 0))]
    if "object" in types and (isinstance(step, str) or types == ["object"]):
        names = [*inner.get("required", ()), *_ALSO_NEEDED.get((kind, at), ())]
        names = [*names, step] if isinstance(step, str) and step not in names else names
        if not names and not wanted and inner.get("minProperties"):
            names = list(inner["examples"][0])
        order = [*inner.get("properties", {}), *names]
        return {
            name: build(kind, schema, wanted[1:] if name == step else (), (*at, name))
            for name in sorted(dict.fromkeys(names), key=order.index)
        }
    return inner["examples"][0]


def write(data: Any) -> Sample:
    """Data as block YAML."""
    sample, lines = Sample(), []
    _write(data, (), 0, lines, sample)
    sample.text = "\n".join(lines) + "\n"
    return sample


def _write(data: Any, at: Path, indent: int, lines: list[str], sample: Sample) -> None:
    """Write a collection whose first line may have begun: the last line is then its dash."""
    items = data.items() if isinstance(data, dict) else enumerate(data)
    for name, value in items:
        path = (*at, name)
        if lines and lines[-1].endswith("- ") and len(lines[-1]) == indent:
            line = lines.pop()
        else:
            line = " " * indent
        number = len(lines) + 1
        if isinstance(data, dict):
            sample.keys[path] = (number, len(line) + 1)
            line += f"{name}:"
        else:
            line += "-"
        sample.values[path] = (number, len(line) + 2)
        if isinstance(value, dict | list) and value:
            if isinstance(data, dict):
                lines.append(line)
                _write(value, path, indent + 2, lines, sample)
                sample.values[path] = (number + 1, indent + 3)
            else:
                lines.append(f"{line} ")
                _write(value, path, len(line) + 1, lines, sample)
        else:
            lines.append(f"{line} {value if isinstance(value, Raw) else as_yaml(value)}".rstrip())


class Raw(str):
    """A text that stands in the file as it is."""

    __slots__ = ()
