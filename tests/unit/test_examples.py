"""The sample loadings of a profile, each reckoned by hand, with what rounding every line may make of a figure."""

from __future__ import annotations

import pytest

from planner.plan.examples import Compared, Reckoned, examples_of
from planner.quantities.units import read_quantity
from planner.records.store import load_aircraft_file

PROFILE = """\
profile: 1
name: Brackwater Plover
invented: true
source: Invented
datum: firewall
fuel_grades: [avgas-100LL]
basic_empty: {mass: 600 kg, arm: 2.0 m, date: 2026-02-11, includes: [full oil, unusable fuel]}
stations:
  front: {kind: seats, seats: 2, arm: 2.5 m, min: 60 kg}
  hold: {kind: baggage, arm: 4.5 m, max: 20 kg}
tanks: {main: {capacity: 100 L, unusable: 5 L, arm: 2.2 m}, tail: {capacity: 50 L, unusable: 0 L, arm: 4.0 m}}
masses: {max_takeoff: 1200 kg}
envelopes:
  normal: {edges: linear in cg, forward: [[500 kg, 1.5 m], [1200 kg, 1.5 m]], aft: [[500 kg, 2.3 m], [1200 kg, 2.3 m]]}
  aerobatic: {edges: linear in cg, max_takeoff: 812 kg, forward: [[500 kg, 1.5 m], [1200 kg, 1.5 m]], aft: [[500 kg, 2.3 m], [1200 kg, 2.3 m]]}
burn: {cruise: 30 L/h}
examples:
"""
LOAD = "load: {front: [80 kg, 70 kg], hold: 20 kg}"  # 170 kg, 465 kg.m
FUEL = "fuel: {main: 40 L, tail: 20 L}, density: 0.7 kg/L"  # 28 kg at 2.2 m, 14 kg at 4.0 m: 117.6 kg.m
MASS, MOMENT = 600 + 170 + 42, 1200 + 465 + 117.6


def reckoned(*samples: str) -> tuple[Reckoned, ...]:
    text = PROFILE + "".join(f"  - {{name: sample {at}, {each}}}\n" for at, each in enumerate(samples))
    return examples_of(load_aircraft_file("profile.yaml", text).record)


def test_the_figures_of_a_sample_and_what_rounding_may_make_of_them() -> None:
    """Three lines of load, two of fuel, and the basic empty mass, whose moment was rounded for the sample: half
    a step for each. A centre of gravity is rounded itself, and so are the moments that it is made of.
    """
    printed = "mass: 812 kg, moment: 1782.6 kg.m, centre_of_gravity: 2.20 m"
    for sample, lines in (
        (f"{LOAD}, {FUEL}, {printed}", 6),
        (f"basic_empty: {{mass: 600 kg, moment: 1200.0 kg.m}}, {LOAD}, {FUEL}, {printed}", 5),
        (f"basic_empty: {{mass: 600 kg, moment: 1200 kg.m}}, {LOAD}, {FUEL}, {printed}", 6),
        (f"basic_empty: {{mass: 600 kg, moment: 1200.00 kg.m}}, {LOAD}, {FUEL}, {printed}", 6),
    ):
        (made,) = reckoned(sample)
        assert [(each.key, each.ours, each.allowed) for each in made.figures] == [
            ("mass", pytest.approx(MASS), pytest.approx(lines / 2)),
            ("moment", pytest.approx(MOMENT), pytest.approx(0.1 * lines / 2)),
            ("centre_of_gravity", pytest.approx(MOMENT / MASS), pytest.approx(0.01 + 0.1 * lines / 2 / MASS)),
        ], sample
        assert (made.number, made.inside, made.record, made.agrees) == (1, True, "", True)
        assert made.figures[1].difference == pytest.approx(0.0, abs=1e-9)


def test_a_sample_that_prints_no_moment_has_its_centre_of_gravity_rounded_alone() -> None:
    for empty in ("", "basic_empty: {mass: 600 kg, moment: 1200 kg.m}, "):
        (made,) = reckoned(f"{empty}{LOAD}, {FUEL}, mass: 812 kg, centre_of_gravity: 2.20 m")
        assert [each.allowed for each in made.figures] == [3.0, pytest.approx(0.01)]
    (two,) = reckoned("basic_empty: {mass: 600 kg, moment: 1200 kg.m}, mass: 600 kg, moment: 1200 kg.m")
    assert [each.allowed for each in two.figures] == [1.0, 1.0], "two lines at least"


