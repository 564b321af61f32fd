"""`dataclass`, `fields`, `replace` and `NamedTuple` as the standard library has them, for what light commands load.

Of a dataclass nothing is compiled when it is defined: its `__init__` is written when it is first called, all else is
shared by every class. The standard library compiles up to six functions a class, and of a named tuple each annotation,
which together took a quarter of a light command's time.
"""

from __future__ import annotations

import dataclasses
from collections import namedtuple
from collections.abc import Callable
from dataclasses import MISSING, Field, FrozenInstanceError, field
from operator import attrgetter
from typing import TYPE_CHECKING, Any

__all__ = ["NamedTuple", "dataclass", "field", "fields", "replace"]

_Fields = dict[str, Field[Any]]


def _dataclass(*, slots: bool, frozen: bool = False, kw_only: bool = False, repr: bool = True, eq: bool = True,  # noqa: A002
               init: bool = True) -> Callable[[type], type]:
    """As `dataclasses.dataclass` with these arguments; `slots` is always on. Annotations have to be postponed."""
    assert slots

    def made(plain: type) -> type:
        scope = dict(plain.__dict__)
        every: _Fields = {}
        for base in plain.__mro__[:0:-1]:
            every.update(base.__dict__.get("__value_fields__", {}))
        inherited = frozenset(every)
        for name, words in scope.get("__annotations__", {}).items():
            if not words.startswith("ClassVar"):
                every[name] = _field(name, words, scope.pop(name, MISSING), kw_only)
        scope.pop("__dict__", None)
        scope.pop("__weakref__", None)
        scope["__slots__"] = tuple(name for name in every if name not in inherited)
        scope["__value_fields__"] = every
        compared = tuple(name for name, part in every.items() if part.compare)
        scope["__values__"] = attrgetter(*compared) if len(compared) > 1 else staticmethod(
            lambda one: tuple(getattr(one, name) for name in compared))   # of one name attrgetter makes no tuple
        scope["__dataclass_fields__"] = _StandardFields()
        scope.setdefault("__match_args__", tuple(name for name, part in every.items() if not part.kw_only))
        if init:
            scope.setdefault("__init__", _first_init)
        if repr:
            scope.setdefault("__repr__", _repr)
        if eq:
            scope.setdefault("__eq__", _eq)
            if scope.get("__hash__") is None:   # as Python leaves it where a class says what equals
                scope["__hash__"] = _hash if frozen else None
        if frozen:
            scope |= _FROZEN
        kind = type(plain)(plain.__name__, plain.__bases__, scope)
        kind.__qualname__ = plain.__qualname__
        return kind

    return made


def _field(name: str, words: str, given: Any, kw_only: bool) -> Field[Any]:
    """One field: its name, its annotation as it is written, and its default."""
    part: Field[Any] = given if isinstance(given, Field) else field(default=given)
    if part.default.__class__.__hash__ is None:
        raise ValueError(f"The default of {name} could be changed: use default_factory.")
    part.name, part.type, part.kw_only = name, words, kw_only
    return part


class _StandardFields:
    """What `dataclasses.fields()` and its relatives ask a class for, made when they do."""

    def __get__(self, one: object, kind: Any) -> _Fields:
        parts = [(name, part.type, part) for name, part in kind.__value_fields__.items()]
        made: Any = dataclasses.make_dataclass(kind.__name__, parts, init=False, repr=False, eq=False)
        found: _Fields = made.__dataclass_fields__
        kind.__dataclass_fields__ = found
        return found


def _shared_fields(kind: Any) -> tuple[Field[Any], ...]:
    """The fields of a class or of an object, in order."""
    return tuple(kind.__value_fields__.values())


def _replace(one: Any, /, **changes: Any) -> Any:
    """A copy with some fields changed."""
    for name in one.__value_fields__:
        if name not in changes:
            changes[name] = getattr(one, name)
    return one.__class__(**changes)


def _first_init(self: Any, *given: Any, **named: Any) -> None:
    """Write the `__init__` of the object's class, then go on with it."""
    kind: Any = next(each for each in type(self).__mro__ if each.__dict__.get("__init__") is _first_init)
    kind.__init__ = _written_init(kind)
    kind.__init__(self, *given, **named)


def _written_init(kind: Any) -> Any:
    """A straight line of assignments, to the slots themselves: a frozen class refuses `self.name = name`."""
    scope: dict[str, Any] = {"MISSING": MISSING}
    by_place: list[str] = []
    by_name: list[str] = []
    lines = []
    for name, part in kind.__value_fields__.items():
        value = word = name
        if part.default_factory is not MISSING:
            scope[f"make_{name}"], word = part.default_factory, f"{name}=MISSING"
            value = f"make_{name}() if {name} is MISSING else {name}"
        elif part.default is not MISSING:
            scope[f"default_{name}"], word = part.default, f"{name}=default_{name}"
        (by_name if part.kw_only else by_place).append(word)
        scope[f"set_{name}"] = getattr(kind, name).__set__
        lines.append(f" set_{name}(self, {value})")
    if hasattr(kind, "__post_init__"):
        lines.append(" self.__post_init__()")
    words = ", ".join(["self", *by_place, *(["*", *by_name] if by_name else [])])
    exec(compile(f"def __init__({words}):\n" + "\n".join(lines), f"<fields of {kind.__qualname__}>", "exec"), scope)
    scope["__init__"].__qualname__ = f"{kind.__qualname__}.__init__"   # refusals of wrong arguments name it
    return scope["__init__"]


def _repr(self: Any) -> str:
    words = (f"{name}={getattr(self, name)!r}" for name, part in self.__value_fields__.items() if part.repr)
    return f"{self.__class__.__qualname__}({', '.join(words)})"


def _eq(self: Any, other: Any) -> Any:
    if other.__class__ is not self.__class__:
        return NotImplemented
    return self.__values__(self) == self.__values__(other)


def _hash(self: Any) -> int:
    return hash(self.__values__(self))


def _refuse_change(self: Any, name: str, *value: Any) -> None:
    raise FrozenInstanceError(f"cannot change field {name!r}")


def _state(self: Any) -> list[Any]:
    return [getattr(self, name) for name in self.__value_fields__]


def _restore(self: Any, state: list[Any]) -> None:
    for name, value in zip(self.__value_fields__, state, strict=True):
        object.__setattr__(self, name, value)


_FROZEN = {"__setattr__": _refuse_change, "__delattr__": _refuse_change, "__getstate__": _state,
           "__setstate__": _restore}


class _NamedTuples(type):
    """Makes a named tuple of a class with annotations, which nobody reads, and gives it the methods of the class."""

    def __new__(mcs, name: str, bases: tuple[type, ...], scope: dict[str, Any]) -> Any:
        words = scope.pop("__annotations__")
        defaults = [scope.pop(one) for one in words if one in scope]
        make: Any = namedtuple   # a checker would want to know the names here
        made = make(name, words, defaults=defaults, module=scope["__module__"])
        made.__annotations__ = words
        for each, value in scope.items():
            setattr(made, each, value)
        return made


if TYPE_CHECKING:
    # what a checker knows of the standard library's holds for these word for word
    from dataclasses import dataclass, fields, replace
    from typing import NamedTuple
else:
    dataclass, fields, replace = _dataclass, _shared_fields, _replace
    NamedTuple = type.__new__(_NamedTuples, "NamedTuple", (), {})
