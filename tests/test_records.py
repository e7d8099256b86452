"""Classes made by `records` behave as those of `dataclasses`."""

from __future__ import annotations

import copy
import dataclasses
import importlib
import inspect
import pickle
import pkgutil
from typing import Any

import pytest

import waterlint
from waterlint import records


class Base:
    """Says what it is."""

    def told(self) -> str:
        return type(self).__name__


class Point(Base, records.Record):
    """A place."""

    x: float
    y: float = 2.0
    names: list[str] = records.field(default_factory=list, repr=False)
    note: str = records.field(default="", compare=False)

    @property
    def total(self) -> float:
        return self.x + self.y


class Counter(records.Record, frozen=False):
    count: int = 0
    seen: list[int] = records.field(init=False, default_factory=list)


class Named(Counter, records.Record, frozen=False):
    name: str = "none"


class Plain(records.Record, frozen=False, eq=False):
    value: int = 0


class Doubled(records.Record):
    value: int

    def __post_init__(self) -> None:
        object.__setattr__(self, "value", 2 * self.value)


class Hashed(records.Record):
    value: int

    def __hash__(self) -> int:
        return 5


class Own(records.Record, init=False, repr=False):
    value: int

    def __init__(self) -> None:
        object.__setattr__(self, "value", 7)


def test_values_and_defaults() -> None:
    point = Point(1.0)
    assert (point.x, point.y, point.names, point.note, point.total) == (1.0, 2.0, [], "", 3.0)
    assert Point(1.0, names=["a"]).names == ["a"]
    assert Point(1.0).names is not Point(1.0).names
    assert point.told() == "Point"
    assert repr(point) == "Point(x=1.0, y=2.0, note='')"


@pytest.mark.parametrize("arguments", [{}, {"x": 1.0, "z": 2.0}])
def test_wrong_arguments(arguments: dict[str, Any]) -> None:
    with pytest.raises(TypeError):
        Point(**arguments)
    with pytest.raises(TypeError):
        Point(1.0, 2.0, [], "", "more")  # type: ignore[call-arg]
    with pytest.raises(TypeError):
        Point(1.0, x=1.0)  # type: ignore[misc]


def test_many_instances_are_as_the_first() -> None:
    points = [Point(float(number), note=str(number)) for number in range(200)]
    assert [point.x for point in points] == [float(number) for number in range(200)]
    assert {(point.y, len(point.names)) for point in points} == {(2.0, 0)}
    assert [Doubled(number).value for number in range(200)] == list(range(0, 400, 2))
    for arguments in ({}, {"x": 1.0, "z": 2.0}):
        with pytest.raises(TypeError):
            Point(**arguments)
    with pytest.raises(TypeError):
        Point(1.0, x=1.0)  # type: ignore[misc]


def test_frozen() -> None:
    with pytest.raises(dataclasses.FrozenInstanceError):
        Point(1.0).x = 2.0  # type: ignore[misc]
    with pytest.raises(dataclasses.FrozenInstanceError):
        del Point(1.0).x
    counter = Counter()
    counter.count = 5
    assert counter.count == 5


def test_slots() -> None:
    assert not hasattr(Counter(), "__dict__")
    assert not hasattr(Named(), "__dict__")
    with pytest.raises(AttributeError):
        Counter().other = 1  # type: ignore[attr-defined]


def test_equality_and_hash() -> None:
    assert Point(1.0, note="a") == Point(1.0, note="b") != Point(2.0)
    assert Point(1.0) != (1.0, 2.0, [], "")
    assert hash(Doubled(1)) == hash(Doubled(1))
    assert len({Doubled(1), Doubled(1), Doubled(2)}) == 2
    assert Counter() == Counter()
    with pytest.raises(TypeError):
        hash(Counter())
    assert Named() == Named() != Counter()
    assert len({Plain(), Plain()}) == 2


def test_inheritance() -> None:
    named = Named(3, "well")
    assert (named.count, named.name, named.seen) == (3, "well", [])
    assert isinstance(named, Counter)

    class Labelled(Named, records.Record, frozen=False):
        label: str = ""
        count: int = 5

    labelled = Labelled(name="well")
    assert (labelled.count, labelled.name, labelled.label) == (5, "well", "")
    assert [each.name for each in dataclasses.fields(Labelled)] == [
        "count",
        "seen",
        "name",
        "label",
    ]


def test_they_are_plain_classes() -> None:
    assert [type(each) for each in (Point, Named)] == [type, type]
    assert Point.__mro__ == (Point, Base, object)
    assert Named.__mro__ == (Named, Counter, object)


def test_each_that_inherits_from_a_record_is_one() -> None:
    """Else a type checker would see fields that are not there."""
    found: set[type] = set()
    for module in pkgutil.walk_packages(waterlint.__path__, "waterlint."):
        if not module.name.endswith("__main__"):
            values = vars(importlib.import_module(module.name)).values()
            found |= {each for each in values if isinstance(each, type)}
    records_of_ours = [each for each in found if hasattr(each, "__record_fields__")]
    assert len(records_of_ours) > 200
    assert [each for each in records_of_ours if "__record_fields__" not in vars(each)] == []


def test_own_functions_are_kept() -> None:
    assert hash(Hashed(1)) == 5 and Hashed(1) == Hashed(1) != Hashed(2)
    assert Doubled(4).value == 8
    assert Own().value == 7
    assert "object" in repr(Own())


def test_replace_as_of_both() -> None:
    point = Point(1.0, names=["a"])
    for replace in (records.replace, dataclasses.replace):
        changed = replace(point, y=5.0)
        assert (changed.x, changed.y, changed.names) == (1.0, 5.0, ["a"])
    with pytest.raises(TypeError):
        records.replace(point, z=1)  # type: ignore[call-arg]


def test_the_standard_library_knows_them() -> None:
    assert dataclasses.is_dataclass(Point)
    assert [each.name for each in dataclasses.fields(Point)] == ["x", "y", "names", "note"]
    assert dataclasses.asdict(Doubled(1)) == {"value": 2}
    assert [*inspect.signature(Point).parameters] == ["x", "y", "names", "note"]
    assert [*inspect.signature(Counter).parameters] == ["count"]
    match Point(1.0):
        case Point(x, y):
            assert (x, y) == (1.0, 2.0)


def test_copies_and_pickles() -> None:
    for value in (Point(1.0, names=["a"]), Counter(2), Doubled(3)):
        assert pickle.loads(pickle.dumps(value)) == value
        assert copy.copy(value) == value
        assert copy.deepcopy(value) == value