def test_the_fuel_of_a_sample() -> None:
    """One amount lies in each tank as much as its 95 and 50 usable litres ask for."""
    mass, moment = 600.0, 1200.0
    for fuel, main, tail, lines in (
        ("fuel: 58 L, density: 0.7 kg/L", 38, 20, 2),
        ("fuel: 40.6 kg, density: 0.7 kg/L", 38, 20, 2),
        ("fuel: {tail: 14 kg}, density: 0.7 kg/L", 0, 20, 2),
        ("fuel: {main: 28 kg, tail: 0 L}, density: 0.7 kg/L", 40, 0, 3),
        ("fuel: 145 L, density: 0.7 kg/L", 95, 50, 2),
        ("fuel: {}", 0, 0, 2),
    ):
        (made,) = reckoned(f"{fuel}, mass: 600 kg, moment: 1200 kg.m")
        ours, moments = (each.ours for each in made.figures)
        assert ours == pytest.approx(mass + 0.7 * (main + tail)), fuel
        assert moments == pytest.approx(moment + 0.7 * (main * 2.2 + tail * 4.0)), fuel
        assert made.figures[0].allowed == pytest.approx(lines / 2), fuel
    (made,) = reckoned(f"{LOAD}, fuel: 58 L, density: 0.7 kg/L, mass: 600 kg, moment: 1200 kg.m")
    assert made.figures[0].allowed == pytest.approx(2.5), "three of load, one of fuel, one of the empty mass"
    # Without a density the papers' grade has 6.0 lb per US gallon, FAA-H-8083-30 ch. 4: fuel by mass has its mass.
    (made,) = reckoned("fuel: {main: 28 kg}, mass: 600 kg, moment: 1200 kg.m")
    assert made.figures[0].ours == pytest.approx(628.0)


def test_inside_is_the_take_off_mass_the_edges_and_the_limits_of_the_places() -> None:
    """812 kg and 20 kg in the hold are at their limits; the least mass on the first seat is no matter of papers."""
    printed = "moment: 1 kg.m, mass: 1 kg"
    cases = (
        (f"{LOAD}, {FUEL}", True),
        (f"{LOAD}, {FUEL}, category: aerobatic", True),
        (f"{LOAD}, fuel: {{main: 40 L, tail: 20.1 L}}, density: 0.7 kg/L, category: aerobatic", False),
        ("load: {hold: 20 kg}", True),
        ("load: {hold: 20.1 kg}", False),
        ("load: {hold: 39 kg}", False),
        # 600 kg at 2.0 m and 60 kg at 4.5 m lie at 2.227 m, with 35 kg of fuel at 4.0 m at 2.317 m.
        ("load: {front: 80 kg, hold: 20 kg}, fuel: {tail: 35 kg}", True),
        ("basic_empty: {mass: 600 kg, moment: 1380 kg.m}", True),
        ("basic_empty: {mass: 600 kg, moment: 1381 kg.m}", False),
        ("basic_empty: {mass: 600 kg, moment: 899 kg.m}", False),
        ("basic_empty: {mass: 1200 kg, moment: 2400 kg.m}", True),
        ("basic_empty: {mass: 1200.1 kg, moment: 2400 kg.m}", False),
        ("basic_empty: {mass: 499 kg, moment: 998 kg.m}", False),
    )
    plain = reckoned(*(f"{sample}, {printed}" for sample, _ in cases))
    assert [each.inside for each in plain] == [inside for _, inside in cases]
    for said in (True, False):
        ours = [[figure.ours for figure in each.figures] for each in plain]
        made = reckoned(
            *(
                f"{sample}, mass: {mass!r} kg, moment: {moment!r} kg.m, inside: {str(said).lower()}"
                for (sample, _), (mass, moment) in zip(cases, ours, strict=True)
            )
        )
        assert [each.agrees for each in made] == [said is inside for _, inside in cases]


def test_a_sample_that_states_its_own_empty_mass_is_not_tried_with_replaced_records() -> None:
    """The record in force, else the latest of the replaced ones that fits; where none fits that in force."""
    replaced = "".join(
        f"  - {{mass: {mass} kg, arm: 2.0 m, date: 2025-0{at}-11, includes: [full oil, unusable fuel],"
        f" version: '{at}', superseded_on: 2025-0{at + 1}-11, change: weighed anew}}\n"
        for at, mass in enumerate((590, 580, 580), 1)
    )
    own = "basic_empty: {mass: 700 kg, moment: 1400 kg.m}, "
    samples = [
        f"{empty}mass: {mass} kg, moment: {2 * mass} kg.m"
        for empty in ("", own)
        for mass in (600, 590, 580, 570, 700)
    ]
    text = PROFILE + "".join(f"  - {{name: sample {at}, {each}}}\n" for at, each in enumerate(samples))
    made = examples_of(load_aircraft_file("profile.yaml", f"{text}superseded:\n{replaced}").record)
    assert [(each.agrees, each.record) for each in made] == [
        *((True, record) for record in ("", "1", "3")),
        *[(False, "")] * 5,
        (False, ""),
        (True, ""),
    ]


def test_a_difference_of_as_much_as_is_allowed_agrees() -> None:
    for ours, agrees in ((100.5, True), (99.5, True), (100.5001, False), (99.4999, False)):
        one = Compared(
            key="mass", dimension="mass", printed=read_quantity("100 kg", "mass"), ours=ours, allowed=0.5
        )
        assert one.agrees is agrees
    assert 0.8 - 0.5 > 0.3, "in binary figures: rounding is no difference"
    tenth = Compared(
        key="mass", dimension="mass", printed=read_quantity("0.5 kg", "mass"), ours=0.8, allowed=0.3
    )
    assert tenth.agrees
    assert [each.number for each in reckoned(*("mass: 600 kg, moment: 1200 kg.m",) * 3)] == [1, 2, 3]
