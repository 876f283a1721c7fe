"""Demonstrations about who sits where, and what is carried how far."""

from __future__ import annotations

import math
from itertools import product

from planner.quantities.moments import Total
from planner.school.demonstrations.demos_loading import with_bag
from planner.school.dice import Pen
from planner.school.lab import Lab, Load, Shown


def seat_order(lab: Lab, show: Pen) -> Shown:
    """The same people on other seats: one order inside, another outside."""
    if lab.seat_count() < 3 or len(lab.seats) < 2 or lab.seats[0][1].seats < 2:
        return lab.not_found("it needs a seat beside the pilot and more seats behind")
    for pilot, others, bag, fuel in _orders(lab):
        cases = []
        for beside in others:
            rest = [each for each in others if each is not beside]
            load = with_bag(lab, lab.people([pilot, beside, *rest]), bag)
            cases.append((beside, load, lab.state(load, fuel)))
        words = {lab.inside(here) for _, _, here in cases}
        if words == {True, False} and all(here.mass <= lab.top for _, _, here in cases):
            return _order(lab, show, cases, fuel)
    return lab.not_found(
        "no three people were found of whom one order is inside and another not (people of 50 to 110 kg)"
    )


def _orders(lab: Lab) -> list[tuple[float, tuple[float, ...], float, float]]:
    behind = lab.seat_count() - 2
    trios = [(60.0, 95.0, 90.0), (55.0, 105.0, 90.0), (50.0, 110.0, 80.0), (60.0, 110.0, 100.0)]
    most = max((lab.room(name) for name, _ in lab.holds), default=0.0)
    bags = [0.0, *(bag for bag in (10.0, 20.0, 30.0, 40.0) if most >= bag)]
    first = [(75.0, trios[0][: behind + 1], 10.0 if 10.0 in bags else 0.0, min(0.06, lab.usable))]
    several = product(bags, (0.3, 0.6, 1.0), trios)
    return first + [(75.0, trio[: behind + 1], bag, lab.usable * share) for bag, share, trio in several]


def _order(lab: Lab, show: Pen, cases: list[tuple[float, Load, Total]], fuel: float) -> Shown:
    aftmost = max(cases, key=lambda each: each[2].centre_of_gravity)
    best = min((each for each in cases if lab.inside(each[2])), key=lambda each: each[2].centre_of_gravity)
    span = show.gap(aftmost[2].centre_of_gravity - best[2].centre_of_gravity)
    found = (
        f"The same people, the same bags, the same {show.volume(fuel)}: changing seats moves the CG"
        f" by {span}, and one order is outside."
    )
    correction = f"Seat the {show.mass(best[0])} beside the pilot."
    figures = {f"cg_{beside:.0f}_beside_m": here.centre_of_gravity for beside, _, here in cases}
    figures["mass_kg"] = best[2].mass
    tried = [
        lab.case(f"{show.mass(beside)} beside", load, fuel, f"{show.mass(beside)} beside the pilot")
        for beside, load, _ in cases
    ]
    lesson = "Nobody has to stay behind: ask who sits where before you ask who flies along."
    outside = next(number for number, each in enumerate(cases) if not lab.inside(each[2]))
    return lab.shown(tried, [found], lesson, correction, figures, flown=outside)


def lever(lab: Lab, show: Pen) -> Shown:
    """One bag carried from the rearmost place to the front row."""
    if not lab.holds:
        return lab.not_found("it has no baggage place with a limit")
    name = lab.largest_hold()
    mass = min(20.0, math.floor(lab.room(name)))
    people = lab.people([80.0, 75.0, 76.0, 62.0])
    load = people | {name: (mass,)}
    fuel = min(0.038, lab.usable)
    here = lab.state(load, fuel)
    front = lab.seats[0]
    way = lab.aircraft.stations[name].arm.value - front[1].arm.value
    shift = mass * way / here.mass
    moved = show.display.span(-shift, "length")
    carried_load = people | {front[0]: (*people.get(front[0], ()), mass)}
    both = (
        lab.case("at the back", load, fuel, f"{show.mass(mass)} in '{name}'"),
        lab.case("carried to the front", carried_load, fuel, f"the same at '{front[0]}'"),
    )
    carried = f"{show.length(abs(way))} {'forward' if way > 0 else 'aft'}"
    found = f"Carried {carried}, {show.mass(mass)} of {show.mass(here.mass)} move the CG by {moved}."
    figures = {"shift_m": shift, "mass_kg": here.mass}
    if abs(way) < 0.3 or abs(shift) < 0.002:
        lesson = "Where everything sits at nearly one arm, moving it changes little."
        return lab.shown(both, [found], lesson, figures=figures, holds=False)
    lesson = (
        "The CG moves by the moved share of the mass times the way it is carried: a little mass far away"
        " counts like much mass near."
    )
    correction = "Whatever is carried forward must be made fast there."
    return lab.shown(both, [found], lesson, correction, figures | {"way_m": way})
