"""Margins made straight in the standard inputs: how far a value can reach."""

from __future__ import annotations

import numpy as np

from planner.sureness.forms import _Learner


def test_the_reach_of_a_value_holds_every_draw_from_the_least_to_the_greatest() -> None:
    learn = _Learner(2, (), np.random.default_rng(1).standard_normal((2, 4096)))
    first, second = learn.block
    values = 5.0 + 2.0 * first - 3.0 * second
    low, high = learn.reach(values)
    assert low < values[-4096:].min() < 5.0 < values[-4096:].max() < high
    assert low + high == 10.0, "as far below the mean as above it"
    assert learn.reach(np.full_like(first, 5.0)) == (5.0, 5.0), "a sure value reaches nowhere"
