"""From a profile and a load to items on arms: every figure worked by hand from an invented profile in which
everything is unsure.
"""

from __future__ import annotations

import math

import pytest

from planner.flight.loading import (
    StationArms,
    arms_of,
    burnt_off,
    empty_aircraft,
    loaded,
    masses_of,
    record_effects,
    tanks_of,
    variants,
)
from planner.quantities.effects import Effect, tank_arm
from planner.quantities.units import POUND, Quantity
from planner.records.aircraft.record import Aircraft
from planner.records.store import load_aircraft_file

OIL_LINE = "oil: {volume: 2 +/- 0.1 USgal, arm: -0.5 +/- 0.01 m}\n"
PROFILE = """\
profile: 1
name: Brackwater Plover
invented: true
source: Invented
datum: firewall
fuel_grades: [avgas-100LL]
oil: {volume: 2 +/- 0.1 USgal, arm: -0.5 +/- 0.01 m}
basic_empty: {mass: 600 +/- 2 kg, arm: 2.0 +/- 0.005 m, lateral_arm: 0.01 +/- 0.003 m, date: 2026-02-11, includes: []}
stations:
  front: {kind: seats, seats: 2, arm: 2.5 +/- 0.02 m, lateral_arms: [-0.3 +/- 0.03 m, 0.4 +/- 0.04 m]}
  rear: {kind: seats, seats: 2, arm: 3.5 m, lateral_arm: 0.1 +/- 0.05 m}
  hold: {kind: baggage, arm: 4.5 +/- 0.1 m}
tanks:
  wing: {capacity: 90 L, unusable: 10 +/- 1 L, arm: [[0 L, 2.0 +/- 0.01 m], [100 L, 3.0 +/- 0.03 m]], lateral_arm: -1.5 +/- 0.2 m}
  tail: {capacity: 50 L, unusable: 0 L, arm: 5.0 m}
feed: [tail, wing]
masses: {max_takeoff: 1200 kg}
moment_changes: {gear up: 6 +/- 1 kg.m, flaps: 4 kg.m, slats: 5 kg.m, brake: -3 kg.m, spoiler: -2 kg.m}
exclusive_moment_changes: [[flaps, slats]]
envelopes:
  normal: {edges: linear in cg, forward: [[500 kg, 1.5 m], [1200 kg, 1.5 m]], aft: [[500 kg, 3.5 m], [1200 kg, 3.5 m]]}
burn: {cruise: 30 L/h}
"""
DENSITY, DENSITY_U = 700.0, 10.0
UNUSABLE_CAUSES = (
    "fuel density",
    tank_arm("wing", 0),
    tank_arm("wing", 1),
    "wing tank lateral arm",
    "unusable fuel in wing tank",
)
OIL = 15 * POUND  # two US gallons at 7.5 lb each, FAA-H-8083-30 ch. 4


def profile(old: str = "", new: str = "") -> Aircraft:
    assert old in PROFILE
    return load_aircraft_file("profile.yaml", PROFILE.replace(old, new)).record


def of(effects: tuple[Effect, ...]) -> dict[str, tuple[float, float, float]]:
    """Every cause with mass, moment and lateral moment for one standard uncertainty; each cause once."""
    found = {each.cause: (each.mass, each.moment, each.lateral_moment) for each in effects}
    assert len(found) == len(effects)
    return found


def test_the_empty_aircraft_with_oil_and_unusable_fuel_that_its_record_leaves_out() -> None:
    made = empty_aircraft(profile(), DENSITY, DENSITY_U)
    items = {item.name: (item.mass, item.arm, item.lateral_arm) for item in made.items}
    # 10 L of the table's 100: the arm of all that is there is 2.1 m.
    assert items == {
        "basic empty mass": (600.0, 2.0, 0.01),
        "oil": (pytest.approx(OIL), -0.5, 0.0),
        "unusable fuel wing": (pytest.approx(7.0), pytest.approx(2.1), -1.5),
        "unusable fuel tail": (0.0, 5.0, 0.0),
    }
    assert made.items[0].name == "basic empty mass"
    assert of(made.effects) == {
        "basic empty mass": (2.0, 4.0, 0.02),
        "basic empty arm": (0.0, pytest.approx(3.0), 0.0),
        "basic empty lateral arm": (0.0, 0.0, pytest.approx(1.8)),
        "oil": (pytest.approx(0.05 * OIL), pytest.approx(-0.025 * OIL), 0.0),
        "oil arm": (0.0, pytest.approx(0.01 * OIL), 0.0),
        "fuel density": (pytest.approx(0.1), pytest.approx(0.21), pytest.approx(-0.15)),
        # 0.9 of the point at 0 L, 0.1 of the one at 100 L.
        tank_arm("wing", 0): (0.0, pytest.approx(7 * 0.9 * 0.01), 0.0),
        tank_arm("wing", 1): (0.0, pytest.approx(7 * 0.1 * 0.03), 0.0),
        "wing tank lateral arm": (0.0, 0.0, pytest.approx(7 * 0.2)),
        # Volume x arm is 2 v + 10 v2 with v in m3: at 10 L the next drop lies at 2.2 m.
        "unusable fuel in wing tank": (
            pytest.approx(0.7),
            pytest.approx(0.7 * 2.2, rel=1e-4),
            pytest.approx(-0.7 * 1.5),
        ),
    }
    assert [(each.first, each.second, each.change, each.across) for each in made.products] == [
        ("basic empty mass", "basic empty arm", pytest.approx(0.01), False),
        ("basic empty mass", "basic empty lateral arm", pytest.approx(0.006), True),
    ]


