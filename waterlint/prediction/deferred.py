"""Figures that are worked out when somebody looks at them.

Most rules look at sums of what waters and doses bring; the pH of a water, its conductivity and
its like take most of the time, and a check seldom asks for them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from waterlint.hints import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from waterlint.prediction.result import Figure

T = TypeVar("T", bound="Deferred")

_set = object.__setattr__


class Deferred:
    """A record some of whose fields are worked out when they are first read."""

    __slots__ = ("_given", "_later")
    _later: Mapping[str, Callable[..., object]]
    _given: tuple[object, ...]

    @classmethod
    def deferred(
        cls: type[T],
        known: Mapping[str, object],
        later: Mapping[str, Callable[..., object]],
        *given: object,
    ) -> T:
        """Make a record: `known` and `later` name all of its fields between them.

        `later` may also name hints, which are no fields. Its functions are called with `given`,
        so that one mapping serves all records of a kind.
        """
        made = cls.__new__(cls)
        for name, value in known.items():
            _set(made, name, value)
        _set(made, "_later", later)
        _set(made, "_given", given)
        return made

    def _hint(self, name: str) -> object:
        """What is known besides the fields; `None` for a record made field by field or changed."""
        later = getattr(self, "_later", {})
        return later[name](*self._given) if name in later else None

    if not TYPE_CHECKING:

        def __getattr__(self, name):
            # Only asked for a field that has no value yet.
            if name == "_later" or name not in self._later:
                raise AttributeError(f"{type(self).__name__} has no {name}")
            value = self._later[name](*self._given)
            _set(self, name, value)
            return value


class IonFigures(Mapping[str, "Figure"]):
    """The figures of a water's ions, each worked out when it is read.

    Parameters
    ----------
    names : tuple of str
        In the order of all tables.
    work_out, value : callable
        Give the figure of a name, and its value alone.
    """

    __slots__ = ("_known", "_names", "_work_out", "value")

    def __init__(
        self,
        names: tuple[str, ...],
        work_out: Callable[[str], Figure],
        value: Callable[[str], float],
    ) -> None:
        self._names = names
        self._known: dict[str, Figure] = {}
        self._work_out = work_out
        self.value = value

    def __getitem__(self, name: str) -> Figure:
        figure = self.known(name)
        if figure is None:
            raise KeyError(name)
        return figure

    def known(self, name: str) -> Figure | None:
        """The figure of a name; `None` for one that the water has not."""
        figure = self._known.get(name)
        if figure is None and name in self._names:
            figure = self._known[name] = self._work_out(name)
        return figure

    def __iter__(self) -> Iterator[str]:
        return iter(self._names)

    def __len__(self) -> int:
        return len(self._names)

    def __contains__(self, name: object) -> bool:
        return name in self._names

    def __repr__(self) -> str:
        return repr(dict(self))

    def __reduce__(self) -> tuple[type, tuple[dict[str, Figure]]]:
        return dict, (dict(self),)
