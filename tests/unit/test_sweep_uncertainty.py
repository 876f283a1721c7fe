"""The U that a sweep gives beside its least margins is that of the plan of the same flight, where an edge has
a corner and across.
"""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from planner.flight.envelope import ORDER
from planner.plan import plan_file, plan_flight
from planner.quantities.effects import COVERAGE, FAR, FUEL_DENSITY, Effect, fuel_in
from planner.records.store import load_flight_file
from planner.sweep.block import GROUPS, INSIDE, NOT_SHOWN, OUTSIDE, BlockResult, Sweeper, doubts, verdicts
from planner.sweep.block.sure import Steps
from planner.sweep.sweeping import _surplus_changes, compile_sweep, plan_of_row
from planner.sweep.targets import find_target
from tests.oracle.generate import Case
from tests.oracle.plain import edges, plain

# At the ramp 700 + 80 + 70 kg = 850 kg.
UNSURE = 3.0  # kg, standard uncertainty of the seat
STEEP = 2e-3  # m/kg, slope of an edge beyond its corner


def judged(case: Case, folder: Path, variable: str, unit: str, *values: float) -> BlockResult:
    """A flight with these values of a variable, a row each."""
    flight, aircraft = load_flight_file(case.write(folder))
    plan = plan_flight(flight, aircraft)
    target = find_target(plan.flight, plan.aircraft, variable, unit)
    return Sweeper(compile_sweep(plan, [target])).judge(np.array([[value] for value in values]))


def swept(
    folder: Path, unit: str = "L", amount: float = 0.1, **changed: Any
) -> dict[str, tuple[float, float]]:
    """Least margin and U of every group of limits, of one row with this amount of fuel [m3], in L or in kg."""
    case = plain(
        load={"front seats": f"80 +/- {UNSURE} kg"}, trip=[{"phase": "cruise", "fuel": "2 L"}], **changed
    )
    found = judged(case, folder, "fuel", unit, amount)
    return {
        group: (float(found.margins[at, 0]), float(found.uncertainties[at, 0]))
        for at, group in enumerate(GROUPS)
    }


def edge(cg: float, slope: float) -> list[list[str]]:
    """An edge that is upright up to 851 kg, a kilogram above the ramp, and slopes from there on."""
    return [["700 kg", f"{cg} m"], ["851 kg", f"{cg} m"], ["951 kg", f"{cg + 100 * slope} m"]]


@pytest.mark.parametrize(("group", "sign", "tank"), [("aft", 1.0, 2.20), ("forward", -1.0, 1.80)])
def test_a_corner_in_reach_counts_with_the_steeper_edge(
    tmp_path: Path, group: str, sign: float, tank: float
) -> None:
    """A limit that closes in beyond 851 kg. On the upright part 3 kg more take (2.10 - CG) / 850 m each from
    an aft margin, on the slope 2 mm each more; the ramp lies 1 kg below the corner, and U of the mass is 6
    kg. The fuel at `tank` [m] is such that the margin is least at the ramp.
    """
    arm = (1568 + 70 * tank) / 850
    envelope = {
        "edges": "linear in cg",
        "forward": edge(1.9, STEEP if sign < 0 else 0.0),
        "aft": edge(2.2, -STEEP if sign > 0 else 0.0),
    }
    found = swept(
        tmp_path,
        masses={"max_takeoff": "951 kg"},
        envelopes={"normal": envelope},
        tanks={"main": {"capacity": "200 L", "unusable": "0 L", "arm": f"{tank} m"}},
    )
    plan = plan_flight(*load_flight_file(tmp_path / "flight.yaml"))
    ramp = next(each for each in plan.states[0].limits if each.group == group)
    per_kg = sign * (2.10 - arm) / 850
    whole = 2 * UNSURE * (per_kg + STEEP)  # as if all 6 kg lay on the slope
    reached = 2 * UNSURE * per_kg + 5 * STEEP  # the 5 kg that do
    assert reached - 1e-6 <= ramp.uncertainty <= whole + 1e-6
    margins = [each for each in plan.limits() if each.group == group]
    least = min(margins, key=lambda each: each.margin)
    assert found[group] == pytest.approx((least.margin, least.uncertainty), rel=1e-9)
    assert found[group][1] == pytest.approx(ramp.uncertainty, rel=0.05)


