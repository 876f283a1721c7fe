"""Handbooks and circulars: their examples weighed, carried on, loaded and flown."""

from __future__ import annotations

from planner.plan import Plan
from planner.quantities.moments import ballast_arm, ballast_mass, mass_to_shift, round_up
from planner.quantities.units import INCH, POUND, in_unit
from planner.sureness.verify_cases.flown import (
    PrintedLoading,
    fly,
    fly_amended,
    inches,
    on_ramp,
    pound_inches,
    pounds,
    printed,
    room,
    sheet_of,
    weighed,
)

Figures = dict[str, float]


def computational() -> Figures:
    load = {"front": (340, 85), "rear": (350, 121), "baggage": (80, 150)}
    ramp = on_ramp(empty=(2100, 78.3), load=load, fuel="75 USgal", fuel_arm=75)
    return printed("phak", ramp, "mass", "cg")


def zero_fuel() -> Figures:
    # The printed columns are mass and moment; the arm of a row is their quotient.
    rows = [(335, 29815), (350, 44100), (200, 31400), (100, 1000), (25, 4575)]
    plan = fly(
        PrintedLoading(
            empty=(3230, 0),
            empty_moment="292315 lb.in",
            load={
                f"row {number}": (mass, moment / mass) for number, (mass, moment) in enumerate(rows, start=1)
            },
            fuel="822 lb",
            fuel_arm=113,
            trip=({"phase": "taxi", "fuel": "24 lb"}, {"phase": "cruise", "fuel": "450 lb"}),
        )
    )
    zero, ramp, takeoff, landing = (plan.state(name) for name in ("zero fuel", "ramp", "takeoff", "landing"))
    return {
        **printed("phak-zero-fuel", zero),
        **printed("phak-ramp", ramp, "mass"),
        **printed("phak-takeoff", takeoff, "mass", "cg"),
        **printed("phak-landing", landing, "mass", "cg"),
    }


def shifts() -> Figures:
    # What is moved is loaded, once at its old and once at its new place; the rest of the printed mass and
    # moment is the empty aircraft.
    def at(arm: float) -> Plan:
        return fly(
            PrintedLoading(
                empty=(7900, 0), empty_moment=f"{616000 - 100 * 30} lb.in", load={"cargo": (100, arm)}
            )
        )

    before, after = at(30).state("ramp"), at(150).state("ramp")
    loaded = on_ramp(empty=(7800, 81.5))
    item = on_ramp(empty=(4710, 0), empty_moment=f"{4800 * 98 - 90 * 145} lb.in", load={"cargo": (90, 45)})
    added = on_ramp(empty=(6860, 80), load={"cargo": (140, 150)})
    full = PrintedLoading(empty=(6100, 0), empty_moment=f"{6100 * 80} lb.in")
    removed = fly_amended(full, {"removed": {"cargo": {"mass": "100 lb", "arm": "150 in"}}}).state("ramp")
    return {
        "phak-shift-before": inches(before),
        "phak-shift-moment": pound_inches(after),
        "phak-shift-after": inches(after),
        "phak-shift-wanted": in_unit(mass_to_shift(loaded.total, 80.5 * INCH, 150 * INCH, 30 * INCH), "lb"),
        "phak-test-item-shift": inches(item),
        "phak-addition": inches(added),
        "phak-removal": inches(removed),
    }


def datums() -> Figures:
    def on_scales(main: float, other: float, from_mains: float, mains: float) -> float:
        points = {
            "mains": {"reading": f"{main} lb", "arm": f"{mains} in"},
            "nose or tail": {"reading": f"{other} lb", "arm": f"{mains + from_mains} in"},
        }
        return inches(weighed(sheet_of(points)))

    return {
        "datum-at-mains": on_scales(2006 - 340, 340, -78, 0),
        "datum-ahead": on_scales(2006 - 340, 340, -78, 128),
        "datum-behind": on_scales(2006 - 340, 340, -78, -75),
        "tailwheel-ahead": on_scales(1218 - 67, 67, 222, 7.5),
        "tailwheel-behind": on_scales(1218 - 67, 67, 222, -80),
    }


def weighing() -> Figures:
    points = {
        "left main": {"reading": "650 lb", "tare": "5 lb", "arm": "70 in"},
        "right main": {"reading": "640 lb", "tare": "5 lb", "arm": "70 in"},
        "nose": {"reading": "225 lb", "tare": "2.5 lb", "arm": "-30 in"},
    }
    oil = {
        "kind": "oil",
        "aboard": "8 USqt",
        "in_result": "8 USqt",
        "density": "7.5 lb/USgal",
        "arm": "-38 in",
    }
    fluids = {
        "fuel": {
            "kind": "usable fuel",
            "aboard": "30 USgal",
            "in_result": "0 L",
            "density": "5.9 lb/USgal",
            "arm": "95 in",
        },
        "rest": {"kind": "unusable fuel", "aboard": "0 lb", "in_result": "6 lb", "arm": "98 in"},
        "oil": oil,
    }
    empty = weighed(sheet_of(points, fluids=fluids, includes=["full oil", "unusable fuel"]))
    return printed("weighing", empty, "mass", "cg")


