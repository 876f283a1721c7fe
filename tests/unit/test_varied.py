"""One quantity left open: what each value changes in a flight file, its range, and that a value tried is
judged as a plan judges it.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from pathlib import Path
from typing import cast

import pytest

from planner.facts.standard_masses import HEAVIEST_PERSON
from planner.flight.envelope import LimitResult
from planner.quantities.errors import InputRefused
from planner.quantities.units import Quantity
from planner.records.document import Location
from planner.records.store import load_flight_file
from planner.search.solved import around, family_of, solve
from planner.search.trying import inside, trials
from planner.search.varied import (
    Case,
    Variable,
    added_mass,
    case_of,
    fuel_change,
    fuller,
    item_mass,
    kilograms_of,
    moved_mass,
    seated,
    silent,
)
from tests.unit.test_closer import BY_MASS
from tests.unit.test_remedies_kept import case

ROOT = Path(__file__).parents[2]
TWO_BAGS = "{front seats: [80 kg, 75 kg], baggage: [4 +/- 1 kg, 21 +/- 2 kg]}"


def written(flight: Case, variable: Variable, value: float) -> dict[Location, object]:
    """What a value changes: masses as (kg, its doubt, as stated), fuel in L with its doubt."""
    return {
        place: (
            (round(what.value * 1e3, 9), what.u * 1e3, what.text)
            if isinstance(what, Quantity)
            else what and [(each.value, each.u, each.text) for each in cast(list[Quantity], what)]
        )
        for place, what in variable.write(flight.plan.flight, value).items()
    }


def test_a_mass_changes_and_what_is_unsure_about_it_stays(tmp_path: Path) -> None:
    flight = case(tmp_path, TWO_BAGS, 60)
    second = item_mass(flight.plan, "baggage", 1, 300.0)
    assert (second.what, second.dimension, second.now, second.low) == ("baggage 2", "mass", 21.0, 0.0)
    assert second.high == 300.0, "not a person, though one of two"
    assert written(flight, second, 7.25) == {
        ("load", "baggage"): [(4.0, 1.0, "4 +/- 1 kg"), (7.25, 2.0, "7.25 kg")]
    }
    first = item_mass(flight.plan, "baggage", 0, 30.0)
    assert written(flight, first, 9.0)["load", "baggage"] == [(9.0, 1.0, "9 kg"), (21.0, 2.0, "21 +/- 2 kg")]
    alone = case(tmp_path, "{front seats: 80 kg, shelf: 3 kg}", 60)
    for station in ("front seats", "shelf"):
        variable = item_mass(alone.plan, station, 0, 400.0)
        assert (variable.what, variable.high) == (station, 400.0)
    beside = item_mass(flight.plan, "front seats", 0, 400.0)
    assert (beside.what, beside.high) == ("front seats 1", HEAVIEST_PERSON)
    assert item_mass(flight.plan, "front seats", 0, 90.0).high == 90.0


@pytest.mark.parametrize(
    ("masses", "seats", "expected"),
    [
        ((), 2, [70, 0]),
        ((80,), 2, [80, 70]),
        ((0, 80), 2, [70, 80]),
        ((80, 0), 3, [80, 70, 0]),
        ((80, 60), 2, [80, 60, 70]),  # no seat is free: the plan says so
        ((3, 4), 0, [3, 4, 70]),
    ],
)
def test_one_more_sits_on_the_first_free_seat(
    masses: tuple[float, ...], seats: int, expected: list[float]
) -> None:
    row = seated([kilograms_of(each) for each in masses], seats, kilograms_of(70))
    assert [(each.value, each.u, each.text) for each in row] == [
        (mass, 0.0, f"{mass:g} kg") for mass in expected
    ]


def test_something_added_is_weighed_and_nothing_added_is_no_change(tmp_path: Path) -> None:
    flight = case(tmp_path, TWO_BAGS.replace("75 kg", "0 kg"), 60)
    more = added_mass("baggage", 300.0)
    assert (more.what, more.dimension, more.now, more.low, more.high) == (
        "added to baggage",
        "mass",
        0.0,
        0.0,
        300.0,
    )
    assert written(flight, more, 0.0) == {}
    assert cast(list[object], written(flight, more, 3.5)["load", "baggage"])[2:] == [(3.5, 0.0, "3.5 kg")]
    assert written(flight, added_mass("shelf", 9.0), 3.5) == {("load", "shelf"): [(3.5, 0.0, "3.5 kg")]}
    seat = added_mass("front seats", 300.0, 2)
    assert seat.high == HEAVIEST_PERSON
    assert added_mass("front seats", 120.0, 2).high == 120.0
    assert added_mass("one seat", 300.0, 1).high == 300.0
    assert written(flight, seat, 55.0) == {
        ("load", "front seats"): [(80.0, 0.0, "80 kg"), (55.0, 0.0, "55 kg")]
    }


def test_part_of_a_thing_is_weighed_and_all_of_it_is_carried_as_it_is(tmp_path: Path) -> None:
    flight = case(tmp_path, TWO_BAGS.replace("}", ", shelf: 2 kg}"), 60)
    moved = moved_mass(flight.plan, "baggage", 0, "shelf")
    assert (moved.what, moved.dimension, moved.now, moved.low, moved.high) == (
        "moved from baggage to shelf",
        "mass",
        0.0,
        0.0,
        4.0,
    )
    assert written(flight, moved, 1.5) == {
        ("load", "baggage"): [(2.5, 1.0, "2.5 kg"), (21.0, 2.0, "21 +/- 2 kg")],
        ("load", "shelf"): [(2.0, 0.0, "2 kg"), (1.5, 0.0, "1.5 kg")],
    }
    for all_of_it in (4.0, 4.5):
        assert written(flight, moved, all_of_it) == {
            ("load", "baggage"): [(21.0, 2.0, "21 +/- 2 kg")],
            ("load", "shelf"): [(2.0, 0.0, "2 kg"), (4.0, 1.0, "4 +/- 1 kg")],
        }
    back = moved_mass(flight.plan, "shelf", 0, "baggage")
    assert written(flight, back, 2.0)["load", "shelf"] is None, "a station left without any is not named"
    assert written(flight, moved, 0.0) == {}


def test_fuel_is_shared_alike_or_by_weights_from_empty_to_full(tmp_path: Path) -> None:
    """20 and 40 L in two tanks of 72 L usable."""
    flight = case(tmp_path, "{front seats: [80 kg, 75 kg]}", 60).with_(
        {("fuel", "tanks", "left"): "20 +/- 1 L", ("fuel", "tanks", "right"): "40 L"}
    )
    left, right = ("fuel", "tanks", "left"), ("fuel", "tanks", "right")

    def of(*tanks: str, weights: tuple[float, ...] = ()) -> tuple[Variable, list[float]]:
        found = fuel_change(flight.plan, tanks, weights)
        assert (found.dimension, found.now) == ("volume", 0.0)
        return found, [round(figure * 1e3, 9) for figure in (found.low, found.high)]

    both, ends = of("left", "right")
    assert (both.what, both.volumes, ends) == ("all tanks", (0.5, 0.5), [-40.0, 64.0])
    assert written(flight, both, 0.010) == {left: (25.0, 1.0, "25 L"), right: (45.0, 0.0, "45 L")}
    # Beyond its ends a tank is empty or full, and never more than that.
    assert written(flight, both, -0.050) == {left: (0.0, 1.0, "0 L"), right: (15.0, 0.0, "15 L")}
    assert written(flight, both, 0.068) == {left: (54.0, 1.0, "54 L"), right: (72.0, 0.0, "72 L")}
    one, ends = of("right")
    assert (one.what, one.volumes, ends) == ("right", (0.0, 1.0), [-40.0, 32.0])
    assert written(flight, one, -0.01234) == {right: (27.66, 0.0, "27.66 L")}
    shared, ends = of("left", "right", weights=(3.0, 1.0))
    assert (shared.volumes, ends) == ((0.75, 0.25), pytest.approx([-80 / 3, 52 / 0.75]))
    assert written(flight, shared, 0.008) == {left: (26.0, 1.0, "26 L"), right: (42.0, 0.0, "42 L")}
    single, ends = of("left", "right", weights=(0.0, 2.0))
    assert (single.volumes, ends) == ((0.0, 1.0), [-40.0, 32.0])
    assert set(written(flight, single, 0.001)) == {right}
    turned, _ = of("right", "left", weights=(3.0, 1.0))
    assert turned.volumes == (0.25, 0.75), "in the order of the aircraft's tanks"


def test_more_that_may_be_aboard_fills_a_tank_to_what_it_holds(tmp_path: Path) -> None:
    """50 and 71 L with 3 L more each: 53 and 72 L."""
    flight = case(tmp_path, "{front seats: [80 kg, 75 kg]}", 60).with_(
        {("fuel", "tanks", "left"): "50 L", ("fuel", "tanks", "right"): "71 +/- 1 L"}
    )
    changes = fuller(flight.plan.model, (3e-3, 3e-3))
    found = {place[-1]: cast(Quantity, what) for place, what in changes.items()}
    assert {name: (round(what.value * 1e3, 9), what.u * 1e3) for name, what in found.items()} == {
        "left": (53.0, 0.0),
        "right": (72.0, 1.0),
    }


def test_a_case_that_is_refused_or_not_inside_is_not_kept(tmp_path: Path) -> None:
    """688.4 + 345 kg and 30 L are 1055 kg: 30 kg may come, and less than nothing is refused."""
    load = "{front seats: [100 kg, 95 kg], rear seats: [80 kg, 70 kg]}"
    flight = case(tmp_path, load, 30, profile=BY_MASS)
    more = added_mass("baggage", 100.0)
    assert flight.kept(more, 29.5) is not None
    assert flight.kept(more, 30.5) is None
    with pytest.raises(InputRefused):
        flight.at(more, -1.0)
    assert flight.kept(more, -1.0) is None
    for mass, expected in ((29.5, True), (30.5, False), (-1.0, False)):
        assert inside(flight, more.write(flight.plan.flight, mass)) is expected
    (interval,) = solve(flight, more)
    assert (interval.low, interval.high) == pytest.approx((0.0, 30.0))
    assert around(flight, more, 10.0) == interval
    assert around(flight, more, 31.0) is None


def test_what_is_done_is_never_more_than_all() -> None:
    silent(0, 0)
    silent(2, 3)
    for done, of in ((3, 2), (-1, 2)):
        with pytest.raises(AssertionError):
            silent(done, of)


def judged(flight: Case) -> Counter[tuple[object, ...]]:
    """Every limit of a plan, and of the plan with what the tanks may hold more: where, with which figures."""
    plans = [flight.plan] if flight.heavier is None else [flight.plan, flight.heavier]
    own = Counter(_said(limit) for limit in (flight.plan.fuel.enough,))
    for plan in plans:
        own.update(_said(limit) for limit in (*plan.load_limits, *plan.burn.limits))
        own.update(_said(limit) for state in plan.states for limit in state.limits)
    return own


def _said(limit: LimitResult) -> tuple[object, ...]:
    margin, u = limit.tightest
    return (limit.place, limit.id, limit.variant, limit.verdict, round(margin, 9), round(u, 9))


def variables(flight: Case) -> list[Variable]:
    return [
        item_mass(flight.plan, "baggage", 0, 40.0),
        added_mass("rear seats", 90.0, 2),
        moved_mass(flight.plan, "baggage", 0, "shelf"),
        fuel_change(flight.plan, ["left", "right"]),
        fuel_change(flight.plan, ["right"]),
    ]


@pytest.mark.parametrize("more", [(), (0.002, 0.003)])
@pytest.mark.parametrize("which", range(5))
def test_a_value_tried_is_judged_as_a_plan_judges_it(more: tuple[float, ...], which: int) -> None:
    """Every limit with the same margin, U and verdict, whether the records are read anew or not."""
    flight = case_of(*load_flight_file(ROOT / "docs/flights/demo.yaml"), more)
    variable = variables(flight)[which]
    trial = trials(flight, variable)
    for share in (0.02, 0.31, 0.77, 0.98, 1.0):
        value = variable.low + (variable.high - variable.low) * share
        try:
            planned = judged(flight.at(variable, value))
        except InputRefused:
            with pytest.raises(InputRefused):
                trial(value)
            continue
        tried = Counter(_said(each.result) for each in trial(value))
        assert tried == planned, (variable.what, value)


def test_what_a_variable_does_to_mass_and_moment_is_its_arm(tmp_path: Path) -> None:
    """Baggage lies at 3.630 m, the shelf at 4.050 m, the second front seat at 2.165 m and 0.28 m to the right; what
    is aboard without the variable is the same whatever its value.
    """
    load = "{front seats: [80 kg, 75 kg], baggage: [4 kg, 20 kg]}"
    trip = "[{phase: taxi, fuel: 2 L}, {phase: cruise, fuel: 5 L}, {phase: taxi, fuel: 1 L}]"
    plan = case(tmp_path, load, 60, trip).plan
    here = plan.state("zero fuel").total
    for variable, slope, at_now in (
        (item_mass(plan, "baggage", 1, 40.0), (1.0, 3.63, 0.0), 20.0),
        (item_mass(plan, "front seats", 1, 120.0), (1.0, 2.165, 0.28), 75.0),
        (added_mass("shelf", 10.0), (1.0, 4.05, 0.0), 0.0),
        (moved_mass(plan, "baggage", 1, "shelf"), (0.0, 0.42, 0.0), 0.0),
        (fuel_change(plan, ["left", "right"], [3.0, 1.0]), (0.0, 0.0, 0.0), 0.0),
    ):
        family = family_of(plan, variable)
        change = family.change
        found = (change.mass, change.moment, change.lateral_moment)
        assert found == pytest.approx(slope, abs=1e-9), variable.what
        zero = family.zero_fuel
        assert (zero.mass, zero.moment, zero.lateral_moment) == pytest.approx(
            (
                here.mass - at_now * slope[0],
                here.moment - at_now * slope[1],
                here.lateral_moment - at_now * slope[2],
            ),
            abs=1e-9,
        )
        assert change.volumes == variable.volumes
        assert family.volumes == (0.030, 0.030)
        assert (family.density, [tank.name for tank in family.tanks]) == (720.0, ["left", "right"])
        assert [leg.stage for leg in family.legs] == ["taxi", "trip"], (
            "what is burnt after landing is no flight"
        )


def test_a_range_of_nothing_has_no_value_in_it(tmp_path: Path) -> None:
    flight = case(tmp_path, "{front seats: [80 kg, 75 kg]}", 60, profile=BY_MASS)
    more = added_mass("shelf", 10.0)
    assert solve(flight, replace(more, high=0.0)) == ()
    assert solve(flight, replace(more, low=3.0, high=2.0)) == ()
    assert [(each.low, each.high) for each in solve(flight, replace(more, low=3.0))] == [
        (pytest.approx(3.0), pytest.approx(10.0))
    ]


def test_a_ledger_says_what_more_there_may_be_and_both_plans_count(tmp_path: Path) -> None:
    flight = case(tmp_path, "{front seats: [80 kg, 75 kg]}", 60, profile=BY_MASS)
    more = case_of(flight.flight, flight.aircraft, (0.004, 0.002))
    assert flight.heavier is None
    assert more.heavier is not None
    assert [each.volume * 1e3 for each in more.heavier.fuel.tanks] == pytest.approx([34.0, 32.0])
    changed = more.with_({("load", "shelf"): [kilograms_of(5.0)]})
    assert changed.more == (0.004, 0.002)
    assert changed.heavier is not None
    assert changed.heavier.fuel.aboard * 1e3 == pytest.approx(66.0)
