"""With every figure unsure and nothing in the middle a sweep, and every random draw, says what the plan of
those very figures says.

The demonstration aircraft are near enough to the centre line that a moment taken for a lateral moment could
pass; this invented one is not.
"""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from planner.flight.envelope import ORDER
from planner.plan import Plan, plan_flight
from planner.quantities.effects import FUEL_DENSITY
from planner.records.aircraft.record import Aircraft
from planner.records.flight.record import Flight
from planner.records.store import Loaded, load_flight_file
from planner.sureness.chance import chance
from planner.sureness.margins import DrawnMargins
from planner.sweep.block import GROUPS, BlockResult, Group, Sweeper, verdicts
from planner.sweep.block.tally import Tally
from planner.sweep.sweep_run import group_margins
from planner.sweep.sweeping import compile_sweep, plan_of_row
from planner.sweep.targets import find_target
from tests.oracle.generate import Case
from tests.oracle.plain import edges, plain
from tests.sizes import examples

AIRCRAFT = """\
profile: 1
name: Lopsided
invented: true
source: Invented for a test.
datum: tip of the nose
fuel_grades: [avgas-100LL]
basic_empty:
  {{mass: 700 {mass_u} kg, arm: 2.30 {arm_u} m, lateral_arm: 0.03 {side_u} m, date: 2026-03-14, includes: [full oil, unusable fuel], reference: report 1}}
stations:
  front: {{kind: seats, seats: 2, arm: 2.10 {seat_u} m, lateral_arms: [-0.30 {seat_side_u} m, 0.34 {seat_side_u} m]}}
  rear: {{kind: seats, seats: 1, arm: 2.95 {seat_u} m, lateral_arm: -0.25 {seat_side_u} m}}
  hold: {{kind: baggage, arm: 3.40 m, max: 60 kg, lateral_arm: 0.42 {seat_side_u} m}}
  shelf: {{kind: baggage, arm: 3.80 m, max: 12 kg, lateral_arm: 0.1 m}}
combined_limits: [{{name: all baggage, stations: [hold, shelf], max: 66 kg}}]
tanks:
  left: {{capacity: 80 L, unusable: 4 L, arm: 2.45 {tank_u} m, lateral_arm: -1.60 {tank_side_u} m}}
  right: {{capacity: 70 L, unusable: 3 {rest_u} L, arm: [[0 L, 2.20 m], [30 L, 2.28 {point_u} m], [70 L, 2.45 m]], lateral_arm: 1.00 {tank_side_u} m}}
feed: {feed}
masses: {{max_takeoff: 1085 kg, max_ramp: 1088 kg, max_landing: 1060 kg, max_zero_fuel: 1040 kg}}
moment_changes: {{gear up: 9 {gear_u} kg.m}}
envelopes:
  normal:
    edges: linear in cg
    forward: [[600 kg, 2.10 m], [820 kg, 2.12 m], [1085 kg, 2.24 m]]
    aft: [[600 kg, 2.46 m], [1085 kg, 2.43 m]]
lateral: {{left: -0.16 m, right: 0.15 m}}
burn: {{taxi: 12 L/h, cruise: 33 L/h, holding: 25 L/h}}
"""
FLIGHT = """\
flight: 1
title: Lopsided
aircraft: ./aircraft.yaml
category: normal
rules: us-vfr-day
load: {{front: [80 {load_u} kg, 62 {load_u} kg], rear: 55 {load_u} kg, hold: 22 {load_u} kg, shelf: 5 kg}}
fuel:
  grade: avgas-100LL
  temperature: 22 degC
  density: {density}
  tanks: {{left: 60 {fuel_u} L, right: 36 {fuel_u} L}}
trip: [{{phase: taxi, fuel: 4 {burn_u} L}}, {{phase: cruise, fuel: 36 {burn_u} L}}]
"""
SURE = dict.fromkeys(
    (
        "mass_u",
        "arm_u",
        "side_u",
        "seat_u",
        "seat_side_u",
        "tank_u",
        "tank_side_u",
        "rest_u",
        "point_u",
        "gear_u",
        "load_u",
        "fuel_u",
        "burn_u",
    ),
    "",
) | {"density": "{fixed: 0.72 kg/L}", "feed": "together"}
UNSURE = {
    "mass_u": "+/- 2", "arm_u": "+/- 0.004", "side_u": "+/- 0.003", "seat_u": "+/- 0.03", "seat_side_u": "+/- 0.02", "tank_u": "+/- 0.02",
    "tank_side_u": "+/- 0.06", "rest_u": "+/- 0.8", "point_u": "+/- 0.02", "gear_u": "+/- 1.5", "load_u": "+/- 1.5", "fuel_u": "+/- 1.2", "burn_u": "+/- 0.5",
    "density": "{at_15C: 0.715 +/- 0.004 kg/L}", "feed": "together",
}  # fmt: skip
CLOSE = 1e-9


