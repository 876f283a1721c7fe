"""FAA-H-8083-1B: the lever (ch. 2, read), permanent ballast (inputs read, answer from memory), a twin (read
in a copy of the text).

Each row: the printed figure, then the same figure unrounded, worked in the source's own units with exact
fractions and no code of the program; then none for the lever (no rounding in it); ballast is rounded up to
0.1 lb, 7.6964 to 7.7.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from planner.flight.burn import bounds
from planner.quantities.moments import Item, Total, add, ballast_mass, round_up
from planner.quantities.polygon import Edge, Envelope
from planner.quantities.units import INCH, POUND
from planner.search.solve import Change, Family, critical_points
from tests.reference.published import results

SOURCE = "faa-h-8083-1b"

CASES = {
    "lever": (72, Fraction(100 * 0 + 200 * 80 + 200 * 100, 500)),
    "ballast": (7.7, Fraction("7.7")),
    # B of fig. 2-11 moved until the lever balances at 50 in: 200 lb hold 100 lb at 0 and 200 lb at 100 in
    "lever-shifted": (25, 50 - Fraction(100 * (0 - 50) + 200 * (100 - 50), 200)),
    # scales 1084 - 8, 1148 - 8, 1202 - 14; fuel 840, seats 320 and 310, baggage 100 and 90 lb
    "twin-mass": (5064, Fraction(1076 + 1140 + 1188 + 840 + 320 + 310 + 100 + 90)),
}

# A weighing that becomes a record is kept in kilograms to three decimals: 0.5 g of 2297 kg.
COARSE = {"twin-mass": 5e-7}


def test_every_case_of_the_source_is_checked() -> None:
    assert results(SOURCE).keys() == CASES.keys()


@pytest.mark.parametrize("name", CASES)
def test_published_case(name: str) -> None:
    printed, unrounded = CASES[name]
    result = results(SOURCE)[name]
    assert result.case.published == printed
    assert result.ours == pytest.approx(
        float(unrounded), rel=COARSE.get(name, 1e-12)
    )  # only conversion lb, in -> kg, m and back lies between
    assert result.within, f"{result.ours} against {printed} +/- {result.case.tolerance}: {result.case.reason}"


AIRCRAFT = Total(1876 * POUND, 1876 * 32.2 * POUND * INCH)
LIMIT = 33 * INCH


def test_unrounded_ballast() -> None:
    # 1876 (33 - 32.2) / (228 - 33) = 7.69641 lb
    unrounded = 1876 * (33 - Fraction("32.2")) / (228 - 33)
    assert ballast_mass(AIRCRAFT, LIMIT, 228 * INCH) / POUND == pytest.approx(float(unrounded), rel=1e-12)
    assert float(unrounded) == pytest.approx(7.6964, abs=5e-5)


def test_rounding_up_is_the_safe_side() -> None:
    # The limit is a forward one: 7.7 lb clears it, the nearer-looking 7.6 lb does not.
    def cg(pounds: float) -> float:
        return add(AIRCRAFT, Item("ballast", pounds * POUND, 228 * INCH)).centre_of_gravity

    assert cg(7.7) >= LIMIT
    assert cg(7.6) < LIMIT


def test_the_lever_balances_about_its_answer() -> None:
    assert 100 * (0 - 72) + 200 * (80 - 72) + 200 * (100 - 72) == 0


def solved(before: Total, change: Change, target: float, most: float) -> list[float]:
    """Values of one open quantity up to `most` at which the CG is `target`, by the solver that follows the
    whole burn.
    """
    edge = Edge(((0.1, target), (1e6, target)), "linear in cg")
    family = Family(zero_fuel=before, tanks=(), volumes=(), order=(), legs=(), density=700.0, change=change)
    return [
        p for p in critical_points(family, 0.0, most, bounds(Envelope(edge, edge), None)) if 0.0 < p < most
    ]


def test_ballast_is_solved_as_a_limit() -> None:
    # The same 7.6964 lb, as the mass at 228 in from which on the CG is behind the forward limit of 33 in.
    (root,) = solved(AIRCRAFT, Change(1.0, 228 * INCH), LIMIT, 100 * POUND)
    assert root / POUND == pytest.approx(float(1876 * (33 - Fraction("32.2")) / (228 - 33)), rel=1e-12)
    assert round_up(root / POUND, 0.1) == 7.7
