"""Demonstrations: the figures worked by hand on the invented four-seater, and on every other profile an
honest word whether the lesson holds.

The four-seater: 688.4 kg at 2.235 m, front 2.165, rear 3.005, baggage 3.630 (at most 40 kg), usable 144 L at
2.410 (B: 2.020), fuel 0.720 kg/L, take-off 1085, landing 1040, forward 2.150 to 820 kg then straight to 2.270
at 1085, aft 2.370. Expected values are that arithmetic, written out.
"""

from __future__ import annotations

import math

import pytest

from planner.density.petroleum import density_at
from planner.quantities.units import Display
from planner.records.store import load_aircraft, profile_ids
from planner.school.demonstrations.list_of import DEMONSTRATIONS
from planner.school.lab import Lab, Shown
from planner.views.school.demonstration_text import handout, items, working_lines

EMPTY = (688.4, 2.235)


def shown(name: str, on: str = "") -> Shown:
    demonstration = DEMONSTRATIONS[name]
    lab = Lab(load_aircraft(on or demonstration.aircraft))
    return demonstration.work(lab, lab.pen)


def cg(*rows: tuple[float, float]) -> tuple[float, float]:
    """Mass and CG of rows (mass, arm)."""
    mass = math.fsum(m for m, _ in (EMPTY, *rows))
    return mass, math.fsum(m * a for m, a in (EMPTY, *rows)) / mass


def front(mass: float) -> tuple[float, float]:
    return mass, 2.165


def rear(mass: float) -> tuple[float, float]:
    return mass, 3.005


def bag(mass: float) -> tuple[float, float]:
    return mass, 3.630


def fuel(litres: float, arm: float = 2.410) -> tuple[float, float]:
    return litres * 0.720, arm


def test_full_fuel_or_seats() -> None:
    mass, _ = cg(front(160), rear(145), bag(15), fuel(144))
    found = shown("full-fuel-or-seats")
    assert found.holds
    assert found.figures["mass_kg"] == pytest.approx(mass)  # 1112.1
    assert found.figures["excess_kg"] == pytest.approx(mass - 1085)  # 27.1
    assert found.figures["fuel_that_fits_m3"] * 1e3 == pytest.approx(
        (1085 - (mass - 103.68)) / 0.720
    )  # 106.4
    assert found.figures["fuel_that_fits_m3"] * 1e3 == pytest.approx(106.4, abs=0.05)


def test_early_return() -> None:
    mass, _ = cg(front(160), rear(145), bag(15), fuel(60))
    found = shown("early-return")
    assert found.figures["mass_kg"] == pytest.approx(mass)  # 1051.6
    assert found.figures["excess_kg"] == pytest.approx(mass - 1040)  # 11.6


def test_fuel_and_aft_cg() -> None:
    people = (front(92 + 85), rear(88 + 72))
    mass, with_fuel = cg(*people, bag(25), fuel(40))
    found = shown("fuel-and-aft-cg")
    assert found.figures["mass_kg"] == pytest.approx(mass)  # 1079.2
    assert found.figures["cg_m"] == pytest.approx(with_fuel)  # 2.3747
    assert found.figures["cg_without_fuel_m"] == pytest.approx(cg(*people, bag(25))[1])  # 2.3737
    # The bag that puts the CG on 2.370 m: sum of m (a - 2.370) without it, over its own lever.
    short = sum(m * (a - 2.370) for m, a in (EMPTY, *people, fuel(40)))
    assert found.figures["greatest_bag_kg"] == pytest.approx(-short / (3.630 - 2.370))  # 21.0


def test_seat_order() -> None:
    found = shown("seat-order")
    for beside in (60, 95, 90):
        rest = 60 + 95 + 90 - beside
        assert found.figures[f"cg_{beside}_beside_m"] == pytest.approx(
            cg(front(75 + beside), rear(rest), bag(10), fuel(60))[1]
        )
    assert found.figures["cg_60_beside_m"] == pytest.approx(2.3805, abs=5e-5)
    assert found.figures["cg_95_beside_m"] == pytest.approx(2.3529, abs=5e-5)


def test_lever() -> None:
    found = shown("lever")
    assert found.figures["mass_kg"] == pytest.approx(1028.8, abs=0.05)
    assert found.figures["shift_m"] == pytest.approx(
        20 * (3.630 - 2.165) / found.figures["mass_kg"]
    )  # 28.5 mm


