"""Flights that mix every feature of the two formats, invented from a seed; most with a margin near a limit.

An aircraft is drawn first with wide limits and flown once by the naive engine; its limits are then set beside
the figures found, now a little inside, now within the uncertainty, now a little outside. `Case.features` says
what it holds.

Two kinds of uncertainty are marked as features of their own, `u:...`, one for each sort of figure. Limits and
edges are the manual's own and carry none.
"""

from __future__ import annotations

import json
import random
import re
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from planner.facts.grades import GRADES
from planner.facts.rules import RULES
from planner.records.aircraft.record import Aircraft

LB, USGAL, INCH = 0.45359237, 3.785411784, 0.0254
# Whether the record loader knows the key yet that lets moment changes exclude each other.
KNOWS_EXCLUSIVE = "exclusive_moment_changes" in Aircraft.model_fields


@dataclass
class Case:
    """One generated flight: its number, plain YAML data of both files, and the features it has."""

    number: int
    profile: dict[str, Any]
    flight: dict[str, Any]
    features: set[str] = field(default_factory=set)

    @property
    def size(self) -> tuple[int, int]:
        """How large it is to read: features, then characters."""
        return len(self.features), len(json.dumps(self.profile)) + len(json.dumps(self.flight))

    def write(self, folder: Path) -> Path:
        """Write both files into `folder` (JSON is YAML) and return the flight's path."""
        folder.mkdir(parents=True, exist_ok=True)
        (folder / "aircraft.yaml").write_text(_text(self.profile), encoding="utf-8")
        path = folder / "flight.yaml"
        path.write_text(_text({**self.flight, "aircraft": "aircraft.yaml"}), encoding="utf-8")
        return path


def _text(data: dict[str, Any]) -> str:
    """One top-level key a line, each value in JSON's spelling."""
    return "".join(f"{key}: {json.dumps(value)}\n" for key, value in data.items())


class Maker:
    """Draws one case."""

    def __init__(self, seed: int, number: int) -> None:
        self.random = random.Random(f"{seed}/{number}")
        self.number = number
        self.features: set[str] = set()
        self.us_share = self.random.choice([0.0, 0.0, 0.3, 1.0])
        self.u_share = self.random.choice([0.0, 0.15, 0.4, 0.8])

    def chance(self, share: float, feature: str = "") -> bool:
        """True with the given share of the draws; then the feature is noted."""
        if self.random.random() >= share:
            return False
        if feature:
            self.features.add(feature)
        return True

    def say(self, value: float, unit: str, u: float = 0.0, kind: str = "", digits: int = 4) -> str:
        """A quantity as text, in American units now and then, with an uncertainty where `u` [same unit] is
        given and drawn.
        """
        value = float(f"{value:.{digits}g}") if unit != "m" else round(value, 3)
        doubt = float(f"{u * self.random.uniform(0.4, 1.2):.2g}") if u and self.chance(self.u_share) else 0.0
        if doubt:
            self.features.add(f"u:{kind}")
        if self.random.random() < self.us_share:
            american = {
                "kg": ("lb", LB),
                "L": ("USgal", USGAL),
                "m": ("in", INCH),
                "kg/m3": ("lb/USgal", LB / USGAL * 1000),
            }
            american |= {"L/h": ("USgal/h", USGAL), "kg/h": ("lb/h", LB), "kg.m": ("lb.in", LB * INCH)}
            if unit in american:
                self.features.add("American units")
                unit, factor = american[unit]
                value, doubt = float(f"{value / factor:.6g}"), float(f"{doubt / factor:.3g}")
        return f"{value:g} +/- {doubt:g} {unit}" if doubt else f"{value!r} {unit}".replace(".0 ", " ")


def make(seed: int, number: int) -> Case:
    """Case `number` of `seed`; its limits are still wide, `settle` sets them."""
    maker = Maker(seed, number)
    size = maker.random.choice([1.0, 1.0, 1.4, 2.2])
    profile, flight = _profile(maker, size), {}
    flight = _flight(maker, profile, size)
    return Case(number, profile, flight, maker.features)


