"""Margins made straight in the standard inputs: how far a value can reach."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest

from planner.quantities.polygon import Piece
from planner.sureness.forms import _Learner
from planner.sureness.places import _at, _between


def test_the_reach_of_a_value_holds_every_draw_from_the_least_to_the_greatest() -> None:
    learn = _Learner(2, (), np.random.default_rng(1).standard_normal((2, 4096)))
    first, second = learn.block
    values = 5.0 + 2.0 * first - 3.0 * second
    low, high = learn.reach(values)
    assert low < values[-4096:].min() < 5.0 < values[-4096:].max() < high
    assert low + high == 10.0, "as far below the mean as above it"
    assert learn.reach(np.full_like(first, 5.0)) == (5.0, 5.0), "a sure value reaches nowhere"


@pytest.mark.parametrize("beyond", [2.0, 2.4])  # m, slope of the limiting moment beyond its corner
@pytest.mark.parametrize("upper", [True, False])
def test_the_margin_about_a_corner_is_that_of_the_line_that_holds(beyond: float, upper: bool) -> None:
    """Up to 850 kg the limit stands at 2.2 m; there it turns in or out."""
    pieces = (
        Piece(low=0.0, high=850.0, p=0.0, q=2.2, r=0.0),
        Piece(low=850.0, high=2000.0, p=850 * (2.2 - beyond), q=beyond, r=0.0),
    )
    mass = np.linspace(840.0, 860.0, 21)
    limit = np.where(mass < 850, 2.2 * mass, 850 * 2.2 + beyond * (mass - 850))
    watch = cast(Any, SimpleNamespace(pieces=pieces, upper=upper))
    for off in (-3.0, 0.5, 1.5):
        forms = list(_at(7, watch, mass, limit + off, lambda _: (840.0, 860.0)))
        assert {form.row for form in forms} == {7}
        margins = [
            form.values if form.other is None else np.maximum(form.values, form.other) for form in forms
        ]
        assert np.minimum.reduce(margins) == pytest.approx(np.full(21, -off if upper else off), abs=1e-9)


def test_a_corner_that_only_some_draws_burn_down_to_bounds_the_margin_between_the_ends() -> None:
    """The limit turns in at 803 kg, 1 kg.m beyond the burn's line there, and away from it on both sides."""
    pieces = (
        Piece(low=0.0, high=803.0, p=0.0, q=2.2, r=0.0),
        Piece(low=803.0, high=2000.0, p=803 * (2.2 - 2.6), q=2.6, r=0.0),
    )
    bound = cast(Any, SimpleNamespace(pieces=pieces, upper=True, axis="longitudinal"))
    start, end = np.full(3, 900.0), np.array([798.0, 804.0, 806.0])
    line = (803 * 2.2 - 1.0 - 803 * 2.4, 2.4, 0.0)
    stretch = cast(Any, SimpleNamespace(start=start, end=end, moment=line))
    forms = list(_between(7, bound, stretch, lambda values: (values.min(), values.max())))
    assert [form.must for form in forms] == [False]
    assert forms[0].values == pytest.approx(np.ones(3))
