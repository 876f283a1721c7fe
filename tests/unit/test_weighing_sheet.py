"""The weighing worksheet: what it refuses, and its uncertainties against the uncertainties package and a
Monte Carlo run.
"""

from __future__ import annotations

import random
import statistics
from pathlib import Path

import pytest
from uncertainties import ufloat
from uncertainties.core import AffineScalarFunc

from planner.logbook.mass.hung import ScalePoint, scale_effects
from planner.logbook.mass.weigh import WorkedWeighing, work_out
from planner.quantities.errors import InputRefused
from planner.records.sheets.weighing_sheet import load_worksheet

# Invented readings.
SHEET = """
weighing: 1
aircraft: Test
date: 2026-06-01
place: hangar
weigher: {name: N. N.}
scale: {id: S1, uncertainty: 0.1 %}
attitude: level
configuration: flaps up
arms: {axle: 2.5 +/- 0.002 m}
points:
  left: {reading: 252 +/- 0.3 kg, tare: 2 +/- 0.05 kg, arm: axle, lateral_arm: -1.2 m}
  right: {reading: 257 +/- 0.3 kg, tare: 2 kg, arm: axle, lateral_arm: 1.2 +/- 0.003 m}
  nose: {reading: 201 +/- 0.4 kg, tare: 1 kg, arm: 1.0 +/- 0.004 m}
fluids:
  usable fuel: {kind: usable fuel, aboard: 60 +/- 1 L, in_result: 0 L, density: 0.715 +/- 0.002 kg/L, arm: 2.41 +/- 0.005 m}
  unusable fuel: {kind: unusable fuel, aboard: 4 L, in_result: 4 L, density: 0.715 kg/L, arm: 2.41 m}
  oil: {kind: oil, aboard: 6 +/- 0.2 L, in_result: 7.6 L, density: 0.88 kg/L, arm: 1.1 m}
includes: [full oil, unusable fuel]
removed: {tools: {mass: 3 +/- 0.1 kg, arm: 3 m}}
added: {seat: {mass: 9 +/- 0.1 kg, arm: 3 +/- 0.01 m}}
"""


def worked(tmp_path: Path, text: str) -> WorkedWeighing:
    path = tmp_path / "sheet.yaml"
    path.write_text(text, encoding="utf-8")
    return work_out(load_worksheet(path))


def model(draw: object) -> tuple[object, object]:
    """Mass and moment from the raw inputs, each drawn once by `draw(value, u)`: written independently of the
    program.
    """
    d = draw  # type: ignore[assignment]
    gain, axle, nose_arm = d(1.0, 0.001), d(2.5, 0.002), d(1.0, 0.004)  # type: ignore[operator]
    left = (d(252, 0.3) - d(2, 0.05)) * 1.0 + (gain - 1) * 250  # type: ignore[operator]
    right = d(257, 0.3) - 2 + (gain - 1) * 255  # type: ignore[operator]
    nose = d(201, 0.4) - 1 + (gain - 1) * 200  # type: ignore[operator]
    fuel, fuel_arm = d(60, 1) * d(0.715, 0.002), d(2.41, 0.005)  # type: ignore[operator]
    oil = (7.6 - d(6, 0.2)) * 0.88  # type: ignore[operator]
    tools, seat, seat_arm = d(3, 0.1), d(9, 0.1), d(3, 0.01)  # type: ignore[operator]
    mass = left + right + nose - fuel + oil - tools + seat
    moment = (
        (left + right) * axle + nose * nose_arm - fuel * fuel_arm + oil * 1.1 - tools * 3 + seat * seat_arm
    )
    return mass, moment


def test_against_the_uncertainties_package(tmp_path: Path) -> None:
    result = worked(tmp_path, SHEET)
    mass, moment = model(ufloat)
    assert isinstance(mass, AffineScalarFunc)
    assert isinstance(moment, AffineScalarFunc)
    cg = moment / mass
    assert result.result.basic_empty.mass == pytest.approx(mass.n, rel=1e-12)
    assert result.result.basic_empty.moment == pytest.approx(moment.n, rel=1e-12)
    assert result.uncertainty.mass == pytest.approx(2 * mass.s, rel=1e-9)
    assert result.uncertainty.moment == pytest.approx(2 * moment.s, rel=1e-9)
    assert result.uncertainty.cg == pytest.approx(2 * cg.s, rel=1e-9)