def _profile(maker: Maker, size: float) -> dict[str, Any]:
    pick, say = maker.random, maker.say
    centre = pick.uniform(1.8, 3.2)
    empty = pick.uniform(550, 800) * size
    side = maker.chance(0.45, "lateral")
    includes = (["full oil"] if maker.chance(0.85) else []) + (["unusable fuel"] if maker.chance(0.6) else [])
    basic: dict[str, Any] = {
        "mass": say(empty, "kg", 2.0, "basic empty mass"),
        "date": "2026-03-14",
        "includes": includes,
    }
    arm = centre + pick.uniform(-0.06, 0.06)
    if maker.chance(0.25, "basic empty moment"):
        basic["moment"] = say(empty * arm, "kg.m", 3.0, "basic empty moment", 6)
    else:
        basic["arm"] = say(arm, "m", 0.003, "basic empty arm")
    if side and maker.chance(0.5):
        basic["lateral_arm"] = say(pick.uniform(-0.01, 0.01), "m", 0.002, "basic empty lateral arm")
    profile: dict[str, Any] = {
        "profile": 1,
        "name": "Oracle case",
        "invented": True,
        "source": "Invented by the generator of the second engine.",
        "datum": "somewhere ahead",
    }
    profile["fuel_grades"] = sorted(GRADES)
    profile["basic_empty"] = basic
    if "unusable fuel" not in includes:
        maker.features.add("unusable fuel added")
    if "full oil" not in includes:
        maker.features.add("oil added")
        profile["oil"] = {
            "volume": say(pick.uniform(5, 12), "L", 0.4, "oil volume"),
            "arm": say(centre - 1.2, "m", 0.01, "oil arm"),
        }
    profile["stations"] = _stations(maker, centre, side)
    profile["tanks"] = _tanks(maker, centre, side, size)
    names = list(profile["tanks"])
    profile["feed"] = _feed(maker, names)
    profile["burn"] = {"taxi": "10 L/h"}
    flows = {"climb": 45, "cruise": 34} | {
        rule.basis: 30 for rule in RULES.values() if rule.basis != "cruise"
    }
    for phase, flow in flows.items():
        litres = flow * size * pick.uniform(0.8, 1.2)
        by_mass = maker.chance(0.3, "flow by mass")
        profile["burn"][phase] = (
            say(litres * 0.72, "kg/h", litres * 0.03, "flow")
            if by_mass
            else say(litres, "L/h", litres * 0.04, "flow")
        )
    if maker.chance(0.45, "moment change"):
        count = pick.randint(1, 3)
        if count > 1:
            maker.features.add("several moment changes")
        named = ["gear up", "flaps up", "seat aft"][:count]
        sizes = [pick.choice([-1, 1]) * pick.uniform(2, 12) * size for _ in named]
        profile["moment_changes"] = {
            name: say(value, "kg.m", abs(value) * 0.06, "moment change")
            for name, value in zip(named, sizes, strict=True)
        }
        if KNOWS_EXCLUSIVE and count > 1 and maker.chance(0.4, "exclusive moment changes"):
            profile["exclusive_moment_changes"] = [named[:2]]
    return profile


def _stations(maker: Maker, centre: float, side: bool) -> dict[str, Any]:
    pick, say = maker.random, maker.say
    stations: dict[str, Any] = {}
    rows = pick.choice([1, 2, 2, 3])
    for row, name in enumerate(["front seats", "middle seats", "rear seats"][:rows]):
        seats = pick.choice([1, 2, 2])
        stations[name] = {
            "kind": "seats",
            "seats": seats,
            "arm": say(centre - 0.1 + 0.8 * row, "m", 0.008, "station arm"),
        }
        if side and maker.chance(0.8):
            arms = [-0.3, 0.3][:seats] if seats == 2 else [pick.uniform(-0.3, 0.3)]
            stations[name]["lateral_arms"] = [say(arm, "m", 0.008, "station lateral arm") for arm in arms]
        if maker.chance(0.2):
            stations[name]["max"] = "200 kg"
    for name, arm in (("nose locker", centre - 1.6), ("baggage", centre + 1.4), ("shelf", centre + 1.9))[
        pick.randint(0, 2) :
    ]:
        stations[name] = {
            "kind": pick.choice(["baggage", "other"]),
            "arm": say(arm, "m", 0.01, "station arm"),
            "max": "100 kg",
        }
        if side and maker.chance(0.4):
            stations[name]["lateral_arm"] = say(pick.uniform(-0.2, 0.2), "m", 0.01, "station lateral arm")
    return stations


