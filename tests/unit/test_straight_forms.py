"""Margins made straight in the standard inputs: how far a value can reach."""

from __future__ import annotations

from itertools import pairwise
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest

from planner.quantities.moments import Total
from planner.quantities.polygon import Piece
from planner.sureness.forms import Forms, _Learner, _Line
from planner.sureness.places import PlaceForm, _at, _between, places


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


def limit_of(draw: np.random.Generator, upper: bool, axis: str, curved: bool) -> Any:
    """A limiting moment in three pieces that meet at 835 and 850 kg, straight or curved."""
    pieces, low, at = [], 0.0, 0.0
    for high in (835.0, 850.0, 2000.0):
        q, r = float(draw.uniform(1.6, 2.8)), float(draw.choice([0.0, 2e-3, -2e-3])) * curved
        if pieces and curved and draw.random() < 0.6:  # nearly as steep: curves that cross again not far off
            q = pieces[-1].q + 2 * (pieces[-1].r - r) * low + float(draw.uniform(-0.1, 0.1))
        p = at - q * low - r * low * low if pieces else 0.0
        pieces.append(Piece(low=low, high=high, p=p, q=q, r=r))
        at, low = p + q * high + r * high * high, high
    return SimpleNamespace(pieces=tuple(pieces), upper=upper, axis=axis)


def margin_of(bound: Any, mass: np.ndarray, moment: np.ndarray) -> np.ndarray:
    """In moment [kg.m], by the piece that holds there."""
    limit = np.zeros_like(mass)
    for piece in bound.pieces:
        here = (piece.low <= mass) & (mass < piece.high)
        limit[here] = (piece.p + piece.q * mass + piece.r * mass**2)[here]
    return (limit - moment) if bound.upper else (moment - limit)


def least_of(forms: list[PlaceForm], must: bool) -> np.ndarray:
    values = [
        each.values if each.other is None else np.maximum(each.values, each.other)
        for each in forms
        if each.must or not must
    ]
    return np.minimum.reduce(values)


@pytest.mark.parametrize("curved", [False, True])
@pytest.mark.parametrize("upper", [True, False])
@pytest.mark.parametrize("axis", ["longitudinal", "lateral"])
def test_forms_are_the_margins_at_the_ends_and_no_place_between_is_nearer(
    axis: str, upper: bool, curved: bool
) -> None:
    """Every draw of fifty burns against its limit at sixty masses, one after the other."""
    draw = np.random.default_rng(20261129)
    tight = 0
    for _ in range(50):
        bound = limit_of(draw, upper, axis, curved)
        start, burnt = draw.uniform(800, 900) + draw.uniform(-9, 9, 7), draw.uniform(1, 90)
        end = start - burnt * draw.uniform(0.8, 1.2, 7)
        b, c = draw.uniform(1.6, 2.8), float(draw.choice([0.0, 1e-3, -3e-3])) * curved
        if draw.random() < 0.7:  # level with the limit not far off: the margin is least between
            b = bound.pieces[1].q + 2 * (bound.pieces[1].r - c) * 840 + draw.uniform(-0.1, 0.1)
        a = draw.uniform(-40, 40) + 2.2 * 840 - b * 840 - c * 840**2 + draw.uniform(-1, 1, 7)
        curve = {"lateral": (a, b, c), "moment": (a + 5e3, b + 1, -c)}
        if axis != "lateral":
            curve = {"lateral": curve["moment"], "moment": curve["lateral"]}
        stretch = cast(Any, SimpleNamespace(start=start, end=end, **curve))

        def moment(mass: np.ndarray, a: Any = a, b: float = b, c: float = c) -> np.ndarray:
            return np.asarray(a + b * mass + c * mass * mass)

        # what is left without usable fuel, somewhere else; gear up it is not asked for
        zero_mass = end - draw.uniform(1, 40)
        zero_moment = moment(zero_mass) + draw.uniform(-60, 60)
        zero = Total(zero_mass, zero_moment, zero_moment + 1e4)
        if axis == "lateral":
            zero = Total(zero_mass, zero_moment + 1e4, zero_moment)
        names = () if draw.random() < 0.5 else ("gear up",)
        watched = cast(Any, (SimpleNamespace(names=names), bound, [stretch]))
        forms = list(places(7, watched, zero, lambda each: (float(each.min()), float(each.max()))))
        ends = [margin_of(bound, mass, moment(mass)) for mass in (start, end)]
        ends += [] if names else [margin_of(bound, zero_mass, zero_moment)]
        assert least_of(forms, must=True) == pytest.approx(np.minimum.reduce(ends), abs=1e-6)
        along = np.linspace(start, end, 60)
        least = np.minimum.reduce([*(margin_of(bound, mass, moment(mass)) for mass in along), *ends])
        found = least_of(forms, must=False)
        assert (found <= least + 1e-6).all()
        # where all is straight a corner that every draw burns past is nearest itself
        if not curved and all(
            piece.high > start.max() or (end.max() < piece.high < start.min()) or piece.high < end.min()
            for piece in bound.pieces
        ):
            tight += 1
            at_corners = [margin_of(bound, np.full(7, at), moment(np.full(7, at))) for at in (835.0, 850.0)]
            passed = [
                each
                for at, each in zip((835.0, 850.0), at_corners, strict=True)
                if end.max() < at < start.min()
            ]
            assert found == pytest.approx(np.minimum.reduce([*ends, *passed]), abs=1e-6)
    assert curved or tight > 10


