"""Items of public knowledge tests: the aircraft each describes, loaded, altered, weighed and flown."""

from __future__ import annotations

from dataclasses import replace

from planner.quantities.moments import ballast_mass, cg_from_percent_mac, round_up
from planner.quantities.units import INCH, POUND, in_unit
from planner.sureness.verify_cases.flown import (
    PrintedLoading,
    fly,
    fly_amended,
    inches,
    on_ramp,
    printed,
    room,
    sheet_of,
    weighed,
)

Figures = dict[str, float]
_RAMP = "maximum ramp mass"


def helicopters() -> Figures:
    light = PrintedLoading(
        empty=(1495, 0),
        empty_moment="151593 lb.in",
        fuel_arm=96.0,
        load={"pilot and passengers": (380, 64)},
        fuel="30 USgal",
    )
    ramp = fly(light).state("ramp")
    oiled = fly(replace(light, load={"pilot": (160, 64)}, fuel="40 USgal", oil=("8 USqt", 100.5))).state(
        "ramp"
    )
    return printed("helicopter", ramp) | printed("helicopter-oil", oiled)


def _drained(excess: float) -> float:
    """Gasoline [USgal] whose mass is what the plan finds above the maximum of an aircraft loaded `excess` lb
    too heavy.
    """
    plan = fly(
        PrintedLoading(
            empty=(1500, 0), load={"people": (320, 0)}, fuel="40 USgal", top=1500 + 320 + 240 - excess
        )
    )
    return in_unit(-room(plan, "ramp", _RAMP) / plan.density.density, "USgal")


def drained() -> Figures:
    return {"drain-110": round_up(_drained(110), 0.1), "drain-90": _drained(90)}


def tables() -> Figures:
    """The aircraft of figures 33 and 34: empty 2015 lb with an index of 1554, maximum 2950 lb."""

    def loaded(front: float, rear: float, gallons: float, baggage: float) -> PrintedLoading:
        load = {"front": (front, 85.0), "rear": (rear, 121.0), "baggage": (baggage, 140.0)}
        return PrintedLoading(
            empty=(2015, 0),
            empty_moment="155400 lb.in",
            load=load,
            fuel=f"{gallons} USgal",
            fuel_arm=75,
            top=2950,
        )

    heavy, light = fly(loaded(340, 295, 44, 56)), fly(loaded(387, 293, 35, 0))
    return {
        "tables-overweight": -room(heavy, "ramp", _RAMP) / POUND,
        "tables-baggage": room(light, "ramp", _RAMP) / POUND,
        "tables-cg": inches(fly(loaded(350, 325, 35, 27)).state("ramp")),
    }


def graph() -> Figures:
    """Masses with the indices read off the loading graph: the arm of a row is their quotient."""
    load = {"front": (250.0, 9200 / 250), "rear": (400.0, 29000 / 400), "oil": (15.0, -200 / 15)}
    plan = fly(
        PrintedLoading(
            empty=(1350, 0),
            empty_moment="51500 lb.in",
            load=load,
            fuel="30 USgal",
            fuel_arm=8700 / 180,
            top=2300,
        )
    )
    ramp = plan.state("ramp")
    return {**printed("graph", ramp, "mass", "moment"), "graph-baggage": room(plan, "ramp", _RAMP) / POUND}


def burn() -> Figures:
    """Any division of the 3037 lb into aircraft and fuel gives the same: here 300 lb of it are fuel."""
    empty_moment = f"{3037 * 68.8 - 300 * 68.0!r} lb.in"
    trip = ({"phase": "cruise", "time": "1 h 45 min"},)
    plan = fly(
        PrintedLoading(
            empty=(2737, 0),
            empty_moment=empty_moment,
            fuel="50 USgal",
            fuel_arm=68.0,
            flow="12.7 USgal/h",
            trip=trip,
        )
    )
    return printed("burn", plan.state("landing"), "mass", "cg")