def test_burn() -> None:
    load = (front(150), rear(160), bag(20))
    found = shown("burn")
    assert found.figures["takeoff_cg_m"] == pytest.approx(cg(*load, fuel(75, 2.020))[1])  # 2.3553
    assert found.figures["zero_fuel_cg_m"] == pytest.approx(cg(*load)[1])  # 2.3731
    # Fuel that just keeps the CG on 2.370 m.
    over = sum(m * (a - 2.370) for m, a in (EMPTY, *load))
    assert found.figures["crossing_fuel_m3"] * 1e3 == pytest.approx(over / (2.370 - 2.020) / 0.720)  # 12.4
    assert not shown("burn", "thornlea-t4").holds  # there the fuel lies behind the CG


def test_two_in_front() -> None:
    mass, with_fuel = cg(front(240), fuel(144))
    found = shown("two-in-front")
    assert found.figures["cg_m"] == pytest.approx(with_fuel)  # 2.2363
    limit = 2.150 + (mass - 820) * 0.120 / 265
    assert found.figures["forward_limit_m"] == pytest.approx(limit)  # 2.2460
    ballast = found.figures["ballast_kg"]
    assert ballast == pytest.approx(11.02, abs=0.01)
    heavier, aft = cg(front(240), fuel(144), bag(ballast))
    assert aft == pytest.approx(2.150 + (heavier - 820) * 0.120 / 265, abs=1e-9)


def test_envelope_width() -> None:
    found = shown("envelope-width")
    assert [found.figures[f"width_at_{m}_kg_m"] for m in (600, 820, 1085)] == pytest.approx(
        [0.220, 0.220, 0.100]
    )


def test_density() -> None:
    found = shown("density")
    assert [found.figures[f"mass_at_{rho}_kg"] for rho in (695, 720, 735)] == pytest.approx(
        [100.08, 103.68, 105.84]
    )


def test_dip_temperature() -> None:
    found = shown("dip-temperature")
    for celsius in (-20, 15, 35):
        assert found.figures[f"mass_at_{celsius}_c_kg"] == pytest.approx(density_at(720.0, celsius) * 0.144)
    assert (
        found.figures["mass_at_-20_c_kg"]
        > found.figures["mass_at_15_c_kg"]
        > found.figures["mass_at_35_c_kg"]
    )


def test_how_sure() -> None:
    """The margin at 62 L is 7.4 mm; its uncertainty is added up here by hand from levers and standard
    uncertainties.
    """
    rows = (front(150), rear(150), bag(15), fuel(62))
    mass, here = cg(*rows)
    found = shown("how-sure")
    assert found.figures["margin_m"] == pytest.approx(2.370 - here, abs=1e-9)
    assert found.figures["margin_m"] == pytest.approx(0.0074, abs=5e-5)

    def u(person: float, baggage: float, empty: float, arm: float) -> float:
        parts = [person * (a - here) for a in (2.165, 2.165, 3.005, 3.005)] + [
            baggage * (3.630 - here),
            empty * (2.235 - here),
            688.4 * arm,
        ]
        parts.append(0.062 * 4.0 * (2.410 - here))  # 4 kg/m3 of density
        return math.hypot(*parts) / mass

    assert found.figures["u_1_m"] == pytest.approx(u(4.0, 2.0, 2.0, 0.004), rel=1e-6)
    assert found.figures["u_2_m"] == pytest.approx(u(0.5, 0.3, 2.0, 0.004), rel=1e-6)
    assert found.figures["u_3_m"] == pytest.approx(u(0.5, 0.3, 1.0, 0.0015), rel=1e-6)


def test_chart_kind() -> None:
    found = shown("chart-kind")
    assert found.figures["mass_kg"] == 952.5
    assert found.figures["linear_in_cg_m"] == pytest.approx(2.2100)
    assert found.figures["linear_in_moment_m"] == pytest.approx(
        (820 * 2.150 + 1085 * 2.270) / 2 / 952.5
    )  # 2.2183


def test_middle() -> None:
    found = shown("middle")
    assert found.figures["start_margin_m"] > 0
    assert found.figures["end_margin_m"] > 0
    assert found.figures["least_margin_m"] < 0
    # Constructed: moment straight between both ends, limit straight in CG; least where the derivative of A/m
    # + B + C m is zero.
    (m1, a1), (m2, a2) = (900.0, 2.3399), (1085.0, 2.3999)
    slope = (m2 * a2 - m1 * a1) / (m2 - m1)
    offset, rise = m1 * a1 - slope * m1, 0.06 / 185
    mass = math.sqrt(-offset / rise)
    assert found.figures["constructed_margin_m"] == pytest.approx(
        2.34 + rise * (mass - 900) - offset / mass - slope
    )
    assert found.figures["constructed_margin_m"] == pytest.approx(-0.0027, abs=5e-5)


