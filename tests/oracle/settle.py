"""Limits of a generated aircraft, set beside what its flight does."""

from __future__ import annotations

import copy
import random
import tempfile
from pathlib import Path
from typing import Any

import numpy as np

from planner.quantities.errors import InputRefused
from planner.records.store import load_flight_file
from tests.oracle.draws import Reader
from tests.oracle.engine import Answer, fly_file
from tests.oracle.generate import Case, make
from tests.oracle.model import aloft_of
from tests.oracle.paths import Path as FlownPath
from tests.oracle.paths import stepped_path

ROUGH = 300  # draws to see about how unsure the figures are
COARSE = 2e-3  # m3, step to see where the flight goes


def wide(case: Case) -> Case:
    """The case with limits that nothing reaches."""
    profile = copy.deepcopy(case.profile)
    profile["masses"] = {"max_takeoff": "9000 kg"}
    edges = {
        "forward": [["10 kg", "-20 m"], ["9000 kg", "-20 m"]],
        "aft": [["10 kg", "20 m"], ["9000 kg", "20 m"]],
    }
    profile["envelopes"] = {"normal": {"edges": "linear in cg", **edges}}
    profile["lateral"] = {"left": "-10 m", "right": "10 m"}
    return Case(case.number, profile, case.flight, case.features)


class Setter:
    """Places one limit after the other."""

    def __init__(self, seed: int, case: Case, answer: Answer, path: FlownPath) -> None:
        self.random = random.Random(f"limits {seed}/{case.number}")
        self.case, self.answer, self.path = case, answer, path

    def room(self, u: float, scale: float) -> float:
        """How far beyond the figure a limit is put: mostly within a few U, now and then outside, now and then
        far away.
        """
        kind = self.random.random()
        near = u if u > 0 else 0.2 * scale
        if kind < 0.35:
            return scale * self.random.uniform(1.0, 4.0)
        if kind < 0.62:
            return near * self.random.uniform(1.05, 2.5)
        if kind < 0.9:
            return near * self.random.uniform(0.05, 0.95)
        return -near * self.random.uniform(0.05, 1.5)

    def masses(self) -> dict[str, str]:
        """Mass limits of the profile."""
        checks, states, pick = self.answer.checks, self.answer.states, self.random

        def beyond(state: str, name: str) -> float:
            return states[state][0] + self.room(checks[state, name].u, 8.0)

        takeoff = beyond("takeoff", "maximum take-off mass")
        found = {"max_takeoff": takeoff}
        if pick.random() < 0.6:
            self.case.features.add("ramp limit")
            found["max_ramp"] = takeoff + max(
                0.5, states["ramp"][0] - states["takeoff"][0] + self.room(1.0, 3.0)
            )
        if pick.random() < 0.5:
            self.case.features.add("landing limit")
            found["max_landing"] = min(takeoff, beyond("landing", "maximum landing mass"))
        if pick.random() < 0.4:
            self.case.features.add("zero-fuel limit")
            found["max_zero_fuel"] = min(
                takeoff,
                states["zero fuel"][0] + self.room(checks["zero fuel", "least mass of the envelope"].u, 8.0),
            )
        return {key: f"{value:.2f} kg" for key, value in found.items()}

    def edges(self, takeoff: float, alone: bool) -> dict[str, Any]:
        """Forward and aft edge, kinked near where the flight comes closest to them."""
        pick, path, checks = self.random, self.path, self.answer.checks
        cg, mass = path.cg.reshape(-1), path.mass.reshape(-1)
        bottom = float(mass.min()) - pick.choice([2.0, 60.0, 200.0])
        if pick.random() < 0.1:
            bottom = float(mass.min()) + pick.uniform(-1.5, 1.5)
        top = takeoff
        if alone and pick.random() < 0.12:
            self.case.features.add("envelope drawn short")
            top = takeoff - pick.uniform(1.0, 12.0)
        kind = pick.choice(["linear in cg", "linear in moment"])
        self.case.features.add(kind)
        moves = [_kilogram_metres(text) for text in self.case.profile.get("moment_changes", {}).values()]
        shift = {
            "forward": sum(min(0.0, move) for move in moves),
            "aft": sum(max(0.0, move) for move in moves),
        }
        found: dict[str, Any] = {"edges": kind}
        for side, sign in (("forward", -1.0), ("aft", 1.0)):
            away = sign * (cg + shift[side] / mass)
            worst = int(np.argmax(away)) if pick.random() < 0.7 else pick.randrange(len(away))
            u = checks["burn", f"{side} limit"].u if ("burn", f"{side} limit") in checks else 0.002
            at = float(away[worst]) * sign + sign * self.room(u, 0.02)
            tilt = pick.choice([0.0, 0.0, pick.uniform(0, 3e-4)]) * -sign
            corner = float(mass[worst]) + pick.choice([0.0, pick.uniform(-5, 5), pick.uniform(-60, 60)])
            points = [(bottom, at)]
            if bottom + 5 < corner < top - 5:
                points.append((corner, at))
                points.append((top, at + tilt * (top - corner)))
            else:
                points.append((top, at + tilt * (top - bottom)))
            if tilt and pick.random() < 0.5 and len(points) == 3:
                middle = (corner + top) / 2
                points.insert(2, (middle, at + 0.7 * tilt * (middle - corner)))
            found[side] = [[f"{weight:.2f} kg", f"{place:.4f} m"] for weight, place in points]
        return found

    def loads(self, profile: dict[str, Any]) -> None:
        """Limits of stations and of sums of stations, some exactly at the load."""
        pick, checks = self.random, self.answer.checks
        for name, station in profile["stations"].items():
            if "max" not in station:
                continue
            check = checks["load", f"{name} limit"]
            room = self.room(check.u, 5.0)
            if check.u == 0 and pick.random() < 0.2 and check.value > 0:
                self.case.features.add("exactly at a load limit")
                masses = self.case.flight["load"].get(name)
                station["max"] = masses if isinstance(masses, str) else f"{check.value!r} kg"
            else:
                station["max"] = f"{max(check.value + room, 0.5):.2f} kg"
        names = [name for name in profile["stations"] if name in self.case.flight["load"]]
        if len(names) > 1 and pick.random() < 0.4:
            self.case.features.add("combined limit")
            chosen = pick.sample(names, 2)
            both = f"sum of {' and '.join(chosen)}"
            profile["combined_limits"] = [{"name": both, "stations": chosen, "max": "400 kg"}]