@pytest.mark.parametrize("upper", [True, False])
def test_a_margin_that_sags_is_bounded_by_a_tenth_more_than_it_can(upper: bool) -> None:
    """A curved limit of 1e-3 m/kg above a straight moment, level with it in the middle of 40 kg: 0.4 kg.m at the
    ends, nothing in the middle; the bound takes 1.1 x 1e-3 x 40^2 / 4 from the ends, also of draws that burn
    less. A margin that rises all the way or bulges needs no bound.
    """
    sign = 1.0 if upper else -1.0
    bound = cast(
        Any,
        SimpleNamespace(
            pieces=(Piece(low=0.0, high=2e3, p=sign * 840.0**2 * 1e-3, q=0.0, r=sign * 1e-3),),
            upper=upper,
            axis="along",
        ),
    )

    def bounds(start: float, end: float, slope: float, curvature: float = 0.0) -> list[float]:
        stretch = cast(
            Any,
            SimpleNamespace(
                start=start - np.array([15.0, 0.0, 5.0]),
                end=np.full(3, end),
                moment=(0.0, sign * slope, sign * curvature),
            ),
        )
        forms = list(_between(7, bound, stretch, lambda each: (float(each.min()), float(each.max()))))
        assert not any(each.must for each in forms)
        return [float(each.values[1]) for each in forms]

    sag = 1.1e-3 * 40**2 / 4
    assert bounds(860.0, 820.0, 1.68) == pytest.approx([0.4 - sag, 0.4 - sag])
    # level at 840 kg: from there on it rises, up to there it falls
    assert bounds(900.0, 845.0, 1.68) == bounds(835.0, 800.0, 1.68) == []
    assert bounds(860.0, 820.0, 1.68 - 2 * 840e-3, 2e-3) == []


def test_a_value_is_made_straight_from_its_mean_its_inputs_and_their_products() -> None:
    """5 + 2 x - 3 y + 0.5 xy + 0.01 x^2: the square is what strays, 0.36 at six standard deviations and four times
    its worst in the pilot.
    """
    pilot = np.random.default_rng(1).standard_normal((2, 1024))
    learn = _Learner(2, ((0, 1),), pilot)
    x, y = learn.block
    line = learn.line(PlaceForm(3, 5 + 2 * x - 3 * y + 0.5 * x * y + 0.01 * x**2, other=np.full_like(x, 4.0)))
    assert (line.row, line.must, line.centre) == (3, True, 5.0)
    assert line.slopes == pytest.approx(np.array([2.0, -3.0, 0.5]), abs=1e-9)
    worst = 4 * 0.01 * float((pilot[0] ** 2).max())
    assert line.stray == pytest.approx(max(0.36, worst), abs=1e-6)
    assert worst < 0.36 * 2
    # 8.5 standard deviations out: of 2 x - 3 y, and at most half their square of the product
    assert line.spread == pytest.approx(8.5 * 13**0.5 + 0.5 * 8.5**2 / 2)
    assert (line.low, line.high) == pytest.approx(
        (5 - line.spread - line.stray, 5 + line.spread + line.stray)
    )
    assert line.other is not None
    assert (line.other.centre, line.other.spread, line.other.stray) == (4.0, 0.0, 0.0)
    far = learn.line(PlaceForm(0, x + 0.1 * np.where(np.abs(x) > 5, x, 0.0)))
    assert far.stray == pytest.approx(0.6, abs=1e-6)  # a kink that only an input put far off alone meets
    level = learn.line(PlaceForm(0, np.where(x == 0, 1.0, 1.0 + 1e-3 * x)))
    assert level.slopes[0] == pytest.approx(1e-3)