def most_added() -> Figures:
    loaded = on_ramp(empty=(2900, 115.0)).total
    return {"most-at-130": in_unit(ballast_mass(loaded, 116.0 * INCH, 130.0 * INCH), "lb")}


def glider() -> Figures:
    before = PrintedLoading(empty=(945, 0), empty_moment="78000.2 lb.in")
    old = fly(before).state("ramp")
    new = fly_amended(before, {"added": {"radio and oxygen": {"mass": "35 lb", "arm": "43.8 in"}}}).state(
        "ramp"
    )
    return printed("glider", new) | {"glider-shift": inches(old) - inches(new)}


def _thing(mass: float, arm: float) -> dict[str, str]:
    return {"mass": f"{mass} lb", "arm": f"{arm} in"}


def alterations() -> Figures:
    """Each as a change of the mass record, planned with the new record."""
    first = fly_amended(
        PrintedLoading(empty=(1500, 0), empty_moment="42600 lb.in"),
        {
            "removed": {"two seats": _thing(24, 68.5)},
            "added": {"structure": _thing(28, 73), "seat": _thing(30, 70.5), "radio": _thing(25, 85)},
        },
    ).state("ramp")
    original = PrintedLoading(empty=(2886, 0), empty_moment="101673.78 lb.in")
    second = fly_amended(
        original,
        {
            "removed": {"two seats": _thing(30, 71)},
            "added": {"cabinet": _thing(97, 71), "seat": _thing(20, 71), "radio": _thing(30, 94)},
        },
    ).state("ramp")
    third = fly_amended(
        PrintedLoading(empty=(2100, 0), empty_moment="68250 lb.in"),
        {
            "removed": {"two seats": _thing(36, 73)},
            "added": {"structure": _thing(17, 77), "seat": _thing(35, 74.5), "radio": _thing(35, 95)},
        },
    ).state("ramp")
    return {
        **printed("alter-1500", first),
        **printed("alter-2886", second),
        "alter-2886-shift": inches(second) - inches(fly(original).state("ramp")),
        **printed("alter-2100", third, "mass", "moment"),
    }


def ballast() -> Figures:
    loaded = on_ramp(empty=(4954, 30.5), cg=(32.0, 42.1)).total
    return {"ballast-4954": in_unit(ballast_mass(loaded, 32.0 * INCH, 162 * INCH), "lb")}


def weighings() -> Figures:
    nose = 9.875
    mains = {"reading": "753 lb", "arm": f"{nose + 87.5} in"}
    # The gallon of hydraulic fluid belongs to the empty aircraft and stays in it.
    tricycle = weighed(
        sheet_of({"left": mains, "right": mains, "nose": {"reading": "22 lb", "arm": f"{nose} in"}})
    )
    # Printed as one mass and one moment; the hydraulic fluid stays, the drinking water does not.
    whole = {"whole aircraft": {"reading": "5862 lb", "arm": f"{885957 / 5862!r} in"}}
    dry = weighed(sheet_of(whole, removed={"potable water": {"mass": "20 lb", "arm": "84 in"}}))
    return printed("tricycle", tricycle) | printed("water", dry, "cg")


def chord() -> Figures:
    def at(load: dict[str, tuple[float, float]]) -> PrintedLoading:
        return PrintedLoading(empty=(41000, 663), load=load, chord=(625.6, 760.1 - 625.6), mass_unit="kg")

    before, after = fly(at({})).state("ramp"), fly(at({"cargo": (2500, 360)})).state("ramp")
    assert isinstance(before.percent_mac, float)  # the profile has a chord
    assert isinstance(after.percent_mac, float)
    return {
        "chord-before": before.percent_mac,
        "chord-mass": after.total.mass,
        "chord-cg": inches(after),
        "chord-after": after.percent_mac,
        "chord-15": in_unit(cg_from_percent_mac(15, 625.6 * INCH, 134.5 * INCH), "in"),
    }
