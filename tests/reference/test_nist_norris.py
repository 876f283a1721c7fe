"""NIST Statistical Reference Datasets, Norris, linear regression: certified values (read in the source).

The 36 pairs of data/norris.csv were taken down from memory; that they give all five certified figures to
thirteen digits is the evidence that they are the published ones.
"""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from planner.density.line import straight_line

DATA = Path(__file__).parent / "data" / "norris.csv"


def pairs() -> tuple[list[float], list[float]]:
    with DATA.open(encoding="utf-8") as lines:
        rows = list(csv.DictReader(line for line in lines if not line.startswith("#")))
    return [float(row["x"]) for row in rows], [float(row["y"]) for row in rows]


def test_certified_values() -> None:
    x, y = pairs()
    assert len(x) == len(y) == 36
    line = straight_line(x, y)
    # Certified to 15 digits; 1e-12 leaves room for the rounding of sums in another order.
    assert line.intercept.value == pytest.approx(-0.262323073774029, rel=1e-12)
    assert line.intercept.u == pytest.approx(0.232818234301152, rel=1e-12)
    assert line.slope.value == pytest.approx(1.00211681802045, rel=1e-12)
    assert line.slope.u == pytest.approx(0.429796848199937e-3, rel=1e-12)
    assert line.scatter == pytest.approx(0.884796396144373, rel=1e-12)
    assert line.degrees_of_freedom == 34


def test_carried_back_to_zero_is_the_intercept() -> None:
    line = straight_line(*pairs())
    assert line.at(0.0).value == pytest.approx(-0.262323073774029, rel=1e-12)
    assert line.at(0.0).u == pytest.approx(0.232818234301152, rel=1e-12)
    # Nearest the data's middle the line is known best: s/sqrt(n).
    assert line.at(line.mean_x).u == pytest.approx(0.884796396144373 / 6, rel=1e-12)