def read(folder: Path, **changes: str) -> tuple[Loaded[Flight], Loaded[Aircraft], Plan]:
    figures = SURE | changes
    (folder / "aircraft.yaml").write_text(AIRCRAFT.format(**figures), encoding="utf-8")
    (folder / "flight.yaml").write_text(FLIGHT.format(**figures), encoding="utf-8")
    flight, aircraft = load_flight_file(folder / "flight.yaml")
    return flight, aircraft, plan_flight(flight, aircraft)


def judged(plan: Plan, names: dict[str, str], rows: list[list[float]]) -> BlockResult:
    model = compile_sweep(
        plan, [find_target(plan.flight, plan.aircraft, name, unit) for name, unit in names.items()]
    )
    return Sweeper(model).judge(np.array(rows))


@cache
def loads() -> np.ndarray:
    random = np.random.default_rng(20261128)
    return np.stack([random.random(40) * top for top in (110.0, 110.0, 90.0, 50.0)], axis=1)


def agree(
    flight: Loaded[Flight], aircraft: Loaded[Aircraft], plan: Plan, names: dict[str, str], rows: np.ndarray
) -> set[str]:
    """Every row as its own plan has it; the groups of which an uncertainty was compared."""
    targets = [find_target(plan.flight, plan.aircraft, name, unit) for name, unit in names.items()]
    model = compile_sweep(plan, targets)
    found = Sweeper(model).judge(rows)
    compared: set[str] = set()
    for row, load in enumerate(rows):
        alone = plan_of_row(flight, aircraft, model, targets, load)
        least = group_margins(alone)
        corners = [mass for edge in (alone.envelope.forward, alone.envelope.aft) for mass, _ in edge.points]
        limits = [("load", limit, None) for limit in alone.load_limits]
        limits += [(limit.group, limit, None) for state in alone.states for limit in state.limits]
        limits += [
            (limit.group, limit, place.point)
            for limit, place in zip(alone.burn.limits, alone.burn.least, strict=True)
        ]
        for group in {name for name, _, _ in limits}:
            place = GROUPS.index(group)
            mine = [(limit, point) for name, limit, point in limits if name == group]
            assert found.margins[place, row] == pytest.approx(least[group], abs=CLOSE), (group, load)
            at_least = [(limit, point) for limit, point in mine if limit.margin <= least[group] + CLOSE]
            # Where a tank runs dry or the edge has a corner the uncertainty has two values: the margin is
            # compared, the U is not.
            points = [point for _, point in (at_least if group == "lateral" else mine) if point is not None]
            if any(
                point.fuel < 1e-8
                or (group != "lateral" and min(abs(point.total.mass - each) for each in corners) < 25)
                for point in points
            ):
                continue
            compared.add(group)
            assert found.uncertainties[place, row] == pytest.approx(
                max(limit.uncertainty for limit, _ in at_least), abs=CLOSE
            ), (group, load)
            assert found.verdicts[place, row] == max(ORDER.index(limit.verdict) for limit, _ in mine), (
                group,
                load,
            )
        for place, state in enumerate(alone.states):
            assert found.masses[place, row] == pytest.approx(state.total.mass, abs=CLOSE)
            assert found.cgs[place, row] == pytest.approx(state.total.centre_of_gravity, abs=CLOSE)
    return compared


