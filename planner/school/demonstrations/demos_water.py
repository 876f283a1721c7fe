"""Demonstrations about water in fuel: where it lies and what finds it, and what a night condenses."""

from __future__ import annotations

import math
from typing import Final

from planner.density.air import saturation_pressure, vapour_density
from planner.density.water import water_density
from planner.quantities.units import STANDARD_GRAVITY
from planner.school.dice import Pen
from planner.school.lab import Lab, Shown
from planner.school.problem import PrintedTable

_AT: Final = 15.0  # degC, of fuel and water
_VISCOSITY: Final = 0.55e-3  # Pa s, of a light gasoline near 15 degC; a round figure, no published source
_FOOT: Final = 0.3048  # m
_RULE: Final = 15 * 60.0  # s for a foot of avgas: the rule of planner.facts.cautions
_DROPS: Final = (20e-6, 50e-6, 100e-6)  # m; larger ones fall faster than the law of small drops lets them
_EVENING: Final = (25.0, 0.80)  # degC, relative humidity
_MORNING: Final = 5.0  # degC


def water(lab: Lab, show: Pen) -> Shown:
    """Water below the outlets: weighing and measuring the density do not find it, draining does."""
    heavy = water_density(_AT)
    rows, working, figures = [], [], {"water_density_kg_m3": heavy}
    for number, tank in enumerate(lab.tanks, 1):
        drop = 0.1e-3  # m3
        mean = (lab.density * (tank.capacity - drop) + heavy * drop) / tank.capacity - lab.density
        below = show.volume(tank.unusable, 1)
        more = show.mass(drop * (heavy - lab.density) * 1.0, 2)
        rows.append((tank.name, show.volume(tank.capacity), below, f"{mean:.2f} kg/m3", more))
        figures[f"tank_{number}_below_outlet_m3"] = tank.unusable
        figures[f"tank_{number}_mean_density_change_kg_m3"] = mean
        working.append(
            f"{tank.name}: 0.1 L x ({heavy:.1f} - {lab.density:.1f}) kg/m3 / {tank.capacity * 1e3:.1f} L ="
            f" {mean:.2f} kg/m3 more in the mean"
        )
    for drop in _DROPS:
        speed = (heavy - lab.density) * STANDARD_GRAVITY * drop**2 / (18 * _VISCOSITY)
        figures[f"minutes_for_a_foot_at_{drop * 1e6:.0f}_um"] = _FOOT / speed / 60
        working.append(
            f"a drop of {drop * 1e3:.2f} mm: ({heavy:.0f} - {lab.density:.0f}) kg/m3 x {STANDARD_GRAVITY:.4f}"
            f" m/s2 x ({drop * 1e3:.2f} mm)^2 / (18 x {_VISCOSITY * 1e3:.2f} mPa.s) = {speed * 1e3:.2f} mm/s;"
            f" a foot takes {_FOOT / speed / 60:.1f} min"
        )
    covered = math.sqrt(18 * _VISCOSITY * _FOOT / _RULE / ((heavy - lab.density) * STANDARD_GRAVITY))
    figures["least_drop_of_the_rule_m"] = covered
    working.append(
        f"15 min for a foot is the fall of drops of {covered * 1e6:.0f} thousandths of a millimetre"
    )
    drains = lab.aircraft.drains
    most = max(abs(value) for key, value in figures.items() if key.endswith("change_kg_m3"))
    low, high = lab.grade.band
    found = (
        f"Water is {heavy / lab.density:.2f} times as heavy as this fuel and does not mix with it: it lies at"
        " the lowest points, below the outlets, as far as the unusable fuel reaches.",
        f"A tenth of a litre of it changes the mean density of a full tank by at most {most:.2f} kg/m3, and"
        f" batches alone differ by {high - low:.0f} kg/m3: no scale and no hydrometer finds it, and a sample"
        " from above holds none of it.",
        f"Drops have to sink first. The usual rule, a foot in 15 minutes, is for drops of"
        f" {covered * 1e3:.3f} mm and larger; finer ones take longer, and are still up when you drain.",
    )
    return Shown(
        holds=heavy > high,
        found=found,
        table=PrintedTable(
            ("tank", "capacity", "below the outlet, at most", "0.1 L of water: mean density", "and mass"),
            tuple(rows),
        ),
        lesson="Only draining finds water: every low point, after the fuel has stood, into a clear jar.",
        correction=(f"Drain {', '.join(drains)}." if drains else "The profile names no drains: look them up.")
        + " Go on until nothing but fuel comes; water that keeps coming means no flight.",
        figures=figures,
        notes=(
            f"Fuel and water at {_AT:.0f} degC; viscosity of the fuel {_VISCOSITY * 1e3:.2f} mPa.s, a round"
            " figure without a published source. The law is Stokes's, for small drops that fall slowly.",
            "How far the outlet stands above the bottom is not in a profile; the unusable fuel is what it"
            " leaves, so at most so much water can lie there. In a climb or a turn it may reach the outlet.",
        ),
        working=tuple(working),
        sources=("tanaka-2001", "common-practice"),
    )


