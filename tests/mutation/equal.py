"""Changes that nothing could notice, each with the reason: judged by a reader, after the tests had let it pass."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Equal:
    """A change as it is told, part of the line it is in, and why nothing can be seen of it."""

    path: str
    line: str
    old: str
    new: str
    why: str


EQUAL: tuple[Equal, ...] = ()
