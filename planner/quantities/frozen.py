"""Frozen records with slots, as `dataclass(frozen=True, slots=True)` makes them, in a quarter of the time.

The standard library writes and compiles six functions for every class as the program starts, a sixth of the
whole start. Here all classes share them, and a class gets its constructor when it makes its first object.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import MISSING, Field, FrozenInstanceError, dataclass, field, fields
from functools import cache
from operator import attrgetter
from typing import Any, NoReturn, TypeVar, cast, dataclass_transform, overload

T = TypeVar("T")


@overload
@dataclass_transform(frozen_default=True, field_specifiers=(field, Field))
def frozen(cls: type[T], /) -> type[T]: ...
@overload
@dataclass_transform(frozen_default=True, field_specifiers=(field, Field))
def frozen(*, kw_only: bool = False, repr: bool = True) -> Callable[[type[T]], type[T]]: ...


def frozen(cls: type[T] | None = None, /, *, kw_only: bool = False, repr: bool = True) -> Any:  # noqa: A002 - its name there
    """A dataclass, frozen and with slots; `kw_only` and `repr` as the standard library has them."""
    return (lambda each: _made(each, kw_only, repr)) if cls is None else _made(cls, kw_only, repr)


def _made(cls: type[T], kw_only: bool, shown: bool) -> type[T]:
    """The class with its fields, what all share, and a constructor still to be written."""
    made: Any = dataclass(init=False, repr=False, eq=False, slots=True, kw_only=kw_only)(cls)
    for name in _SHARED if shown else _SHARED - {"__repr__"}:
        if name not in vars(cls):
            setattr(made, name, vars(_Shared)[name])

    def first(self: Any, *values: Any, **named: Any) -> None:
        made.__init__ = _constructor(made)
        made.__init__(self, *values, **named)

    made.__init__ = first
    return cast("type[T]", made)


def _constructor(cls: type) -> Callable[..., None]:
    """`__init__` for the fields of a class, written out and compiled."""
    scope: dict[str, Any] = {"_put": object.__setattr__, "_missing": MISSING}
    heads: dict[bool, list[str]] = {False: [], True: []}
    body = []
    for each in fields(cls):
        name = value = each.name
        head = name
        if each.default_factory is not MISSING:
            scope[f"_make_{name}"] = each.default_factory
            head, value = f"{name}=_missing", f"_make_{name}() if {name} is _missing else {name}"
        elif each.default is not MISSING:
            scope[f"_is_{name}"] = each.default
            head = f"{name}=_is_{name}"
        if each.init:
            heads[bool(each.kw_only)].append(head)
        elif head == name:
            continue  # its own `__post_init__` sets it
        else:
            value = f"_make_{name}()" if each.default_factory is not MISSING else f"_is_{name}"
        body.append(f"    _put(self, {name!r}, {value})\n")
    if hasattr(cls, "__post_init__"):
        body.append("    self.__post_init__()\n")
    taken = ", ".join(["self", *heads[False], *(["*", *heads[True]] if heads[True] else [])])
    exec(f"def __init__({taken}):\n{''.join(body) or '    pass'}", scope)  # names of fields, nothing typed in
    made: Callable[..., None] = scope["__init__"]
    return made


@cache
def _compared(cls: Any) -> Callable[[Any], Any]:
    """What of an object of a class counts when two are compared."""
    names = [each.name for each in fields(cls) if each.compare]
    return attrgetter(*names) if names else lambda _: ()


class _Shared:
    """What every frozen class has alike."""

    def __setattr__(self, name: str, value: Any) -> NoReturn:
        raise FrozenInstanceError(f"cannot assign to field {name!r}")

    def __delattr__(self, name: str) -> NoReturn:
        raise FrozenInstanceError(f"cannot delete field {name!r}")

    def __eq__(self, other: object) -> bool:
        if other.__class__ is not self.__class__:
            return NotImplemented
        kind: Any = type(self)
        counts = _compared(kind)
        return bool(counts(self) == counts(other))

    def __hash__(self) -> int:
        kind: Any = type(self)
        return hash(_compared(kind)(self))

    def __repr__(self) -> str:
        shown = (f"{each.name}={getattr(self, each.name)!r}" for each in fields(self) if each.repr)  # type: ignore[arg-type]  # of a dataclass
        return f"{self.__class__.__qualname__}({', '.join(shown)})"

    def __getstate__(self) -> list[Any]:
        return [getattr(self, each.name) for each in fields(self)]  # type: ignore[arg-type]  # as above

    def __setstate__(self, state: list[Any]) -> None:
        for each, value in zip(fields(self), state, strict=True):  # type: ignore[arg-type]  # as above
            object.__setattr__(self, each.name, value)


_SHARED = frozenset(name for name, value in vars(_Shared).items() if callable(value))
