"""Fuel leaving tanks, twice: in small steps of one flight, and in amounts of many flights at once.

Tanks stand in groups. The tanks of a group give the same flow each while they hold fuel; the next group
begins when the one before it is empty. Both ways start from that sentence and nothing else, and a test holds
them to each other.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Groups = Sequence[Sequence[int]]

STEP = 0.05e-3  # m3, the step of the naive burn: 0.05 L
DRY = 1e-12  # m3, less than that is an empty tank


def stepped(volumes: list[float], amount: float, groups: Groups, step: float = STEP) -> Iterator[list[float]]:
    """Take `amount` [m3] out of `volumes` [m3] in steps of at most `step`; yields the volumes after every
    step.

    A step ends early where a tank runs dry or the amount is used up, so that no step reaches past either.
    """
    left = amount
    while left > DRY:
        giving = next(
            (alive for group in groups if (alive := [tank for tank in group if volumes[tank] > DRY])), None
        )
        if giving is None:
            return
        each = min(step / len(giving), left / len(giving), *(volumes[tank] for tank in giving))
        for tank in giving:
            volumes[tank] = max(volumes[tank] - each, 0.0)
        left -= each * len(giving)
        yield list(volumes)


def drained(volumes: list[Array], amount: Array, groups: Groups) -> Iterator[list[Array]]:
    """Take `amount` [m3] per flight out of `volumes` [m3], many flights at once; yields after every tank that
    runs dry.

    In a round every tank that still holds fuel gives the same, as much as the emptiest of them has or the
    amount asks for.
    """
    left = np.maximum(amount, 0.0)
    now = list(volumes)
    for group in groups:
        for _ in group:
            giving = np.stack([now[tank] > DRY for tank in group])
            count = giving.sum(axis=0)
            least = np.min(np.where(giving, np.stack([now[tank] for tank in group]), np.inf), axis=0)
            each = np.where(
                count > 0, np.minimum(left / np.maximum(count, 1), np.where(count > 0, least, 0.0)), 0.0
            )
            for index, tank in enumerate(group):
                now[tank] = np.maximum(now[tank] - each * giving[index], 0.0)
            left = left - each * count
            if np.all(left <= DRY):
                yield list(now)
                return
            if np.any(each > 0):
                yield list(now)
    yield list(now)