def handbook_1() -> Figures:
    chord = on_ramp(empty=(5064, 42.47), chord=(20.1, 61.6))
    lever = {"B": (200.0, 80.0), "C": (200.0, 100.0)}
    short = fly(PrintedLoading(empty=(1876, 32.2))).state("zero fuel").total
    without_b = on_ramp(empty=(100, 0), load={"C": lever["C"]}).total
    assert isinstance(chord.percent_mac, float)  # the profile has a chord
    return {
        "percent-mac": chord.percent_mac,
        "lever": inches(on_ramp(empty=(100, 0), load=lever)),
        "lever-shifted": in_unit(ballast_arm(without_b, 50 * INCH, 200 * POUND), "in"),
        "ballast": round_up(in_unit(ballast_mass(short, 33 * INCH, 228 * INCH), "lb"), 0.1),
    }


def twin() -> Figures:
    """From three scales to the loaded aircraft. The figure with the arms was not read, so arms are zero and
    only the mass is compared.
    """
    readings = {"right": (1084, 8), "left": (1148, 8), "nose": (1202, 14)}
    points = {
        name: {"reading": f"{reading} lb", "tare": f"{tare} lb", "arm": "0 in"}
        for name, (reading, tare) in readings.items()
    }
    # Oil full and unusable fuel aboard belong to the result: what is aboard stays, whatever its amount.
    stays = {
        kind: {"kind": kind, "aboard": "1 lb", "in_result": "1 lb", "arm": "0 in"}
        for kind in ("oil", "unusable fuel")
    }
    sheet = sheet_of(points, fluids=stays, includes=["full oil", "unusable fuel"])
    load = {
        "front seats": (320.0, 0.0),
        "row 2": (310.0, 0.0),
        "forward baggage": (100.0, 0.0),
        "aft baggage": (90.0, 0.0),
    }
    plan = fly_amended(
        PrintedLoading(empty=(3300, 0), load=load, fuel="140 USgal"), {"worksheet": "sheet.yaml"}, sheet
    )
    return {"twin-mass": pounds(plan.state("ramp"))}


_CIRCULAR = {"pilot": (170.0, 16.0)}


def _circular(load: dict[str, tuple[float, float]], fuel: str) -> Plan:
    # 9 quarts are printed as 17 lb: that mass of oil at the trade's 7.5 lb/USgal.
    return fly(
        PrintedLoading(
            empty=(1169, 10.6),
            oil=(f"{17 / 7.5!r} USgal", -49),
            load=_CIRCULAR | load,
            fuel=fuel,
            fuel_arm=22,
            top=2100,
            cg=(8.5, 21.9),
        )
    )


def circular() -> Figures:
    rear, baggage = {"rear": (340.0, 48.0)}, {"baggage": (100.0, 75.5)}
    least = _circular({}, "13.75 USgal")
    forward = _circular({}, "83 lb").state("ramp")
    aft = _circular(rear | baggage, "40 USgal").state("ramp")
    four = {"front": (170.0, 16.0)} | rear
    passengers = _circular(four, "39 USgal").state("ramp")
    dry = _circular(four, "0 L")
    most_baggage = _circular({"front": (170.0, 16.0), "rear": (170.0, 48.0)} | baggage, "40 USgal").state(
        "ramp"
    )
    return {
        **printed("forward", forward),
        **printed("aft", aft),
        "minimum-fuel-mass": in_unit(least.fuel.aboard_mass, "lb"),
        **printed("passengers", passengers, "mass", "moment"),
        "passengers-fuel": in_unit(room(dry, "ramp", "maximum ramp mass") / dry.density.density, "USgal"),
        **printed("baggage", most_baggage),
    }


def time_in_tanks() -> Figures:
    """Three quarters of what the tanks hold, flown: the time the plan gives to that phase."""
    aboard = fly(PrintedLoading(empty=(1500, 0), fuel="38 USgal", flow="8 USgal/h")).fuel.aboard
    phase = {"phase": "cruise", "fuel": f"{aboard * 0.75!r} m3"}
    flown = fly(PrintedLoading(empty=(1500, 0), fuel="38 USgal", flow="8 USgal/h", trip=(phase,)))
    (trip,) = (line for line in flown.fuel.lines if line.kind == "trip")
    assert isinstance(trip.time, float)  # the phase has a flow
    return {"time-in-tanks": in_unit(trip.time, "h")}


def ballast_place() -> Figures:
    loaded = on_ramp(empty=(2222, 6.13), mass_unit="kg", arm_unit="m").total
    return {"ballast-arm": ballast_arm(loaded, 6.28, 136)}
