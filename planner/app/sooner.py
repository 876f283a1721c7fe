"""What the libraries of a plan import and never ask anything of waits: a sixth of the time until a plan is
told.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Callable
from importlib import import_module
from importlib.machinery import PathFinder
from importlib.util import module_from_spec
from types import ModuleType
from typing import Any, Final

TRIED: Final = ((3, 11), (3, 12), (3, 13))  # the Pythons of .ci/run
# Modules which the libraries import whole and a plan asks nothing of. Where another version of a library
# does ask as it starts, they are loaded there and then.
# With each, the functions that are taken out of it.
SELDOM: Final = {
    "base64": "",
    "bz2": "",
    "difflib": "get_close_matches",
    "gettext": "gettext",
    "locale": "",
    "lzma": "",
    "ntpath": "",
    "pickle": "dumps loads",
    "secrets": "",
    "shellingham": "",
    "shutil": "get_terminal_size",
    "subprocess": "",
    "tokenize": "",
}


class _Seldom(ModuleType):
    """A module that is loaded when something in it is first asked for."""

    def __getattr__(self, name: str) -> Any:
        if name.startswith("__") and name != "__all__":
            raise AttributeError(name)
        return getattr(_loaded(self), name)


def _loaded(module: ModuleType) -> ModuleType:
    """The module with all that is in it."""
    if isinstance(module, _Seldom):
        module.__class__ = ModuleType  # type: ignore[assignment]  # no more than a module from now on
        spec: Any = module.__spec__
        spec.loader.exec_module(module)
    return module


def put_off_module(name: str) -> None:
    """A module of that name that is still to be loaded, if there is one."""
    if name in sys.modules or not (spec := PathFinder.find_spec(name)):
        return
    sys.modules[name] = module = module_from_spec(spec)
    module.__class__ = _Seldom

    def late(function: str) -> Callable[..., Any]:
        def call(*given: Any, **named: Any) -> Any:
            return getattr(_loaded(module), function)(*given, **named)

        return call

    vars(module).update({function: late(function) for function in SELDOM[name].split()})


_COMPILE: Final = re.compile


class _Pattern:
    """A regular expression compiled when something is first asked of it."""

    __class__: Any = re.Pattern  # so that `re` takes it for what it stands for

    def __init__(self, *given: Any, **named: Any) -> None:
        self._given, self._named = given, named

    def __getattr__(self, name: str) -> Any:
        return getattr(_COMPILE(*self._given, **self._named), name)


def with_patterns_later(*names: str) -> None:
    """Import modules whose expressions are for what a plan never reads: compiling them takes longer than
    reading its files.
    """
    for name in names:
        re.compile = _Pattern  # type: ignore[assignment]
        try:
            import_module(name)
        except Exception:  # noqa: BLE001 - whatever a version of it asks of them: it is imported as it is
            sys.modules.pop(name, None)
        finally:
            re.compile = _COMPILE


def put_off(yaml: bool) -> None:
    """Let them wait, and the expressions of some modules, with `yaml` those of the YAML library; before
    anything of them is imported, while there is one thread. Nothing waits on a Python this was not tried on.
    """
    if sys.version_info[:2] not in TRIED:
        return
    for name in SELDOM:
        put_off_module(name)
    with_patterns_later("fractions", "platform", "textwrap", *(("yaml",) if yaml else ()))
