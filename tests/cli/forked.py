"""A command in a process forked from one that has everything loaded: as a user runs it, streams and exit code
too, without starting Python anew. A few runs of a real process per kind of command stay: `real`.

The one forked from has run nothing yet: no thread of it is missing in the child, and nothing is remembered.
"""

from __future__ import annotations

import atexit
import gc
import io
import os
import pickle
import subprocess
import sys
import tempfile
import warnings
from collections.abc import Callable, Mapping
from functools import cache
from importlib import import_module
from pathlib import Path
from pkgutil import walk_packages
from typing import NamedTuple

from pydantic import BaseModel

ROOT = Path(__file__).resolve().parents[2]
FAILED = 99  # the exit code where `main` let something through


class Ended(NamedTuple):
    """How it ended and what it wrote."""

    code: int
    out: bytes
    err: bytes


class _Asked(NamedTuple):
    """What is to be run."""

    words: tuple[str, ...]
    env: dict[str, str]
    encoding: str
    given: bytes
    folder: str
    before: Callable[[], object]


def nothing() -> None:
    """Leave streams and system as they are."""


def turned(number: int, path: str) -> None:
    """Write to a file in the place of that stream."""
    os.dup2(os.open(path, os.O_WRONLY), number)


def planner(
    *words: str,
    env: Mapping[str, str | None] | None = None,  # None takes the variable away
    encoding: str = "utf-8",
    before: Callable[[], object] = nothing,
    given: bytes = b"",
    folder: Path = ROOT,
) -> Ended:
    """Run `planner WORDS` in a folder; `before` may close or turn the streams 0, 1 and 2; it can be pickled."""
    around = {name: value for name, value in (os.environ | dict(env or {})).items() if value is not None}
    return sent(_Asked(words, around, encoding, given, str(folder), before))


def sent(asked: _Asked) -> Ended:
    """Run it in a child of the process forked from."""
    server = _server()
    assert server.stdin is not None
    assert server.stdout is not None
    pickle.dump(tuple(asked), server.stdin)
    server.stdin.flush()
    return Ended(*pickle.load(server.stdout))


def run(
    *words: str,
    folder: Path = ROOT,
    given: str | bytes = "",
    env: Mapping[str, str | None] | None = None,
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


@cache
def _server() -> subprocess.Popen[bytes]:
    """The process that is forked from; it ends with this one."""
    code = "from tests.cli.forked import serve; serve()"
    started = subprocess.Popen(
        [sys.executable, "-W", "error", "-c", code],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        env=os.environ | {"PYTHONPATH": str(ROOT)},
    )
    atexit.register(started.communicate)  # nothing more is asked, so it ends
    return started


def load() -> None:
    """Import the whole program."""
    package = import_module("planner")
    for module in walk_packages(package.__path__, "planner."):
        if not module.name.endswith("__main__"):
            import_module(module.name)
    models = BaseModel.__subclasses__()
    for model in models:  # each would be built at its first record, in every run anew
        models += model.__subclasses__()
        model.model_rebuild()
    gc.freeze()  # what is looked through for garbage is copied


def serve() -> None:
    """Load the program, then run what is asked for until nobody asks any more."""
    load()
    while True:
        try:
            asked = _Asked(*pickle.load(sys.stdin.buffer))
        except EOFError:
            return
        pickle.dump(tuple(forked(asked)), sys.stdout.buffer)
        sys.stdout.buffer.flush()


def forked(asked: _Asked) -> Ended:
    """Run it in a child of this process."""
    from planner.__main__ import main

    with tempfile.TemporaryFile() as given, tempfile.TemporaryFile() as out, tempfile.TemporaryFile() as err:
        given.write(asked.given)
        given.seek(0)
        with warnings.catch_warnings():  # from 3.12 on Python warns of the threads of a library
            warnings.simplefilter("ignore", DeprecationWarning)
            process = os.fork()
        if process == 0:
            try:
                for number, stream in enumerate((given, out, err)):
                    os.dup2(stream.fileno(), number)
                asked.before()
                _streams(asked.encoding)
                os.chdir(asked.folder)
                sys.argv = ["planner", *asked.words]
                os.environ.clear()
                os.environ.update(asked.env)
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
