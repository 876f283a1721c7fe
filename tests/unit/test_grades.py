"""What the grade list says of a standard density: how far batches differ, and where the petroleum tables do
not reach.
"""

from __future__ import annotations

import pytest

from planner.density.petroleum import thermal_expansion
from planner.facts.grades import GRADES


@pytest.mark.parametrize(
    ("grade", "u"),
    # Width of the band over six, by hand: 45, 45, 50, 50, 55, 65, 65 kg/m3 (common practice, no published
    # source).
    [
        ("avgas-100LL", 7.5),
        ("avgas-100", 7.5),
        ("avgas-UL91", 8.3333),
        ("avgas-UL94", 8.3333),
        ("motor-gasoline-EN228", 9.1667),
        ("jet-A1", 10.8333),
        ("jet-A", 10.8333),
    ],
)
def test_u_from_batch_to_batch(grade: str, u: float) -> None:
    assert GRADES[grade].batch_u == pytest.approx(u, abs=1e-4)


def test_every_grade_is_checked_above() -> None:
    assert len(GRADES) == 7


def test_only_motor_gasoline_may_hold_ethanol() -> None:
    assert [grade.id for grade in GRADES.values() if grade.u_ethanol_per_kelvin] == ["motor-gasoline-EN228"]


def test_the_doubt_of_ethanol_is_a_few_per_cent_of_the_correction() -> None:
    # 5 % of the coefficient as a half-width, over the square root of three: 2.9 % of what one kelvin changes.
    grade = GRADES["motor-gasoline-EN228"]
    middle = sum(grade.band) / 2
    assert grade.u_ethanol_per_kelvin == pytest.approx(
        0.05 / 3**0.5 * thermal_expansion(middle) * middle, rel=1e-6
    )
    assert 0.02 < grade.u_ethanol_per_kelvin < 0.03  # kg/m3 per K
    assert "ethanol" in grade.note
