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


class Deferred:
    """A record some of whose fields are worked out when they are first read."""

    __slots__ = ("_later",)
    _later: Mapping[str, Callable[[], object]]

    @classmethod
    def deferred(
        cls: type[T], known: Mapping[str, object], later: Mapping[str, Callable[[], object]]
    ) -> T:
        """Make a record: `known` and `later` name all of its fields between them.

        `later` may also name hints, which are no fields.
        """
        made = cls.__new__(cls)
        for name, value in known.items():
            object.__setattr__(made, name, value)
        object.__setattr__(made, "_later", later)
        return made

    def _hint(self, name: str) -> object:
        """What is known besides the fields; `None` for a record made field by field or changed."""
        later = getattr(self, "_later", {})
        return later[name]() if name in later else None

    if not TYPE_CHECKING:

        def __getattr__(self, name):
            # Only asked for a field that has no value yet.
            if name == "_later" or name not in self._later:
                raise AttributeError(f"{type(self).__name__} has no {name}")
            value = self._later[name]()
            object.__setattr__(self, name, value)
            return value


class IonFigures(Mapping[str, "Figure"]):
    """The figures of a water's ions; bicarbonate, which has to be solved for, when it is read.

    Parameters
    ----------
    before, after : dict of str to Figure
        The ions that stand before and after bicarbonate in a table.
    bicarbonate : callable
    """

    __slots__ = ("_known", "_names", "_solve")

    def __init__(
        self,
        before: dict[str, Figure],
        bicarbonate: Callable[[], Figure],
        after: dict[str, Figure],
    ) -> None:
        self._names = (*before, "bicarbonate", *after)
        self._known = before | after
        self._solve = bicarbonate

    def __getitem__(self, name: str) -> Figure:
        figure = self._known.get(name)
        if figure is None:
            if name != "bicarbonate":
                raise KeyError(name)
            figure = self._known[name] = self._solve()
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