def _tanks(maker: Maker, centre: float, side: bool, size: float) -> dict[str, Any]:
    pick, say = maker.random, maker.say
    count = pick.choice([1, 2, 2, 3, 4, 5, 6])
    maker.features.add(f"{count} tanks")
    total = pick.uniform(90, 260) * size
    tanks: dict[str, Any] = {}
    for name in ["left", "right", "nose", "tail", "left tip", "right tip"][:count]:
        capacity = round(total / count * pick.uniform(0.7, 1.3), 0)
        unusable = round(capacity * pick.uniform(0.01, 0.07), 1)
        where = {"nose": -1.4, "tail": 1.3}.get(name, 0.0) + pick.uniform(-0.25, 0.35)
        tank: dict[str, Any] = {
            "capacity": f"{capacity:g} L",
            "unusable": say(unusable, "L", unusable * 0.15, "unusable fuel"),
        }
        if maker.chance(0.3, "arm table"):
            points = sorted(
                {
                    0.0,
                    round(capacity * pick.uniform(0.01, 0.1), 1),
                    round(capacity * pick.uniform(0.3, 0.7), 1),
                    capacity,
                }
            )
            tank["arm"] = [
                [f"{point:g} L", say(centre + where + pick.uniform(-0.1, 0.1), "m", 0.006, "tank arm table")]
                for point in points
            ]
        else:
            tank["arm"] = say(centre + where, "m", 0.006, "tank arm")
        if side:
            lateral = {"left": -1.1, "right": 1.1, "left tip": -2.4, "right tip": 2.4}.get(name, 0.0)
            tank["lateral_arm"] = say(lateral, "m", 0.01, "tank lateral arm") if lateral else "0 m"
        tanks[name] = tank
    return tanks


def _feed(maker: Maker, names: list[str]) -> Any:
    if len(names) == 1 or maker.chance(0.35):
        return "together"
    order = list(names)
    maker.random.shuffle(order)
    if maker.chance(0.5, "feed in order"):
        return order
    maker.features.add("feed in groups")
    groups: list[Any] = []
    while order:
        count = maker.random.randint(1, min(3, len(order)))
        groups.append(order[:count] if count > 1 else order[0])
        order = order[count:]
    return groups


def _density(maker: Maker, grade: str) -> tuple[dict[str, Any], dict[str, Any]]:
    """The flight's `density:` and what else stands under `fuel:`."""
    pick, say = maker.random, maker.say
    low, high = GRADES[grade].band
    rho = pick.uniform(low + 3, high - 3)
    while (
        770.1 < rho < 771.5 or 787.0 < rho < 788.5
    ):  # the steps between the petroleum tables' ranges are another matter
        rho = pick.uniform(low + 3, high - 3)
    temperature = {"temperature": say(pick.uniform(-10, 35), "degC", 1.5, "fuel temperature", 3)}
    way = pick.choice(["at_15C", "at_15C", "fixed", "measured", "standard"])
    maker.features.add(f"density {way}")
    if way == "fixed":
        return {"fixed": say(rho, "kg/m3", 3.0, "density")}, temperature if maker.chance(0.3) else {}
    if way == "standard":
        return {"standard": True}, temperature
    if way == "measured":
        at = say(pick.uniform(0, 30), "degC", 0.5, "sample temperature", 3)
        return {"measured": say(rho, "kg/m3", 1.0, "density"), "at": at}, temperature
    return {"at_15C": say(rho, "kg/m3", 2.0, "density")}, temperature


