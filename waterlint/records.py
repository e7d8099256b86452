"""Dataclasses that are made fast, for a program that starts hundreds of times a day.

`dataclasses` writes and compiles six functions for each class when its module is imported, over a
millisecond for a frozen one with slots, and imports `inspect`; this package has more than a
hundred such classes, of which a run uses a part. The decorator here makes the same classes: the
functions that can be shared are shared, and ``__init__`` is compiled for a class that turns out
to have many instances. To type checkers it is `dataclasses.dataclass` itself;
`dataclasses.fields`, `replace` and their like work on what it makes.

Known are ``frozen``, ``slots`` (always), ``eq``, ``init``, ``repr``, and of `field` ``default``,
``default_factory``, ``init``, ``repr`` and ``compare``: what this package uses.
"""

from __future__ import annotations

TYPE_CHECKING = False
if TYPE_CHECKING:
    from dataclasses import dataclass as dataclass
    from dataclasses import field as field
    from dataclasses import replace as replace
else:
    from operator import attrgetter

    _MISSING = object()
    _set = object.__setattr__
    #: Instances of a class after which its ``__init__`` is compiled: that takes as long as some
    #: fifty instances do otherwise.
    _BEFORE_COMPILING = 50

    class _Field:
        """What is known of one field."""

        __slots__ = ("compare", "default", "factory", "init", "name", "repr", "type")

        def __init__(self, default, factory, init, repr, compare):
            self.default, self.factory = default, factory
            self.init, self.repr, self.compare = init, repr, compare
            self.name, self.type = "", ""

    def field(*, default=_MISSING, default_factory=_MISSING, init=True, repr=True, compare=True):
        """As `dataclasses.field`."""
        return _Field(default, default_factory, init, repr, compare)

    def dataclass(*, frozen=False, slots=True, eq=True, init=True, repr=True):
        """As `dataclasses.dataclass`; the class always has slots."""

        def make(cls):
            own = _own_fields(cls)
            fields = {}
            for base in reversed(cls.__mro__[1:]):
                fields.update(base.__dict__.get("__record_fields__", {}))
            inherited = set(fields)
            fields.update(own)
            return _rebuilt(cls, fields, set(own) - inherited, (frozen, eq, init, repr))

        return make

    def replace(record, /, **changes):
        """As `dataclasses.replace`."""
        for name, each in record.__record_fields__.items():
            if name not in changes and each.init:
                changes[name] = getattr(record, name)
        return record.__class__(**changes)

    def _own_fields(cls):
        fields = {}
        for name, type in vars(cls).get("__annotations__", {}).items():
            given = cls.__dict__.get(name, _MISSING)
            each = given if isinstance(given, _Field) else _Field(given, _MISSING, True, True, True)
            each.name, each.type = name, type
            fields[name] = each
        return fields

    def _rebuilt(cls, fields, slots, options):
        """The class anew, since slots cannot be added to one that is there."""
        frozen, eq, init, repr = options
        namespace = dict(cls.__dict__)
        for name in fields:
            namespace.pop(name, None)
        for name in ("__dict__", "__weakref__"):
            namespace.pop(name, None)
        namespace["__slots__"] = tuple(name for name in fields if name in slots)
        namespace["__record_fields__"] = fields
        namespace["__dataclass_fields__"] = _AsDataclass()
        namespace["__dataclass_params__"] = _AsDataclass()
        namespace["__match_args__"] = tuple(each.name for each in fields.values() if each.init)
        if repr:
            namespace.setdefault("__repr__", _repr)
        if eq:
            compared = [each.name for each in fields.values() if each.compare]
            namespace["__record_key__"] = _key(compared)
            namespace.setdefault("__eq__", _eq)
            namespace["__hash__"] = _hash if frozen else None
        if frozen:
            namespace.update(__setattr__=_refuse, __delattr__=_refuse)
        namespace.setdefault("__getstate__", _getstate)
        namespace.setdefault("__setstate__", _setstate)
        if init:
            namespace["__signature__"] = _Signature()
        made = type(cls)(cls.__name__, cls.__bases__, namespace)
        if init:
            _defer_init(made, fields.values(), frozen)
        return made

    def _key(names):
        if len(names) < 2:
            return staticmethod(lambda record: tuple(getattr(record, name) for name in names))
        return attrgetter(*names)

    def _defer_init(cls, fields, frozen):
        """Give a class a plain ``__init__`` that is replaced by a compiled one when it pays."""
        fields = list(fields)
        parameters = [each.name for each in fields if each.init]
        places = frozenset(parameters)
        after = getattr(cls, "__post_init__", None)
        left = _BEFORE_COMPILING

        def __init__(self, *args, **kwargs):
            nonlocal left
            left -= 1
            if left < 0 or len(args) > len(parameters) or not places.issuperset(kwargs):
                cls.__init__ = _compiled_init(cls, fields, frozen)
                return cls.__init__(self, *args, **kwargs)
            given = dict(zip(parameters, args, strict=False))
            if not given.keys().isdisjoint(kwargs):
                return _compiled_init(cls, fields, frozen)(self, *args, **kwargs)
            given.update(kwargs)
            for each in fields:
                name = each.name
                if name in given:
                    _set(self, name, given[name])
                elif each.factory is not _MISSING:
                    _set(self, name, each.factory())
                elif each.default is not _MISSING:
                    _set(self, name, each.default)
                elif each.init:
                    return _compiled_init(cls, fields, frozen)(self, *args, **kwargs)
            if after is not None:
                after(self)

        cls.__init__ = __init__

    def _compiled_init(cls, fields, frozen):
        names = {"_missing": _MISSING}
        parameters, body = ["self"], []
        for each in fields:
            name, value = each.name, each.name
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
        made.__annotations__ = {each.name: each.type for each in fields if each.init}
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

    def _fields_of(cls):
        return list(cls.__record_fields__.values())

    class _AsDataclass:
        """Tells `dataclasses` about a class when it asks."""

        def __set_name__(self, owner, name):
            self.name = name

        def __get__(self, record, owner):
            import dataclasses

            made = dataclasses.make_dataclass(
                owner.__name__,
                [(each.name, each.type, _as_field(each)) for each in _fields_of(owner)],
            )
            return getattr(made, self.name)

    class _Signature:
        """Tells `inspect` the parameters, also before the first instance is made."""

        def __get__(self, record, owner):
            from inspect import Parameter, Signature

            return Signature(
                [
                    Parameter(
                        each.name,
                        Parameter.POSITIONAL_OR_KEYWORD,
                        default=Parameter.empty if default is _MISSING else default,
                        annotation=each.type,
                    )
                    for each in _fields_of(owner)
                    if each.init
                    for default in (each.default if each.factory is _MISSING else each.factory,)
                ]
            )

    def _as_field(each):
        import dataclasses

        given = {}
        if each.default is not _MISSING:
            given["default"] = each.default
        if each.factory is not _MISSING:
            given["default_factory"] = each.factory
        return dataclasses.field(init=each.init, repr=each.repr, compare=each.compare, **given)
