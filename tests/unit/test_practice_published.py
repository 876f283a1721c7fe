"""The computations behind the problems, put through published cases: a problem is as right as the formula its
solution cites.
"""

from __future__ import annotations

import pytest

from planner.logbook.mass.hung import ScalePoint
from planner.quantities.moments import Item
from planner.school.problem import Ask
from planner.school.problems.bench import BottleFacts, WeighingFacts
from planner.school.problems.loads import LoadFacts, LoadLine
from planner.school.problems.moving import ShiftFacts

LB, IN, USGAL = 0.45359237, 0.0254, 3.785411784e-3


def shift(
    kind: str, mass: float, cg: float, moved: float, start: float, end: float, target: float = 0.0
) -> dict[str, float]:
    facts = ShiftFacts(
        kind=kind,
        mass=mass * LB,
        cg=cg * IN,
        moved=moved * LB,
        from_arm=start * IN,
        to_arm=end * IN,
        target=target * IN,
    )  # type: ignore[arg-type]  # one of the four kinds
    return {key: float(value) for key, value in facts.answers().items()}


def test_weight_shift() -> None:
    """FAA-H-8083-25, weight shift: 8000 lb, moment 616 000, 100 lb from 30 to 150 in: CG 77.0 to 78.5 in
    (read in the source).
    """
    assert shift("new cg", 8000, 77.0, 100, 30, 150)["cg"] / IN == pytest.approx(78.5)


def test_weight_to_shift() -> None:
    """FAA-H-8083-25: 7800 lb at 81.5 in, limit 80.5, from 150 to 30 in: 65 lb (second-hand copy)."""
    assert shift("mass to move", 7800, 81.5, 0, 150, 30, 80.5)["moved"] / LB == pytest.approx(65.0)


def test_permanent_ballast() -> None:
    """FAA-H-8083-1B: 1876 lb at 32.2 in, limit 33, ballast at 228 in: 7.7 lb; unrounded 7.6964, rounded up
    (inputs read, answer from memory).
    """
    ballast = shift("ballast", 1876, 32.2, 0, 0, 228, 33.0)["ballast"]
    assert ballast / LB == pytest.approx(7.6964, abs=5e-5)
    assert (
        Ask(key="ballast", words="?", dimension="mass", unit="lb", step=0.1, direction="up").text(ballast)
        == "7.7 lb"
    )


def test_ballast_arm() -> None:
    """2222 kg at 6.13 m and 136 kg of ballast to 6.28 m: arm 8.73 m, printed to 0.01 m (a test item,
    second-hand copy).
    """
    facts = ShiftFacts(
        kind="ballast arm", mass=2222.0, cg=6.13, moved=136.0, from_arm=0.0, to_arm=0.0, target=6.28
    )
    assert facts.answers()["arm"] == pytest.approx(8.73, abs=0.005)


def test_percent_of_the_chord() -> None:
    """FAA-H-8083-1: CG 42.47, LEMAC 20.1, MAC 61.6 in: 36.3 % (from memory)."""
    facts = LoadFacts((LoadLine("aircraft", "other", 100.0, 42.47 * IN),), chord=(20.1 * IN, 61.6 * IN))
    assert facts.answers()["mac"] == pytest.approx(0.363, abs=0.0005)


def test_most_aft_loading() -> None:
    """AC 43.13-1B fig. 10-11: 2036 lb, 43 428 lb.in, 21.33 in; oil ahead of the datum, so one arm is negative
    (read in the source).
    """
    rows = [(1169, 10.6), (17, -49), (170, 16), (340, 48), (240, 22), (100, 75.5)]
    facts = LoadFacts(tuple(LoadLine(str(arm), "other", mass * LB, arm * IN) for mass, arm in rows))
    right = facts.answers()
    assert right["mass"] == pytest.approx(2036 * LB)
    assert right["moment"] == pytest.approx(
        43_428 * LB * IN, abs=1 * LB * IN
    )  # its lines are cut to whole lb.in
    assert right["cg"] == pytest.approx(21.33 * IN, abs=0.005 * IN)


def test_weighing() -> None:
    """FAA-H-8083-30 fig. 4-20: 1331.5 lb at 50.1 in; readings less tare, usable fuel off, unusable fuel on
    (inputs second-hand, answer from memory).
    """
    points = (
        ScalePoint("left", 650 * LB, 5 * LB, 70 * IN),
        ScalePoint("right", 640 * LB, 5 * LB, 70 * IN),
        ScalePoint("nose", 225 * LB, 2.5 * LB, -30 * IN),
    )
    facts = WeighingFacts(
        points, (Item("fuel", 30 * 5.9 * LB, 95 * IN),), (Item("unusable fuel", 6 * LB, 98 * IN),)
    )
    right = facts.answers()
    assert right["mass"] == pytest.approx(1331.5 * LB)
    assert right["cg"] == pytest.approx(50.1 * IN, abs=0.05 * IN)


def test_density_bottle_from_water() -> None:
    """Water weighed as if it were the sample has the density of water, 998.2067 kg/m3 at 20 degC (Tanaka et
    al. 2001, second-hand copy).
    """
    facts = BottleFacts(
        empty=27.41e-3,
        water=77.21e-3,
        sample=77.21e-3,
        temperature=20.0,
        water_density=998.2067,
        air=1.20,
        nominal=50e-6,
    )
    assert facts.answers()["density"] == pytest.approx(998.2067)
