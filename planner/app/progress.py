"""Progress of long work: silent for a second, then one line on stderr, kept out of pipes."""

from __future__ import annotations

import sys
import time
from types import TracebackType
from typing import Final

from planner.app.streams import Styled

PATIENCE: Final = 1.0  # s before the first sign of life
_EVERY: Final = 0.1  # s between redraws
_WIDTH: Final = 30


class Progress:
    """`with Progress("drawing", total) as progress: progress.at(done)`; nothing is shown for work under a
    second or off a terminal.
    """

    def __init__(self, what: str, total: int) -> None:
        self.what, self.total = what, max(total, 1)
        self.started = self.last = time.monotonic()
        self.shown = False

    def __enter__(self) -> Progress:
        return self

    def at(self, done: int) -> None:
        """`done` of the total is finished."""
        now = time.monotonic()
        if now - self.started < PATIENCE or now - self.last < _EVERY or not sys.stderr.isatty():
            return
        self.last, self.shown = now, True
        filled = _WIDTH * done // self.total
        left = (now - self.started) / max(done, 1) * (self.total - done)
        Styled(sys.stderr).write(
            f"\r{self.what} [{'=' * filled}{' ' * (_WIDTH - filled)}] {done * 100 // self.total:3d} %,"
            f" {left:.0f} s left "
        )
        sys.stderr.flush()

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self.shown:
            Styled(sys.stderr).write("\r" + " " * (_WIDTH + len(self.what) + 30) + "\r")
            sys.stderr.flush()
