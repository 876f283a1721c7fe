"""The three streams as the program finds them: closed, full, or of an encoding that lacks a sign; none may
end in a traceback, and no text of a file commands a terminal.

Everything written is cleaned on its way (`planner.quantities.errors.visible`). What has signs for a terminal
of its own, rich's colours and a line drawn again, goes by `styled` after its texts were cleaned.
"""

from __future__ import annotations

import io
import os
import sys
from contextlib import suppress
from typing import Any, Final, TextIO

from planner.quantities.errors import visible

_WIDEST: Final = 1000  # columns


class Clean(io.TextIOWrapper):
    """A text stream that shows what cannot be printed as `?`, and a sign its encoding lacks too."""

    def write(self, text: str) -> int:
        """Write it clean."""
        return self.styled(visible(text, "\n\t"))

    def styled(self, text: str) -> int:
        """Write it as it is."""
        return super().write(text)

    def close(self) -> None:
        """Only let go of it: the bytes below belong to the stream that was found."""
        with suppress(OSError, ValueError):
            self.flush()


class Patient(Clean):
    """Where messages go: if nobody takes them, the exit code still tells."""

    def styled(self, text: str) -> int:
        with suppress(OSError):
            return super().styled(text)
        return len(text)

    def flush(self) -> None:
        with suppress(OSError):
            super().flush()


class Styled:
    """A stream as rich takes it: its texts are clean when they come here."""

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream
        self.write = getattr(stream, "styled", stream.write)

    def __getattr__(self, name: str) -> Any:
        return getattr(self._stream, name)


def heard(prompt: str, out: TextIO) -> str:
    """The next line of standard input after a prompt, with its end; empty at the end of all. A terminal shows
    what is typed, a pipe does not: there it is told.
    """
    out.write(prompt)
    out.flush()
    line = sys.stdin.readline()
    if not sys.stdin.isatty():
        out.write(f"{line.rstrip()}\n")
    return line


def prepare() -> None:
    """Put streams that hold in the place of those found, and widths a library can read in the environment."""
    for number, mode in ((0, os.O_RDWR), (1, os.O_RDONLY), (2, os.O_RDWR)):
        try:
            os.fstat(number)
        except OSError:
            # A closed stream is taken up, or the next file opened would be it. Nothing can be written to the
            # result's: that is told like a full disk.
            os.open(os.devnull, mode)
    if sys.stdin is None:
        sys.stdin = open(0, encoding="utf-8", closefd=False)  # noqa: SIM115 - it stays open to the end
    elif isinstance(sys.stdin, io.TextIOWrapper):
        sys.stdin.reconfigure(errors="replace")
    sys.stdout = _over(sys.stdout, 1, Clean)
    sys.stderr = _over(sys.stderr, 2, Patient)
    for name in ("COLUMNS", "LINES"):
        found = os.environ.get(name, "")
        if not (found.isascii() and found.isdecimal() and 0 < int(found[:5]) <= _WIDEST):
            os.environ.pop(name, None)


def _over(found: TextIO | None, number: int, kind: type[Clean]) -> Clean:
    """A stream over the same bytes as the one found."""
    if isinstance(found, kind):
        return found
    if isinstance(found, io.TextIOWrapper):
        buffer, encoding, at_once = found.buffer, found.encoding, found.line_buffering
    else:
        buffer, encoding, at_once = open(number, "wb", closefd=False), "utf-8", False  # noqa: SIM115
    return kind(buffer, encoding=encoding, errors="replace", line_buffering=at_once or kind is Patient)