def test_against_a_monte_carlo_run(tmp_path: Path) -> None:
    # JCGM 101's method with 20 000 draws: the standard deviation of a normal sample of n is known to
    # 1/sqrt(2n) = 0.5 %, so 2 %.
    rng = random.Random(4)
    draws = [model(rng.gauss) for _ in range(20_000)]
    result = worked(tmp_path, SHEET).uncertainty
    assert result.mass == pytest.approx(2 * statistics.stdev(m for m, _ in draws), rel=0.02)  # type: ignore[type-var]
    assert result.cg == pytest.approx(2 * statistics.stdev(q / m for m, q in draws), rel=0.02)  # type: ignore[operator]


def test_one_scale_is_one_error_not_three() -> None:
    points = [
        ScalePoint("a", 300.0, 0.0, 2.0),
        ScalePoint("b", 300.0, 0.0, 2.0),
        ScalePoint("c", 200.0, 0.0, 1.0),
    ]
    (share,) = scale_effects(points, share=0.001)
    assert share.mass == pytest.approx(0.8)  # 0.1 % of 800 kg; three independent errors would give 0.47
    assert share.moment == pytest.approx(0.001 * (600 * 2 + 200))
    (offset,) = scale_effects(points, offset=0.5)
    assert offset.mass == pytest.approx(1.5)
    assert scale_effects(points) == ()


def test_a_gain_error_of_the_scale_leaves_the_cg(tmp_path: Path) -> None:
    # A scale that shows every mass 1 % too high moves no CG while nothing else is added: reactions scale
    # together.
    text = SHEET.replace("uncertainty: 0.1 %", "uncertainty: 1 %")
    for sure in ("0.3", "0.05", "0.4", "0.002 m", "0.003 m", "0.004 m"):
        text = text.replace(f" +/- {sure}", "" if " m" not in sure else " m")
    head = text[: text.index("fluids:")]
    plain = (
        head + "fluids:\n  usable fuel: {kind: usable fuel, aboard: 0 L, in_result: 0 L, arm: 2.4 m}\n"
        "  unusable fuel: {kind: unusable fuel, aboard: 4 kg, in_result: 4 kg, arm: 2.4 m}\n"
        "  oil: {kind: oil, aboard: 5 kg, in_result: 5 kg, arm: 1 m}\nincludes: [full oil, unusable fuel]\n"
    )
    result = worked(tmp_path, plain)
    assert result.uncertainty.mass == pytest.approx(2 * 0.01 * 705)
    assert result.uncertainty.cg == pytest.approx(0.0, abs=1e-12)


@pytest.mark.parametrize(
    ("old", "new", "code", "line"),
    [
        ("aboard: 60 +/- 1 L, in_result: 0 L", "aboard: 60 L, in_result: 1 L", "weighing-fluid", 16),
        ("includes: [full oil, unusable fuel]", "includes: [unusable fuel]", "weighing-fluid", 19),
        (
            "  oil: {kind: oil, aboard: 6 +/- 0.2 L, in_result: 7.6 L, density: 0.88 kg/L, arm: 1.1 m}\n",
            "",
            "weighing-fluid",
            16,
        ),
        ("density: 0.715 +/- 0.002 kg/L, ", "", "weighing-density", 16),
        ("density: 0.715 +/- 0.002 kg/L", "density: 0.715 +/- 0.002 lb/L", "weighing-density", 16),
        ("arm: axle, lateral_arm: -1.2 m", "arm: axel, lateral_arm: -1.2 m", "arm-name-unknown", 12),
        ("reading: 201 +/- 0.4 kg", "reading: 0.5 kg", "weighing-reading", 14),
        ("arm: 1.0 +/- 0.004 m", "arm: 1000 m", "arm-implausible", 14),
        ("arm: 1.0 +/- 0.004 m", "arm: 1.0", "quantity-bare-number", 14),
        ("reading: 252 +/- 0.3 kg", "reading: 252 +/- 0.3 gal", "quantity-ambiguous-unit", 12),
        ("aboard: 60 +/- 1 L", "aboard: 60000 L", "weighing-impossible", 2),
        ("attitude: level\n", "", "key-missing", 2),
        ("scale: {id: S1", "scale: {id: S1, calibrated: 2026-07-01", "weighing-dates", 7),
        ("place: hangar", "next_due: 2026-05-01\nplace: hangar", "weighing-dates", 5),
    ],
)
def test_refused_with_its_place(tmp_path: Path, old: str, new: str, code: str, line: int) -> None:
    assert old in SHEET
    with pytest.raises(InputRefused) as refused:
        worked(tmp_path, SHEET.replace(old, new, 1))
    assert (code, line) in {(finding.code, finding.line) for finding in refused.value.findings}


def test_a_scale_past_its_calibration_is_told(tmp_path: Path) -> None:
    result = worked(tmp_path, SHEET.replace("id: S1", "id: S1, next_due: 2026-05-31"))
    assert [finding.code for finding in result.findings] == ["weighing-scale-overdue"]
