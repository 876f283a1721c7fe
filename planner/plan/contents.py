"""The fuel in every tank, as the flight file states it."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from itertools import pairwise
from typing import Final

from planner.density.basis import DensityUsed
from planner.density.petroleum import density_at
from planner.facts.grades import Grade
from planner.flight.fuel import Changes, FuelTank, dip_to_volume
from planner.flight.loading import tanks_of
from planner.flight.model import Stick, TankFuel, dip_of
from planner.quantities.effects import COVERAGE, FUEL_DENSITY, fuel_in, stick_row, unusable_in
from planner.quantities.errors import OutOfRange
from planner.quantities.many import Points
from planner.quantities.sentences import Figure, book, say
from planner.records.aircraft.record import Aircraft, Dipstick
from planner.records.flight.record import Flight, TankContent
from planner.records.placed import Located, found

SUN: Final = 15.0  # K that fuel in a tank may warm by in the sun: common practice, no published source


def _content(
    tank: FuelTank, content: TankContent, stick: Dipstick | None, density: DensityUsed
) -> tuple[float, float, Changes, str]:
    """Usable volume, the u stated with it [m3], what each cause does to it [m3], and where the figure came
    from.
    """
    fuel, unusable = fuel_in(tank.name), {unusable_in(tank.name): -tank.unusable_u}
    if content.usable is not None:
        given = content.usable
        if given.dimension == "mass":
            volume, u = given.value / density.density, given.u / density.density
            # Fuel that came aboard by mass has its mass whatever the density; its volume is what the density
            # makes unsure.
            changes = {fuel: u, FUEL_DENSITY: -volume / density.density * density.u}
            return volume, u, changes, say("{} usable", given.text)
        return given.value, given.u, {fuel: given.u}, say("{} usable", given.text)
    if content.total is not None:
        given = content.total
        origin = say("{} in the tank less {} unusable", given.text, book(tank.unusable, "volume"))
        return given.value - tank.unusable, given.u, {fuel: given.u, **unusable}, origin
    assert content.dipstick is not None and stick is not None  # noqa: PT018 - one condition: a dip with its stick, checked before
    dip = content.dipstick
    points = _points(stick)
    volume = dip_to_volume(points, dip.value)
    u = dip.u * _steepest(points, dip.value, COVERAGE * dip.u)
    rows = {stick_row(tank.name, at): change for at, change in _table_changes(stick, dip.value)}
    origin_words = say("dip {} on stick {}", content.dipstick.text, stick.id)
    if stick.reads == "total":
        return volume - tank.unusable, u, {fuel: u, **unusable, **rows}, origin_words
    return volume, u, {fuel: u, **rows}, origin_words


def _points(stick: Dipstick) -> Points:
    return tuple((mark.value, volume.value) for mark, volume in stick.table)


def _steepest(points: Points, dip: float, reach: float) -> float:
    """The most the table rises per metre of stick [m2] anywhere within `reach` [m] of a reading: beyond a
    bend of it the less sure side counts.
    """
    return max(
        (v2 - v1) / (d2 - d1)
        for (d1, v1), (d2, v2) in pairwise(points)
        if d2 >= dip - reach and d1 <= dip + reach
    )


def _table_changes(stick: Dipstick, dip: float) -> Iterator[tuple[int, float]]:
    """What one standard uncertainty of each volume of the table does to the volume read [m3]."""
    for at, ((low, first), (high, second)) in enumerate(pairwise(stick.table)):
        if low.value <= dip <= high.value:
            part = (dip - low.value) / (high.value - low.value)
            yield at, (1 - part) * first.u
            yield at + 1, part * second.u
            return


def fuel_in_tanks(
    flight: Flight, aircraft: Aircraft, density: DensityUsed
) -> tuple[tuple[TankFuel, ...], list[Located]]:
    """The fuel in every tank, and what is wrong with it: an overfilled tank, a dip off the stick, or a dip
    without a stick.
    """
    result, wrong = [], list[Located]()
    for tank in tanks_of(aircraft):
        content, stick = flight.fuel.tanks[tank.name], aircraft.dipsticks.get(tank.name)
        refuse = partial(found, ("fuel", "tanks", tank.name))
        if content.dipstick is not None and stick is None:
            words: str = f"tank '{tank.name}' has no dip table"
            wrong.append(refuse("dip-no-table", words, "needed litres", "or add 'dipsticks:' to the profile"))
            continue
        try:
            volume, u, changes, origin = _content(tank, content, stick, density)
        except OutOfRange as error:
            needed = "needed a reading on the stick"
            wrong.append(refuse("dip-off-table", error.words, needed, "check the tank and the stick"))
            continue
        if volume < -1e-9:
            total, least = Figure(volume + tank.unusable, "volume"), book(tank.unusable, "volume")
            words, mend = say("{} is less than the unusable {}", total, least), "no usable fuel: write '0 L'"
            wrong.append(refuse("tank-below-unusable", words, "needed the total in the tank", mend))
        elif volume > tank.usable_capacity * (1 + 1e-9):
            held, most = Figure(volume, "volume"), Figure(tank.usable_capacity, "volume")
            words = say("{} usable does not fit: the tank holds {} usable", held, most)
            mend = "check litres, gallons, usable or total"
            wrong.append(refuse("tank-overfilled", words, "needed not more than that", mend))
        volume = max(volume, 0.0)
        arm = tank.volume_moment(volume) / volume if volume else tank.arm(tank.unusable)
        space = max(tank.usable_capacity - volume, 0.0)
        by_mass = content.usable is not None and content.usable.dimension == "mass"
        known = {cause: change for cause, change in changes.items() if change}
        own = Stick(_points(stick), stick.reads == "total") if stick is not None else None
        result.append(
            TankFuel(
                tank=tank,
                volume=volume,
                u=u,
                by_mass=by_mass,
                mass=volume * density.density,
                arm=arm,
                space=space,
                dip=dip_of(tank, own, volume),
                origin=origin,
                changes=known,
                stick=own,
                reading=(
                    (content.dipstick.value, content.dipstick.u) if content.dipstick is not None else None
                ),
            )
        )
    return tuple(result), wrong


def expansion_vents(tanks: tuple[TankFuel, ...], density: DensityUsed, grade: Grade) -> Iterator[Located]:
    """fuel-may-vent: a nearly full tank whose fuel would overflow when it warms in the sun."""
    if not isinstance(density.at_15c, float) or not isinstance(density.temperature, float):
        return
    warmer = density.temperature + SUN
    # Fuel of a flight is at 60 degC at most, and the tables of every product go on to 95 degC.
    growth = density.density / density_at(density.at_15c, warmer) - 1.0
    for each in tanks:
        total = each.volume + each.tank.unusable
        excess = total * (1 + growth) - each.tank.capacity
        if each.volume and excess > 0:
            now, then = book(density.temperature, "temperature"), book(warmer, "temperature")
            held, over = Figure(total, "volume"), Figure(excess, "volume")
            message = say("{} of {} at {} would be {} over the brim at {}", held, grade.name, now, over, then)
            yield found(
                ("fuel", "tanks", each.tank.name),
                "fuel-may-vent",
                message,
                hint="fuel may vent overboard in the sun; leave space",
                severity="notice",
            )
