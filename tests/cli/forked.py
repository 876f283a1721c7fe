"""A command in a process forked from this one: as a user runs it, streams and exit code too, without loading
everything again.
"""

from __future__ import annotations

import io
import os
import sys
import tempfile
from collections.abc import Callable, Mapping
from typing import NamedTuple

FAILED = 99  # the exit code where `main` let something through


class Ended(NamedTuple):
    """How it ended and what it wrote."""

    code: int
    out: bytes
    err: bytes


def planner(
    *words: str,
    env: Mapping[str, str] | None = None,
    encoding: str = "utf-8",
    before: Callable[[], None] = lambda: None,
) -> Ended:
    """Run `planner WORDS`; `before` may close or turn the streams 0, 1 and 2."""
    with tempfile.TemporaryFile() as out, tempfile.TemporaryFile() as err:
        process = os.fork()
        if process == 0:
            try:
                for number, stream in ((1, out), (2, err)):
                    os.dup2(stream.fileno(), number)
                os.dup2(os.open(os.devnull, os.O_RDONLY), 0)
                before()
                _streams(encoding)
                sys.argv = ["planner", *words]
                os.environ.update(env or {})
                from planner.__main__ import main

                main()
            except SystemExit as ended:
                _leave(ended.code if isinstance(ended.code, int) else 0 if ended.code is None else FAILED)
            except BaseException:  # noqa: BLE001 - a forked child must not go on with the tests
                import traceback

                os.write(2, traceback.format_exc().encode())
                os._exit(FAILED)
            _leave(0)
        code = os.waitstatus_to_exitcode(os.waitpid(process, 0)[1])
        out.seek(0)
        err.seek(0)
        return Ended(code, out.read(), err.read())


def _leave(code: int) -> None:
    """End as the interpreter does: 120 where the result could not be flushed at the last."""
    try:
        sys.stdout.flush()
    except (OSError, ValueError):
        code = 120
    os._exit(code)


def _streams(encoding: str) -> None:
    """Text streams as the interpreter makes them: None where the number is closed."""
    for name, number in (("stdin", 0), ("stdout", 1), ("stderr", 2)):
        try:
            os.fstat(number)
        except OSError:
            setattr(sys, name, None)
            continue
        made = open(number, "r" if number == 0 else "w", encoding=encoding, closefd=False)  # noqa: SIM115
        assert isinstance(made, io.TextIOWrapper)
        setattr(sys, name, made)
        setattr(sys, f"__{name}__", made)
