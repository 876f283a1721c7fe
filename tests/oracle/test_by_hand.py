"""The naive engine against arithmetic on paper, against published tables, and its two ways of burning against
each other.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from tests.oracle.burn import drained, stepped
from tests.oracle.draws import drawn
from tests.oracle.engine import Answer, fly_file
from tests.oracle.limits import worst_changes
from tests.oracle.petroleum import correction, density_15, density_at
from tests.oracle.plain import plain
from tests.oracle.tables import edge_at


def flown(tmp_path: Path, draws: int = 4000, **changed: Any) -> Answer:
    return fly_file(plain(**changed).write(tmp_path), draws)


def test_one_tank(tmp_path: Path) -> None:
    """Ramp 700 x 2.00 + 80 x 2.10 + 70 x 2.20 = 1722 kg.m over 850 kg; 20 L later 836 kg and 1691.2 kg.m;
    empty 780 kg, 1568 kg.m.
    """
    answer = flown(tmp_path, load={"front seats": "80 +/- 2 kg"})
    assert answer.states["ramp"] == pytest.approx((850.0, 1722.0, 0.0, 0.1))
    assert answer.states["landing"] == pytest.approx((836.0, 1691.2, 0.0, 0.08))
    assert answer.states["zero fuel"] == pytest.approx((780.0, 1568.0, 0.0, 0.0))
    mass, aft = answer.checks["ramp", "maximum ramp mass"], answer.checks["ramp", "aft limit"]
    assert (mass.margin, mass.u) == pytest.approx((3150.0, 4.0))
    # d(CG) per kg of pilot: (2.10 - 1722/850) / 850 = 8.7197e-5 m; twice for 2 kg of u: 3.4879e-4 m
    assert aft.u == pytest.approx(4 * (2.10 - 1722 / 850) / 850, rel=2e-3)
    # 100 L; 20 L of trip, 30 min at 40 L/h; endurance all 100 L: half an hour for the 20 L, two hours for the
    # rest
    assert answer.surplus == pytest.approx(0.060)
    assert answer.plan is not None
    assert answer.plan.endurance == pytest.approx(2.5 * 3600)
    assert answer.surplus_u == 0.0


def test_uneven_tanks_drained_together(tmp_path: Path) -> None:
    """30 L left, 10 L right, 30 L burnt: 10 L from each, then 10 L from the left. 10 L = 7 kg at -1 m remain
    beside 780 kg.
    """
    tank = {"capacity": "50 L", "unusable": "0 L", "arm": "2.20 m"}
    tanks = {"left": tank | {"lateral_arm": "-1 m"}, "right": tank | {"lateral_arm": "1 m"}}
    fuel = {
        "grade": "avgas-100LL",
        "density": {"fixed": "0.7 kg/L"},
        "tanks": {"left": "30 L", "right": "10 L"},
    }
    sides = {"left": "-0.1 m", "right": "0.1 m"}
    answer = flown(
        tmp_path, tanks=tanks, fuel=fuel, trip=[{"phase": "cruise", "fuel": "30 L"}], lateral=sides
    )
    assert answer.states["ramp"] == pytest.approx((808.0, 1568 + 28 * 2.2, -14.0, 0.040))
    assert answer.states["landing"] == pytest.approx((787.0, 1568 + 7 * 2.2, -7.0, 0.010))
    # until the right tank runs dry the difference of the tanks stays and the mass falls: least with 14 kg.m
    # beside 780 + 14 kg
    assert answer.checks["burn", "lateral limit, left"].margin == pytest.approx(0.1 - 14 / 794)


def test_fuel_by_mass_and_a_density_that_is_unsure(tmp_path: Path) -> None:
    """Density 700 +/- 7 kg/m3. Burnt 21 kg: 30 L in the states, 21/686 m3 = 30.612 L of demand; 100 L
    aboard.
    """
    fuel = {"grade": "avgas-100LL", "density": {"fixed": "700 +/- 7 kg/m3"}, "tanks": {"main": "100 L"}}
    answer = flown(tmp_path, fuel=fuel, trip=[{"phase": "cruise", "fuel": "21 kg"}])
    assert answer.states["landing"][0] == pytest.approx(780 + 70 - 21)
    takeoff, landing = (
        answer.checks["takeoff", "maximum take-off mass"],
        answer.checks["landing", "maximum landing mass"],
    )
    assert (takeoff.value, takeoff.u) == pytest.approx(
        (780 + 71.4, 0.0)
    )  # 100 L at 714 kg/m3, and density no longer in U
    assert (landing.value, landing.u) == pytest.approx((780 + 71.4 - 21, 0.0))
    least = answer.checks["landing", "least mass of the envelope"]
    assert (least.value, least.u) == pytest.approx((829.0, 1.4))
    assert answer.plan is not None
    assert float(answer.plan.lines[0][1]) == pytest.approx(21 / 686)
    assert answer.plan.endurance == pytest.approx((21 / 686 + (0.1 - 21 / 686)) / 0.040 * 3600)


def test_edges() -> None:
    """At 800 kg between (600, 2.0) and (1000, 2.4): 2.2 m straight in CG, (1200 + 2400) / 2 / 800 = 2.25 m
    straight in moment.
    """
    points = ((600.0, 2.0), (1000.0, 2.4))
    assert edge_at(800.0, points, "linear in cg") == pytest.approx(2.2)
    assert edge_at(800.0, points, "linear in moment") == pytest.approx(2.25)
    assert edge_at(np.array([500.0, 1200.0]), points, "linear in moment") == pytest.approx([2.0, 2.4])


def test_moment_changes() -> None:
    changes = {"gear": 20.0, "flaps": 12.0, "seat": -5.0}
    assert worst_changes(changes, []) == (-5.0, 32.0)
    assert worst_changes(changes, [("gear", "flaps")]) == (-5.0, 20.0)


def test_petroleum_tables() -> None:
    """Measurement Canada, Table 54B (read): printed to 1e-4. D1250 examples (second-hand): printed to
    1e-5.
    """
    for rho, t, printed in ((710, -40, 1.0700), (710, -20, 1.0450), (800, -40, 1.0502), (800, -20, 1.0322)):
        assert float(correction(rho, t)) == pytest.approx(printed, abs=6e-5)
    assert float(correction(777.5, 9.0)) == pytest.approx(1.006412, abs=1e-6)
    assert float(correction(819.0, 26.75)) == pytest.approx(0.989552, abs=1e-5)
    assert float(density_15(density_at(712.0, 31.0), 31.0)) == pytest.approx(712.0, abs=1e-9)


def test_two_ways_of_burning_agree() -> None:
    random = np.random.default_rng(3)
    for _ in range(40):
        count = int(random.integers(1, 6))
        volumes = random.uniform(0.0, 0.06, count) * (random.random(count) > 0.2)
        amount = float(random.uniform(0.0, 1.1) * volumes.sum())
        order = random.permutation(count).tolist()
        cut = int(random.integers(0, count))
        groups = [group for group in (order[:cut], order[cut:]) if group]
        small, many = list(map(float, volumes)), [np.array([each]) for each in volumes]
        for now in stepped(list(small), amount, groups):
            small = now
        *_, many = drained(many, np.array([amount]), groups)
        assert [float(each[0]) for each in many] == pytest.approx(small, abs=1e-11)


def test_draws_have_the_moments_they_claim() -> None:
    z = drawn(tuple("abcdef"), 500, 1)
    assert z.mean(axis=0) == pytest.approx(0, abs=1e-12)
    assert z.T @ z / 500 == pytest.approx(np.eye(6), abs=1e-12)