@pytest.mark.parametrize("name", DEMONSTRATIONS)
@pytest.mark.parametrize("on", profile_ids())
def test_on_every_profile_it_holds_or_says_why_not(name: str, on: str) -> None:
    found = shown(name, on)
    assert found.found
    assert found.lesson
    if not found.holds:
        assert any(
            word in found.found[0] for word in ("Not found on this aircraft: ", "Here ", "Carried", "margin")
        ), found.found[0]
        return
    outside = [row for row in found.table.rows if any("OUTSIDE" in cell for cell in row)]
    # Whatever is shown beyond a limit is labelled, and comes with its correction.
    assert not outside or found.correction
    # A plan is drawn outside its CG limits only where a row says so.
    if found.plan is not None and name not in ("how-sure", "lever"):
        beyond = [
            each
            for each in found.plan.limits()
            if each.margin < 0 and each.name.startswith(("forward limit", "aft limit"))
        ]
        assert outside or not beyond, name


@pytest.mark.parametrize("name", DEMONSTRATIONS)
def test_each_holds_on_the_aircraft_it_is_made_for(name: str) -> None:
    assert shown(name).holds


def test_water_by_hand() -> None:
    found = shown("water")
    heavy = 999.10  # kg/m3 at 15 degC, by the table of the source
    assert found.figures["tank_1_below_outlet_m3"] == pytest.approx(0.004)
    assert found.figures["tank_1_mean_density_change_kg_m3"] == pytest.approx(
        (heavy - 720) * 0.1 / 76, rel=1e-4
    )
    # Stokes: 0.05 mm in a foot of fuel of 0.55 mPa.s.
    speed = (heavy - 720) * 9.80665 * 50e-6**2 / (18 * 0.55e-3)
    assert found.figures["minutes_for_a_foot_at_50_um"] == pytest.approx(0.3048 / speed / 60, rel=1e-4)
    # The rule of 15 minutes a foot lies between the drops that are shown.
    assert 20e-6 < found.figures["least_drop_of_the_rule_m"] < 50e-6


def test_overnight_by_hand() -> None:
    """Saturation 3169 Pa at 25 degC and 873 Pa at 5 degC (steam tables), ideal gas of water, 461.5 J/(kg K)."""
    evening, morning = 0.8 * 3169 / 461.5 / 298.15, 873 / 461.5 / 278.15
    found = shown("overnight")
    assert found.figures["evening_vapour_kg_m3"] == pytest.approx(evening, rel=2e-3)
    assert found.figures["condensed_half_full_kg"] == pytest.approx((evening - morning) * 0.076, rel=2e-3)
    assert found.figures["condensed_full_kg"] == pytest.approx((evening - morning) * 0.152 * 0.02, rel=2e-3)


@pytest.mark.parametrize("name", DEMONSTRATIONS)
@pytest.mark.parametrize("on", profile_ids())
def test_a_class_can_redo_it(name: str, on: str) -> None:
    """Either loadings with who, what and arm, which add up again to the figures of the table, or a working."""
    lab = Lab(load_aircraft(on))
    found = DEMONSTRATIONS[name].work(lab, lab.pen)
    assert found.cases or found.working
    for case in found.cases:
        rows = list(items(lab, case))
        mass = math.fsum(m for *_, m, _ in rows)
        moment = math.fsum(m * a for *_, m, a in rows)
        here = lab.state(case.load, case.volumes)
        assert mass == pytest.approx(here.mass)
        assert moment / mass == pytest.approx(here.centre_of_gravity)
        text = " ".join(working_lines(lab, case, Display()))
        assert Display().text(here.centre_of_gravity, "length", extra=1) in text
    masses = {Display().text(lab.state(each.load, each.volumes).mass, "mass") for each in found.cases}
    printed = {cell for row in found.table.rows for cell in row[1:2] if cell.endswith(" kg")}
    if found.table.heads[:2] == ("case", "mass") and len(found.cases) > 1:
        assert masses & printed


@pytest.mark.parametrize("name", DEMONSTRATIONS)
def test_a_handout_with_and_without_answers(name: str) -> None:
    demonstration = DEMONSTRATIONS[name]
    lab = Lab(load_aircraft(demonstration.aircraft))
    worked = demonstration, lab, demonstration.work(lab, lab.pen)
    task, key = (handout(worked, Display(), answers=each) for each in (False, True))
    lesson = worked[2].lesson.replace("'", "&#x27;")
    assert lesson in key or worked[2].lesson in key
    assert worked[2].lesson not in task
    for case in worked[2].cases:
        assert f"{lab.state(case.load, case.volumes).centre_of_gravity:.4f}" not in task
        assert case.words in task
    assert task.count("<svg") == key.count("<svg") == 0 or "<svg" in key
    assert "Invented demonstration data" in task
