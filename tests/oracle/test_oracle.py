"""Sixty generated flights through both engines. A failure prints every difference and the
command that shows it again.

One processor takes some 5 s; the long run is `python -m tests.oracle --count 10000 --seed N`.
"""

from __future__ import annotations

import pytest

from tests.oracle.settle import finished
from tests.oracle.shrink import compared
from tests.sizes import examples

SEED = 20260314
BLOCK = 20
DRAWS, CHANCE_DRAWS = 400, 1000


@pytest.mark.parametrize("block", range(examples(3)))
def test_both_engines_say_the_same(block: int) -> None:
    wrong: list[str] = []
    flights = limits = 0
    for number in range(block * BLOCK, (block + 1) * BLOCK):
        case = finished(SEED, number)
        # the share inside and the other surfaces cost more than the plan: every third and every fifth flight
        # has them
        found = (
            compared(case, DRAWS, CHANCE_DRAWS if number % 3 == 0 else 0, number % 5 == 0)
            if case is not None
            else None
        )
        if found is None:
            continue
        flights, limits = flights + 1, limits + found.limits
        wrong += [f"flight {number}: {each.line()}" for each in found.differences]
    again = f"python -m tests.oracle --seed {SEED} --first {block * BLOCK} --count {BLOCK} --shrink 9"
    assert not wrong, "\n".join([*wrong, again])
    assert flights > BLOCK / 2
    assert limits > 15 * flights