def test_across(tmp_path: Path) -> None:
    """The seat at 0.300 m to the right, 3 kg unsure: y = 24 / 850 m, dy = (0.300 - y) / 850 m per kg; nothing
    is burnt from 0 m but 1.4 kg.
    """
    found = swept(
        tmp_path,
        stations={"front seats": {"kind": "seats", "seats": 1, "arm": "2.10 m", "lateral_arm": "0.300 m"}},
        tanks={"main": {"capacity": "200 L", "unusable": "0 L", "arm": "2.20 m", "lateral_arm": "0 m"}},
        lateral={"left": "-0.1 m", "right": "0.1 m"},
        basic_empty={
            "mass": "700 kg",
            "arm": "2.00 m",
            "lateral_arm": "0 m",
            "date": "2026-03-14",
            "includes": ["full oil", "unusable fuel"],
        },
    )
    without = 780.0  # the least margin to the right is that without fuel
    y = 24 / without
    assert found["lateral"] == pytest.approx((0.1 - y, 2 * UNSURE * (0.300 - y) / without), rel=1e-9)


@pytest.mark.parametrize(("group", "sign", "seat"), [("aft", 1.0, 3.0), ("forward", -1.0, 1.0)])
def test_a_state_on_its_own_has_the_sign_of_its_edge(
    tmp_path: Path, group: str, sign: float, seat: float
) -> None:
    """Without fuel nothing is burnt and the states alone count: 780 kg, 1 kg below the corner, the seat so far
    out that a kilogram more of it takes 1.15 or 1.17 mm from the margin before the slope takes 2 mm more.
    """
    edges = [["600 kg", "{} m"], ["781 kg", "{} m"], ["881 kg", "{} m"]]
    start, slopes = {"forward": 1.0, "aft": 3.0}, {"forward": STEEP, "aft": -STEEP}
    envelope: dict[str, Any] = {"edges": "linear in cg"}
    for side in ("forward", "aft"):
        ends = (start[side], start[side], start[side] + (100 * slopes[side] if side == group else 0.0))
        envelope[side] = [[mass, cg.format(end)] for (mass, cg), end in zip(edges, ends, strict=True)]
    found = swept(
        tmp_path,
        amount=0.0,
        masses={"max_takeoff": "881 kg"},
        envelopes={"normal": envelope},
        stations={"front seats": {"kind": "seats", "seats": 1, "arm": f"{seat} m"}},
    )
    per_kg = sign * (seat - (1400 + 80 * seat) / 780) / 780
    assert 2 * UNSURE * per_kg + 5 * STEEP - 1e-6 <= found[group][1] <= 2 * UNSURE * (per_kg + STEEP) + 1e-6


@pytest.mark.parametrize("unit", ["L", "kg"])
def test_fuel_by_mass_is_as_unsure_a_volume_as_its_density(tmp_path: Path, unit: str) -> None:
    """100 L at 0.7 +/- 0.007 kg/L: by volume they are 100 L; 70 kg are 100 +/- 1 L, of which what is burnt by
    volume is no part.
    """
    fuel = {
        "grade": "avgas-100LL",
        "density": {"fixed": "0.7 +/- 0.007 kg/L"},
        "tanks": {"main": "100 L" if unit == "L" else "70 kg"},
    }
    surplus, u = swept(tmp_path, unit=unit, fuel=fuel)["fuel"]
    plan = plan_flight(*load_flight_file(tmp_path / "flight.yaml"))
    assert (surplus, u) == pytest.approx((plan.fuel.surplus, plan.fuel.uncertainty), rel=1e-9, abs=1e-15)
    assert u == pytest.approx(0.0 if unit == "L" else 2e-3, rel=1e-9)


def test_a_doubt_far_from_a_least_margin_that_is_sure(tmp_path: Path) -> None:
    """In the air, gear up, the dry aircraft is 1 mm ahead of its aft limit and nothing about it is unsure; 70 kg
    of fuel at 2.01 +/- 0.02 m leave 1.84 mm and may take 3.3 mm. No state on the ground comes near.
    """
    case = plain(
        moment_changes={"gear up": "7.8 kg.m"},
        tanks={"main": {"capacity": "200 L", "unusable": "0 L", "arm": "2.01 +/- 0.02 m"}},
        load={"front seats": "80 kg"},
        envelopes={
            "normal": {
                "edges": "linear in cg",
                "forward": [["100 kg", "0.5 m"], ["4000 kg", "0.5 m"]],
                "aft": [[f"{mass} kg", f"{(1568 + 7.8) / 780 + 0.001} m"] for mass in (100, 4000)],
            }
        },
    )
    found = judged(case, tmp_path, "fuel", "L", 0.003, 0.1)
    aft = GROUPS.index("aft")
    assert found.margins[aft] == pytest.approx(0.001, abs=1e-9)
    assert found.uncertainties[aft] == pytest.approx(0.0, abs=1e-12)
    assert found.verdicts[aft].tolist() == [INSIDE, NOT_SHOWN]


