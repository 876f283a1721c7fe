"""Adverse loadings of an invented aircraft with limits that do not change with mass, each filled by hand."""

from __future__ import annotations

import pytest

from planner.facts.grades import GRADES
from planner.flight.extremes import Assumptions, Extreme, assume, every_category, extremes
from planner.quantities.errors import OutOfRange
from planner.quantities.units import POUND
from planner.records.aircraft.record import Aircraft
from planner.records.store import load_aircraft_file

PROFILE = """\
profile: 1
name: Brackwater Plover
invented: true
source: Invented
datum: firewall
fuel_grades: [avgas-100LL, avgas-UL91]
basic_empty: {mass: 600 kg, arm: 2.0 m, date: 2026-02-11, includes: [full oil, unusable fuel]}
stations:
  nose: {kind: baggage, arm: 0.5 m, max: 20 kg}
  front: {kind: seats, seats: 2, arm: 2.5 m, max: 150 kg}
  rear: {kind: seats, seats: 2, arm: 3.5 m}
  hold: {kind: baggage, arm: 4.5 m, max: 30 kg}
  shelf: {kind: baggage, arm: 4.8 m}
  tray: {kind: baggage, arm: 5.0 m}
combined_limits: [{name: all baggage, stations: [hold, shelf], max: 40 kg}]
tanks: {main: {capacity: 100 L, unusable: 5 L, arm: 2.2 m}, tail: {capacity: 50 L, unusable: 0 L, arm: 4.0 m}}
feed: [tail, main]
masses: {max_takeoff: 1200 kg}
envelopes:
  normal: {edges: linear in cg, forward: [[500 kg, 1.5 m], [1200 kg, 1.5 m]], aft: [[500 kg, 3.5 m], [1200 kg, 3.5 m]]}
burn: {taxi: 90 L/h, cruise: 30 L/h, climb: 42 kg/h}
"""
ASSUMED = Assumptions(
    occupant=80.0, pilot_station="front", minimum_fuel=0.020, density=700.0, notes=("as told",)
)
# What is always aboard: 80 kg at 2.5 m, and 14 kg of fuel at 2.2 m, as the tail tank is emptied first.
MASS, MOMENT = 600 + 80 + 14, 1200 + 200 + 30.8
ALWAYS = [("basic empty mass", 600.0), ("pilot", 80.0), ("least fuel main", 14.0)]


def profile(*changes: tuple[str, str]) -> Aircraft:
    text = PROFILE
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return load_aircraft_file("profile.yaml", text).record


def pair(*changes: tuple[str, str], assumed: Assumptions = ASSUMED) -> tuple[Extreme, Extreme]:
    return extremes(profile(*changes), "normal", assumed)[0]


def loads(extreme: Extreme) -> list[tuple[str, float]]:
    return [(item.name, pytest.approx(item.mass)) for item in extreme.items]


def test_both_loadings_place_by_place() -> None:
    """Forward only the nose lies ahead of the CG; aft the shelf takes the 40 kg that it shares with the hold, then
    35 kg go into the tail tank, and two on the rear seats. The other front seat is ahead of the CG.
    """
    forward, aft = pair()
    assert (forward.side, aft.side) == ("forward", "aft")
    assert loads(forward) == [*ALWAYS, ("nose", 20.0)]
    cg = (MOMENT + 10) / (MASS + 20)
    assert (forward.limit.value, forward.limit.margin) == (pytest.approx(cg), pytest.approx(cg - 1.5))
    assert forward.total.mass == pytest.approx(MASS + 20)
    assert loads(aft) == [*ALWAYS, ("shelf", 40.0), ("fuel tail", 35.0), ("rear", 160.0)]
    cg = (MOMENT + 40 * 4.8 + 35 * 4.0 + 160 * 3.5) / (MASS + 235)
    assert (aft.limit.value, aft.limit.margin) == (pytest.approx(cg), pytest.approx(3.5 - cg))
    assert (aft.moment_change, aft.change) == ("", 0.0)
    assert (aft.items[1].arm, aft.items[2].arm) == (2.5, pytest.approx(2.2))