def test_what_the_record_includes_is_not_added_again() -> None:
    for included, names in (
        ("full oil, unusable fuel", ["basic empty mass"]),
        ("full oil", ["basic empty mass", "unusable fuel wing", "unusable fuel tail"]),
        ("unusable fuel", ["basic empty mass", "oil"]),
    ):
        text = PROFILE.replace("includes: []", f"includes: [{included}]")
        text = text.replace(OIL_LINE, "") if "oil" in included else text
        made = empty_aircraft(load_aircraft_file("profile.yaml", text).record, DENSITY, DENSITY_U)
        assert [item.name for item in made.items] == names
        of_fluids = {each.cause for each in made.effects if not each.cause.startswith("basic empty")}
        assert of_fluids == {
            *(("oil", "oil arm") if "oil" in names else ()),
            *(UNUSABLE_CAUSES if len(names) == 3 else ()),
        }


def test_sure_oil_has_no_effect() -> None:
    sure = empty_aircraft(profile("2 +/- 0.1 USgal, arm: -0.5 +/- 0.01 m", "2 USgal, arm: -0.5 m"), DENSITY)
    assert not [each for each in sure.effects if "oil" in each.cause]


def test_an_unsure_arm_or_mass_alone_leaves_no_product() -> None:
    for old, new, left in (
        ("600 +/- 2 kg", "600 kg", set()),
        ("2.0 +/- 0.005 m, lateral", "2.0 m, lateral", {"basic empty lateral arm"}),
        ("0.01 +/- 0.003 m", "0.01 m", {"basic empty arm"}),
    ):
        assert {each.second for each in empty_aircraft(profile(old, new), DENSITY).products} == left


def test_an_unsure_moment_of_a_record_is_a_cause_of_its_own() -> None:
    stated = profile("arm: 2.0 +/- 0.005 m, lateral", "moment: 1200 +/- 3 kg.m, lateral")
    assert of(record_effects(stated.basic_empty)) == {
        "basic empty mass": (2.0, 0.0, 0.02),
        "basic empty moment": (0.0, 3.0, 0.0),
        "basic empty lateral arm": (0.0, 0.0, pytest.approx(1.8)),
    }
    assert [each.second for each in empty_aircraft(stated, DENSITY).products] == ["basic empty lateral arm"]
    sure = profile(
        "600 +/- 2 kg, arm: 2.0 +/- 0.005 m, lateral_arm: 0.01 +/- 0.003 m",
        "600 kg, arm: 2.0 m, lateral_arm: 0.01 m",
    )
    assert record_effects(sure.basic_empty) == ()


def test_tanks_in_si_with_what_is_unsure_about_each() -> None:
    wing, tail = tanks_of(profile())
    assert (wing.name, wing.capacity, wing.unusable, wing.unusable_u) == (
        "wing",
        pytest.approx(0.09),
        pytest.approx(0.01),
        pytest.approx(0.001),
    )
    assert (wing.lateral_arm, wing.lateral_u, wing.arm_us) == (-1.5, 0.2, (0.01, 0.03))
    assert wing.arm_points == ((0.0, 2.0), (pytest.approx(0.1), 3.0))
    assert (tail.arm_points, tail.arm_us, tail.lateral_arm, tail.lateral_u) == (((0.0, 5.0),), (), 0.0, 0.0)


def test_the_burn_takes_the_tanks_in_their_order() -> None:
    aircraft, full = profile(), (0.080, 0.050)
    assert burnt_off(aircraft, full, 0.020) == pytest.approx((0.080, 0.030))
    assert burnt_off(aircraft, full, 0.060) == pytest.approx((0.070, 0.0))
    assert burnt_off(aircraft, full, 0.0) == full


