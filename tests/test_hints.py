"""What `hints` puts in the place of `typing` behaves as that does."""

from __future__ import annotations

import copy
import inspect
import pickle
import typing
from typing import Any

import pytest

from waterlint import hints

Word = hints.Literal["low", "high"]
Number = hints.TypeVar("Number")


class Place(hints.NamedTuple):
    """A place."""

    x: float
    y: float = 2.0
    names: tuple[str, ...] = ()

    @property
    def total(self) -> float:
        return self.x + self.y


class Pair(hints.NamedTuple, hints.Generic[Number]):
    first: Number
    second: Number


class Twin(typing.NamedTuple):
    """What `typing` makes of the same."""

    x: float
    y: float = 2.0
    names: tuple[str, ...] = ()


ARGUMENTS: list[tuple[tuple[Any, ...], dict[str, Any]]] = [
    ((1.0,), {}),
    ((1.0, 3.0, ("a",)), {}),
    ((1.0,), {"names": ("a",)}),
    ((), {"y": 3.0, "x": 1.0}),
]


@pytest.mark.parametrize(("args", "kwargs"), ARGUMENTS)
def test_named_tuples_are_as_those_of_typing(args: Any, kwargs: Any) -> None:
    place, twin = Place(*args, **kwargs), Twin(*args, **kwargs)
    assert place == twin
    assert hash(place) == hash(twin)
    assert (place.x, place.y, place.names) == (twin.x, twin.y, twin.names)
    assert repr(place) == repr(twin).replace("Twin", "Place")
    assert place._asdict() == twin._asdict()
    assert place._replace(y=9.0) == twin._replace(y=9.0)
    assert type(place._replace(y=9.0)) is Place
    assert Place._make(place) == place
    assert place.total == place.x + place.y
    for again in (pickle.loads(pickle.dumps(place)), copy.copy(place), copy.deepcopy(place)):
        assert again == place
        assert type(again) is Place


WRONG: list[tuple[tuple[Any, ...], dict[str, Any]]] = [
    ((), {}),
    ((), {"y": 1.0}),
    ((1.0,), {"x": 1.0}),
    ((1.0,), {"z": 1.0}),
    ((1.0, 2.0, (), 4.0), {}),
]


@pytest.mark.parametrize("kind", [Place, Twin])
@pytest.mark.parametrize(("args", "kwargs"), WRONG)
def test_wrong_arguments_of_named_tuples(kind: Any, args: Any, kwargs: Any) -> None:
    with pytest.raises(TypeError):
        kind(*args, **kwargs)
    with pytest.raises((TypeError, ValueError)):
        kind(1.0)._replace(z=1.0)


def test_named_tuples_are_not_changed() -> None:
    place = Place(1.0)
    for name in ("x", "other"):
        with pytest.raises(AttributeError):
            setattr(place, name, 2.0)
    assert not hasattr(place, "__dict__")


def test_what_is_asked_of_a_class_of_named_tuples() -> None:
    assert Place._fields == Twin._fields
    assert Place._field_defaults == Twin._field_defaults
    assert Place.__doc__ == "A place."
    signature = inspect.signature(Place).parameters
    assert list(signature) == ["x", "y", "names"]
    assert [signature[name].default for name in signature] == [inspect.Parameter.empty, 2.0, ()]
    assert set(Place.__annotations__) == {"x", "y", "names"}
    match Place(1.0):
        case Place(x, y):
            assert (x, y) == (1.0, 2.0)


def test_named_tuples_that_take_parameters() -> None:
    pair = Pair(1, 2)
    assert (pair.first, pair.second) == (1, 2) == pair
    assert not hasattr(pair, "__dict__")


def test_the_words_of_a_literal() -> None:
    assert hints.get_args(Word) == ("low", "high") == typing.get_args(Word)
    assert hints.cast(Word, "low") == "low"
