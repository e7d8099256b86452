"""What this package takes from `typing`, without the time that importing `typing` takes.

That is a twentieth of a check of one recipe, and annotations are texts that nobody evaluates then.
To type checkers each name is that of `typing`. At run time stands for it what does least: a
`Literal` still knows its words, a `NamedTuple` is as that of `typing` and is made nine times as
fast, since its classes share the functions that `typing` compiles for each.
"""

from __future__ import annotations

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any as Any
    from typing import Final as Final
    from typing import Generic as Generic
    from typing import Literal as Literal
    from typing import NamedTuple as NamedTuple
    from typing import NoReturn as NoReturn
    from typing import Protocol as Protocol
    from typing import TextIO as TextIO
    from typing import TypeAlias as TypeAlias
    from typing import TypedDict as TypedDict
    from typing import TypeVar as TypeVar
    from typing import cast as cast
    from typing import get_args as get_args
else:
    from operator import itemgetter
    from types import GenericAlias

    try:  # what `collections.namedtuple` reads its fields with
        from collections import _tuplegetter
    except ImportError:

        def _tuplegetter(index, doc):
            return property(itemgetter(index), doc=doc)

    Any = Final = NoReturn = TextIO = TypeAlias = object
    TypedDict = dict

    class Literal:
        """``Literal["a", "b"]`` keeps the words for `get_args`."""

        __class_getitem__ = classmethod(GenericAlias)

    def get_args(alias):
        """As `typing.get_args`, of a `Literal`."""
        return alias.__args__

    def cast(kind, value):
        """As `typing.cast`."""
        return value

    def TypeVar(name, *constraints, bound=None):
        """As `typing.TypeVar`, where only a type checker looks at it."""
        return object

    class Generic:
        """A base class that takes parameters, and makes nothing of them."""

        __slots__ = ()

        def __class_getitem__(cls, parameters):
            return cls

    Protocol = Generic

    class _Fields(type):
        """Makes the fields that a class names into readers of a tuple's places."""

        def __new__(mcs, name, bases, namespace):
            names = tuple(namespace.get("__annotations__", ()))
            if names:
                defaults = {each: namespace[each] for each in names if each in namespace}
                namespace.update(_fields=names, __match_args__=names, _field_defaults=defaults)
                for index, each in enumerate(names):
                    namespace[each] = _tuplegetter(index, None)
            namespace.setdefault("__slots__", ())
            return super().__new__(mcs, name, bases, namespace)

        @property
        def __signature__(cls):
            from inspect import Parameter, Signature

            kind, defaults = Parameter.POSITIONAL_OR_KEYWORD, cls._field_defaults
            return Signature(
                [
                    Parameter(name, kind, default=defaults.get(name, Parameter.empty))
                    for name in cls._fields
                ]
            )

    class NamedTuple(tuple, metaclass=_Fields):
        """As `typing.NamedTuple`."""

        _fields = ()
        _field_defaults = {}  # noqa: RUF012

        def __new__(cls, /, *args, **kwargs):
            if kwargs or len(args) != len(cls._fields):
                args = _completed(cls, args, kwargs)
            return tuple.__new__(cls, args)

        @classmethod
        def _make(cls, values):
            return cls(*values)

        def _replace(self, /, **changes):
            return self.__class__(**{**self._asdict(), **changes})

        def _asdict(self):
            return dict(zip(self._fields, self, strict=True))

        def __repr__(self):
            shown = (f"{name}={value!r}" for name, value in self._asdict().items())
            return f"{self.__class__.__name__}({', '.join(shown)})"

        def __getnewargs__(self):
            return tuple(self)

    def _completed(cls, args, kwargs):
        """The values of all fields of a named tuple, from what is given and the defaults."""
        left = cls._fields[len(args) :]
        given = {**cls._field_defaults, **kwargs}
        if len(args) > len(cls._fields) or not kwargs.keys() <= set(left) <= given.keys():
            raise TypeError(
                f"{cls.__name__} takes {', '.join(cls._fields)}, not {len(args)} values"
                f" and {', '.join(kwargs) or 'no names'}"
            )
        return args + tuple([given[name] for name in left])
