"""Entry point: `planner …` and `python -m planner …`."""

from __future__ import annotations

import gc
import os
import re
import signal
import sys
from collections.abc import Callable
from importlib import import_module
from importlib.machinery import PathFinder
from importlib.util import module_from_spec
from types import ModuleType
from typing import Any, Final

# Modules which the libraries import whole and a plan asks nothing of. Where another version of a library
# does ask as it starts, they are loaded there and then.
# With each, the functions that are taken out of it.
_SELDOM: Final = {
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


class _NoPlugins(ModuleType):
    """In the place of pydantic's own, which imports half of the mail library to say that there are none."""

    def __getattr__(self, name: str) -> Any:
        """Whatever a version of pydantic asks it for finds nothing."""
        if name.startswith("__"):
            raise AttributeError(name)
        return tuple


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


def _put_off(name: str) -> None:
    """A module of that name that is still to be loaded, if there is one."""
    if name in sys.modules or not (spec := PathFinder.find_spec(name)):
        return
    sys.modules[name] = module = module_from_spec(spec)
    module.__class__ = _Seldom

    def late(function: str) -> Callable[..., Any]:
        def call(*given: Any, **named: Any) -> Any:
            return getattr(_loaded(module), function)(*given, **named)

        return call

    vars(module).update({function: late(function) for function in _SELDOM[name].split()})


class _Pattern:
    """A regular expression compiled when something is first asked of it."""

    __class__: Any = re.Pattern  # so that `re` takes it for what it stands for

    def __init__(self, *given: Any, **named: Any) -> None:
        self._given, self._named = given, named

    def __getattr__(self, name: str) -> Any:
        return getattr(re.compile(*self._given, **self._named), name)


def _with_patterns_later(*names: str) -> None:
    """Import modules whose expressions are for what a plan never reads: compiling them takes longer than
    reading its files.
    """
    at_once = re.compile
    re.compile = _Pattern  # type: ignore[assignment]
    try:
        for name in names:
            import_module(name)
    finally:
        re.compile = at_once


def main() -> None:
    """Run the command line; every way out is an exit code, never a traceback."""
    # Start-up makes thousands of lasting objects and hardly any garbage: looking for some so often costs a
    # tenth of a plan.
    gc.set_threshold(100_000, 50, 50)
    # pydantic looks through everything installed for plugins, which takes as long as a plan; none is wanted
    # here.
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "1")
    sys.modules.setdefault("pydantic.plugin._loader", _NoPlugins("pydantic.plugin._loader"))
    first_word = next(iter(sys.argv[1:]), "")
    quick = first_word in ("flight", "--help", "")  # they have one thread, and leave nothing to be tidied up
    for name in _SELDOM if quick else ():
        _put_off(name)
    if quick:
        read = ("yaml",) if first_word == "flight" else ()
        _with_patterns_later("fractions", "platform", "textwrap", *read)
    from planner.app.streams import prepare

    prepare()
    from planner.app.app import build
    from planner.app.common import reader, refuse
    from planner.quantities.errors import InputRefused, shortened, visible
    from planner.quantities.files import on_disk, refused

    on_disk.clear()

    def end(code: int, said: str) -> None:
        """Say how it ended, and what this run has changed on the disk before."""
        done = f"; on the disk: {', '.join(on_disk)}" if on_disk else ""
        print(visible(f"{shortened(said)}{done}"), file=sys.stderr)  # noqa: T201 - this is the command line itself
        sys.exit(code)

    def give_up(refusal: InputRefused) -> None:
        """Tell what was refused: where the result goes, or where messages go if nobody takes it."""
        try:
            code = refuse(refusal, "--json" in sys.argv, reader(sys.argv))
            sys.stdout.flush()
        except OSError:
            os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
            code = refuse(refusal, False, reader(sys.argv))
        if on_disk:
            end(code, "before that")
        sys.exit(code)

    if hasattr(signal, "SIGPIPE"):
        # The reader went away (`planner flight … | head`): end as other programs do, 141 in a shell; 1 would
        # read as "not inside".
        signal.signal(signal.SIGPIPE, signal.SIG_DFL)
    try:
        try:
            build(first_word)(prog_name="planner")
        finally:
            sys.stdout.flush()  # here, so that a full disk is told
    except InputRefused as refusal:
        give_up(refusal)
    except OSError as error:
        if error.filename:
            message = f"cannot be used: {error.strerror or error}"
            give_up(refused(str(error.filename), "file-unreadable", message, "needed a name the disk takes"))
        # A full disk, mostly: nothing was said about the flight, so neither 0 nor 1.
        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
        end(2, f"the result could not be written: {error.strerror or error}")
    except (KeyboardInterrupt, EOFError):
        end(130, "stopped")
    except (MemoryError, RecursionError):
        end(2, "the input is too much for this computer's memory; nothing was computed")
    except SystemExit as ended:
        # Taking every module apart takes long.
        if quick and isinstance(ended.code, int):
            sys.stderr.flush()
            os._exit(ended.code)
        raise
    except Exception as error:  # noqa: BLE001 - the last word, so that a fault is never taken for a verdict
        from traceback import extract_tb

        place = extract_tb(error.__traceback__)[-1]
        where = f"{type(error).__name__} at {place.filename}:{place.lineno}"
        end(3, f"a fault of this program, not of your input: {error} ({where}); trust nothing it said")
    finally:
        gc.freeze()  # the interpreter looks for garbage once more as it ends: nothing left to look at


if __name__ == "__main__":
    main()
