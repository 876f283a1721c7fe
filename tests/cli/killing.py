"""Processes that are killed, or whose disk fails, at one call to the system or at a random moment."""

from __future__ import annotations

import errno
import os
import random
import signal
import time
from collections.abc import Callable

from planner.quantities.errors import InputRefused
from tests.sizes import stride

REFUSED = 2  # the exit code of a child whose work was refused
# How many of the bytes of one write reach the file before the kill.
PART: dict[str, Callable[[int], int]] = {
    "one byte": lambda _: 1,
    "half": lambda size: size // 2,
    "all but one": lambda size: size - 1,
}
# Where a call is killed: each way of a half-written file in the long run, one in every run.
MANNERS = ("before", *tuple(PART)[:: stride(3)], "after")
CALLS = ("open", "write", "fsync", "close", "replace", "link", "unlink", "chmod", "mkdir")


def child(work: Callable[[], object]) -> int:
    """Run in a forked process; returns its process id."""
    process = os.fork()
    if process == 0:
        code = 3
        try:
            work()
            code = 0
        except InputRefused:
            code = 2
        finally:
            os._exit(code)
    return process


def ended(process: int) -> int:
    """The exit code, or minus the signal that ended it."""
    return os.waitstatus_to_exitcode(os.waitpid(process, 0)[1])


def kill_at(number: int, manner: str) -> None:
    """Make this process kill itself at its `number`-th call to the system."""
    count = 0

    def wrapped(name: str, real: Callable[..., object]) -> Callable[..., object]:
        def call(*arguments: object, **words: object) -> object:
            nonlocal count
            count += 1
            here = count == number
            if here and manner == "before":
                os.kill(os.getpid(), signal.SIGKILL)
            if here and manner in PART and name == "write":
                handle, data = arguments
                real(handle, bytes(data)[: PART[manner](len(bytes(data)))])  # type: ignore[arg-type]
                os.kill(os.getpid(), signal.SIGKILL)
            try:
                return real(*arguments, **words)
            finally:
                if here:
                    os.kill(os.getpid(), signal.SIGKILL)

        return call

    for name in CALLS:
        setattr(os, name, wrapped(name, getattr(os, name)))


def fail_at(number: int, code: int = errno.ENOSPC, lasting: bool = False) -> None:
    """Make the `number`-th call to the system of this process fail; `lasting`, all that come after it too."""
    count = 0

    def wrapped(name: str, real: Callable[..., object]) -> Callable[..., object]:
        def call(*arguments: object, **words: object) -> object:
            nonlocal count
            count += 1
            if count == number or (lasting and count > number and name in ("open", "write", "fsync", "link")):
                if name == "close":
                    real(*arguments)  # a handle is gone, whatever its close says
                raise OSError(code, os.strerror(code))
            return real(*arguments, **words)

        return call

    for name in CALLS:
        setattr(os, name, wrapped(name, getattr(os, name)))


def killed_after(work: Callable[[], object], rng: random.Random, most: float) -> bool:
    """Run in a process that is killed within `most` seconds; whether it was still at work."""
    process = child(work)
    time.sleep(rng.uniform(0, most))
    os.kill(process, signal.SIGKILL)
    return ended(process) == -signal.SIGKILL