def _contents(maker: Maker, profile: dict[str, Any], shares: list[float]) -> dict[str, Any]:
    pick, say = maker.random, maker.say
    tanks: dict[str, Any] = {}
    for (name, tank), share in zip(profile["tanks"].items(), shares, strict=True):
        capacity, unusable = litres(tank["capacity"]), litres(tank["unusable"])
        usable = (capacity - unusable) * share
        way = pick.choice(["usable", "usable", "mass", "total", "dip"]) if usable > 0 else "usable"
        if way == "mass":
            maker.features.add("fuel by mass")
            tanks[name] = say(usable * 0.68, "kg", usable * 0.02, "fuel by mass")
        elif way == "total":
            maker.features.add("fuel total")
            tanks[name] = {"total": say(usable + unusable, "L", usable * 0.03, "fuel total")}
        elif way == "dip":
            maker.features.add("fuel by dip")
            reads = pick.choice(["total", "usable"])
            most = capacity if reads == "total" else capacity - unusable
            middle = most * pick.uniform(0.3, 0.6)
            rows = [
                ["0 cm", "0 L"],
                ["15 cm", say(middle, "L", middle * 0.02, "dip table")],
                ["32 cm", f"{most - 0.05:.1f} L"],
            ]
            profile.setdefault("dipsticks", {})[name] = {"id": f"stick {name}", "reads": reads, "table": rows}
            target = usable + unusable if reads == "total" else usable
            dip = 15 * target / middle if target < middle else 15 + 17 * (target - middle) / (most - middle)
            tanks[name] = {"dipstick": say(min(dip, 31.8), "cm", 0.5, "fuel by dip", 3)}
        else:
            tanks[name] = say(usable, "L", usable * 0.03, "fuel by volume")
    return tanks


def _flight(maker: Maker, profile: dict[str, Any], size: float) -> dict[str, Any]:
    pick, say = maker.random, maker.say
    grade = pick.choice(["avgas-100LL", "avgas-100LL", "avgas-UL91", "jet-A1", "motor-gasoline-EN228"])
    density, more = _density(maker, grade)
    names = list(profile["tanks"])
    shares = [0.0 if maker.chance(0.07) and len(names) > 1 else pick.uniform(0.25, 0.92) for _ in names]
    load: dict[str, Any] = {}
    for name, station in profile["stations"].items():
        if maker.chance(0.15) and name != "front seats":
            continue
        if station["kind"] == "seats":
            load[name] = _people(maker, station["seats"], len(profile["stations"]))
        else:
            load[name] = say(pick.uniform(3, 40), "kg", 0.8, "load")
    flight = {
        "flight": 1,
        "aircraft": "aircraft.yaml",
        "category": "normal",
        "rules": pick.choice(sorted(RULES)),
        "load": load,
    }
    flight["fuel"] = {"grade": grade, **more, "density": density, "tanks": _contents(maker, profile, shares)}
    usable = {
        name: (litres(tank["capacity"]) - litres(tank["unusable"])) * share
        for (name, tank), share in zip(profile["tanks"].items(), shares, strict=True)
    }
    aboard = sum(usable.values())
    flight["trip"] = _trip(maker, usable, size)
    spare = aboard * pick.uniform(0.02, 0.12)
    if maker.chance(0.5, "alternate"):
        flight["alternate"] = _phase(maker, "cruise", spare, size)
    if maker.chance(0.6, "contingency"):
        way = pick.choice(
            [
                "5 %",
                "10 %",
                say(5, "L", 0.5, "contingency"),
                say(4, "kg", 0.5, "contingency"),
                say(8, "min", 1.0, "contingency"),
            ]
        )
        flight["contingency"] = say(5, "%", 1.0, "contingency share") if maker.chance(0.15) else way
    if maker.chance(0.25, "own final reserve"):
        flight["final_reserve"] = say(50, "min", 2.0, "final reserve")
    for key in ("additional", "extra", "discretionary"):
        if maker.chance(0.25, key):
            flight[key] = say(pick.uniform(1, 6), pick.choice(["L", "kg"]), 0.5, key)
    return flight


