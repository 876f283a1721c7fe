"""Which functions of a module a change is in, so that it can be made in those that stand, without importing
anything anew.
"""

from __future__ import annotations

import inspect
from collections.abc import Iterator
from types import CodeType
from typing import Any


def changed_functions(before: CodeType, after: CodeType) -> list[tuple[CodeType, CodeType, bool]] | None:
    """Code of functions before and after, those not inside another marked True; None where the change is, or
    is also, elsewhere: a figure at the head of a module, a field's default.
    """
    if _own(before) != _own(after):
        return None
    found: list[tuple[CodeType, CodeType, bool]] = []
    for old, new in zip(_inner(before), _inner(after), strict=True):
        if _deep(old) == _deep(new):
            continue
        if old.co_flags & inspect.CO_OPTIMIZED:
            found += [(old, new, True), *((*pair, False) for pair in _inside(old, new))]
        elif (within := changed_functions(old, new)) is not None:  # the body of a class
            found += within
        else:
            return None
    return found


def _inner(code: CodeType) -> list[CodeType]:
    return [each for each in code.co_consts if isinstance(each, CodeType)]


def _inside(old: CodeType, new: CodeType) -> Iterator[tuple[CodeType, CodeType]]:
    for one, other in zip(_inner(old), _inner(new), strict=False):
        if one.co_qualname == other.co_qualname:
            yield one, other
            yield from _inside(one, other)


def _own(code: CodeType) -> tuple[Any, ...]:
    """What a piece of code does, but for the functions in it and where it stands in the file."""
    constants = [each.co_qualname if isinstance(each, CodeType) else repr(each) for each in code.co_consts]
    names = (code.co_names, code.co_varnames, code.co_freevars, code.co_cellvars)
    return code.co_qualname, code.co_code, code.co_exceptiontable, code.co_flags, names, constants


def _deep(code: CodeType) -> tuple[Any, ...]:
    return _own(code), [_deep(each) for each in _inner(code)]