def test_with_every_figure_unsure_each_row_is_its_own_plan(tmp_path: Path) -> None:
    compared = agree(
        *read(tmp_path, **UNSURE), {"front 1": "kg", "front 2": "kg", "rear": "kg", "hold": "kg"}, loads()
    )
    assert compared >= {"load", "mass", "lateral"}


@pytest.mark.parametrize("one", [key for key in UNSURE if key != "feed"])
def test_with_one_figure_unsure_each_row_is_its_own_plan(tmp_path: Path, one: str) -> None:
    """One cause alone: an uncertainty that is wrong is not hidden under greater ones."""
    agree(
        *read(tmp_path, **{one: UNSURE[one]}),
        {"front 1": "kg", "rear": "kg", "hold": "kg"},
        loads()[: examples(6), 1:],
    )


@pytest.mark.parametrize("one", ["", *(key for key in UNSURE if key != "feed")])
def test_no_row_has_a_u_above_the_greatest_that_is_said_of_its_block(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, one: str
) -> None:
    """By that U is not worked out where it decides nothing: it hides none, and is not so great that all are."""
    shares: list[float] = []

    class Told(Tally):
        def add(self, group: Group, margin: Any, uncertainty: Any, scale: float, most: float = 0.0) -> None:
            if callable(uncertainty) and most:
                shares.append(float(np.max(uncertainty(slice(None)))) / most)
            super().add(group, margin, uncertainty, scale, most)

    monkeypatch.setattr(verdicts, "Tally", Told)
    plan = read(tmp_path, **({one: UNSURE[one]} if one else UNSURE))[2]
    judged(
        plan,
        {"front 1": "kg", "rear": "kg", "hold": "kg", "fuel": "L"},
        (loads() * [1, 1, 0.6, 2e-3]).tolist(),
    )
    assert all(share <= 1 + 1e-9 for share in shares)
    assert not shares or max(shares) > 0.5


def test_tanks_swept_by_volume_and_by_mass(tmp_path: Path) -> None:
    fuel = np.stack(
        [loads()[:12, 0], 0.040 + 0.030 * loads()[:12, 1] / 110, 0.035 + 0.030 * loads()[:12, 2] / 90], axis=1
    )
    for unit in ("L", "kg"):
        agree(*read(tmp_path, **UNSURE), {"front 1": "kg", "fuel left": unit, "fuel right": unit}, fuel)


def state_u(result: BlockResult, group: str) -> float:
    return float(result.uncertainties[GROUPS.index(group), 0])


def test_an_unsure_lateral_arm_moves_the_lateral_cg_alone(tmp_path: Path) -> None:
    """80 kg at a lateral arm unsure by 20 mm (1 sigma): U = 2 x 80 kg x 0.020 m / mass, where the lateral
    margin is least; nothing lengthwise.

    The least lateral margin is without usable fuel or at the ramp; the plan says which; U is by hand.
    """
    plan = read(tmp_path, seat_side_u="+/- 0.02")[2]
    found = judged(
        plan, {"front 2": "kg", "front 1": "kg", "rear": "kg", "hold": "kg"}, [[80.0, 0.0, 0.0, 0.0]]
    )
    assert state_u(found, "forward") == 0.0
    assert state_u(found, "aft") == 0.0
    assert state_u(found, "mass") == 0.0
    masses = [float(mass) for mass in found.masses[:, 0]]
    expected = [2 * 80.0 * 0.02 / mass for mass in (masses[0], masses[3])]
    # The right seat draws the CG to the right, the fuel (more in the left tank) to the left: least to the
    # right with the least fuel.
    assert state_u(found, "lateral") == pytest.approx(max(expected), rel=1e-12)


