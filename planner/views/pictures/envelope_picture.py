"""The envelope as a picture: CG across, mass up, the whole burn, and how sure every state is.

Drawn in ink of the surroundings with two colours that keep apart for every kind of colour sight (blue and
vermilion, of very different lightness); what a colour says is said by a dash or a letter too.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Final

from planner.flight.burn import Stretch
from planner.flight.envelope import NOISE
from planner.flight.limits import GREATEST
from planner.plan.results import Plan, State
from planner.quantities.effects import COVERAGE, Gradient, contributions
from planner.quantities.polygon import Edge
from planner.quantities.units import Display
from planner.views.limit_words import STATE_LETTERS, letters
from planner.views.pictures.axes import Frame, ticks
from planner.views.pictures.chart import Points, shown_part, states_of
from planner.views.pictures.svg import INK, Drawing

INSIDE_COLOUR: Final = "#0072b2"
OUTSIDE_COLOUR: Final = "#d55e00"
_CORNERS: Final = 36  # points of an ellipse
_STEPS: Final = 4  # straight lines of a stretch; a constant arm bends it by less than a line's width
_BENT: Final = 20  # and where a tank's arm changes with its content


class _Side:
    """One edge with its pieces laid out once: a picture asks for its arm a hundred times."""

    def __init__(self, edge: Edge) -> None:
        self.masses = [mass for mass, _ in edge.points]
        self.pieces = edge.pieces()

    def arm(self, mass: float) -> float:
        """As `Edge.arm` [m] at [kg]."""
        return self.pieces[bisect_right(self.masses, mass)].arm(mass)


def ellipse(state: State) -> Points:
    """Points (CG [m], mass [kg]) of the ellipse of k standard uncertainties of both together; it reaches U to
    either side. Empty where both are exact.

    Source: [jcgm-100] 5.2 for the covariance; k = 2.
    """
    total = state.total
    masses = contributions(state.effects, Gradient(mass=1.0))
    arms = contributions(
        state.effects, Gradient(mass=-total.centre_of_gravity / total.mass, moment=1.0 / total.mass)
    )
    u_mass, u_arm = math.hypot(*masses.values()), math.hypot(*arms.values())
    if not u_mass and not u_arm:
        return []
    shared = math.fsum(masses[cause] * arms[cause] for cause in masses)
    along = shared / u_arm if u_arm else 0.0
    rest = math.sqrt(max(u_mass * u_mass - along * along, 0.0))
    angles = [2 * math.pi * i / _CORNERS for i in range(_CORNERS)]
    return [
        (
            total.centre_of_gravity + COVERAGE * u_arm * math.cos(a),
            total.mass + COVERAGE * (along * math.cos(a) + rest * math.sin(a)),
        )
        for a in angles
    ]


def _limits(plan: Plan) -> list[tuple[str, float]]:
    """Mass limits drawn as lines: name and [kg]."""
    most = next(limit.limit for limit in plan.state("takeoff").limits if limit.id == GREATEST)
    masses = plan.aircraft.masses
    others = (("max. landing", masses.max_landing), ("max. zero fuel", masses.max_zero_fuel))
    lower = [(name, mass.value) for name, mass in others if mass is not None and mass.value < most]
    return [("max. take-off", most), *lower]


def _burn(stretch: Stretch) -> Points:
    steps = _BENT if stretch.moment[2] else _STEPS
    masses = [stretch.start + (stretch.end - stretch.start) * i / steps for i in range(steps + 1)]
    return [(stretch.total_at(m).centre_of_gravity, m) for m in masses]


def _view(plan: Plan, ellipses: Sequence[Points]) -> tuple[tuple[float, float], tuple[float, float]]:
    """Arms [m] and masses [kg] to show: those flown and the top of the envelope, with some room."""
    flown = [*states_of(plan), *(point for each in ellipses for point in each)]
    burnt = [arm for stretch in plan.burn.path for arm, _ in _burn(stretch)]
    return shown_part(plan, flown, burnt, _limits(plan)[0][1], room=0.4, pad=0.06, steps=24)


def envelope_drawn(plan: Plan, display: Display, wide: float, high: float, size: float) -> str:
    """The envelope of a plan as SVG elements in a box of `wide` by `high` whose upper left corner is the
    origin; `size` of the letters.

    Parameters: `plan` [SI]; `display` the reader's units. Raises: nothing.
    """
    drawing = Drawing()
    ellipses = [ellipse(state) for state in plan.states]
    arms, masses = _view(plan, ellipses)
    frame = Frame(
        across=arms,
        up=masses,
        left=size * 3.2 + size,  # the figures of an axis: four, a point and one more
        top=size * 1.9,
        right=wide - size * 1.8,
        bottom=high - size * 3.1,
    )
    _axes(display, frame, size, drawing)
    outline = [frame.at(arm, mass) for arm, mass in _clipped(plan, frame)]
    drawing.path(outline, closed=True, stroke="none", fill=INK, fill_opacity=0.07)
    # Forward edge upwards, then top and aft edge; the foot is a limit only where the envelope ends there.
    half = len(outline) // 2
    drawing.path(
        [*outline[half:][::-1], *outline[:half][::-1]],
        closed=frame.up[0] <= plan.envelope.least_mass,
        stroke_width=size * 0.16,
    )
    for name, mass in _limits(plan):
        y = frame.at(0.0, mass)[1]
        if frame.top < y < frame.bottom:
            drawing.path([(frame.left, y), (frame.right, y)], dash=size * 0.3, stroke_width=size * 0.07)
            drawing.text(frame.left + size * 0.3, y - size * 0.25, name, size * 0.8)
    for inside, points in _parts(plan):
        dash, pen, colour = (0.0, 0.22, INSIDE_COLOUR) if inside else (0.5, 0.34, OUTSIDE_COLOUR)
        drawn = [frame.at(*point) for point in points]
        drawing.path(drawn, dash=size * dash, stroke=colour, stroke_width=size * pen)
    around = [[frame.at(*point) for point in points] for points in ellipses]
    for points in around:
        if points:
            drawing.path(points, closed=True, stroke_width=size * 0.08)
    _states(plan, around, frame, size, drawing)
    return drawing.markup()


def _clipped(plan: Plan, frame: Frame) -> Points:
    """The outline, cut at the foot of the frame."""
    low = max(plan.envelope.least_mass, frame.up[0])
    top = plan.envelope.greatest_mass
    forward, aft = _Side(plan.envelope.forward), _Side(plan.envelope.aft)
    corners = sorted({low, top, *(m for edge in (forward, aft) for m in edge.masses if low < m < top)})
    fine = [a + (b - a) * i / 12 for a, b in pairwise(corners) for i in range(12)] + [corners[-1]]
    return [(forward.arm(m), m) for m in fine] + [(aft.arm(m), m) for m in reversed(fine)]


def _parts(plan: Plan) -> Iterator[tuple[bool, Points]]:
    """The burn in parts inside the forward and aft limit, or not; they meet beside the exact crossing."""
    forward, aft = _Side(plan.envelope.forward), _Side(plan.envelope.aft)
    part: Points = []
    was: bool | None = None
    for stretch in plan.burn.path:
        met = (crossing.point.total.mass for crossing in plan.burn.crossings)
        corners = {mass for mass in met if stretch.end < mass < stretch.start}
        crossed = ((stretch.total_at(mass).centre_of_gravity, mass) for mass in corners)
        points = sorted({*_burn(stretch), *crossed}, key=lambda point: -point[1])
        for a, b in pairwise(points):
            middle, mass = (a[0] + b[0]) / 2, (a[1] + b[1]) / 2
            slack = NOISE * max(abs(middle), 1.0)
            inside = forward.arm(mass) - slack <= middle <= aft.arm(mass) + slack
            if inside is not was:
                if part:
                    yield bool(was), part
                part, was = [a], inside
            part.append(b)
    if part:
        yield bool(was), part


def _axes(display: Display, frame: Frame, size: float, drawing: Drawing) -> None:
    thin = size * 0.05
    for share, text in ticks(
        *frame.across, "length", display, max(int((frame.right - frame.left) / (size * 6)), 2)
    ):
        x = frame.left + share * (frame.right - frame.left)
        drawing.line(x, frame.top, x, frame.bottom, stroke_width=thin, stroke_opacity=0.35)
        drawing.text(x, frame.bottom + size * 1.1, text, size * 0.9, "middle")
    for share, text in ticks(
        *frame.up, "mass", display, max(int((frame.bottom - frame.top) / (size * 2.5)), 2)
    ):
        y = frame.bottom - share * (frame.bottom - frame.top)
        drawing.line(frame.left, y, frame.right, y, stroke_width=thin, stroke_opacity=0.35)
        drawing.text(frame.left - size * 0.4, y + size * 0.3, text, size * 0.9, "end")
    drawing.path(
        [(frame.left, frame.top), (frame.left, frame.bottom), (frame.right, frame.bottom)],
        stroke_width=size * 0.1,
    )
    drawing.text(0.0, size, f"mass, {display.unit('mass')}", size * 0.9)
    drawing.text(
        frame.right,
        frame.bottom + size * 2.4,
        f"CG, {display.unit('length')} from the datum, aft to the right",
        size * 0.9,
        "end",
    )


def _states(plan: Plan, ellipses: Sequence[Points], frame: Frame, size: float, drawing: Drawing) -> None:
    """A dot and a letter beside its ellipse for every state; letters that would cover each other stack."""
    taken: Points = []
    for state, points in zip(plan.states, ellipses, strict=True):
        x, y = frame.at(state.total.centre_of_gravity, state.total.mass)
        aft, forward = plan.envelope.aft.arm(state.total.mass), plan.envelope.forward.arm(state.total.mass)
        # Towards the middle from inside, away from the edge from outside: no letter on the line it is
        # measured against.
        centre = (aft + forward) / 2
        cg = state.total.centre_of_gravity
        side = 1 if (cg < centre) == (forward <= cg <= aft) else -1
        reach = max((abs(across - x) for across, _ in points), default=0.0)
        spot = (x + side * (reach + size * 1.1), y)
        while any(abs(spot[0] - other[0]) < size and abs(spot[1] - other[1]) < size for other in taken):
            spot = (spot[0], spot[1] + size * 0.2)
        taken.append(spot)
        drawing.line(x, y, spot[0] - side * size * 0.5, spot[1], stroke_width=size * 0.06)
        drawing.element("circle", {"cx": x, "cy": y, "r": size * 0.24, "fill": INK})
        drawing.text(spot[0], spot[1] + size * 0.35, STATE_LETTERS[state.name], size, "middle", bold=True)


def legend(plan: Plan, display: Display) -> str:
    """What the signs of the picture mean, in one paragraph."""
    unsure = any(state.effects for state in plan.states)
    sure = " Ellipses: 2 standard uncertainties of mass and CG together, so each reaches U." if unsure else ""
    outside = any(limit.margin < 0 and limit.group in ("forward", "aft") for limit in plan.burn.limits)
    burn = "thick line: burn" + (", dashed: CG beyond a limit" if outside else "")
    lowest = _view(plan, [ellipse(state) for state in plan.states])[1][0]
    cut = lowest > plan.envelope.least_mass
    more = f" The envelope goes on down to {display.text(plan.envelope.least_mass, 'mass')}." if cut else ""
    return f"{letters(plan)}; {burn}.{sure}{more} A picture only: the figures decide."
