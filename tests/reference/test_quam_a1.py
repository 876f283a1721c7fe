"""EURACHEM/CITAC guide QUAM, example A1, preparation of a cadmium standard (read in the source).

c = 1000 m P/V mg/L: m 100.28 mg, u 0.05; P 0.9999, u 0.000058; V 100.0 mL from three parts: +/- 0.1 mL
triangular, repeatability 0.02 mL, and +/- 4 K at 2.1e-4 per K, rectangular.
"""

from __future__ import annotations

import math

import pytest

from planner.density.budget import Input, propagate

PARTS = (0.1 / math.sqrt(6), 0.02, 100 * 4 * 2.1e-4 / math.sqrt(3))


def test_volume() -> None:
    # One input per cause; sensitivities all 1. Printed 0.066 mL.
    budget = propagate(
        lambda v: v["mark"] + v["filling"] + v["expansion"],
        [
            Input("mark", 100.0, PARTS[0], "mL"),
            Input("filling", 0.0, PARTS[1], "mL"),
            Input("expansion", 0.0, PARTS[2], "mL"),
        ],
    )
    assert budget.result.u == pytest.approx(0.0664730521840743, rel=1e-8)


def test_concentration() -> None:
    budget = propagate(
        lambda v: 1000 * v["m"] * v["P"] / v["V"],
        [
            Input("m", 100.28, 0.05, "mg"),
            Input("P", 0.9999, 0.000058, "1"),
            Input("V", 100.0, math.hypot(*PARTS), "mL"),
        ],
    )
    # Printed 1002.7 mg/L; unrounded 1002.69972.
    assert budget.result.value == pytest.approx(1002.7, abs=0.05)
    # Printed 0.9 mg/L, one digit; unrounded 0.835: the guide rounds up.
    assert budget.result.u == pytest.approx(0.835, abs=5e-4)
    assert math.ceil(budget.result.u * 10) / 10 == pytest.approx(0.9)
    # The guide's own bar chart: volume first, then mass, purity last.
    assert [line.source.name for line in budget.lines] == ["V", "m", "P"]
    assert math.fsum(line.share for line in budget.lines) == pytest.approx(1.0, abs=1e-12)