def test_an_unsure_arm_moves_the_cg_lengthwise_alone(tmp_path: Path) -> None:
    plan = read(tmp_path, seat_u="+/- 0.03")[2]
    found = judged(
        plan, {"front 2": "kg", "front 1": "kg", "rear": "kg", "hold": "kg"}, [[80.0, 0.0, 0.0, 0.0]]
    )
    assert state_u(found, "lateral") == 0.0
    assert state_u(found, "mass") == 0.0
    masses = [float(mass) for mass in found.masses[:, 0]]
    assert min(abs(state_u(found, "forward") - 2 * 80.0 * 0.03 / mass) for mass in masses) < 1e-12


def test_an_unsure_tank_arm_across_is_no_matter_lengthwise(tmp_path: Path) -> None:
    """Both tanks' lateral arms unsure by 60 mm, each by itself: U = 2 x density x 0.06 m x hypot(volumes) /
    mass at the ramp.
    """
    plan = read(tmp_path, tank_side_u="+/- 0.06")[2]
    found = judged(
        plan, {"front 1": "kg", "front 2": "kg", "rear": "kg", "hold": "kg"}, [[0.0, 0.0, 0.0, 0.0]]
    )
    assert state_u(found, "forward") == 0.0
    assert state_u(found, "aft") == 0.0
    ramp = next(limit for limit in plan.state("ramp").limits if limit.name == "lateral limit, left")
    mass = plan.state("ramp").total.mass
    assert ramp.uncertainty == pytest.approx(2 * 720.0 * 0.06 * math.hypot(0.060, 0.036) / mass, rel=1e-9)


# What one standard deviation of each cause does to the figures as they are typed: (text before, figure,
# standard uncertainty, text after).
TYPED = {
    "basic empty mass": (("mass: ", 700.0, 2.0, " "),),
    "basic empty arm": ((", arm: ", 2.30, 0.004, "  m, lateral_arm: 0.03"),),
    "basic empty lateral arm": (("lateral_arm: ", 0.03, 0.003, "  m, date"),),
    "front 1": (("front: [", 80.0, 1.5, "  kg, "),),
    "front 2": ((" kg, ", 62.0, 1.5, "  kg], rear"),),
    "front arm": (("seats: 2, arm: ", 2.10, 0.03, " "),),
    "front 1 lateral arm": (("lateral_arms: [", -0.30, 0.02, " "),),
    "front 2 lateral arm": (("m, ", 0.34, 0.02, "  m]}"),),
    "rear": (("rear: ", 55.0, 1.5, "  kg"),),
    "rear arm": (("seats: 1, arm: ", 2.95, 0.03, " "),),
    "hold": (("hold: ", 22.0, 1.5, "  kg"),),
    "gear up": (("gear up: ", 9.0, 1.5, " "),),
    "fuel in left tank": (("left: ", 60.0, 1.2, "  L"),),
    "fuel in right tank": (("right: ", 36.0, 1.2, "  L"),),
    "taxi as stated": (("taxi, fuel: ", 4.0, 0.5, " "),),
    "trip: cruise as stated": (("cruise, fuel: ", 36.0, 0.5, " "),),
    "left tank arm": (("unusable: 4 L, arm: ", 2.45, 0.02, " "),),
    "right tank arm, point 2": (("[30 L, ", 2.28, 0.02, " "),),
    "unusable fuel in right tank": (("70 L, unusable: ", 3.0, 0.8, " "),),
    "left tank lateral arm": (("lateral_arm: ", -1.60, 0.06, " "),),
    "right tank lateral arm": (("lateral_arm: ", 1.00, 0.06, " "),),
}


def typed(folder: Path, moved: dict[str, float]) -> Plan:
    """The plan of the sure flight with some figures moved by so many standard deviations."""
    texts = {"aircraft.yaml": AIRCRAFT.format(**SURE), "flight.yaml": FLIGHT.format(**SURE)}
    for before, figure, u, after, z in ((*place, z) for cause, z in moved.items() for place in TYPED[cause]):
        shown = [f"{before}{text}{after}" for text in (f"{figure:g}", f"{figure:.1f}", f"{figure:.2f}")]
        name, old = next((name, old) for name, text in texts.items() for old in shown if text.count(old) == 1)
        texts[name] = texts[name].replace(old, f"{before}{figure + z * u!r}{after}")
    for name, text in texts.items():
        (folder / name).write_text(text, encoding="utf-8")
    return plan_flight(*load_flight_file(folder / "flight.yaml"))


