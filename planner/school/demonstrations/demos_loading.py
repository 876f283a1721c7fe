"""Demonstrations about what is loaded where."""

from __future__ import annotations

from dataclasses import replace

from planner.quantities.moments import round_down, round_up
from planner.school.dice import Pen
from planner.school.lab import SEARCHED, Lab, Load, Shown, halved

_CREW = (80.0, 80.0, 75.0, 70.0, 78.0, 74.0, 82.0, 71.0)  # kg; as many of them as there are seats


def with_bag(lab: Lab, load: Load, bag: float) -> Load:
    """A bag where people put it: the rearmost place that can take it, but the innermost of several."""
    fitting = [name for name, _ in lab.holds if lab.room(name) >= bag]
    return load | {fitting[-1]: (bag,)} if fitting and bag else load


def full_fuel_or_seats(lab: Lab, show: Pen) -> Shown:
    """Every seat taken and the tanks full: too heavy, and by how much fuel."""
    load = with_bag(lab, lab.people(_CREW), 15.0)
    full, dry = lab.state(load, lab.usable), lab.without_fuel(load)
    excess = full.mass - lab.top
    figures = {"mass_kg": full.mass, "excess_kg": excess}
    figures["fuel_that_fits_m3"] = (lab.top - dry.mass) / lab.density
    case = lab.case("full tanks", load, lab.usable, f"all seats, full tanks ({show.volume(lab.usable)})")
    if excess <= 0:
        left = f"{show.mass(-excess)} are left below the take-off limit"
        found = f"Here they do: with every seat taken and full tanks {left}."
        lesson = "Full tanks and full seats go together in this aircraft; work it out all the same."
        return lab.shown([case], [found], lesson, figures=figures, holds=False)
    fits = round_down(max(lab.top - dry.mass, 0.0) / lab.density * 1e3, 0.1) * 1e-3
    less = lab.case("the fuel that fits", load, min(fits, lab.usable), f"all seats, {show.volume(fits)}")
    found = f"The aircraft would be {show.mass(excess)} too heavy"
    found += f". With everyone aboard {show.volume(fits)} fit."
    if lab.top < dry.mass:
        found = f"The aircraft would be {show.mass(excess)} too heavy, and is too heavy even without fuel."
    correction = (
        f"Take not more than {show.volume(fits)}, or leave someone or something behind, and see"
        " whether that fuel is enough for the flight."
    )
    lesson = "The tanks are made for two people and a long way, the seats for four people and a short one."
    return lab.shown([case, less], [found], lesson, correction, figures)


def early_return(lab: Lab, show: Pen) -> Shown:
    """Take off below the limit, turn back at once: too heavy to land."""
    landing = lab.landing
    if landing is None or landing >= lab.top:
        return lab.not_found(
            "there is no landing limit below that of take-off: whatever may take off may land"
        )
    load = with_bag(lab, lab.people(_CREW), 15.0)
    for tried in (0.06, *(lab.usable * share for share in (0.25, 0.4, 0.5, 0.6, 0.75, 0.9, 1.0))):
        fuel = min(tried, lab.usable)
        here = lab.state(load, fuel)
        if landing < here.mass <= lab.top and min(lab.gaps(here)) >= 0:
            break
    else:
        return lab.not_found(
            "with every seat taken no amount of fuel lies between the landing and the take-off limit"
        )
    excess = here.mass - landing
    burn = round_up(excess / lab.density * 1e3, 0.1) * 1e-3
    less = f"landing with {show.volume(burn)} less"
    cases = (
        lab.case("take-off", load, fuel, f"take-off with {show.volume(fuel)}"),
        lab.case("landing at once", load, fuel, top=landing),
        lab.case("may land", load, max(fuel - burn, 0.0), less, landing),
    )
    found = (
        f"It may take off and not land again: {show.mass(excess)} above the landing limit of"
        f" {show.mass(landing)}."
    )
    correction = (
        f"Burn {show.volume(burn)} before any landing, or take so much less; and read what the manual"
        " asks for after an overweight landing."
    )
    figures = {"mass_kg": here.mass, "excess_kg": excess, "burn_first_m3": excess / lab.density}
    lesson = "A landing limit counts from the first minute. Think of the early return before take-off."
    shown = lab.shown(cases, [found], lesson, correction, figures)
    return replace(shown, cases=(cases[0], cases[2]))  # the loading of the landing at once is the first


def aft_fuel(lab: Lab, show: Pen) -> Shown:
    """CG behind the aft limit with fuel and without: fuel is no cure, the bag is."""
    example = lab.example([92.0, 85.0, 88.0, 72.0], 25.0, 0.04)
    if case := lab.search(_is_aft_case, (0.3, 0.6, 1.0), example):
        return _aft(lab, show, *case)
    none = "no loading was behind the aft limit with fuel and without, and cured by its baggage"
    return lab.not_found(f"{none} ({SEARCHED})")


