"""A command in a process forked from this one: as a user runs it, streams and exit code too, without loading
everything again. A few runs of a real process per kind of command stay: `real` starts one.
"""

from __future__ import annotations

import io
import os
import subprocess
import sys
import tempfile
import warnings
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).resolve().parents[2]
FAILED = 99  # the exit code where `main` let something through


class Ended(NamedTuple):
    """How it ended and what it wrote."""

    code: int
    out: bytes
    err: bytes


def planner(
    *words: str,
    env: Mapping[str, str | None] | None = None,  # None takes the variable away
    encoding: str = "utf-8",
    before: Callable[[], None] = lambda: None,
    given: bytes = b"",
    folder: Path = ROOT,
) -> Ended:
    """Run `planner WORDS` in a folder; `before` may close or turn the streams 0, 1 and 2."""
    from planner.__main__ import main

    with tempfile.TemporaryFile() as told, tempfile.TemporaryFile() as out, tempfile.TemporaryFile() as err:
        told.write(given)
        told.seek(0)
        with (
            warnings.catch_warnings()
        ):  # Python 3.12 warns of threads; none that the tests run holds a lock here
            warnings.simplefilter("ignore", DeprecationWarning)
            process = os.fork()
        if process == 0:
            try:
                for number, stream in enumerate((told, out, err)):
                    os.dup2(stream.fileno(), number)
                before()
                _streams(encoding)
                os.chdir(folder)
                sys.argv = ["planner", *words]
                for name, value in (env or {}).items():
                    os.environ.pop(name, None) if value is None else os.environ.update({name: value})

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


def run(
    *words: str,
    folder: Path = ROOT,
    given: str | bytes = "",
    env: Mapping[str, str] | None = None,
    real: bool = not hasattr(os, "fork"),
) -> subprocess.CompletedProcess[str]:
    """`planner WORDS` with its text, as `subprocess.run` tells it; COLUMNS only where it is asked for."""
    around: dict[str, str | None] = dict.fromkeys(("COLUMNS", "NO_COLOR", "FORCE_COLOR"))
    around |= {"PYTHONIOENCODING": "utf-8", "PYTHONPATH": str(ROOT)} | dict(env or {})
    data = given if isinstance(given, bytes) else given.encode()
    if real:
        kept = {name: value for name, value in (os.environ | around).items() if value is not None}
        command = [sys.executable, "-m", "planner", *words]
        done = subprocess.run(
            command, cwd=folder, capture_output=True, env=kept, input=data, timeout=120, check=False
        )
        ended = Ended(done.returncode, done.stdout, done.stderr)
    else:
        ended = planner(*words, folder=folder, given=data, env=around)
    return subprocess.CompletedProcess(words, ended.code, ended.out.decode(), ended.err.decode())


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