def by_name(plan: Plan) -> dict[str, float]:
    """The least margin of every limit wherever it is checked, gear up or not."""
    found: dict[str, float] = {}
    for limit in (
        *plan.load_limits,
        *(each for state in plan.states for each in state.limits),
        *plan.burn.limits,
    ):
        name = limit.name.removesuffix(", whole burn")
        found[name] = min(limit.margin, found.get(name, math.inf))
    return found


@pytest.mark.parametrize(
    "moved",
    [
        *({cause: z} for cause in TYPED for z in (1.5, -2.0)),
        {"basic empty mass": 2.0, "basic empty arm": -1.5},
        {"basic empty mass": -2.0, "basic empty lateral arm": 2.5},
        {"front 1": 2.0, "front arm": 1.5, "front 1 lateral arm": -2.0},
        {"rear": -2.5, "rear arm": 1.5},
        {"gear up": 1.0, "hold": 1.0, "fuel in left tank": -1.0},
    ],
    ids=str,
)
def test_a_draw_is_the_plan_of_its_figures(tmp_path: Path, moved: dict[str, float]) -> None:
    """Inputs drawn some standard deviations off their figures: every margin is that of the flight with the
    figures typed in.
    """
    margins = DrawnMargins(read(tmp_path, **(UNSURE | {"density": "{fixed: 0.72 kg/L}"}))[2])
    draw = np.zeros((len(margins.causes), 3))
    for cause, z in moved.items():
        draw[margins.causes.index(cause), 1] = z
    found = margins.of(draw)
    planned, mean = by_name(typed(tmp_path, moved)), by_name(read(tmp_path)[2])
    shifted = 0
    for row, name in enumerate(margins.names):
        if name.startswith(("forward", "aft")):
            continue  # compared below, with the gear and without
        assert found[row, 1] == pytest.approx(planned[name], abs=1e-9), name
        assert found[row, 0] == found[row, 2] == pytest.approx(mean[name], abs=1e-9), name
        shifted += abs(planned[name] - mean[name]) > 1e-9
    for side in ("forward", "aft"):
        least = min(found[row, 1] for row, name in enumerate(margins.names) if name.startswith(side))
        expected = min(margin for name, margin in planned.items() if name.startswith(side))
        assert least == pytest.approx(expected, abs=1e-9), side
        shifted += (
            abs(expected - min(margin for name, margin in mean.items() if name.startswith(side))) > 1e-9
        )
    assert shifted, "the figure matters to no limit"


def test_nothing_on_an_unsure_arm_may_still_be_something(tmp_path: Path) -> None:
    """0 +/- 1.5 kg at 2.95 +/- 0.03 m and -0.25 +/- 0.02 m: drawn 3 kg and two standard deviations of the arms off."""
    moved = {"rear": 2.0, "rear arm": -2.0, "rear lateral arm": 2.0}
    read(tmp_path, **UNSURE)
    path = tmp_path / "flight.yaml"
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("rear: 55 +/- 1.5 kg", "rear: 0 +/- 1.5 kg"), encoding="utf-8")
    plan = plan_flight(*load_flight_file(path))
    assert plan.flight.load["rear"][0].value == 0
    margins = DrawnMargins(plan)
    draw = np.zeros((len(margins.causes), 1))
    for cause, z in moved.items():
        draw[margins.causes.index(cause)] = z
    mass, moment, lateral = margins.without_fuel(draw)[:, 0] - margins.without_fuel(0 * draw)[:, 0]
    assert (mass, moment, lateral) == pytest.approx((3.0, 3.0 * (2.95 - 0.06), 3.0 * (-0.25 + 0.04)))
    assert chance(plan, 100).draws == 100


def test_draws_where_nothing_is_unsure_have_no_error(tmp_path: Path) -> None:
    plan = read(tmp_path)[2]
    assert plan.verdict == "inside"
    drawn = chance(plan, 100)
    assert (drawn.inside, drawn.share, drawn.standard_error, drawn.failures) == (100, 1.0, 0.0, ())


