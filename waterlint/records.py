"""Dataclasses that are made fast, for a program that starts hundreds of times a day.

`dataclasses` writes and compiles six functions for each class when its module is imported, over a
millisecond for a frozen one with slots, and imports `inspect`; this package has two hundred such
classes, of which a run uses half. What `Record` makes of the classes that name it as their base is
the same: the functions that can be shared are shared, and ``__init__`` is compiled for a class
that turns out to have many instances. To type checkers they are dataclasses, and
`dataclasses.fields`, `replace` and their like work on them.

    class Point(Record):
        x: float
        y: float = 0.0

is frozen and has slots. It is a base class and no decorator because a class that a decorator gives
its slots is made twice, which takes a twentieth of a check of one recipe; the class itself has
neither `Record` among its bases nor another metaclass than `type`. One that inherits from a record
names `Record` again: ``class Place(Point, Record)``. Known are ``frozen``, ``eq``, ``init`` and
``repr``, as in ``class Pen(Record, frozen=False)``, and of `field` ``default``,
``default_factory``, ``init``, ``repr`` and ``compare``: what this package uses.
"""

from __future__ import annotations

TYPE_CHECKING = False
if TYPE_CHECKING:
    from dataclasses import field as field
    from dataclasses import replace as replace
    from typing import dataclass_transform

    @dataclass_transform(frozen_default=True, field_specifiers=(field,))
    class Record:
        """Makes a class a dataclass with slots."""

        def __init_subclass__(
            cls, *, frozen: bool = True, eq: bool = True, init: bool = True, repr: bool = True
        ) -> None: ...