def test_the_take_off_mass_ends_the_filling() -> None:
    _, aft = pair(("max_takeoff: 1200 kg", "max_takeoff: 800 kg"))
    assert loads(aft) == [*ALWAYS, ("shelf", 40.0), ("fuel tail", 35.0), ("rear", 31.0)]
    assert aft.total.mass == pytest.approx(800.0)
    both = pair(("max_takeoff: 1200 kg", f"max_takeoff: {MASS} kg"))
    assert [loads(each) for each in both] == [ALWAYS, ALWAYS], "nothing more may be loaded"
    with pytest.raises(OutOfRange, match="above the take-off mass"):
        pair(("max_takeoff: 1200 kg", f"max_takeoff: {MASS - 0.01} kg"))


@pytest.mark.parametrize(
    ("changes", "side", "more"),
    [
        # 150 kg on both front seats leave 70 beside the pilot, who sits ahead of a heavy tail.
        ([("arm: 2.0 m, date", "arm: 3.0 m, date")], 0, [("nose", 20.0), ("fuel main", 52.5), ("front", 70.0)]),
        ([("arm: 2.0 m, date", "arm: 3.0 m, date"), ("2.5 m, max: 150 kg", "2.5 m")], 0,
         [("nose", 20.0), ("fuel main", 52.5), ("front", 80.0)]),
        # The hold takes what the shelf's own limit leaves of the 40 kg; then the CG is at 2.492 m, ahead of the seat.
        ([("4.8 m}", "4.8 m, max: 15 kg}")], 1,
         [("shelf", 15.0), ("hold", 25.0), ("fuel tail", 35.0), ("rear", 160.0), ("front", 70.0)]),
        ([("seats: 2, arm: 3.5 m", "seats: 2, arm: 3.5 m, max: 100 kg")], 1,
         [("shelf", 40.0), ("fuel tail", 35.0), ("rear", 100.0), ("front", 70.0)]),
        # The pilot counts in a sum of seats.
        ([("max: 40 kg}]", "max: 40 kg}, {name: seats, stations: [front, rear], max: 200 kg}]")], 1,
         [("shelf", 40.0), ("fuel tail", 35.0), ("rear", 120.0)]),
        ([("1200 kg, 3.5 m]]}", "1200 kg, 3.5 m]], forbids: [shelf, rear]}")], 1,
         [("hold", 30.0), ("fuel tail", 35.0), ("front", 70.0)]),
        ([("5.0 m}", "5.0 m, max: 0.5 kg}")], 1,
         [("tray", 0.5), ("shelf", 40.0), ("fuel tail", 35.0), ("rear", 160.0)]),
    ],
)  # fmt: skip
def test_what_a_place_may_take(
    changes: list[tuple[str, str]], side: int, more: list[tuple[str, float]]
) -> None:
    assert loads(pair(*changes)[side]) == [*ALWAYS, *more]


def test_the_least_fuel_lies_where_the_feed_order_leaves_it_and_a_table_is_filled_piece_by_piece() -> None:
    """110 L: 35 of the 145 are burnt, all from the tail tank. Its second half, from 25 to 50 L, lies at
    (50 x 5.0 - 25 x 4.2) / 25 = 5.8 m, more than the shelf; from 15 to 25 L it is
    (25 x 4.2 - 15 x 4.12) / 10 = 4.32 m.
    """
    table = ("unusable: 0 L, arm: 4.0 m", "unusable: 0 L, arm: [[0 L, 4.0 m], [25 L, 4.2 m], [50 L, 5.0 m]]")
    much = Assumptions(occupant=80.0, pilot_station="front", minimum_fuel=0.110, density=700.0, notes=())
    _, aft = pair(table, assumed=much)
    assert loads(aft) == [
        ("basic empty mass", 600.0),
        ("pilot", 80.0),
        ("least fuel main", 66.5),
        ("least fuel tail", 10.5),
        ("fuel tail", 17.5),
        ("shelf", 40.0),
        ("fuel tail", 7.0),
        ("rear", 160.0),
    ]
    assert [item.arm for item in aft.items[3:7]] == pytest.approx([4.12, 5.8, 4.8, 4.32])


