"""Demonstrations about limits: along the burn, against mass, and between the points of the chart."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise
from typing import Final

from planner.flight.burn import bounds, least_margin
from planner.quantities.moments import Total
from planner.quantities.polygon import Edge, Envelope
from planner.quantities.units import in_unit
from planner.school.dice import Pen
from planner.school.grid import GridLine, GridPaper, envelope_lines, scale
from planner.school.lab import SEARCHED, Lab, Load, Shown
from planner.school.problem import PrintedTable
from planner.school.problems.correction import along


def burn_aft(lab: Lab, show: Pen) -> Shown:
    """Inside at take-off, outside later, only because fuel was burnt."""
    if case := lab.search(_leaves, (1.0, 0.6), lab.example([75.0, 75.0, 82.0, 78.0], 20.0, 0.075)):
        return _burn(lab, show, *case)
    return lab.not_found(f"no loading was inside with its fuel and outside without ({SEARCHED})")


def _leaves(lab: Lab, load: Load, fuel: float) -> bool:
    start, end = lab.state(load, fuel), lab.without_fuel(load)
    return lab.inside(start) and min(lab.gaps(start)) > 0.002 and -0.05 < min(lab.gaps(end)) < -0.001


def _burn(lab: Lab, show: Pen, load: Load, fuel: float) -> Shown:
    start, end = lab.state(load, fuel), lab.without_fuel(load)
    left = lab.burn_crossings(load, fuel)
    limit, remaining = left[-1]
    more = show.volume(remaining)
    row = (f"at the {limit}, {more} left", "", "", "on the limit")
    cases = (
        lab.case("take-off", load, fuel, f"take-off with {show.volume(fuel)}"),
        replace(lab.case("at the limit", load, _left(lab, fuel, remaining)), row=row),
        lab.case("without fuel", load, 0.0, "without usable fuel"),
    )
    way = "aft" if end.centre_of_gravity > start.centre_of_gravity else "forward"
    found = (
        f"As fuel burns the CG moves {way}. With {more} left it passes the {limit}:"
        " outside, and nothing was moved aboard."
    )
    correction = (
        f"Load so that the CG is inside without fuel as well, or land with more than {more}; no reserve may"
        " be needed for balance."
    )
    figures = {
        "takeoff_cg_m": start.centre_of_gravity,
        "zero_fuel_cg_m": end.centre_of_gravity,
        "crossing_fuel_m3": remaining,
    }
    lesson = "Check the whole burn, down to the last usable fuel, not two points of it."
    return lab.shown(cases, [found], lesson, correction, figures)


def _left(lab: Lab, fuel: float, remaining: float) -> tuple[float, ...]:
    """Usable fuel per tank [m3] when so much of it is left, by the feed order."""
    for draw in lab.draws(fuel):
        start, end = math.fsum(draw.start), math.fsum(draw.end)
        if end <= remaining <= start:
            share = (start - remaining) / (start - end) if start > end else 0.0
            return tuple(a + (b - a) * share for a, b in zip(draw.start, draw.end, strict=True))
    return tuple(lab.volumes(remaining))


def envelope_width(lab: Lab, show: Pen) -> Shown:
    """The room between the limits against mass."""
    envelope = lab.envelope
    points = {m for edge in (envelope.forward, envelope.aft) for m, _ in edge.points}
    masses = sorted(m for m in points if envelope.least_mass <= m <= envelope.greatest_mass)
    widths = [(m, envelope.aft.arm(m) - envelope.forward.arm(m)) for m in masses]
    rows = tuple(
        (show.mass(m), show.length(envelope.forward.arm(m)), show.length(envelope.aft.arm(m)), show.gap(w))
        for m, w in widths
    )
    table = PrintedTable(("at mass", "forward limit", "aft limit", "room"), rows)
    figures = {f"width_at_{m:.0f}_kg_m": w for m, w in widths}
    working = tuple(f"at {at}: {aft} - {forward} = {room}" for at, forward, aft, room in rows)
    (light, wide), (heavy, narrow) = widths[0], widths[-1]
    low, high = (f"{show.gap(w)} at {show.mass(m)}" for m, w in ((light, wide), (heavy, narrow)))
    holds = narrow < wide * 0.98
    found, lesson = f"The room between the limits is {low}, and {high}.", _NARROW
    if not holds:
        found = f"Here the room does not shrink: {low}, {high}."
        lesson = "This envelope is as wide at the top; others are not. Read the chart at the mass you fly."
    return Shown(
        holds=holds,
        found=(found,),
        table=table,
        lesson=lesson,
        correction="Read both limits at the mass of each state." if holds else "",
        figures=figures,
        grids=(envelope_grid(lab, show),),
        working=working,
    )


_NARROW: Final = (
    "The heavier the aircraft, the less room its CG has: a loading that was inside with less aboard can be"
    " outside with more."
)


def _paper(show: Pen, title: str, lines: tuple[GridLine, ...]) -> GridPaper:
    """Lines on a paper of CG against mass that is as large as they are."""
    arms, masses = zip(*(spot for line in lines for spot in line.points), strict=True)
    across = scale(f"CG, {show.unit('length')} from the datum", min(arms), max(arms), 80)
    return GridPaper(title, across, scale(f"mass, {show.unit('mass')}", min(masses), max(masses), 50), lines)


def envelope_grid(lab: Lab, show: Pen) -> GridPaper:
    """The envelope on grid paper, with the room between its limits at each of its points to be measured."""
    line = envelope_lines(lab.envelope, show, "", moments=False)
    return _paper(show, "The envelope: measure the room between its limits", (line,))


def _both_kinds(edge: Edge, show: Pen, side: str, mass: float) -> GridPaper:
    """One edge drawn straight in CG and straight in moment, on a paper of CG."""
    masses = [m for m, _ in edge.points]
    steps = sorted({*masses, *(masses[0] + (masses[-1] - masses[0]) * n / 48 for n in range(49))})
    length, heavy = show.unit("length"), show.unit("mass")
    lines = []
    for kind, name in (("linear in cg", "straight in CG"), ("linear in moment", "straight in moment")):
        drawn = Edge(edge.points, kind)  # type: ignore[arg-type]  # both are kinds of an edge
        spots = tuple((in_unit(drawn.arm(m), length), in_unit(m, heavy)) for m in steps)
        lines.append(GridLine(name, spots, dashed=kind == "linear in moment"))
    title = f"The {side} limit both ways; they differ most at {show.mass(mass)}"
    return _paper(show, title, tuple(lines))


def edge_kind(lab: Lab, show: Pen) -> Shown:
    """The same points joined on a chart of CG and on a chart of moment."""
    found_at = []
    for side, edge in (("forward", lab.envelope.forward), ("aft", lab.envelope.aft)):
        by_cg, by_moment = Edge(edge.points, "linear in cg"), Edge(edge.points, "linear in moment")
        for (m1, a1), (m2, a2) in pairwise(edge.points):
            middle = (m1 + m2) / 2
            cg, moment = by_cg.arm(middle), by_moment.arm(middle)
            found_at.append((abs(cg - moment), middle, side, edge, cg, moment, (m1, a1), (m2, a2)))
    # The first of those that differ most.
    apart, mass, side, edge, cg, moment, (m1, a1), (m2, a2) = max(found_at, key=lambda each: each[0])
    own = lab.category.record.edges
    low, high, at = show.mass(m1), show.mass(m2), show.mass(mass)
    one, other = show.length(a1), show.length(a2)
    working = (
        f"straight in CG, half way: ({one} + {other}) / 2 = {show.length(cg)}",
        f"straight in moment: ({low} x {one} + {high} x {other}) / 2 / {at} = {show.length(moment)}",
    )
    rows = (("linear in CG", at, show.length(cg)), ("linear in moment", at, show.length(moment)))
    table = PrintedTable((f"{side} limit", "at mass", "CG"), rows)
    figures = {"mass_kg": mass, "linear_in_cg_m": cg, "linear_in_moment_m": moment}
    holds = apart >= 0.0005
    found = f"Between the same two points the {side} limit differs by {show.gap(apart)}."
    found += f" This profile says its chart is {own}."
    lesson = "Two charts through the same points are not the same limit. Follow the manual's own chart."
    if not holds:
        found = "Here it makes no difference: no edge slopes enough."
        lesson = "Where limits do not change with mass, both charts agree everywhere."
    return Shown(
        holds=holds,
        found=(found,),
        table=table,
        lesson=lesson,
        correction=f"Read this aircraft's limits as its profile says: {own}." if holds else "",
        figures=figures,
        grids=(_both_kinds(edge, show, side, mass),),
        working=working,
    )


def middle_outside(lab: Lab, show: Pen) -> Shown:
    """Inside with full fuel and inside without, outside in between."""
    example = _constructed(show)
    case = lab.search(_only_the_ends, (1.0,))
    if case is None:
        none = lab.not_found(f"no loading was inside at both ends and outside between ({SEARCHED})")
        notes = ("The constructed case is an envelope and a fuel, no aircraft.",)
        return replace(none, found=(*none.found, example[0]), figures=example[1], notes=notes)
    load, fuel = case
    start, end = lab.state(load, fuel), lab.without_fuel(load)
    path = lab.draws(fuel)
    lowest = min((draw.end for draw in path), key=lambda left: min(lab.gaps(lab.state(load, left))))
    least = lab.burn_least(load, fuel)
    cases = (
        lab.case("with fuel", load, fuel, f"with {show.volume(fuel)}"),
        lab.case("in between", load, lowest, "when a group of tanks runs empty"),
        lab.case("without", load, 0.0, "without usable fuel"),
    )
    found = f"Both ends are inside; in between the CG is {show.gap(-least)} beyond a limit."
    figures = {
        "least_margin_m": least,
        "start_margin_m": min(lab.gaps(start)),
        "end_margin_m": min(lab.gaps(end)),
    } | example[1]
    lesson = (
        "Take-off and landing inside do not prove the way between: tanks empty in an order, and limits bend."
    )
    correction = "Load so that the least margin of the whole burn is inside."
    return lab.shown(cases, [found, example[0]], lesson, correction, figures)


def _only_the_ends(lab: Lab, load: Load, fuel: float) -> bool:
    ends = lab.inside(lab.state(load, fuel)) and lab.inside(lab.without_fuel(load))
    return ends and lab.burn_least(load, fuel) < -0.001


def _constructed(show: Pen) -> tuple[str, dict[str, float]]:
    """A case with one tank: an aft limit that rises with mass, and fuel behind the CG."""
    envelope = Envelope(
        Edge(((900.0, 2.0), (1085.0, 2.0)), "linear in cg"),
        Edge(((900.0, 2.34), (1085.0, 2.40)), "linear in cg"),
    )
    ends = [Total(m, m * (envelope.aft.arm(m) - 0.0001)) for m in (1085.0, 900.0)]
    arm = (ends[0].moment - ends[1].moment) / (ends[0].mass - ends[1].mass)
    path = along(ends[0], 900.0, arm)
    found = least_margin(path, bounds(envelope, None)[1])
    assert found is not None  # the path is not empty
    margin, worst = show.gap(-found.margin), show.mass(found.point.total.mass)
    ends_words = show.gap(0.0001)
    text = (
        f"It takes no second tank. Constructed: aft limit {show.length(2.34)} at"
        f" {show.mass(900.0)}, rising straight to {show.length(2.40)} at"
        f" {show.mass(1085.0)}; both ends {ends_words} inside, and {margin} OUTSIDE at {worst}."
    )
    return text, {"constructed_margin_m": found.margin}
