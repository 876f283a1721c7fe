"""Which figures of a flight are tried as a remedy, from where to where and in what steps, and to which parts
of its range the first of two is set.

The invented four-seater: baggage takes 40 kg, the shelf 10 kg and both together 45 kg; a seat takes 120 kg by
hand; each tank 72 L usable.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from planner.quantities.units import US_GALLON
from planner.search import solved
from planner.search.remedies import figures, pairs
from planner.search.remedies.figures import AMERICAN, METRIC, STEPS, Try, rounded, step_of, tries
from planner.search.solve import Interval
from planner.search.solved import solve
from planner.search.trying import trials
from planner.search.varied import Case, item_mass
from tests.unit.test_closer import BY_MASS
from tests.unit.test_remedies_kept import case

Maker = Callable[..., Case]


def tried(flight: Case, steps: figures.Rounding = METRIC) -> dict[tuple[str, str, str], Try]:
    return {figures.key_of(each): each for each in tries(flight.plan, steps)}


def ends(each: Try) -> tuple[float, float, float, bool]:
    return each.variable.low, each.variable.high, each.step, each.downwards


def test_every_thing_may_be_lighter_or_elsewhere_and_fuel_less_or_more(tmp_path: Path) -> None:
    """Nothing about people, who have no half; a bag to the shelf as far as that has room."""
    found = tried(case(tmp_path, "{front seats: [80 kg, 75 kg], baggage: [4 kg, 21 kg]}", 60))
    assert {key[:2] for key in found if key[0] in ("limit", "move")} == {
        (kind, bag) for kind in ("limit", "move") for bag in ("baggage 1", "baggage 2")
    }
    assert ends(found["limit", "baggage 2", ""]) == (0.0, 21.0, 0.5, True)
    # 4 kg in all; of 21 kg the 10 kg the shelf takes; the limit on both is not touched by it.
    assert ends(found["move", "baggage 1", "shelf"]) == (0.0, 4.0, 0.5, False)
    assert ends(found["move", "baggage 2", "shelf"]) == (0.0, 10.0, 0.5, False)
    assert {key[1:] for key in found if key[0] == "ballast"} == {
        (name, "") for name in ("rear seats", "baggage", "shelf")
    }
    assert ends(found["ballast", "baggage", ""]) == (0.0, 15.0, 0.5, False)
    assert ends(found["ballast", "rear seats", ""]) == (0.0, 120.0, 0.5, False)
    for name, tanks in (("all tanks", 2), ("left", 1)):
        assert ends(found["fuel off", name, ""]) == pytest.approx((-0.030 * tanks, 0.0, 1e-3 * tanks, True))
        assert ends(found["fuel on", name, ""]) == pytest.approx((0.0, 0.042 * tanks, 1e-3 * tanks, False))
    assert len(found) == 2 + 2 + 3 + 2 * 3


def test_where_nothing_is_to_take_or_to_put_nothing_is_tried(tmp_path: Path) -> None:
    full = tried(
        case(tmp_path, "{front seats: [80 kg, 75 kg], rear seats: [60 kg, 60 kg], shelf: 10 kg}", 144)
    )
    assert {key[0] for key in full} == {"limit", "move", "fuel off", "ballast"}
    assert {key[1] for key in full if key[0] == "ballast"} == {"baggage"}, "the shelf and all seats are full"
    empty = tried(case(tmp_path, "{front seats: [80 kg, 75 kg], baggage: [0 kg, 35 kg], shelf: 10 kg}", 0))
    assert {key for key in empty if key[0] not in ("fuel on", "ballast")} == {("limit", "baggage 2", "")} | {
        ("move", "shelf", "baggage")
    } | {("limit", "shelf", "")}, "a thing of no mass is no thing, and the shelf takes no more"
    assert {key[1] for key in empty if key[0] == "ballast"} == {"rear seats"}, (
        "45 kg are all both places take"
    )


def test_american_steps_are_pounds_and_half_gallons_a_tank(tmp_path: Path) -> None:
    """A pound is 0.45359237 kg, a gallon 3.785411784 L, exactly (international agreement of 1959)."""
    found = tried(case(tmp_path, "{front seats: [80 kg, 75 kg], baggage: 20 kg}", 60), AMERICAN)
    assert found["limit", "baggage", ""].step == 0.45359237
    assert found["fuel off", "all tanks", ""].step == pytest.approx(3.785411784e-3)
    assert found["fuel off", "left", ""].step == pytest.approx(US_GALLON / 2)
    assert figures.BRITISH.fuel == pytest.approx(4.54609e-3 / 2)


def test_a_figure_is_rounded_to_the_safe_side_and_stays_where_it_may_lie(tmp_path: Path) -> None:
    flight = case(tmp_path, "{front seats: [80 kg, 75 kg], baggage: 20 kg}", 60)
    found = tried(flight)
    lighter, ballast = found["limit", "baggage", ""], found["ballast", "shelf", ""]

    def value(attempt: Try, low: float, high: float) -> float | None:
        remedy = rounded(flight, attempt, Interval(low, high))
        return remedy.steps[0].value if remedy is not None else None

    assert value(lighter, 0.0, 14.2) == 14.0
    assert value(lighter, 14.1, 14.4) is None, "no half kilogram lies there"
    assert value(lighter, 0.0, 0.3) == 0.0
    assert value(lighter, 12.0, 20.0) == 19.5, "20 kg is what is there"
    assert value(ballast, 3.2, 9.0) == 3.5
    assert value(ballast, 0.0, 9.0) == 0.5, "nothing is no change"
    remedy = rounded(flight, ballast, Interval(3.2, 9.0))
    assert remedy is not None
    (step,) = remedy.steps
    assert (step.exact, step.low, step.high, step.practical) == (3.2, 3.2, 9.0, 1.0)
    drained = rounded(flight, found["fuel off", "all tanks", ""], Interval(-0.03, -0.0101))
    assert drained is not None
    assert drained.steps[0].practical == pytest.approx(2e-3), "a litre in each of two tanks"
    one = rounded(flight, found["fuel off", "left", ""], Interval(-0.03, -0.0101))
    assert one is not None
    assert one.steps[0].practical == pytest.approx(1e-3)
    assert drained.steps[0].tanks == (("left", pytest.approx(-0.006)), ("right", pytest.approx(-0.006)))
    assert one.steps[0].tanks == (("left", pytest.approx(-0.011)),)


def test_what_a_step_says_is_there_now(tmp_path: Path) -> None:
    """Of what is carried elsewhere all of it, of fuel what is aboard, of ballast nothing."""
    flight = case(tmp_path, "{front seats: [80 kg, 75 kg], baggage: [4 kg, 21 kg]}", 60)
    found = tried(flight)
    for key, now in (
        (("move", "baggage 2", "shelf"), 21.0),
        (("limit", "baggage 1", ""), 4.0),
        (("ballast", "shelf", ""), 0.0),
        (("fuel off", "left", ""), pytest.approx(0.060)),
    ):
        assert step_of(flight.plan, found[key], 0.0, 0.0).now == now


def test_the_first_of_two_figures_is_set_to_the_quarters_of_its_range_in_whole_steps(tmp_path: Path) -> None:
    flight = case(
        tmp_path, "{front seats: [80 kg, 75 kg], baggage: 15 kg}", 144, "[{phase: cruise, fuel: 40.5 L}]"
    )
    found = tried(flight)
    # 15, 11.25, 7.5, 3.75, 0 kg, rounded down; ballast of at most 30 kg (45 less 15) rounded up.
    assert pairs._parts(flight.plan, found["limit", "baggage", ""]) == [11.0, 7.5, 3.5, 0.0]
    assert pairs._parts(flight.plan, found["ballast", "baggage", ""]) == [6.5, 12.5, 19.0, 25.0]
    # 36, 72, 108, 144 L out in twos; and what is not required: 144 - 40.5 - 16.5 (30 min at 33 L/h) = 87 L.
    spare = flight.plan.fuel.surplus - flight.plan.fuel.uncertainty
    assert flight.plan.fuel.uncertainty < spare
    assert pairs._parts(flight.plan, found["fuel off", "all tanks", ""]) == pytest.approx(
        [-0.036, -0.072, -0.108, -0.144, -2e-3 * (spare * 1e3 // 2)]
    )
    # Less than half a step from what is there is no change; a step beyond the range is none of it.
    small = case(tmp_path, "{front seats: [80 kg, 75 kg], shelf: 9.3 kg}", 144)
    assert pairs._parts(small.plan, tried(small)["ballast", "shelf", ""]) == [0.5, pytest.approx(0.7)]


def test_where_fuel_is_short_what_is_required_is_one_of_the_parts(tmp_path: Path) -> None:
    flight = case(tmp_path, "{front seats: [80 kg, 75 kg]}", 60, "[{phase: cruise, fuel: 60.3 L}]")
    short = flight.plan.fuel.uncertainty - flight.plan.fuel.surplus
    assert short > 0
    up = tried(flight)["fuel on", "all tanks", ""]
    *quarters, required = pairs._parts(flight.plan, up)
    assert quarters == pytest.approx([0.022, 0.042, 0.064, 0.084])
    assert 0 <= required - short <= 2e-3
    assert required * 1e3 % 2 == pytest.approx(0.0, abs=1e-9)
    assert len(pairs._parts(flight.plan, tried(flight)["fuel off", "all tanks", ""])) == 4


def _hopeless(flight: Case, attempt: Try) -> bool:
    return solved._hopeless(trials(flight, attempt.variable), attempt.variable)


def test_no_figure_cures_a_mass_that_is_passed_at_both_its_ends(tmp_path: Path) -> None:
    """Four times 120 kg and 144 L are 688.4 + 480 + 103.7 kg = 187 kg too much: no bag of 20 kg, but all fuel
    and a passenger.
    """
    heavy = case(
        tmp_path, "{front seats: [120 kg, 120 kg], rear seats: [120 kg, 120 kg], baggage: 20 kg}", 144
    )
    found = tried(heavy)
    assert _hopeless(heavy, found["limit", "baggage", ""])
    assert _hopeless(heavy, found["fuel off", "left", ""]), "52 kg"
    light = case(tmp_path, "{front seats: [120 kg, 120 kg], rear seats: [60 kg, 60 kg], baggage: 20 kg}", 144)
    assert light.plan.verdict == "outside"
    assert not _hopeless(light, tried(light)["fuel off", "all tanks", ""])
    # An end of a CG range is none: between two ends that are both too far forward and aft it may be inside.
    assert not _hopeless(
        case(tmp_path, "{front seats: [80 kg, 75 kg], baggage: 4 kg}", 60), found["limit", "baggage", ""]
    )


def test_two_flights_are_the_same_on_the_ground_whatever_stands_for_an_empty_seat(tmp_path: Path) -> None:
    def signature(load: str, litres: float = 60) -> object:
        return pairs._signature(case(tmp_path, load, litres).plan.flight)

    plain = signature("{front seats: [80 kg, 75 kg]}")
    assert plain == signature("{front seats: [80 kg, 75 kg], rear seats: [0 kg, 0 kg], baggage: 0 kg}")
    assert signature("{front seats: [80 kg]}") == signature("{front seats: [80 kg, 0 kg]}")
    assert plain == signature("{rear seats: [0 kg], front seats: [80 kg, 75 kg]}")
    for other in (
        "{front seats: [75 kg, 80 kg]}",
        "{front seats: [80 kg, 76 kg]}",
        "{front seats: [0 kg, 80 kg]}",
    ):
        assert plain != signature(other)
    assert signature("{front seats: [0 kg, 80 kg]}") != signature("{front seats: [80 kg]}")
    assert plain != signature("{front seats: [80 kg, 75 kg]}", 61)


def test_what_the_first_change_put_somewhere_is_not_taken_up_by_the_second(tmp_path: Path) -> None:
    flight = case(tmp_path, "{front seats: [80 kg, 75 kg], baggage: [4 kg, 21 kg], shelf: 3 kg}", 60)
    found = tried(flight)
    for key, put in (
        (("move", "shelf", "baggage"), "baggage 2"),  # on the plan after it the last one there
        (("ballast", "shelf", ""), "shelf"),
        (("limit", "baggage 1", ""), ""),
        (("ballast", "rear seats", ""), ""),  # nobody sits there in this plan
    ):
        assert pairs._just_put(flight.plan, step_of(flight.plan, found[key], 1.0, 1.0)) == put
    # Alone on its station a thing is called by the station's name; the second of two never was.
    assert pairs._when_alone(flight.plan, "baggage 1") == "baggage"
    assert pairs._when_alone(flight.plan, "baggage 2") == "baggage 2"


def test_two_changes_of_one_tank_are_one_figure(tmp_path: Path) -> None:
    flight = case(tmp_path, "{front seats: [80 kg, 75 kg], baggage: 4 kg}", 60)
    found = tried(flight)
    left = step_of(flight.plan, found["fuel off", "left", ""], -0.01, -0.01)
    for key, same in (
        (("fuel on", "all tanks", ""), True),
        (("fuel on", "left", ""), True),
        (("fuel on", "right", ""), False),
        (("limit", "baggage", ""), False),
    ):
        assert pairs._same_tanks(left, flight.plan, found[key]) == same


def test_the_smallest_of_a_figure_is_the_first_step_of_its_range(tmp_path: Path) -> None:
    """(1085 - 688.4 - 240 - 35) kg / 0.72 kg/L = 168.9 L would be too much fuel: it is the CG that is passed."""
    flight = case(tmp_path, "{front seats: [92 kg, 85 kg], rear seats: [88 kg, 72 kg], baggage: 25 kg}", 40)
    attempt = tried(flight)["limit", "baggage", ""]
    (inside,) = solve(flight, item_mass(flight.plan, "baggage", 0, 25.0))
    found = figures.smallest(flight, attempt)
    assert found is not None
    assert 0 <= inside.high - found.steps[0].value < 0.5
    assert found.plan.verdict == "inside"


def test_a_pump_is_stopped_by_half_a_gallon_and_a_scale_shows_pounds() -> None:
    """A US gallon is 231 cubic inches, an imperial one 4.546 09 L, a pound 0.453 592 37 kg
    [nist-sp-811] appendix B.
    """
    inch, pound = 0.0254, 0.45359237
    for system, gallon in (("us", 231 * inch**3), ("uk", 4.54609e-3)):
        steps = STEPS[system]  # type: ignore[index]
        assert (steps.load, steps.person, steps.fuel) == pytest.approx((pound, pound, gallon / 2), rel=1e-12)
    assert (METRIC.load, METRIC.person, METRIC.fuel) == (0.5, 1.0, 1e-3)


@pytest.mark.parametrize(
    ("inside", "expected"),
    [
        (((2.1, 2.9), (5.2, 9.0)), 5.5),  # 0.8 kg of room is next to none
        (((2.1, 2.9), (5.2, 5.9)), 2.5),
        (((2.1, 3.2), (5.2, 9.0)), 2.5),
        (((2.1, 2.4), (5.2, 5.9)), 5.5),  # no half kilogram lies in the first
        (((2.1, 2.4),), None),
        ((), None),
    ],
)
@pytest.mark.parametrize("downwards", [False, True])
def test_a_figure_with_room_is_taken_before_a_smaller_one_with_next_to_none(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    inside: tuple[tuple[float, float], ...],
    expected: float | None,
    downwards: bool,
) -> None:
    """Of ballast the least, of a bag of 20 kg the most: there the same ranges, counted from 20 kg down."""
    flight = case(tmp_path, "{front seats: [80 kg, 75 kg], baggage: 20 kg}", 60)
    attempt = tried(flight)["limit", "baggage", ""] if downwards else tried(flight)["ballast", "shelf", ""]
    ranges = [Interval(20 - high, 20 - low) for low, high in inside[::-1]] if downwards else []
    ranges = ranges or [Interval(low, high) for low, high in inside]
    monkeypatch.setattr(figures, "solve", lambda *_: tuple(ranges))
    monkeypatch.setattr(Case, "kept", lambda *_: flight)
    found = figures.smallest(flight, attempt)
    if expected is None:
        assert found is None
    else:
        assert found is not None
        assert found.steps[0].value == (20 - expected if downwards else expected)


def test_an_edge_on_a_whole_step_that_is_unsure_is_not_offered_itself(tmp_path: Path) -> None:
    """1039 kg and 62.5 L are 1084 kg, of which one person is +/- 2 kg: 1081 kg are shown. A bag of 30 kg has to lose
    3 kg and a little, or the fuel as much.
    """
    load = "{front seats: [120 +/- 2 kg, 130.5 kg], rear seats: [0 kg, 70 kg], baggage: 30 kg}"
    flight = case(tmp_path, load, 62.5, profile=BY_MASS.replace("688.4 +/- 2 kg", "688.5 kg"))
    assert flight.plan.verdict == "not shown inside"
    found = figures.smallest(flight, tried(flight)["limit", "baggage", ""])
    assert found is not None
    assert (found.steps[0].exact, found.steps[0].value) == (pytest.approx(27.0), 26.5)
    assert found.steps[0].high == pytest.approx(27.0)
    # A step that fits just so, by the litre: 3 kg are 4.1667 L.
    out = figures.smallest(flight, tried(flight)["fuel off", "left", ""])
    assert out is not None
    assert (out.steps[0].exact * 1e3, out.steps[0].value * 1e3) == pytest.approx((-3 / 0.72, -5.0))


def test_all_of_a_thing_is_a_figure_though_no_step_ends_there(tmp_path: Path) -> None:
    """A bag of 4.3 kg of which 4.1 kg have to go elsewhere goes there whole; 144 L are full tanks in any step."""
    flight = case(tmp_path, "{front seats: [80 kg, 75 kg], baggage: 4.3 kg}", 60)
    moved = tried(flight)["move", "baggage", "shelf"]
    found = rounded(flight, moved, Interval(4.1, 4.3))
    assert found is not None
    assert found.steps[0].value == 4.3
    assert found.steps[0].whole
    assert rounded(flight, moved, Interval(4.1, 4.2)) is None
    more = tried(flight, AMERICAN)["fuel on", "all tanks", ""]
    full = rounded(flight, more, Interval(0.0835, 0.084))
    assert full is not None
    assert full.plan.fuel.aboard == pytest.approx(0.144)
