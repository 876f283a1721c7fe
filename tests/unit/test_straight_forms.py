"""Margins made straight in the standard inputs: how far a value can reach."""

from __future__ import annotations

from itertools import pairwise
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest

from planner.quantities.moments import Total
from planner.quantities.polygon import Piece
from planner.sureness.forms import _Learner, _Line
from planner.sureness.places import _at, _between, places


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


@pytest.mark.parametrize("names", [(), ("gear up",)])
def test_places_are_the_start_every_end_and_what_is_left_without_fuel(names: tuple[str, ...]) -> None:
    """An aft limit at 2.4 m; the moment is 2.2 m times the mass less 10 kg.m: 0.2 m of the mass is left and
    10 kg.m; 5 kg.m without fuel, where a moment change is not asked for.
    """
    bound = cast(
        Any,
        SimpleNamespace(pieces=(Piece(low=0.0, high=2e3, p=0.0, q=2.4, r=0.0),), upper=True, axis="along"),
    )
    masses = [np.full(2, mass) for mass in (900.0, 850.0, 800.0)]
    path = [
        cast(Any, SimpleNamespace(start=start, end=end, moment=(-10.0, 2.2, 0.0)))
        for start, end in pairwise(masses)
    ]
    zero = Total(masses[2], 2.4 * masses[2] - 5.0, np.zeros(2))  # type: ignore[arg-type]
    watched = cast(Any, (SimpleNamespace(names=names), bound, path))
    found = [form.values[0] for form in places(7, watched, zero, lambda each: (each.min(), each.max()))]
    assert found == pytest.approx([190.0, 180.0, 170.0] + ([] if names else [5.0]))


@pytest.mark.parametrize(
    ("must", "centre", "doubt"), [(True, -9.0, 0.0), (False, -9.0, 1.0), (False, 9.0, 0.0)]
)
def test_only_a_form_that_must_hold_settles_a_draw_it_fails(must: bool, centre: float, doubt: float) -> None:
    learn = _Learner(1, (), np.zeros((1, 4096)))
    line = _Line(row=0, must=must, centre=centre, slopes=np.zeros(1), spread=0.0, stray=1.0)
    assert learn.doubt([line]) == doubt