def test_an_empty_aircraft_in_the_middle_may_still_be_unsure_there(tmp_path: Path) -> None:
    """A lateral arm of 0 +/- 3 mm (1 sigma) is an unsure figure as any other: U = 2 x 700 kg x 0.003 m /
    mass.
    """
    read(tmp_path)
    text = (tmp_path / "aircraft.yaml").read_text(encoding="utf-8")
    (tmp_path / "aircraft.yaml").write_text(
        text.replace("lateral_arm: 0.03  m", "lateral_arm: 0 +/- 0.003 m"), encoding="utf-8"
    )
    state = plan_flight(*load_flight_file(tmp_path / "flight.yaml")).state("ramp")
    found = next(limit for limit in state.limits if limit.name == "lateral limit, left")
    assert found.uncertainty == pytest.approx(2 * 700.0 * 0.003 / state.total.mass, rel=1e-12)


def lopsided(z: dict[str, float], unsure: bool, by_mass: bool) -> Case:
    """Two tanks far apart, their fuel and some of what is burnt by volume or by mass; every figure moved by z
    standard deviations, which stand beside it where it is `unsure`.
    """

    def figure(cause: str, value: float, u: float, unit: str) -> str:
        return f"{value + z.get(cause, 0.0) * u!r}{f' +/- {u}' if unsure else ''} {unit}"

    unit, per = ("kg", 0.7) if by_mass else ("L", 1.0)
    tanks = {
        name: {"capacity": "100 L", "unusable": "0 L", "arm": arm, "lateral_arm": side, "max": "56 kg"}
        for name, arm, side in (("left", "2.3 m", "-1.1 m"), ("right", "2.5 m", "1.4 m"))
    }
    empty = {"mass": "700 kg", "arm": "2.00 m", "lateral_arm": "0.01 m", "date": "2026-03-14"}
    return plain(
        basic_empty=empty | {"includes": ["full oil", "unusable fuel"]},
        stations={"front seats": {"kind": "seats", "seats": 1, "arm": "2.10 m", "lateral_arm": "-0.2 m"}},
        tanks=tanks,
        feed=[["left", "right"]],
        balance={"between": ["left", "right"], "max": "60 L"},
        lateral={"left": "-0.2 m", "right": "0.2 m"},
        masses={"max_takeoff": "890 kg", "max_landing": "880 kg", "max_zero_fuel": "800 kg"},
        envelopes=edges("1.9 m", "2.2 m"),
        fuel={
            "grade": "avgas-100LL",
            "density": {"fixed": figure(FUEL_DENSITY, 700.0, 9.0, "kg/m3")},
            "tanks": {
                "left": figure("fuel in left tank", 70.0 * per, 2.0, unit),
                "right": figure("fuel in right tank", 40.0 * per, 3.0, unit),
            },
        },
        trip=[
            {"phase": "taxi", "fuel": figure("taxi as stated", 5.0 * per, 1.0, unit)},
            {
                "phase": "cruise",
                "fuel": figure("trip: cruise as stated", 30.0 * per, 4.0, unit),
                "tank": "left",
            },
        ],
    )


@pytest.mark.parametrize("by_mass", [False, True])
@pytest.mark.parametrize(
    "z",
    [
        {FUEL_DENSITY: 2.0},
        {FUEL_DENSITY: -1.5},
        {"fuel in left tank": 1.5},
        {"taxi as stated": -2.0},
        {FUEL_DENSITY: 1.0, "trip: cruise as stated": -1.5, "fuel in right tank": 2.0},
    ],
    ids=str,
)
def test_a_draw_by_volume_or_by_mass_is_the_plan_of_its_figures(
    tmp_path: Path, z: dict[str, float], by_mass: bool
) -> None:
    """Masses, CG both ways, the fullest a tank may be, the balance of two: fuel by mass is more litres where it is
    thinner.
    """
    margins = DrawnMargins(
        plan_flight(*load_flight_file(lopsided({}, True, by_mass).write(tmp_path / "unsure")))
    )
    draw = np.zeros((len(margins.causes), 2))
    for cause, each in z.items():
        draw[margins.causes.index(cause), 1] = each
    found = margins.of(draw)
    for column, figures in ((0, dict[str, float]()), (1, z)):
        planned = by_name(
            plan_flight(*load_flight_file(lopsided(figures, False, by_mass).write(tmp_path / str(column))))
        )
        assert {name: found[row, column] for row, name in enumerate(margins.names)} == {
            name: pytest.approx(planned[name], abs=1e-9) for name in margins.names
        }
        assert len(margins.names) > 10
    assert margins.of(draw, [3, 1]) == pytest.approx(found[[3, 1]], abs=0)


