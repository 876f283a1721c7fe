"""The fuel in every tank, in each of the forms a flight may state it in: by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from planner.density.basis import DensityUsed
from planner.facts.grades import GRADES
from planner.flight.model import TankFuel
from planner.plan.contents import expansion_vents, fuel_in_tanks
from planner.quantities.errors import InputRefused
from planner.records.document import all_or_refuse, parse
from planner.records.placed import place_all
from planner.records.store import flight_in, load_aircraft_file

PROFILE = """\
profile: 1
name: Brackwater Plover
invented: true
source: Invented
datum: firewall
fuel_grades: [avgas-100LL]
basic_empty: {mass: 600 kg, arm: 2.0 m, date: 2026-02-11, includes: [full oil, unusable fuel]}
stations: {front: {kind: seats, seats: 2, arm: 2.5 m}}
tanks:
  left: {capacity: 100 L, unusable: 5 +/- 0.5 L, arm: [[0 L, 2.0 m], [100 L, 3.0 m]]}
  right: {capacity: 100 L, unusable: 5 +/- 0.5 L, arm: 2.2 m}
masses: {max_takeoff: 1200 kg}
envelopes:
  normal: {edges: linear in cg, forward: [[500 kg, 1.5 m], [1200 kg, 1.5 m]], aft: [[500 kg, 3.5 m], [1200 kg, 3.5 m]]}
dipsticks:
  left: {id: L, reads: total, table: [[2 cm, 0 L], [12 cm, 40 +/- 1 L], [20 cm, 100 +/- 2 L]]}
  right: {id: R, reads: usable, table: [[2 cm, 0 L], [12 cm, 40 L], [20 cm, 95 L]]}
burn: {cruise: 30 L/h}
"""
FLIGHT = """\
flight: 1
aircraft: profile.yaml
category: normal
rules: us-vfr-day
load: {front: [80 kg, 70 kg]}
fuel: {grade: avgas-100LL, density: {fixed: 0.700 kg/L}, tanks: {left: LEFT, right: RIGHT}}
trip: [{phase: cruise, fuel: 1 L}]
"""
DENSITY = DensityUsed(
    density=700.0, u=7.0, at_15c=700.0, temperature=15.0, method="", source=""
)  # kg/m3, sure to one in a hundred
OWN, UNUSABLE, BY_DENSITY = "fuel in {} tank", "unusable fuel in {} tank", "fuel density"


def tanks(left: str, right: str = "20 L") -> tuple[TankFuel, ...]:
    aircraft = load_aircraft_file("profile.yaml", PROFILE)
    flight = flight_in(parse(FLIGHT.replace("LEFT", left).replace("RIGHT", right), "flight.yaml"), aircraft)
    found, wrong = fuel_in_tanks(flight.record, aircraft.record, DENSITY)
    all_or_refuse(place_all(flight.document, wrong))
    return found


def test_one_tank_in_every_form() -> None:
    """Usable litres, the stick's reading in centimetres, and what is unsure in litres."""
    for left, volume, dip, changes in (
        ("30 +/- 2 L", 30.0, 10.75, {OWN: 2.0}),
        ("21 +/- 1.4 kg", 30.0, 10.75, {OWN: 2.0, BY_DENSITY: -0.3}),
        ("{total: 35 +/- 2 L}", 30.0, 10.75, {OWN: 2.0, UNUSABLE: -0.5}),
        # 4 litres to the centimetre below the mark of 12 cm, 7.5 above it: two standard uncertainties reach it.
        ("{dipstick: 8 +/- 0.5 cm}", 19.0, 8.0, {OWN: 2.0, UNUSABLE: -0.5, "left dipstick, row 2": 0.6}),
        (
            "{dipstick: 11.5 +/- 0.5 cm}",
            33.0,
            11.5,
            {OWN: 3.75, UNUSABLE: -0.5, "left dipstick, row 2": 0.95},
        ),
        (
            "{dipstick: 14 cm}",
            50.0,
            14.0,
            {UNUSABLE: -0.5, "left dipstick, row 2": 0.75, "left dipstick, row 3": 0.5},
        ),
    ):
        found, _ = tanks(left)
        assert found.volume * 1e3 == pytest.approx(volume), left
        assert found.mass == pytest.approx(0.7 * volume), left
        assert found.space * 1e3 == pytest.approx(95 - volume), left
        assert found.dip == pytest.approx(dip / 100), left
        named = {cause.format("left"): pytest.approx(change * 1e-3) for cause, change in changes.items()}
        assert found.changes == named, left
        assert found.u == pytest.approx(changes.get(OWN, 0.0) * 1e-3), left
        assert found.by_mass is left.endswith("kg"), left
        # The table's arm is 2 m and 1 cm for every litre: w (2 + 0.01 w) less that of the unusable 5 L.
        whole = volume + 5
        moment = whole * (2 + 0.01 * whole) - 5 * 2.05
        assert found.arm == pytest.approx(moment / volume), left