def _kilogram_metres(text: str) -> float:
    number, unit = text.split(" +/- ")[0].split(" ")[0], text.split(" ")[-1]
    return float(number) * (0.45359237 * 0.0254 if unit == "lb.in" else 1.0)


def finished(seed: int, number: int) -> Case | None:
    """Case `number` of `seed` with its limits; None where the drawn files are refused (a tank too full for
    its phase).
    """
    case = make(seed, number)
    with tempfile.TemporaryDirectory() as folder:
        try:
            file = wide(case).write(Path(folder))
            answer = fly_file(file, ROUGH, seed, COARSE)
            flight, aircraft = load_flight_file(file)
        except InputRefused:
            return None
    path = stepped_path(aloft_of(flight.record, aircraft.record, Reader()), COARSE)
    if answer.aboard <= 0:
        return None
    setter = Setter(seed, case, answer, path)
    pick, profile = setter.random, copy.deepcopy(case.profile)
    profile["masses"] = setter.masses()
    takeoff = float(profile["masses"]["max_takeoff"].split()[0])
    several = pick.random() < 0.25
    profile["envelopes"] = {"normal": setter.edges(takeoff, not several)}
    flight_file = dict(case.flight)
    if several:
        case.features.add("several categories")
        lower = takeoff - pick.choice([0.0, pick.uniform(0, 30)])
        other = setter.edges(lower, False)
        other["max_takeoff"] = f"{lower:.2f} kg"
        forbidden = [name for name in profile["stations"] if name != "front seats"]
        if forbidden and pick.random() < 0.5:
            case.features.add("forbidden stations")
            other["forbids"] = forbidden[-1:]
        profile["envelopes"]["utility"] = other
        flight_file["category"] = pick.choice(["normal", "utility", "utility"])
    if "lateral" in case.features:
        checks = answer.checks
        left, right = (checks["burn", f"lateral limit, {side}"] for side in ("left", "right"))
        low, high = -10.0 + left.margin, 10.0 - right.margin
        low, high = low - setter.room(left.u, 0.02), high + setter.room(right.u, 0.02)
        if low < high:
            profile["lateral"] = {"left": f"{low:.4f} m", "right": f"{high:.4f} m"}
    setter.loads(profile)
    case.profile, case.flight = profile, flight_file
    return case
