"""Flights of several legs: what is carried over, the windows at the stops, and where a mistake is
reported.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

import pytest

from planner.plan import plan_file
from planner.quantities.errors import InputRefused
from planner.records.store import load_flight_file
from planner.search.legs import PUMP_STEPS, LegPlan, _rounded, arrival_fuel, filled_alike, plan_legs, worst_of
from planner.search.solve import Interval
from planner.search.solved import solve
from planner.search.varied import fuel_change
from tests.unit.test_closer import BY_MASS
from tests.unit.test_remedies_kept import case

ROOT = Path(__file__).parents[2]
HEAD = """flight: 1
title: out
aircraft: {aircraft}
category: normal
rules: us-vfr-day
load: {{front seats: [80 kg, 70 kg], baggage: 10 kg}}
fuel: {{grade: avgas-100LL, density: {{fixed: 0.720 kg/L}}, tanks: {tanks}}}
trip: [{{phase: taxi, fuel: 4 L}}, {{phase: cruise, time: 1 h}}, {{phase: taxi, fuel: 2 L}}]
"""
Writer = Callable[..., Path]


@pytest.fixture
def write(tmp_path: Path) -> Writer:
    def make(legs: str, tanks: str = "{left: 40 L, right: 40 L}", aircraft: str = "thornlea-t4") -> Path:
        path = tmp_path / "legs.yaml"
        path.write_text(HEAD.format(tanks=tanks, aircraft=aircraft) + legs, encoding="utf-8")
        return path

    return make


def planned(path: Path) -> tuple[LegPlan, ...]:
    return plan_legs(*load_flight_file(path))


HOME = (
    "legs: [{name: home, uplift: {left: 20 L, right: 10 L}, trip: [{phase: taxi, fuel: 4 L}, {phase: cruise,"
    " time: 50 min}]}]\n"
)


def test_what_is_left_is_carried_over_and_the_uplift_added(write: Writer) -> None:
    legs = planned(write(HOME))
    # 80 L less 4 taxi, 33 cruise and 2 taxi after landing leave 41, half in each tank; contingency and
    # reserve are not burnt.
    assert [volume * 1e3 for volume, _ in arrival_fuel(legs[0].plan)] == pytest.approx([20.5, 20.5])
    assert [
        (line.tank, line.arrival * 1e3, line.uplift * 1e3, line.usable * 1e3) for line in legs[1].order
    ] == [
        ("left", pytest.approx(20.5), pytest.approx(20), pytest.approx(40.5)),
        ("right", pytest.approx(20.5), pytest.approx(10), pytest.approx(30.5)),
    ]
    assert legs[1].uplift * 1e3 == pytest.approx(30)
    assert legs[1].plan.fuel.aboard * 1e3 == pytest.approx(71)
    assert legs[1].plan.flight.load == legs[0].plan.flight.load, "a load that is not named stays"
    # Dips on the stick of the profile: 24.5 L in all lie between (5 cm, 14 L) and (10 cm, 31 L).
    assert legs[1].order[0].dip_before == pytest.approx(0.05 + 0.05 * (24.5 - 14) / (31 - 14))
    assert legs[1].order[0].dip_after == pytest.approx(0.10 + 0.05 * (44.5 - 31) / (48 - 31))


def test_fuel_put_in_by_mass_is_a_volume_at_the_density_of_the_file(write: Writer) -> None:
    """14.4 +/- 0.72 kg at 0.720 kg/L are 20 +/- 1 L, beside 20.5 L that are exact."""
    legs = planned(write(HOME.replace("left: 20 L", "left: 14.4 +/- 0.72 kg")))
    assert [(each.volume * 1e3, each.u * 1e3) for each in legs[1].plan.fuel.tanks] == [
        (pytest.approx(40.5), pytest.approx(1.0)),
        (pytest.approx(30.5), 0.0),
    ]
    assert legs[1].uplift * 1e3 == pytest.approx(30)


def test_the_window_is_that_of_every_rule_and_limit(write: Writer) -> None:
    legs = planned(write(HOME))
    # 4 + 27.5 + 16.5 = 48 L required, 41 aboard: 7 L more; at most until the left tank, which gets two
    # thirds, is full: 51.5 x 3 / 2.
    (window,) = legs[1].windows
    assert window.low * 1e3 == pytest.approx(7.0, abs=1e-9)
    assert window.high * 1e3 == pytest.approx(77.25, abs=1e-9)
    assert legs[1].put_in is not None
    # At 7 L the surplus is nothing, and nothing about it is unsure: it is enough.
    assert (legs[1].put_in.low * 1e3, legs[1].put_in.high * 1e3) == (pytest.approx(7), pytest.approx(77))


def test_the_ends_of_the_window_planned_again_are_inside(write: Writer) -> None:
    for share in (0.0, 1.0):
        legs = planned(write(HOME))
        window = legs[1].put_in
        assert window is not None
        litres = (window.low + (window.high - window.low) * share) * 1e3
        uplift = f"{{left: {litres * 2 / 3!r} L, right: {litres / 3!r} L}}"
        assert planned(write(HOME.replace("{left: 20 L, right: 10 L}", uplift)))[1].plan.verdict == "inside"


def test_the_window_of_the_first_leg_is_of_all_its_fuel(write: Writer) -> None:
    """By hand: 4 L of taxi, 33 L of cruise, 16.5 L of final reserve and 2 L of taxi after landing; at most
    two tanks of 72 L usable.
    """
    (window,) = planned(write(HOME))[0].windows
    assert (window.low * 1e3, window.high * 1e3) == (pytest.approx(55.5), pytest.approx(144.0))


def test_without_an_uplift_the_window_fills_by_the_room_there_is(write: Writer) -> None:
    legs = planned(write(HOME.replace(" uplift: {left: 20 L, right: 10 L},", "")))
    assert legs[1].plan.verdict == "outside"
    (window,) = legs[1].windows
    assert window.low * 1e3 == pytest.approx(7.0, abs=1e-9)
    assert window.high * 1e3 == pytest.approx(103.0, abs=1e-9), "both tanks full"
    assert worst_of(legs) == "outside"


def test_a_leg_loads_and_unloads(write: Writer) -> None:
    change = "load: {baggage: 0 kg, rear seats: [0 kg, 60 kg]}, "
    legs = planned(write(HOME.replace("{name: home, ", f"{{name: home, {change}")))
    first, second = (leg.plan.state("zero fuel").total.mass for leg in legs)
    assert second - first == pytest.approx(60 - 10)


def test_the_doubt_about_the_burn_is_carried_over(write: Writer, tmp_path: Path) -> None:
    profile = (
        (ROOT / "aircraft_profiles/thornlea-t4.yaml")
        .read_text(encoding="utf-8")
        .replace("cruise: 33 L/h", "cruise: 33 +/- 2 L/h")
    )
    (tmp_path / "unsure.yaml").write_text(profile, encoding="utf-8")
    path = write(HOME, tanks="{left: 40 +/- 1 L, right: 40 L}", aircraft="unsure.yaml")
    legs = planned(path)
    # One hour at +/- 2 L/h: 2 L of doubt, half from each tank; 1 L in the left one besides.
    assert [u * 1e3 for _, u in arrival_fuel(legs[0].plan)] == pytest.approx([math.hypot(1, 1), 1])
    assert [each.u * 1e3 for each in legs[1].plan.fuel.tanks] == pytest.approx([math.hypot(1, 1), 1])


def test_no_amount_of_fuel_cures_too_much_load(write: Writer) -> None:
    heavy = "load: {rear seats: [110 kg, 110 kg], baggage: 40 kg}, "
    legs = planned(write(HOME.replace("{name: home, ", f"{{name: home, {heavy}")))
    assert legs[1].windows == ()
    assert legs[1].put_in is None


@pytest.mark.parametrize(
    ("legs", "code", "where", "line"),
    [
        (HOME.replace("left: 20 L", "left: 60 L"), "tank-overfilled", "legs > 1 > uplift > left", 9),
        (HOME.replace("left: 20 L", "lfet: 20 L"), "tank-unknown", "legs > 1 > uplift > lfet", 9),
        (
            HOME.replace("{name: home", "{name: home, load: {bagage: 3 kg}"),
            "station-unknown",
            "legs > 1 > load > bagage",
            9,
        ),
        (
            HOME.replace("phase: cruise, time", "phase: glide, time"),
            "phase-no-flow",
            "legs > 1 > trip > 2 > phase",
            9,
        ),
        (
            HOME.replace("time: 50 min", "time: 2 h, tank: left"),
            "phase-longer-than-tank",
            "leg 'home' > trip > 2 > tank",
            9,
        ),
        (HOME.replace("name: home, ", ""), "key-missing", "legs > 1 > name", 9),
        ("legs: [{name: home, trip: []}]\n", "value-wrong-kind", "legs > 1 > trip", 9),
    ],
)
def test_a_mistake_is_placed_in_its_leg(write: Writer, legs: str, code: str, where: str, line: int) -> None:
    with pytest.raises(InputRefused) as refused:
        planned(write(legs))
    (finding,) = refused.value.findings
    assert (finding.code, finding.where, finding.line) == (code, where, line)


def test_a_command_that_plans_the_first_leg_says_so(write: Writer) -> None:
    plan = plan_file(write(HOME))
    assert [finding.code for finding in plan.findings] == ["legs-follow", "density-fixed-exact"]
    assert all(
        [finding.code for finding in leg.plan.findings] == ["density-fixed-exact"]
        for leg in planned(write(HOME))
    )


def test_the_examples_third_leg_is_short_and_its_window_says_by_how_much() -> None:
    legs = planned(ROOT / "docs/flights/three-legs.yaml")
    assert [leg.plan.verdict for leg in legs] == ["inside", "inside", "outside"]
    third = legs[2]
    assert third.put_in is not None
    assert third.put_in.low == pytest.approx(third.uplift - third.plan.fuel.surplus, abs=1e-3)
    assert third.put_in.low > third.uplift - third.plan.fuel.surplus


def test_a_pump_stops_at_a_litre_or_half_a_gallon() -> None:
    """Litres of a gallon: NIST SP 811 (2008), B.8."""
    litres = {system: 1e3 * step for system, step in PUMP_STEPS.items()}
    assert litres == pytest.approx({"metric": 1.0, "us": 3.785412 / 2, "uk": 4.54609 / 2}, rel=1e-6)


def test_a_leg_goes_by_its_title_and_the_first_without_one_is_called_so(write: Writer) -> None:
    path = write(HOME)
    assert [leg.name for leg in planned(path)] == ["out", "home"]
    path.write_text(path.read_text(encoding="utf-8").replace("title: out\n", ""), encoding="utf-8")
    assert [leg.name for leg in planned(path)] == ["first leg", "home"]


def test_nothing_need_be_put_in_where_enough_is_left(write: Writer) -> None:
    """4 L, 10 L and the reserve of 16.5 L are less than the 41 L there; the left tank, with two thirds of it,
    takes 51.5 L.
    """
    (window,) = planned(write(HOME.replace("time: 50 min", "fuel: 10 L")))[1].windows
    assert (window.low * 1e3, window.high * 1e3) == (pytest.approx(0.0, abs=1e-9), pytest.approx(77.25))
    only_left = HOME.replace("left: 20 L, right: 10 L", "left: 5 L")
    (window,) = planned(write(only_left.replace("time: 50 min", "fuel: 10 L")))[1].windows
    assert (window.low * 1e3, window.high * 1e3) == (pytest.approx(0.0, abs=1e-9), pytest.approx(51.5))


def test_what_does_not_fit_is_told_with_what_does(write: Writer) -> None:
    """20.5 L are in a tank that holds 72 L usable: 51.5 L fit."""
    for litres, fits in ((51.5, True), (51.6, False)):
        path = write(HOME.replace("left: 20 L", f"left: {litres} L"))
        if fits:
            assert [each.volume * 1e3 for each in planned(path)[1].plan.fuel.tanks] == pytest.approx(
                [72, 30.5]
            )
            continue
        with pytest.raises(InputRefused) as refused:
            planned(path)
        (finding,) = refused.value.findings
        assert finding.message == "51.6 L onto 20.5 L does not fit: the tank holds 72.0 L usable"
        assert finding.needed == "needed not more than 51.5 L"


def test_an_edge_on_a_whole_litre_that_is_unsure_is_not_in_the_window_offered(write: Writer) -> None:
    """4 L, 20.5 +/- 1 L and 16.5 L are 41 L as there are left, and U is 2 L: more than 2 L have to go in."""
    legs = planned(write(HOME.replace("time: 50 min", "fuel: 20.5 +/- 1 L")))
    (window,) = legs[1].windows
    assert window.low * 1e3 == pytest.approx(2.0, abs=1e-6)
    put_in = legs[1].put_in
    assert put_in is not None
    assert (put_in.low * 1e3, put_in.high * 1e3) in ((pytest.approx(3.0), pytest.approx(77.0)),)
    for litres, verdict in ((2.0, "not shown inside"), (3.0, "inside")):
        uplift = f"left: {litres * 2 / 3:.12g} L, right: {litres / 3:.12g} L"
        changed = HOME.replace("time: 50 min", "fuel: 20.5 +/- 1 L").replace(
            "left: 20 L, right: 10 L", uplift
        )
        assert planned(write(changed))[1].plan.verdict == verdict


def test_the_window_offered_is_the_one_with_what_is_planned_in_whole_steps(write: Writer) -> None:
    """30 L are put in: of windows at 5 to 9, 10.2 to 40.7 and 50 to 60 L the second, in whole litres; of none
    that holds them the first.
    """
    home = planned(write(HOME))[1].case
    variable = fuel_change(home.plan, ["left", "right"], [2.0, 1.0])
    near, other = Interval(0.0102, 0.0407), Interval(0.008, 0.009)
    far = Interval(0.050, 0.060)

    def offered(*windows: Interval, step: float = 1e-3) -> tuple[float, float] | None:
        found = _rounded(home, variable, windows, 0.030, step)
        return (round(found.low * 1e3, 9), round(found.high * 1e3, 9)) if found is not None else None

    assert offered(other, near, far) == (11.0, 40.0)
    assert offered(near, step=4e-3) == (12.0, 40.0)
    assert offered(other, far) == (8.0, 9.0)
    assert offered(Interval(0.0082, 0.0088)) == (8.2, 8.8), "no whole litre: as it is"
    assert offered() is None


def test_the_most_that_may_go_in_is_not_offered_where_it_is_unsure_itself(tmp_path: Path) -> None:
    """1018 kg and 62.5 L are 1063 kg, of which one person is +/- 2 kg: 18 kg, 25 L, may come, and at just those it is
    not shown. By the half litre that is 87 L; and not less than 16.5 L and the 5.2 L of the trip.
    """
    load = "{front seats: [120 +/- 2 kg, 127.5 kg], rear seats: [0 kg, 70 kg], baggage: 12 kg}"
    flight = case(
        tmp_path, load, 62.5, "[{phase: cruise, fuel: 5.2 L}]", BY_MASS.replace("688.4 +/- 2 kg", "688.5 kg")
    )
    variable = filled_alike(flight.plan)
    base = flight.plan.fuel.aboard
    windows = [Interval(base + each.low, base + each.high) for each in solve(flight, variable)]
    assert [(each.low * 1e3, each.high * 1e3) for each in windows] == [
        (pytest.approx(21.7), pytest.approx(87.5))
    ]
    found = _rounded(flight, variable, windows, base, 5e-4)
    assert found is not None
    assert (found.low * 1e3, found.high * 1e3) == (pytest.approx(22.0), pytest.approx(87.0))