def test_a_stick_that_reads_what_is_usable() -> None:
    _, right = tanks("20 L", "{dipstick: 8 +/- 0.5 cm}")
    assert right.volume * 1e3 == pytest.approx(24.0)
    assert right.changes == {OWN.format("right"): pytest.approx(2e-3)}
    assert (right.reading, right.dip) == ((0.08, 0.005), pytest.approx(0.08))
    assert right.stick is not None
    assert not right.stick.total


def test_empty_full_and_one_drop_beyond() -> None:
    empty, full = tanks("0 L", "95 L")
    assert (empty.volume, empty.arm, empty.dip, empty.reading) == (
        0.0,
        pytest.approx(2.05),
        pytest.approx(0.0325),
        None,
    )
    assert full.space == pytest.approx(0.0, abs=1e-12)
    least, _ = tanks("{total: 5 L}")
    assert least.volume == pytest.approx(0.0, abs=1e-12)
    for left, code in (
        ("95.01 L", "tank-overfilled"),
        ("{total: 4.99 L}", "tank-below-unusable"),
        ("{dipstick: 1.9 cm}", "dip-off-table"),
        ("{dipstick: 20.1 cm}", "dip-off-table"),
    ):
        with pytest.raises(InputRefused) as refused:
            tanks(left)
        assert [each.code for each in refused.value.findings] == [code], left


def test_every_tank_that_is_wrong_is_told_in_the_order_of_the_file() -> None:
    with pytest.raises(InputRefused) as refused:
        tanks("99 L", "96 L")
    found = refused.value.findings
    assert [(each.where, each.code) for each in found] == [
        ("fuel > tanks > left", "tank-overfilled"),
        ("fuel > tanks > right", "tank-overfilled"),
    ]
    assert found[0].column < found[1].column


def test_a_warmer_tank_that_vents() -> None:
    """0.700 kg/L at 15 degC grows by 2.05 % over 15 K (API MPMS 11.1, Table 54B): 98.00 L in a tank of 100 L do
    not fit any more, 97.97 L do.
    """
    for usable, over in (("94 L", True), ("93 L", True), ("92.97 L", False), ("0 L", False)):
        told = [*expansion_vents(tanks(usable), DENSITY, GRADES["avgas-100LL"])]
        assert [location for location, _ in told] == [("fuel", "tanks", "left")] * over, usable
    ((_, finding),) = expansion_vents(tanks("94 L"), DENSITY, GRADES["avgas-100LL"])
    assert "99.0 L of Avgas 100LL at 15 degC would be 1.0 L over the brim at 30 degC" in finding.message
    for unknown in (replace(DENSITY, at_15c="fixed"), replace(DENSITY, temperature="not stated")):
        assert not [*expansion_vents(tanks("94 L"), unknown, GRADES["avgas-100LL"])]
