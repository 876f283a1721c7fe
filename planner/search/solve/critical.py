"""Every value of the parameter at which a CG limit can change sides anywhere along the burn, in closed form.

G(p, x) = P(m) - M, the margin times the mass but for its sign, is a quadratic form in the parameter p and the
burnt volume x, because the limiting moment P is quadratic in mass (see `planner.quantities.polygon`). The
least of the margin over a stretch passes zero only where G = 0 at an end of the stretch, at a point of the
envelope, or where G touches zero between them (dG/dx = 0). In each of these x is a straight line in p, which
leaves a quadratic in p: its roots are all there is.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import product
from typing import Final

from planner.flight.curve import TINY, quadratic_roots
from planner.flight.limits import Limit
from planner.quantities.polygon import Piece
from planner.search.solve.family import (
    Cell,
    Family,
    Form,
    Line,
    ParamStretch,
    at,
    cells,
    mass_form,
    moment_form,
)

_SLOP: Final = 1e-9  # m3, and share of a mass: a root this near to the end of its stretch counts


def margin_form(moment: Form, mass: tuple[float, float, float], piece: Piece, shift: float) -> Form:
    """Limiting moment less moment along a stretch as a quadratic form in p and x [kg.m], for one `piece` of a
    limit; `shift` [kg.m] of a massless change. Of a lower limit it is the margin with its sign turned: its
    roots are the same.

    Source: [faa-h-8083-1b] ch. 5 for the limit; the form as in the module's heading.
    """
    m0, m1, mx = mass
    return (
        piece.p + piece.q * m0 + piece.r * m0 * m0 - moment[0] - shift,
        piece.q * m1 + 2 * piece.r * m0 * m1 - moment[1],
        piece.r * m1 * m1 - moment[2],
        piece.q * mx + 2 * piece.r * m0 * mx - moment[3],
        2 * piece.r * m1 * mx - moment[4],
        piece.r * mx * mx - moment[5],
    )


def _along(form: Form, x: Line) -> tuple[float, float, float]:
    """The form on the line x = a + b p, as a quadratic in p."""
    g0, g1, g2, g3, g4, g5 = form
    a, b = x
    return g0 + g3 * a + g5 * a * a, g1 + g3 * b + g4 * a + 2 * g5 * a * b, g2 + g4 * b + g5 * b * b


def _lines(
    form: Form, mass: tuple[float, float, float], length: Line, low: float, high: float
) -> Iterator[Line]:
    """The lines x(p) on which the least of G over the stretch can lie."""
    yield 0.0, 0.0
    yield length
    m0, m1, mx = mass
    for border in (low, high):
        if 0.0 < border < math.inf:
            yield (border - m0) / mx, -m1 / mx
    if abs(form[5]) > TINY:
        yield -form[3] / (2 * form[5]), -form[4] / (2 * form[5])


def _masses(mass: tuple[float, float, float], length: Line, cell: Cell) -> tuple[float, float]:
    corners = [
        mass[0] + mass[1] * p + mass[2] * x for p in (cell.low, cell.high) for x in (0.0, at(length, p))
    ]
    return min(corners), max(corners)


def _of_stretch(
    family: Family, cell: Cell, stretch: ParamStretch, bound: Limit, shifts: Sequence[float]
) -> Iterator[float]:
    mass = mass_form(family, stretch)
    moment = moment_form(family, stretch, cell, bound.axis == "lateral")
    least, greatest = _masses(mass, stretch.length, cell)
    variants = (0.0,) if stretch.stage == "taxi" or bound.axis == "lateral" else (0.0, *shifts)
    for piece in bound.pieces:
        if piece.high < least or piece.low > greatest:
            continue
        for shift in variants:
            form = margin_form(moment, mass, piece, shift)
            for line in _lines(form, mass, stretch.length, piece.low, piece.high):
                for p in quadratic_roots(*_along(form, line)):
                    x, end = at(line, p), at(stretch.length, p)
                    at_mass = mass[0] + mass[1] * p + mass[2] * x
                    # A root off the stretch, or where another piece of the limit holds, decides nothing.
                    if (
                        -_SLOP <= x <= end + _SLOP
                        and piece.low - _SLOP * at_mass <= at_mass <= piece.high + _SLOP * at_mass
                    ):
                        yield p


def critical_points(
    family: Family, low: float, high: float, bounds: Sequence[Limit], shifts: Sequence[float] = ()
) -> tuple[float, ...]:
    """Values of p between `low` and `high`, ascending, between which no CG margin of the burn changes sign
    and no event of it changes order.

    Parameters: `family`; range in the unit of its change (kg, or m3 in all); CG `bounds`; `shifts` [kg.m],
    massless moment changes checked in the air. The ends of the range and of every cell are among the result.
    Range: any feed order, any arm table of straight lines, both kinds of envelope edge.
    Source: closed form derived in the module's heading.
    """
    # The state without usable fuel, a stretch of no length, is a limit even where nothing is burnt.
    none = (0.0,) * len(family.tanks)
    dry = ParamStretch("reserve", ((0.0, 0.0),) * len(family.tanks), none, (0.0, 0.0))
    found: set[float] = set()
    for cell in cells(family, low, high):
        found |= {cell.low, cell.high}
        for stretch, bound in product((*cell.stretches, dry), bounds):
            found |= {
                p for p in _of_stretch(family, cell, stretch, bound, shifts) if cell.low < p < cell.high
            }
    return tuple(sorted(found))
