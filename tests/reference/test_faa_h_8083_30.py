"""FAA-H-8083-30 ch. 4: the weighing of fig. 4-20 (inputs second-hand, answers from memory) and the hydrometer
note.

Each row: the printed figure, then the same figure unrounded, worked in the source's own units with exact
fractions and no code of the program; then half of the last printed digit (0.1 in), none for the mass.
"""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from planner.density.petroleum import density_15c_from
from planner.facts.grades import GRADES
from planner.logbook.mass.hung import ScalePoint, weigh
from planner.logbook.mass.weigh import work_out
from planner.quantities.units import INCH, POUND, read_quantity
from planner.records.sheets.weighing_sheet import load_worksheet
from tests.reference.published import results

SOURCE = "faa-h-8083-30"

CASES = {
    # 645 and 635 @ 70, 222.5 @ -30, less 30 USgal x 5.9 @ 95, plus 6 @ 98
    "weighing-mass": (1331.5, Fraction("1331.5")),
    "weighing-cg": (
        50.1,
        (645 * 70 + 635 * 70 - Fraction("222.5") * 30 - 177 * 95 + 6 * 98) / Fraction("1331.5"),
    ),
}


def test_every_case_of_the_source_is_checked() -> None:
    assert results(SOURCE).keys() == CASES.keys()


@pytest.mark.parametrize("name", CASES)
def test_published_case(name: str) -> None:
    printed, unrounded = CASES[name]
    result = results(SOURCE)[name]
    assert result.case.published == printed
    assert result.ours == pytest.approx(
        float(unrounded), rel=1e-12
    )  # only conversion lb, in -> kg, m and back lies between
    assert result.within, f"{result.ours} against {printed} +/- {result.case.tolerance}: {result.case.reason}"


def test_the_gross_total_keeps_the_fuel() -> None:
    # 645 + 635 + 222.5 = 1502.5 lb on the scales; CG 82 925 / 1502.5 = 55.19 in, before any correction.
    points = [ScalePoint(*row) for row in _rows()]
    gross = weigh(points).scale_total
    assert gross.mass / POUND == pytest.approx(1502.5, rel=1e-12)
    assert gross.centre_of_gravity / INCH == pytest.approx(82925 / 1502.5, rel=1e-12)


def _rows() -> list[tuple[str, float, float, float]]:
    pounds = [("left", 650, 5, 70), ("right", 640, 5, 70), ("nose", 225, 2.5, -30)]
    return [(name, reading * POUND, tare * POUND, arm * INCH) for name, reading, tare, arm in pounds]


@pytest.mark.parametrize("temperature", [30.0, 35.0])
@pytest.mark.parametrize("shown", [5.85, 5.90])
def test_avgas_on_a_hot_day(shown: float, temperature: float) -> None:
    # P. 4-15 (read): a hydrometer shows 5.85 to 5.90 lb/USgal on a hot Florida day. The page gives no
    # temperature; 30 and 35 degC are ours. Either reading must lead back to a density at 15 degC that avgas
    # has.
    band = GRADES["avgas-100LL"].band
    density = read_quantity(f"{shown} lb/USgal", "density").value
    assert band[0] < density_15c_from(density, temperature) < band[1]


def test_the_weighing_as_a_worksheet() -> None:
    # Fig. 4-20 through the whole road from file to result: 1331.5 lb at 50.1 in printed, 50.061... unrounded;
    # half a digit.
    worked = work_out(load_worksheet(Path(__file__).parent / "data" / "faa_h_8083_30_fig_4_20.yaml"))
    total = worked.result.basic_empty
    assert total.mass / POUND == pytest.approx(1331.5, rel=1e-12)
    assert total.centre_of_gravity / INCH == pytest.approx(float(CASES["weighing-cg"][1]), rel=1e-12)
    assert total.centre_of_gravity / INCH == pytest.approx(50.1, abs=0.05)
    assert worked.result.scale_total.mass / POUND == pytest.approx(1502.5, rel=1e-12)
    assert not worked.uncertainties_stated
    assert worked.uncertainty.mass == worked.uncertainty.cg == 0.0