def test_moment_changes_count_where_they_make_it_worse() -> None:
    changes = ("envelopes:", "moment_changes: {gear up: 6 kg.m, flaps: 3 kg.m, brake: -4 kg.m}\nenvelopes:")
    forward, aft = pair(changes)
    assert (forward.moment_change, forward.change) == ("brake", -4.0)
    assert (aft.moment_change, aft.change) == ("gear up + flaps", 9.0)
    assert forward.limit.value == pytest.approx((MOMENT + 10 - 4) / (MASS + 20))
    assert aft.total.moment == pytest.approx(MOMENT + 40 * 4.8 + 35 * 4.0 + 160 * 3.5 + 9)


def test_what_is_assumed_is_told() -> None:
    _, notes = extremes(profile(), "normal", ASSUMED)
    assert [str(each) for each in notes] == [
        "as told",
        "normal take-off mass not above 1200.0 kg",
        "left empty, as the profile gives no limit: tray",
    ]
    _, notes = extremes(profile(("  tray: {kind: baggage, arm: 5.0 m}\n", "")), "normal", ASSUMED)
    assert len(notes) == 2


def test_assumptions_that_nobody_stated() -> None:
    """170 lb in every seat, FAA-H-8083-30 ch. 4; half an hour at the highest power that the profile has a flow of."""
    rho = GRADES["avgas-100LL"].standard_density
    made = assume(profile())
    assert (made.occupant, made.pilot_station) == (pytest.approx(170 * POUND), "front")
    assert (made.density, made.minimum_fuel) == (rho, pytest.approx(21 / rho))
    assert made.notes[1:] == (
        "170 lb in every seat, as the published procedure has it",
        "least fuel: 30 min at the climb flow",
    )
    for burn, litres, phase in (
        ("cruise: 30 L/h, maximum continuous: 60 L/h, climb: 40 L/h", 30.0, "maximum continuous"),
        ("taxi: 90 L/h, cruise: 30 L/h", 15.0, "cruise"),
        ("taxi: 90 L/h, holding: 20 L/h", 45.0, "taxi"),
        ("cruise: 400 L/h", 145.0, "cruise"),
    ):
        made = assume(profile(("taxi: 90 L/h, cruise: 30 L/h, climb: 42 kg/h", burn)))
        assert made.minimum_fuel * 1e3 == pytest.approx(litres), burn
        assert made.notes[2] == f"least fuel: 30 min at the {phase} flow"
    own = assume(profile(), occupant=77.0, pilot_station="rear", minimum_fuel=0.145)
    assert (own.occupant, own.pilot_station, own.minimum_fuel) == (77.0, "rear", 0.145)
    assert own.notes == ("pilot at 'rear'", "every seat with the same mass")
    with pytest.raises(OutOfRange, match=r"more than the 145\.0 L"):
        assume(profile(), minimum_fuel=0.1451)
    assert assume(profile(("datum: firewall", "datum: firewall\npilot: rear 2"))).pilot_station == "rear"


def test_a_category_without_loadings_says_why() -> None:
    second = "envelopes:\n  light: {edges: linear in cg, max_takeoff: 650 kg, forward: [[500 kg, 1.5 m], [1200 kg, 1.5 m]], aft: [[500 kg, 3.5 m], [1200 kg, 3.5 m]]}\n"
    light, normal = every_category(profile(("envelopes:\n", second)), ASSUMED)
    assert (light.category, light.pair, light.notes) == ("light", (), ())
    assert light.reason.startswith("the lightest loading, 694.0 kg, is above the take-off mass of 650.0 kg")
    assert (normal.category, len(normal.pair), normal.reason) == ("normal", 2, "")