def test_draws_left_open_are_flown_in_full_and_counted_with_the_others(tmp_path: Path) -> None:
    """Most of what 49 +/- 1.4 kg in a tank for 51 kg may be is told by a straight form; of some it is not."""
    case = lopsided({}, True, by_mass=True)
    for tank in case.profile["tanks"].values():
        tank["max"] = "51 kg"
    plan = plan_flight(*load_flight_file(case.write(tmp_path)))
    margins, rng, draws = DrawnMargins(plan), np.random.default_rng(3), 9000
    failed = np.concatenate(
        [margins.of(rng.standard_normal((len(margins.causes), size))) < 0 for size in (8192, draws - 8192)],
        axis=1,
    )
    drawn = chance(plan, draws, seed=3)
    assert drawn.inside == draws - np.count_nonzero(failed.any(axis=0))
    assert dict(drawn.failures) == {
        name: count for name, count in zip(margins.names, failed.sum(axis=1).tolist(), strict=True) if count
    }
    assert dict(drawn.failures)["mass of fuel in left tank"] > 400
    assert 50 < drawn.full_checks < draws / 5


@pytest.mark.parametrize("reads", ["total", "usable"])
@pytest.mark.parametrize("z", [(1.5, 0.0), (-2.0, 0.0), (0.0, 2.0), (1.0, -1.0)])
def test_a_dip_that_is_drawn_is_read_again_on_its_stick(
    tmp_path: Path, z: tuple[float, float], reads: str
) -> None:
    """10 +/- 2 cm where the table bends: above them 2 L a centimetre, below 4; the unusable 5 +/- 1 L are a part of
    what the stick reads in all, and of no matter to one that reads usable fuel.
    """

    def margins_of(folder: Path, dip: str, unusable: str) -> Plan:
        case = plain(
            tanks={"main": {"capacity": "200 L", "unusable": unusable, "arm": "2.20 m"}},
            dipsticks={
                "main": {
                    "id": "a stick",
                    "reads": reads,
                    "table": [["0 cm", "0 L"], ["10 cm", "40 L"], ["20 cm", "60 L"], ["40 cm", "190 L"]],
                }
            },
            fuel={
                "grade": "avgas-100LL",
                "density": {"fixed": "0.7 kg/L"},
                "tanks": {"main": {"dipstick": dip}},
            },
            trip=[{"phase": "cruise", "fuel": "10 L"}],
            envelopes=edges("1.9 m", "2.2 m"),
        )
        return plan_flight(*load_flight_file(case.write(folder)))

    unsure = DrawnMargins(margins_of(tmp_path / "unsure", "10 +/- 2 cm", "5 +/- 1 L"))
    draw = np.zeros((len(unsure.causes), 1))
    for cause, each in zip(("fuel in main tank", "unusable fuel in main tank"), z, strict=True):
        if reads == "total" or cause.startswith("fuel"):
            draw[unsure.causes.index(cause)] = each
    found = unsure.of(draw)[:, 0]
    planned = by_name(margins_of(tmp_path / "typed", f"{10 + 2 * z[0]} cm", f"{5 + z[1]} L"))
    assert dict(zip(unsure.names, found.tolist(), strict=True)) == {
        name: pytest.approx(planned[name], abs=1e-9) for name in unsure.names
    }