def test_a_tank_that_may_run_dry_is_flown_with_less_and_with_more(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """19.5 L of the 20 +/- 1 L in the left tank, used first. With 3 L less the right tank gives the rest; with 3 L
    more it stays as it is.
    """
    seen: list[Any] = []

    def kept(*given: Any) -> Any:
        seen.append(doubts.off_course(*given))
        return seen[-1]

    monkeypatch.setattr(verdicts, "off_course", kept)
    tank = {"capacity": "60 L", "unusable": "0 L", "arm": "2.20 m"}
    density = {"grade": "avgas-100LL", "density": {"fixed": "0.7 kg/L"}}
    case = plain(
        tanks={"left": tank, "right": tank},
        feed=["left", "right"],
        fuel=density | {"tanks": {"left": "20 +/- 1 L", "right": "40 L"}},
        trip=[{"phase": "cruise", "fuel": "19.5 L"}],
    )
    judged(case, tmp_path, "front seats", "kg", 80.0)
    less, more = seen[0]["trip"][fuel_in("left")]
    assert [each[0] for each in less] == pytest.approx([0.0, (40.5 - FAR) * 1e-3], abs=1e-12)
    assert [each[0] for each in more] == pytest.approx([(0.5 + FAR) * 1e-3, 0.040], abs=1e-12)


def test_a_stretch_on_which_nothing_is_unsure_is_looked_at_too(tmp_path: Path) -> None:
    """Only the arm of the left tank is unsure, which is empty half-way. At the ramp 20 + 50 L weigh 49 kg:
    (1568 + 49 x 2.20) / 829 = 2.02147 m, 0.33 mm inside, with U of 2 x 0.01 m x 0.8 x 14 kg / 829 kg = 0.27 mm.
    """
    tank = {"capacity": "100 L", "unusable": "0 L", "arm": "2.20 m"}
    unsure = tank | {"arm": [["0 L", "2.20 +/- 0.01 m"], ["100 L", "2.20 m"]]}
    case = plain(
        tanks={"left": unsure, "right": tank},
        feed=["left", "right"],
        fuel={
            "grade": "avgas-100LL",
            "density": {"fixed": "0.7 kg/L"},
            "tanks": {"left": "20 L", "right": "50 L"},
        },
        trip=[{"phase": "cruise", "fuel": "40 L"}],
        envelopes=edges("1.5 m", "2.0218 m"),
    )
    found = judged(case, tmp_path, "front seats", "kg", 80.0)
    aft = GROUPS.index("aft")
    assert found.margins[aft, 0] == pytest.approx(0.33e-3, abs=5e-6)
    assert found.uncertainties[aft, 0] == pytest.approx(0.27e-3, abs=5e-6)
    assert found.verdicts[aft, 0] == INSIDE


def test_the_mass_is_as_unsure_as_the_density_of_the_fuel_makes_it() -> None:
    assert Steps([Effect(FUEL_DENSITY, 0.6, 1.5), Effect("baggage", 0.8, 3.0)]).of_mass == pytest.approx(2.0)


def test_what_makes_the_surplus_unsure_is_what_does_in_a_plan(tmp_path: Path) -> None:
    """Aboard, trip and what is asked of the trip beside it; of a tank that is set by the sweep only the rest."""
    path = tmp_path / "flight.yaml"
    path.write_text(
        "flight: 1\naircraft: thornlea-t4\ncategory: normal\nrules: us-vfr-day\nload: {front seats: 80 kg}\n"
        "fuel: {grade: avgas-100LL, density: {fixed: 0.72 kg/L}, tanks: {left: 40 +/- 2 L, right: 40 +/- 1 L}}\n"
        "trip: [{phase: cruise, fuel: 20 +/- 3 L}]\ncontingency: 10 %\n"
    )
    plan = plan_file(path)
    both, one, none = (
        COVERAGE * math.hypot(*_surplus_changes(plan, is_set).values())
        for is_set in ((False, False), (True, False), (True, True))
    )
    assert both == pytest.approx(plan.fuel.uncertainty)
    assert both**2 - one**2 == pytest.approx((2 * 2e-3) ** 2)
    assert one**2 - none**2 == pytest.approx((2 * 1e-3) ** 2)
    assert none == pytest.approx(1.1 * 2 * 3e-3)


def test_the_codes_of_a_sweep_are_the_verdicts_in_their_order() -> None:
    assert [ORDER[code] for code in (INSIDE, NOT_SHOWN, OUTSIDE)] == ["inside", "not shown inside", "outside"]


@pytest.mark.parametrize(
    ("names", "row"),
    [
        (["front"], [90.0]),  # one figure for a row counts as its first seat
        (["front 1"], [50.0]),
        (["front 2"], [95.0]),
        (["front 2", "front 1", "rear"], [0.0, 61.0, 155.0]),
        (["hold"], [12.0]),
        (["rear", "hold"], [0.0, 46.0]),
        ([], []),
    ],
)
def test_limits_on_the_load_are_those_of_the_plan_whatever_is_swept(
    tmp_path: Path, names: list[str], row: list[float]
) -> None:
    """Margin and U of a row, a first seat, a sum of two stations and the payload, of which some is typed in anew."""
    case = plain(
        stations={
            "front": {"kind": "seats", "seats": 2, "arm": "2.1 m", "min": "60 kg", "max": "170 kg"},
            "rear": {"kind": "seats", "seats": 2, "arm": "2.9 m", "min": "10 kg", "max": "150 kg"},
            "hold": {
                "kind": "baggage",
                "arm": "3.2 m",
                "max": "40 kg",
                "area": "0.5 m2",
                "max_per_area": "90 kg/m2",
            },
        },
        combined_limits=[{"name": "behind", "stations": ["rear", "hold"], "max": "160 kg"}],
        load={"front": ["80 +/- 2 kg", "70 +/- 1 kg"], "rear": "60 +/- 3 kg"},
        envelopes={"normal": edges("0.5 m", "5 m")["normal"] | {"max_payload": "300 kg"}},
    )
    flight, aircraft = load_flight_file(case.write(tmp_path))
    plan = plan_flight(flight, aircraft)
    targets = [find_target(plan.flight, plan.aircraft, name, "kg") for name in names]
    model = compile_sweep(plan, targets)
    alone = plan_of_row(flight, aircraft, model, targets, row)
    expected = {each.id: (each.margin, each.uncertainty) for each in alone.load_limits}
    if "hold" not in names:  # of what is nowhere in the flight nothing is asked
        assert not {"station/hold/max", "station/hold/floor"} & set(expected)
    found = {
        each.limit.id: (
            each.limit.margin(each.fixed + sum(weight * row[index] for index, weight in each.columns)),
            COVERAGE * each.u,
        )
        for each in model.load_limits
    }
    assert found == {name: pytest.approx(figures, abs=1e-12) for name, figures in expected.items()}
    assert {"station/front/min", "station/front/max", "payload"} <= set(found)


@pytest.mark.parametrize(
    ("left", "right", "trip", "litres"),
    [
        ("35 kg", "50 L", "20 L", 1.0),  # 50 +/- 0.5 L and 50 L
        ("35 kg", "35 kg", "20 L", 2.0),
        # 14 kg are asked as the volume of the thinnest they may be: what that much is more, is burnt
        ("35 kg", "50 L", "14 kg", 0.02 * (50 - 14 / (0.7 - 0.014))),
        ("50 L", "50 L", "20 L", 0.0),
        ("35 kg", "50 +/- 0.4 L", "20 L", math.hypot(1.0, 0.8)),
    ],
)
def test_the_surplus_is_as_unsure_as_what_is_by_mass_beyond_what_is_asked_by_mass(
    tmp_path: Path, left: str, right: str, trip: str, litres: float
) -> None:
    """At 0.7 kg/L, unsure by a hundredth."""
    tank = {"capacity": "100 L", "unusable": "0 L", "arm": "2.20 m"}
    case = plain(
        tanks={"left": tank, "right": tank},
        fuel={
            "grade": "avgas-100LL",
            "density": {"fixed": "0.7 +/- 0.007 kg/L"},
            "tanks": {"left": left, "right": right},
        },
        trip=[{"phase": "cruise", "fuel": trip}],
    )
    found = judged(case, tmp_path, "front seats", "kg", 80.0, 95.0)
    plan = plan_flight(*load_flight_file(tmp_path / "flight.yaml"))
    at = GROUPS.index("fuel")
    assert found.uncertainties[at].tolist() == [pytest.approx(litres * 1e-3, abs=1e-12)] * 2
    assert plan.fuel.uncertainty == pytest.approx(litres * 1e-3, abs=1e-12)
    assert found.margins[at].tolist() == [pytest.approx(plan.fuel.surplus)] * 2
    assert found.fuel.tolist() == [pytest.approx(0.1)] * 2