def _people(maker: Maker, seats: int, stations: int) -> Any:
    pick, say = maker.random, maker.say
    evidence = maker.chance(0.15, "evidence of masses") and stations
    people: list[Any] = []
    for _ in range(pick.randint(1, seats)):
        kilograms = pick.uniform(55, 98)
        if evidence and maker.chance(0.6):
            people.append(
                {"mass": f"{kilograms:.0f} kg", "how": pick.choice(["stated", "guessed", "weighed"])}
            )
        elif evidence and maker.chance(0.3):
            people.append({"how": "standard", "who": pick.choice(["male", "female"])})
        else:
            people.append(say(kilograms, "kg", 1.5, "load"))
    return people[0] if len(people) == 1 and isinstance(people[0], str) and maker.chance(0.5) else people


def _phase(maker: Maker, name: str, amount: float, size: float, tank: Any = None) -> dict[str, Any]:
    """A part of the trip that burns about `amount` [L], stated by volume, mass, time, or time with its own
    flow.
    """
    pick, say = maker.random, maker.say
    way = pick.choice(["volume", "mass", "time", "time", "own flow"])
    phase: dict[str, Any] = {"phase": name}
    flow = 37 * size
    if way == "volume":
        maker.features.add("burn by volume")
        phase["fuel"] = say(amount, "L", amount * 0.05, "burn by volume", 3)
    elif way == "mass":
        maker.features.add("burn by mass")
        phase["fuel"] = say(amount * 0.72, "kg", amount * 0.05, "burn by mass", 3)
    else:
        phase["time"] = say(max(60 * amount / flow, 1), "min", 60 * amount / flow * 0.05, "time", 3)
        if way == "own flow":
            maker.features.add("own flow")
            by_mass = maker.chance(0.3, "flow by mass")
            phase["flow"] = (
                say(flow * 0.72, "kg/h", flow * 0.03, "own flow")
                if by_mass
                else say(flow, "L/h", flow * 0.04, "own flow")
            )
    if tank is not None:
        maker.features.add("phase names its tank")
        phase["tank"] = tank
    return phase


def _trip(maker: Maker, usable: dict[str, float], size: float) -> list[dict[str, Any]]:
    pick = maker.random
    left = dict(usable)
    aboard = sum(left.values())
    trip: list[dict[str, Any]] = []
    if maker.chance(0.75):
        trip.append(
            {
                "phase": "taxi",
                "fuel": maker.say(pick.uniform(1, 5), pick.choice(["L", "L", "kg"]), 0.4, "taxi"),
            }
        )
    plan = pick.uniform(0.3, 0.8) * aboard
    count = pick.choice([1, 2, 2, 3, 4])
    for number in range(count):
        amount = plan / count
        name = "climb" if number == 0 and count > 1 else "cruise"
        tank = None
        if len(left) > 1 and maker.chance(0.35):
            full = [each for each, volume in left.items() if volume > amount * 1.6 + 6]
            if full:
                tank = pick.choice(full)
                if len(full) > 1 and maker.chance(0.2):
                    tank = pick.sample(full, 2)
        trip.append(_phase(maker, name, amount, size, tank))
        for each in [tank] if isinstance(tank, str) else tank or left:
            left[each] = max(0.0, left[each] - amount * 1.25 / (1 if tank else max(len(left) / 2, 1)))
    if maker.chance(0.1, "taxi after landing"):
        trip.append({"phase": "taxi", "fuel": maker.say(1.5, "L", 0.3, "taxi")})
    return trip


_NUMBER = re.compile(r"(-?[\d.e+-]+?)(?: \+/- [\d.e+-]+)? (\S+)$")


def litres(text: str) -> float:
    """Litres of a volume this module wrote."""
    match = _NUMBER.match(text)
    assert match is not None, text
    return float(match[1]) * (USGAL if match[2] == "USgal" else 1.0)