def _bag_that_fits(lab: Lab, load: Load, fuel: float) -> float:
    """Greatest mass in the loaded baggage place that leaves the CG inside, by halving; negative for none."""
    name = next(place for place, _ in lab.holds if place in load)

    def ahead(bag: float) -> bool:
        return lab.gaps(lab.state(load | {name: (bag,)}, fuel))[1] >= 0

    return halved(0.0, load[name][0], ahead)[0] if ahead(0.0) else -1.0


def _is_aft_case(lab: Lab, load: Load, fuel: float) -> bool:
    here = lab.state(load, fuel)
    gaps = [lab.gaps(each)[1] for each in (here, lab.without_fuel(load))]
    beyond = max(gaps) < -0.001 and min(gaps) > -0.08
    # On the way down to no fuel it must stay outside too, or some fuel would be the cure.
    never = beyond and not any(limit == "aft limit" for limit, _ in lab.burn_crossings(load, fuel))
    bags = never and here.mass <= lab.top and any(name in load for name, _ in lab.holds)
    return bags and _bag_that_fits(lab, load, fuel) > 1.0


def _aft(lab: Lab, show: Pen, load: Load, fuel: float) -> Shown:
    here, dry, bag = lab.state(load, fuel), lab.without_fuel(load), _bag_that_fits(lab, load, fuel)
    name = next(place for place, _ in lab.holds if place in load)
    safe = round_down(bag, 0.5)
    beyond, still = (show.gap(-lab.gaps(each)[1]) for each in (here, dry))
    apart = lab.gaps(dry)[1] - lab.gaps(here)[1]
    effect = "a little less" if apart > 0 else "further than before"
    if abs(apart) < 0.003:
        effect = "hardly anything has changed"
    found = f"The CG is {beyond} behind the aft limit. Draining all fuel leaves it {still} behind: {effect}."
    correction = (
        f"Load not more than {show.mass(safe)} in '{name}' ({show.mass(load[name][0])} were"
        " there), or carry what is too much further forward."
    )
    figures = {
        "cg_m": here.centre_of_gravity,
        "cg_without_fuel_m": dry.centre_of_gravity,
        "margin_m": lab.gaps(here)[1],
        "mass_kg": here.mass,
        "greatest_bag_kg": bag,
    }
    cases = (
        lab.case("with fuel", load, fuel, f"with {show.volume(fuel)}"),
        lab.case("without", load, 0.0, "without usable fuel"),
        lab.case("less baggage", load | {name: (safe,)}, fuel, f"{show.mass(safe)} in '{name}'"),
    )
    lesson = (
        "Fuel moves the CG only as far as its arm lies from it, and not always the way you want. Move"
        " what lies far away."
    )
    return lab.shown(cases, [found], lesson, correction, figures)


def two_in_front(lab: Lab, show: Pen) -> Shown:
    """Two heavy people in front and nobody behind: ahead of the forward limit."""
    name, row = lab.seats[0]
    heavy = {name: tuple([120.0] * min(row.seats, 2))}
    behind = lab.state(heavy, lab.usable).centre_of_gravity + 0.2
    holds = [(place, lab.room(place)) for place, station in lab.holds if station.arm.value > behind]
    for share in (1.0, 0.75, 0.5, 0.25):
        fuel = lab.usable * share
        here = lab.state(heavy, fuel)
        if lab.gaps(here)[0] < 0 and here.mass <= lab.top:
            break
    else:
        each = f"with {show.mass(120.0)} on each front seat"
        return lab.not_found(f"{each} the CG is not ahead of the forward limit at any fuel tried")
    figures = {
        "cg_m": here.centre_of_gravity,
        "forward_limit_m": lab.envelope.forward.arm(here.mass),
        "mass_kg": here.mass,
    }
    correction = "Load further aft, fly with another seating, or carry less."
    told = f"{len(heavy[name])} x {show.mass(120.0)} in front, {show.volume(fuel)}"
    cases = [lab.case("in front only", heavy, fuel, told)]
    for place, room in sorted(holds, key=lambda each: -each[1]):
        ballast = _least_ballast(lab, heavy, place, room, fuel)
        if ballast is not None:
            safe = round_up(ballast, 0.1)
            told = f"with {show.mass(safe)} in '{place}'"
            cases.append(lab.case("with ballast", heavy | {place: (safe,)}, fuel, told))
            correction = (
                f"{show.mass(safe)} made fast in '{place}' brings it inside; then check the other states."
            )
            figures["ballast_kg"] = ballast
            break
    found = f"The CG is {show.gap(-lab.gaps(here)[0])} ahead of the forward limit."
    lesson = (
        "An aircraft can be nose-heavy well below its take-off mass: light at the back is not safe by itself."
    )
    return lab.shown(cases, [found], lesson, correction, figures)


def _least_ballast(lab: Lab, load: Load, place: str, room: float, fuel: float) -> float | None:
    def ahead(mass: float) -> bool:
        here = lab.state(load | {place: (mass,)}, fuel)
        return lab.gaps(here)[0] < 0 or here.mass > lab.top

    return None if ahead(room) else halved(0.0, room, ahead)[1]