def overnight(lab: Lab, show: Pen) -> Shown:
    """What the air over half-full tanks condenses in a cold night, against full tanks."""
    warm, humidity = _EVENING
    evening, morning = vapour_density(warm, humidity), vapour_density(_MORNING, 1.0)
    # Cooling also draws air in through the vents; that air is saturated at its own cold already.
    drawn = 1 - (273.15 + _MORNING) / (273.15 + warm)
    rows, figures = [], {"evening_vapour_kg_m3": evening, "morning_vapour_kg_m3": morning}
    capacity = math.fsum(tank.capacity for tank in lab.tanks)
    cases = (("half full", 0.5), ("a tenth full", 0.1), ("full", 0.98))
    working = [
        f"saturation pressure at {warm:.0f} degC {saturation_pressure(warm):.0f} Pa, at {_MORNING:.0f} degC"
        f" {saturation_pressure(_MORNING):.0f} Pa",
        f"vapour in the evening: {humidity * 100:.0f} % of it, {evening * 1e3:.1f} g/m3; the air can hold"
        f" {morning * 1e3:.1f} g/m3 in the morning",
    ]
    for words, share in cases:
        air = capacity * (1 - share)
        water_mass = max(evening - morning, 0.0) * air
        figures[f"condensed_{words.replace(' ', '_')}_kg"] = water_mass
        nights = 1e-3 * water_density(_MORNING) / water_mass if water_mass else math.inf
        amount = f"{water_mass * 1e6 / water_density(_MORNING):.2f} mL"
        rows.append((words, show.volume(air, 1), amount, f"{nights:.0f}"))
        working.append(
            f"{words}: {air * 1e3:.1f} L of air x ({evening * 1e3:.1f} - {morning * 1e3:.1f}) g/m3 ="
            f" {water_mass * 1e3:.2f} g"
        )
    half, full = figures["condensed_half_full_kg"], figures["condensed_full_kg"]
    found = (
        f"From {warm:.0f} degC and {humidity * 100:.0f} % humidity down to {_MORNING:.0f} degC the air over"
        f" half-full tanks drops {half * 1e6 / water_density(_MORNING):.1f} mL of water; over full ones"
        f" {full * 1e6 / water_density(_MORNING):.2f} mL, {half / full:.0f} times less.",
        "That is little for one night. The vents bring damp air again every day, and a hundred such nights"
        f" make {half * 1e8 / water_density(_MORNING):.0f} mL: it adds up only in tanks that nobody drains,"
        " while rain through a worn cap or a wet delivery brings more at once.",
    )
    return Shown(
        holds=half > 5 * full > 0,
        found=found,
        table=PrintedTable(
            ("tanks", "air over the fuel", "condensed in a night", "nights for a litre"), tuple(rows)
        ),
        lesson="Full tanks keep the damp air out; but drain before the first flight either way.",
        correction=(
            "Fill up in the evening where mass and balance of the next flight allow it, close the caps well,"
            " and drain every low point in the morning."
        ),
        figures=figures,
        notes=(
            "All the vapour above what cold air can hold is taken to condense in the tank; the air drawn in"
            f" as it cools ({drawn * 100:.0f} % of its volume) is taken to bring no more than it can hold.",
        ),
        working=tuple(working),
        sources=("cipm-2007", "tanaka-2001"),
    )