def test_a_load_on_its_stations() -> None:
    aircraft = profile()
    empty, arms = empty_aircraft(aircraft, DENSITY), arms_of(aircraft)

    def mass(value: float, u: float = 0.0) -> Quantity:
        return Quantity(value, u, "mass", "")

    load = masses_of(
        {"front": [mass(80, 2), mass(60)], "rear": [mass(50, 1), mass(0)], "hold": [mass(20, 3)]}
    )
    made = loaded(empty, arms, load)
    known = len(empty.items)
    assert made.items[:known] == empty.items
    assert [(item.name, item.mass, item.arm, item.lateral_arm) for item in made.items[known:]] == [
        ("front 1", 80, 2.5, -0.3),
        ("front 2", 60, 2.5, 0.4),
        ("rear 1", 50, 3.5, 0.1),
        ("rear 2", 0, 3.5, 0.1),
        ("hold", 20, 4.5, 0.0),
    ]
    assert of(made.effects[len(empty.effects) :][:3]) == {
        "front 1": (2, 5.0, -0.6),
        "front 1 lateral arm": (0.0, 0.0, pytest.approx(80 * 0.03)),
        "front 2 lateral arm": (0.0, 0.0, pytest.approx(60 * 0.04)),
    }
    assert of(made.effects[len(empty.effects) + 3 :]) == {
        "front arm": (0.0, pytest.approx(140 * 0.02), 0.0),
        "rear 1": (1, 3.5, pytest.approx(0.1)),
        # Both seats of the rear share one lateral arm, and nobody sits on the second.
        "rear lateral arm": (0.0, 0.0, pytest.approx(50 * 0.05)),
        "hold": (3, 13.5, 0.0),
        "hold arm": (0.0, pytest.approx(2.0), 0.0),
    }
    products = made.products[len(empty.products) :]
    assert [(each.first, each.second, each.change, each.across) for each in products] == [
        ("front 1", "front arm", pytest.approx(0.04), False),
        ("front 1", "front 1 lateral arm", pytest.approx(0.06), True),
        ("rear 1", "rear lateral arm", pytest.approx(0.05), True),
        ("hold", "hold arm", pytest.approx(0.3), False),
    ]
    assert [(each.station, each.masses, each.mass) for each in made.stations] == [
        ("front", (("front 1", 80, 2), ("front 2", 60, 0)), 140),
        ("rear", (("rear 1", 50, 1), ("rear 2", 0, 0)), 50),
        ("hold", (("hold", 20, 3),), 20),
    ]
    assert loaded(empty, arms, masses_of({"hold": [mass(0)]})).effects == empty.effects


def test_a_station_without_lateral_arms_lies_on_the_centre_line() -> None:
    hold = StationArms(station="hold", arm=4.5)
    assert hold.lateral(0, 1) == (0.0, 0.0)
    assert hold.arm_u == 0.0
    one = StationArms(station="rear", arm=3.5, across=((0.1, 0.05),))
    assert one.lateral(1, 3) == (0.1, 0.05)
    assert one.side_cause("rear 2") == "rear lateral arm"


def test_moment_changes_each_alone_and_the_worst_that_can_hold_together() -> None:
    """Flaps and slats exclude each other: of these the greater counts, 5 kg.m."""
    found = {each.suffix: each for each in variants(profile())}
    assert {suffix: (each.moment, each.only) for suffix, each in found.items()} == {
        "": (0.0, ""),
        " (gear up)": (6.0, ""),
        " (flaps)": (4.0, ""),
        " (slats)": (5.0, ""),
        " (brake)": (-3.0, ""),
        " (spoiler)": (-2.0, ""),
        " (brake + spoiler)": (-5.0, "forward"),
        " (gear up + slats)": (11.0, "aft"),
    }
    assert of(found[" (gear up + slats)"].effects) == {"gear up": (0.0, 1.0, 0.0)}
    assert found[" (flaps)"].effects == ()


def test_moment_changes_that_exclude_each_other_towards_either_side() -> None:
    """Of two forward ones that exclude each other the one that is further below zero counts; a lone one needs no
    check beside its own.
    """
    both = profile("[[flaps, slats]]", "[[flaps, slats], [brake, spoiler]]")
    assert [each.names for each in variants(both) if each.only] == [("gear up", "slats")]
    third = profile("spoiler: -2 kg.m}", "spoiler: -2 kg.m, hatch: -1 kg.m}")
    third = third.model_copy(
        update={"exclusive_moment_changes": (("spoiler", "brake"), ("slats", "gear up"))}
    )
    assert {each.only: (each.names, each.moment) for each in variants(third) if each.only} == {
        "forward": (("brake", "hatch"), -4.0),
        "aft": (("gear up", "flaps"), 10.0),
    }
    assert math.isclose(next(each.moment for each in variants(third) if each.names == ("hatch",)), -1.0)
