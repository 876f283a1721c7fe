"""Public accident reports: the sums a fuel plan or a loading would have shown before the flight.

All second-hand copies of the reports' figures; types and places are left out. Each sum goes through the same
engine as `planner flight`, on an invented aircraft whose flows make the stated times and litres exact.
- ATSB AB-2021-022: 57 L were needed, 50 L were aboard.
- ATSB AO-2016-087: 52.5 L were needed, 50 L were aboard.
- ATSB AO-2014-168: the measured burn was 12 L above the plan, and the flight went on.
- Canadian inquiry report (1983): 1.77 lb/L used as kg/L.
- TSB A04H0001 (2004): standard masses of 183 lb where people weighed 240 lb.
- UK AAIB G-BWEV (2007): a log of 80, 55, 32, 9.2 L at 25 L/h against 10 L drained.
Litres and pounds are compared exactly (1e-9): they are sums of stated figures, nothing is rounded between.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from planner.plan import Plan, plan_file
from planner.quantities.errors import InputRefused
from planner.quantities.units import POUND

Planner = Callable[..., Plan]


@pytest.fixture
def plan(tmp_path: Path) -> Planner:
    def make(
        litres: str, trip: str, *, load: str = "front seats: [80 kg, 0 kg]", density: str = "0.720 kg/L"
    ) -> Plan:
        path = tmp_path / "flight.yaml"
        path.write_text(
            "flight: 1\naircraft: thornlea-t4\ncategory: normal\nrules: au-private-day\nload:"
            f" {{{load}}}\nfuel: {{grade: avgas-100LL, density: {{fixed: {density}}}, tanks: {{left:"
            f" {litres}, right: {litres}}}}}\ntrip: [{trip}]\n"
        )
        return plan_file(path)

    return make


# Needed, aboard [L]; the need is stated as a trip and the 12.5 L of 30 min holding at 25 L/h that the
# invented aircraft keeps.
@pytest.mark.parametrize(
    ("report", "needed", "aboard"), [("ATSB AB-2021-022", 57.0, 50.0), ("ATSB AO-2016-087", 52.5, 50.0)]
)
def test_less_aboard_than_needed(plan: Planner, report: str, needed: float, aboard: float) -> None:
    done = plan(f"{aboard / 2} L", f"{{phase: cruise, fuel: {needed - 12.5} L}}")
    assert done.fuel.required * 1e3 == pytest.approx(needed, abs=1e-9), report
    assert done.fuel.aboard * 1e3 == pytest.approx(aboard, abs=1e-9)
    assert done.fuel.surplus * 1e3 == pytest.approx(aboard - needed, abs=1e-9)
    assert done.fuel.verdict == "outside"
    assert done.verdict == "outside"
    # The mass and the CG are fine: nothing but the fuel plan shows it, and the trip itself could still be
    # flown.
    assert all(limit.verdict != "outside" for state in done.states for limit in state.limits)
    assert done.fuel.runs_dry_in == ""


@pytest.mark.parametrize(
    ("report", "needed", "aboard"), [("ATSB AB-2021-022", 57.0, 50.0), ("ATSB AO-2016-087", 52.5, 50.0)]
)
def test_where_all_of_the_need_is_trip_the_engine_stops(
    plan: Planner, report: str, needed: float, aboard: float
) -> None:
    done = plan(f"{aboard / 2} L", f"{{phase: cruise, fuel: {needed} L}}")
    assert done.fuel.runs_dry_in == "cruise", report
    assert done.state("landing").fuel == 0.0


def test_enough_by_a_litre_is_inside(plan: Planner) -> None:
    # The same sum the other way round, so that the verdict above can be seen to depend on the figures.
    assert plan("29 L", "{phase: cruise, fuel: 44.5 L}").fuel.verdict == "inside"


def test_atsb_ao_2014_168_twelve_litres_more_than_planned(plan: Planner) -> None:
    planned = plan("40 L", "{phase: cruise, fuel: 60 L}")
    measured = plan("40 L", "{phase: cruise, fuel: 72 L}")
    assert (planned.fuel.surplus - measured.fuel.surplus) * 1e3 == pytest.approx(12.0, abs=1e-9)
    assert (planned.fuel.verdict, measured.fuel.verdict) == ("inside", "outside")


@pytest.mark.parametrize("density", ["1.77 kg/L", "1770 kg/m3", "1.77 g/mL"])
def test_canada_1983_pounds_per_litre_as_kilograms_per_litre(plan: Planner, density: str) -> None:
    with pytest.raises(InputRefused) as refused:
        plan("30 L", "{phase: cruise, time: 20 min}", density=density)
    (finding,) = refused.value.findings
    assert finding.code == "density-implausible"
    assert "0.65 to 0.90 kg/L" in finding.needed
    if density.startswith("1.77 kg/L"):
        assert "lb/L would be a fuel" in finding.hint  # the very slip of the report


def test_canada_1983_the_same_number_in_its_own_unit_is_jet_fuel(tmp_path: Path) -> None:
    # 1.77 lb/L = 0.80286 kg/L: within the band of Jet A-1, and not a density of avgas.
    path = tmp_path / "flight.yaml"
    path.write_text(
        "flight: 1\naircraft: ashgrove-tamarisk\ncategory: normal\nrules: us-vfr-day\nload: {front seats: [85"
        " kg, 80 kg]}\nfuel: {grade: jet-A1, density: {fixed: 1.77 lb/L}, tanks: {left: 300 L, right: 300"
        " L}}\ntrip: [{phase: cruise, time: 1 h}]\n"
    )
    done = plan_file(path)
    assert done.density.density == pytest.approx(1.77 * 453.59237, abs=1e-9)
    assert done.fuel.aboard_mass == pytest.approx(600 * 1.77 * POUND, abs=1e-9)
    # Used as kg/L, the uplift would have been 1 / 2.2046 of the mass believed to be aboard.
    assert 600 * 1.77 / done.fuel.aboard_mass == pytest.approx(2.2046, abs=5e-5)


@pytest.mark.parametrize(("real", "people"), [(240.0, 4)])
def test_tsb_a04h0001_standard_masses_hide_an_overload(plan: Planner, real: float, people: int) -> None:
    def loaded(pounds: float) -> Plan:
        return plan(
            "20 L",
            "{phase: cruise, time: 20 min}",
            load=f"front seats: [{pounds} lb, {pounds} lb], rear seats: [{pounds} lb, {pounds} lb]",
        )

    standard, actual = loaded(183.0), loaded(real)
    difference = actual.state("takeoff").total.mass - standard.state("takeoff").total.mass
    assert difference == pytest.approx(
        people * (real - 183.0) * POUND, abs=1e-9
    )  # 57 lb a head: 103.4 kg for four
    assert standard.state("takeoff").total.mass < 1085.0 < actual.state("takeoff").total.mass
    takeoff = next(limit for limit in actual.state("takeoff").limits if limit.name == "maximum take-off mass")
    assert takeoff.verdict == "outside"
    # And the mass is not all: the heavier people move the CG aft as well.
    assert actual.state("takeoff").total.centre_of_gravity > standard.state("takeoff").total.centre_of_gravity


def test_aaib_g_bwev_the_log_was_right_and_the_dips_wrong(plan: Planner) -> None:
    # 80 L, then 55, 32 and 9.2 L at 25 L/h; 10 L were drained, within a litre of the log (the dips said 70
    # and 50 L).
    hours = [(80 - 55) / 25, (55 - 32) / 25, (32 - 9.2) / 25]
    assert hours == pytest.approx([1.0, 0.92, 0.912])
    aboard = 80.0
    for flown, left in zip(hours, (55.0, 32.0, 9.2), strict=True):
        done = plan(
            f"{aboard / 2!r} L", f"{{phase: holding, time: {flown!r} h}}"
        )  # 25 L/h is this aircraft's holding flow
        aboard = done.state("landing").fuel * 1e3
        assert aboard == pytest.approx(left, abs=1e-9)
    assert abs(aboard - 10.0) < 1.0
    # A fourth flight of the same length was not in the tanks.
    assert plan(f"{aboard / 2!r} L", "{phase: holding, time: 54 min}").fuel.runs_dry_in == "holding"