else:
    from operator import attrgetter

    _MISSING = object()
    #: Instances of a class after which its ``__init__`` is compiled: that takes as long as it saves
    #: with some hundred instances.
    _BEFORE_COMPILING = 100

    class _Field:
        """What is known of one field, but for its name and type."""

        __slots__ = ("compare", "default", "factory", "init", "repr")

        def __init__(self, default, factory=_MISSING, init=True, repr=True, compare=True):
            self.default, self.factory = default, factory
            self.init, self.repr, self.compare = init, repr, compare

    _REQUIRED = _Field(_MISSING)

    def field(*, default=_MISSING, default_factory=_MISSING, init=True, repr=True, compare=True):
        """As `dataclasses.field`."""
        return _Field(default, default_factory, init, repr, compare)

    def replace(record, /, **changes):
        """As `dataclasses.replace`."""
        for name, each in record.__record_fields__.items():
            if name not in changes and each.init:
                changes[name] = getattr(record, name)
        return record.__class__(**changes)

    def _take_fields(namespace):
        """Move the fields out of what a class body says."""
        fields = {}
        for name in namespace.get("__annotations__", ()):
            given = namespace.pop(name, _MISSING)
            if given is _MISSING:
                fields[name] = _REQUIRED
            else:
                fields[name] = given if given.__class__ is _Field else _Field(given)
        return fields

    class _Maker(type):
        """Makes records of the classes that have its class among their bases."""

        def __new__(mcs, name, bases, namespace, **options):
            if not bases:  # `Record` itself
                return super().__new__(mcs, name, bases, namespace)
            bases = tuple([base for base in bases if base is not Record])
            return _made(name, bases, namespace, **options)

    class Record(metaclass=_Maker):
        """Makes a class a dataclass with slots."""

    def _made(name, bases, namespace, frozen=True, eq=True, init=True, repr=True):
        """A class with slots for the fields that its body names."""
        own = fields = _take_fields(namespace)
        for base in bases:
            if inherited := getattr(base, "__record_fields__", None):
                own = [name for name in own if name not in inherited]
                fields = inherited | fields
        namespace["__slots__"] = tuple(own)
        namespace["__record_fields__"] = fields
        namespace["__dataclass_fields__"] = _DATACLASS_FIELDS
        namespace["__dataclass_params__"] = _DATACLASS_PARAMS
        namespace["__match_args__"] = tuple([name for name in fields if fields[name].init])
        if repr:
            namespace.setdefault("__repr__", _repr)
        if eq:
            namespace["__record_key__"] = _key([name for name in fields if fields[name].compare])
            namespace.setdefault("__eq__", _eq)
            namespace.setdefault("__hash__", _hash if frozen else None)
        if frozen:
            namespace["__setattr__"] = namespace["__delattr__"] = _refuse
        namespace.setdefault("__getstate__", _getstate)
        namespace.setdefault("__setstate__", _setstate)
        if not init:
            return type(name, bases, namespace)
        namespace["__signature__"] = _SIGNATURE
        return _with_init(name, bases, namespace, frozen)

    def _key(names):
        if len(names) < 2:
            return staticmethod(lambda record: tuple(getattr(record, name) for name in names))
        return attrgetter(*names)

    def _with_init(name, bases, namespace, frozen):
        """The class with a plain ``__init__``, which is replaced by a compiled one when it pays."""
        left = _BEFORE_COMPILING
        rows = after = None

        def __init__(self, *args, **kwargs):
            nonlocal left, rows, after
            if left == _BEFORE_COMPILING:
                rows, after = _rows(made), getattr(made, "__post_init__", None)
            left -= 1
            if left < 0:
                made.__init__ = _compiled_init(made, frozen)
                made.__init__(self, *args, **kwargs)
            elif not _filled(self, rows, args, kwargs):
                _compiled_init(made, frozen)(self, *args, **kwargs)  # says what is wrong
            elif after is not None:
                after(self)

        namespace["__init__"] = __init__
        made = type(name, bases, namespace)
        return made

    def _rows(cls):
        """What is needed to set each field, those first that are given by the caller."""
        fields = cls.__record_fields__
        taken = cls.__match_args__
        rows = [
            (name, getattr(cls, name).__set__, fields[name].default, fields[name].factory)
            for name in taken
        ]
        for name, each in fields.items():
            if not each.init:
                rows.append((None, getattr(cls, name).__set__, each.default, each.factory))
        return rows

    def _filled(record, rows, args, kwargs):
        """Set all fields of a record; whether the arguments were right."""
        for (_, put, _, _), value in zip(rows, args, strict=False):
            put(record, value)
        named = 0
        for name, put, default, factory in rows[len(args) :] if args else rows:
            if name in kwargs:
                put(record, kwargs[name])
                named += 1
            elif default is not _MISSING:
                put(record, default)
            elif factory is not _MISSING:
                put(record, factory())
            elif name is not None:
                return False
        return named == len(kwargs) and len(args) <= len(record.__match_args__)

    def _compiled_init(cls, frozen):
        names = {"_missing": _MISSING}
        parameters, body = ["self"], []
        for name, each in cls.__record_fields__.items():
            value = name
            if each.factory is not _MISSING:
                names[f"_make_{name}"] = each.factory
                value = f"_make_{name}()"
                if each.init:
                    parameters.append(f"{name}=_missing")
                    value += f" if {name} is _missing else {name}"
            elif each.default is not _MISSING:
                names[f"_default_{name}"] = each.default
                if each.init:
                    parameters.append(f"{name}=_default_{name}")
                else:
                    value = f"_default_{name}"
            elif each.init:
                parameters.append(name)
            else:
                continue
            if frozen:  # a slot's own setter takes half of what `object.__setattr__` does
                names[f"_set_{name}"] = getattr(cls, name).__set__
            body.append(f"_set_{name}(self, {value})" if frozen else f"self.{name} = {value}")
        if hasattr(cls, "__post_init__"):
            body.append("self.__post_init__()")
        text = f"def __init__({', '.join(parameters)}):\n " + "\n ".join(body or ["pass"])
        exec(text, names)
        made = names["__init__"]
        made.__qualname__ = f"{cls.__qualname__}.__init__"
        made.__module__ = cls.__module__
        return made

    def _repr(self):
        shown = (
            f"{name}={getattr(self, name)!r}"
            for name, each in self.__record_fields__.items()
            if each.repr
        )
        return f"{self.__class__.__qualname__}({', '.join(shown)})"

    def _eq(self, other):
        if other.__class__ is not self.__class__:
            return NotImplemented
        return self.__class__.__record_key__(self) == self.__class__.__record_key__(other)

    def _hash(self):
        return hash(self.__class__.__record_key__(self))

    def _refuse(self, name, *value):
        from dataclasses import FrozenInstanceError

        raise FrozenInstanceError(f"cannot change field {name!r}")

    def _getstate(self):
        return [getattr(self, name) for name in self.__record_fields__]

    def _setstate(self, state):
        for name, value in zip(self.__record_fields__, state, strict=True):
            object.__setattr__(self, name, value)

    def _types(cls):
        """What each field is said to hold, those of the bases included."""
        from inspect import get_annotations

        types = {}
        for base in reversed(cls.__mro__):
            types.update(get_annotations(base))
        return types

    class _AsDataclass:
        """Tells `dataclasses` about a class when it asks."""

        def __init__(self, name):
            self.name = name

        def __get__(self, record, owner):
            import dataclasses

            types = _types(owner)
            fields = [
                (name, types[name], _as_field(each))
                for name, each in owner.__record_fields__.items()
            ]
            return getattr(dataclasses.make_dataclass(owner.__name__, fields), self.name)

    _DATACLASS_FIELDS = _AsDataclass("__dataclass_fields__")
    _DATACLASS_PARAMS = _AsDataclass("__dataclass_params__")

    def _as_field(each):
        import dataclasses

        given = {}
        if each.default is not _MISSING:
            given["default"] = each.default
        if each.factory is not _MISSING:
            given["default_factory"] = each.factory
        return dataclasses.field(init=each.init, repr=each.repr, compare=each.compare, **given)

    class _Signature:
        """Tells `inspect` the parameters of a class, also before the first instance is made."""

        def __get__(self, record, owner):
            from inspect import Parameter, Signature

            types = _types(owner)
            return Signature(
                [
                    Parameter(
                        name,
                        Parameter.POSITIONAL_OR_KEYWORD,
                        default=Parameter.empty if default is _MISSING else default,
                        annotation=types[name],
                    )
                    for name, each in owner.__record_fields__.items()
                    if each.init
                    for default in (each.default if each.factory is _MISSING else each.factory,)
                ]
            )

    _SIGNATURE = _Signature()