def test_of_two_forms_the_one_that_is_always_behind_is_left_out() -> None:
    """One is 40 kg.m behind at the mean; a difference of slopes of 4 may make that up within 8.5 standard deviations,
    one of 6 may; a form that no draw brings below zero is none.
    """
    learn = _Learner(2, (), np.random.default_rng(1).standard_normal((2, 1024)))
    x, y = learn.block
    ahead, behind = 1 + x, 41 + 5 * x

    def kept(*values: PlaceForm) -> list[float]:
        return [line.centre for line in learn.near(values)]

    assert kept(PlaceForm(0, ahead), PlaceForm(0, behind)) == [1.0]
    assert kept(PlaceForm(0, behind), PlaceForm(0, ahead)) == [1.0]
    assert kept(PlaceForm(0, ahead), PlaceForm(0, 41 + 7 * x)) == [1.0, 41.0]
    assert kept(PlaceForm(0, ahead), PlaceForm(0, 41 + 1 * x - 5 * y)) == [1.0, 41.0]
    # a bound does not make up for a margin that is asked; a margin that is asked does for a bound
    assert kept(PlaceForm(0, ahead, must=False), PlaceForm(0, behind)) == [1.0, 41.0]
    assert kept(PlaceForm(0, ahead), PlaceForm(0, behind, must=False)) == [1.0]
    # of two of which the greater counts neither stands alone
    assert kept(PlaceForm(0, ahead, other=behind), PlaceForm(0, behind)) == [1.0, 41.0]
    assert kept(PlaceForm(0, ahead), PlaceForm(0, behind, other=behind)) == [1.0, 41.0]
    assert kept(PlaceForm(0, 9 + x), PlaceForm(0, 1 + x, other=9 + x)) == []
    assert kept(PlaceForm(0, -9 + x)) == [-9.0]


def test_the_share_left_open_is_counted_draw_by_draw() -> None:
    """A margin of 0.2 + x that strays by 0.5: sure below -0.7 and from 0.3 on."""
    pilot = np.random.default_rng(7).standard_normal((1, 1024))
    learn = _Learner(1, (), pilot)

    def line(centre: float, slope: float, must: bool = True, other: _Line | None = None) -> _Line:
        return _Line(
            row=0, must=must, centre=centre, slopes=np.array([slope]), spread=0.0, stray=0.5, other=other
        )

    x = pilot[0]
    assert learn.doubt([line(0.2, 1.0)]) == pytest.approx(np.mean((x >= -0.7) & (x < 0.3)))
    # two that must hold: open where neither is failed and one is not sure
    assert learn.doubt([line(0.2, 1.0), line(0.9, -1.0)]) == pytest.approx(
        np.mean((x >= -0.7) & (x <= 1.4) & ~((x >= 0.3) & (x <= 0.4)))
    )
    # of two of which the greater counts: failed where both are, inside where one is
    assert learn.doubt([line(0.2, 1.0, other=line(-1.0, -1.0))]) == pytest.approx(
        np.mean(~((x < -0.7) & (x > -0.5)) & (x < 0.3) & (x > -1.5))
    )


def test_forms_settle_each_draw_as_they_would_one_by_one() -> None:
    """Three limits of one, two and three forms over two inputs, their product and 1; two of the six with another."""
    draw = np.random.default_rng(5)
    of, must = [0, 2, 2, 5, 5, 5], [True, True, False, True, True, False]
    for pairs in ((), (1, 4)):
        lines = draw.normal(0.5, 1.5, (6 + len(pairs), 4))
        forms = Forms(
            products=((0, 1),), lines=lines, of=np.array(of), must=np.array(must, dtype=bool), pairs=pairs
        )
        assert forms.rows.tolist() == [0, 2, 5]
        block = forms.room(500)
        block[:2] = draw.standard_normal((2, 500))
        fails, unsure = forms.judge(block)
        left = set(unsure.tolist())
        some = 0
        for number in range(500):
            x, y = block[:2, number]
            values = [float(line @ np.array([x, y, x * y, 1.0])) for line in lines]
            for at, place in enumerate(pairs):
                values[place] = max(values[place], values[6 + at])
            failed = [
                any(values[at] < -1 and must[at] for at in range(6) if of[at] == row) for row in (0, 2, 5)
            ]
            near = [any(values[at] < 1 for at in range(6) if of[at] == row) for row in (0, 2, 5)]
            open_ = any(a and not b for a, b in zip(near, failed, strict=True))
            assert (number in left) is open_
            some += open_
            if not open_:
                assert fails[:, number].tolist() == failed
        assert 0 < some < 500


def test_forms_that_settle_every_draw_leave_none_open() -> None:
    forms = Forms(
        products=(),
        lines=np.array([[0.0, 3.0], [0.0, -2.0]]),
        of=np.array([0, 1]),
        must=np.array([True, True]),
        pairs=(),
    )
    block = forms.room(5)
    block[0] = np.arange(5.0)
    fails, unsure = forms.judge(block)
    assert fails.tolist() == [[False] * 5, [True] * 5]
    assert unsure.size == 0
