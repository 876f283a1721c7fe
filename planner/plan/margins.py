"""Exact margins of many draws of a plan's inputs at once: every limit at every corner of the burn, and where the burn sags between corners."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from planner.burn import Bound, Stretch, bounds, least_margin, shifted
from planner.effects import FUEL_DENSITY, fuel_in, seat_label, seat_labels
from planner.plan.results import Plan

Array: TypeAlias = NDArray[np.float64]


_Form: TypeAlias = "Callable[[_Here], Array]"


@dataclass(frozen=True, slots=True)
class _Run:
    """A run of the burn with constant shares and no table: nominal start and end volumes [m3] per tank, airborne or not."""

    start: tuple[float, ...]
    end: tuple[float, ...]
    stretches: tuple[Stretch, ...]


class Margins:
    """The plan compiled for blocks of draws."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.tanks = plan.fuel.tanks
        effects = plan.loading.effects
        fuel_causes = [FUEL_DENSITY] if plan.density.u else []
        fuel_causes += [fuel_in(each.tank.name) for each in self.tanks if each.u]
        lines = [line for line in plan.fuel.lines if line.u and (line.kind == "trip" or line.name == "taxi")]
        flows = [line.cause for line in lines]
        self.causes = list(dict.fromkeys([effect.cause for effect in effects] + fuel_causes + flows))
        self.index = {cause: i for i, cause in enumerate(self.causes)}
        self.base = np.array([plan.state("zero fuel").total.mass, plan.state("zero fuel").total.moment, plan.state("zero fuel").total.lateral_moment])
        self.linear = np.zeros((3, len(self.causes)))
        for effect in effects:
            self.linear[:, self.index[effect.cause]] += (effect.mass, effect.moment, effect.lateral_moment)
        self.products = self._products()
        lateral = (plan.aircraft.lateral.left.value, plan.aircraft.lateral.right.value) if plan.aircraft.lateral is not None else None
        self.bounds = bounds(plan.envelope, lateral)
        gear = list(plan.aircraft.moment_changes.items())
        self.variants: list[tuple[str, float]] = [("", 0.0), *((f" ({name})", change.value) for name, change in gear)]
        self.forms: list[tuple[str, _Form]] = [*self._mass_forms(), *self._load_forms(), *self._centre_forms()]
        self.names: tuple[str, ...] = tuple(name for name, _ in self.forms)

    def of(self, z: Array, rows: Sequence[int] | NDArray[np.intp] | None = None) -> Array:
        """Margins of the draws `z` [standard deviations, shape (causes, n)]: shape (forms, n), in kg, m or kg.m, negative outside; `rows` picks forms."""
        here = _Here(self, z)
        picked = range(len(self.forms)) if rows is None else rows
        return np.stack([self.forms[row][1](here) for row in picked])

    def _mass_forms(self) -> list[tuple[str, _Form]]:
        """Every state's greatest mass, with the unsure burn that lies before it, and the least mass of the envelope."""
        plan = self.plan
        taxi = [(line.cause, line.u) for line in plan.fuel.lines if line.u and line.name == "taxi"]
        trip = [(line.cause, line.u) for line in plan.fuel.lines if line.u and line.kind == "trip"]
        before = {"takeoff": taxi, "landing": [*taxi, *trip]}
        forms: list[tuple[str, _Form]] = []
        for state in plan.states:
            limit = next((each for each in state.limits if each.dimension == "mass" and each.name.startswith("maximum")), None)
            if limit is not None:
                burnt = tuple(before.get(state.name, ())) if state.fuel > 0 else ()
                forms.append((limit.name, _below(limit.limit, state.volumes, burnt)))
        empty, least = tuple(0.0 for _ in self.tanks), plan.envelope.least_mass
        forms.append(("least mass of the envelope", lambda here: here.at(empty)[0] - least))
        return forms

    def _load_forms(self) -> list[tuple[str, _Form]]:
        """Station and combined limits, and stations the category forbids."""
        combined = {f"{each.name} limit": each.stations for each in self.plan.aircraft.combined_limits}
        forms: list[tuple[str, _Form]] = []
        for limit in self.plan.load_limits:
            causes = []
            for name in combined.get(limit.name, (limit.name.removesuffix(" limit"),)):
                masses = self.plan.flight.load.get(name, ())
                labels = seat_labels(name, len(masses))
                causes += [(self.index[label], mass.u) for label, mass in zip(labels, masses, strict=True) if mass.u]
            forms.append((limit.name, _load_margin(limit.margin, causes)))
        return forms

    def _centre_forms(self) -> list[tuple[str, _Form]]:
        """Every CG limit at every corner of the burn, and along every run on which it sags between corners."""
        runs = _runs(self.plan)
        empty = tuple(0.0 for _ in self.tanks)
        corners = dict.fromkeys([tuple(each.volume for each in self.tanks), *(run.end for run in runs), empty])
        forms: list[tuple[str, _Form]] = []
        for suffix, extra in self.variants:
            for bound in self.bounds:
                row, shift = (1, extra) if bound.axis == "longitudinal" else (2, 0.0)
                forms += [(bound.name + suffix, _at_corner(bound, row, shift, corner)) for corner in corners]
                forms += [(bound.name + suffix, _along_run(bound, row, shift, run)) for run in runs if _sags(run, bound, shift)]
        return forms

    def _products(self) -> list[tuple[int, int, float]]:
        """Pairs of inputs whose product matters: a mass and its own arm, both unsure."""
        pairs = []
        empty = self.plan.aircraft.basic_empty
        if empty.arm is not None and empty.mass.u and empty.arm.u:
            pairs.append((self.index["basic empty mass"], self.index["basic empty arm"], empty.mass.u * empty.arm.u))
        for name, masses in self.plan.flight.load.items():
            arm_u = self.plan.aircraft.stations[name].arm.u
            for seat, mass in enumerate(masses):
                label = seat_label(name, seat, len(masses))
                if arm_u and mass.u:
                    pairs.append((self.index[label], self.index[f"{name} arm"], arm_u * mass.u))
        return pairs

    def without_fuel(self, z: Array) -> Array:
        """Mass, moment, lateral moment without usable fuel, shape (3, n)."""
        rows: Array = self.linear @ z
        rows += self.base[:, None]
        for first, second, product in self.products:
            rows[1] += product * z[first] * z[second]
        return rows

    def density(self, z: Array) -> Array | float:
        """Density of the fuel [kg/m3] for every draw; one figure where it is exact."""
        rho = self.plan.density
        return rho.density + rho.u * z[self.index[FUEL_DENSITY]] if rho.u else rho.density

    def with_fuel(self, zero: Array, rho: Array | float, z: Array, volumes: Sequence[float], burnt_u: Sequence[tuple[str, float]] = ()) -> Array:
        """Mass, moment, lateral moment with the nominal volumes [m3] shifted by what is unsure about them."""
        rows = zero.copy()
        mass_volume = moment_volume = lateral_volume = 0.0
        live = max(range(len(volumes)), key=lambda i: volumes[i])
        for i, (each, volume) in enumerate(zip(self.tanks, volumes, strict=True)):
            known = each.volume if each.by_mass and math.fsum(volumes) > 0 else 0.0
            mass_volume += volume - known
            moment_volume += each.tank.volume_moment(volume) - each.tank.volume_moment(known)
            lateral_volume += (volume - known) * each.tank.lateral_arm
            if known:
                rows[0] += each.mass
                rows[1] += each.tank.volume_moment(known) * self.plan.density.density
                rows[2] += each.mass * each.tank.lateral_arm
            if each.u and math.fsum(volumes) > 0:
                at = i if volume > 0 else live
                self._shift(rows, rho, z[self.index[fuel_in(each.tank.name)]] * each.u, at, volumes[at])
        for cause, u in burnt_u:
            self._shift(rows, rho, z[self.index[cause]] * -u, live, volumes[live])
        if mass_volume or moment_volume:
            rows[0] += rho * mass_volume
            rows[1] += rho * moment_volume
            if lateral_volume:
                rows[2] += rho * lateral_volume
        return rows

    def _shift(self, rows: Array, rho: Array | float, volume: Array, tank: int, at: float) -> None:
        mass = rho * volume
        rows[0] += mass
        rows[1] += mass * self.tanks[tank].tank.marginal_arm(at)
        if self.tanks[tank].tank.lateral_arm:
            rows[2] += mass * self.tanks[tank].tank.lateral_arm


class _Here:
    """One block of draws: what its forms share is computed once."""

    def __init__(self, margins: Margins, z: Array) -> None:
        self.margins, self.z = margins, z
        self.zero, self.rho = margins.without_fuel(z), margins.density(z)
        self.seen: dict[tuple[float, ...], Array] = {}

    def at(self, volumes: tuple[float, ...]) -> Array:
        """Mass, moment, lateral moment with these nominal volumes, shape (3, n)."""
        if volumes not in self.seen:
            self.seen[volumes] = self.margins.with_fuel(self.zero, self.rho, self.z, volumes)
        return self.seen[volumes]


def _below(limit: float, volumes: tuple[float, ...], burnt: tuple[tuple[str, float], ...]) -> _Form:
    def form(here: _Here) -> Array:
        rows = here.margins.with_fuel(here.zero, here.rho, here.z, volumes, burnt) if burnt else here.at(volumes)
        margin: Array = limit - rows[0]
        return margin

    return form


def _load_margin(margin: float, causes: Sequence[tuple[int, float]]) -> _Form:
    def form(here: _Here) -> Array:
        result = np.full(here.z.shape[1], margin)
        for index, u in causes:
            result -= u * here.z[index]
        return result

    return form


def _at_corner(bound: Bound, row: int, shift: float, corner: tuple[float, ...]) -> _Form:
    """Margin times mass [kg.m]: the same sign as the margin, and linear in the inputs wherever the edge's limiting moment is."""
    sign = 1.0 if bound.upper else -1.0

    def form(here: _Here) -> Array:
        rows = here.at(corner)
        mass, limiting = rows[0], np.empty_like(rows[0])
        for piece in bound.pieces:
            on = (mass >= piece.low) & (mass <= piece.high)
            limiting[on] = piece.p + (piece.q + piece.r * mass[on]) * mass[on]
        gap: Array = sign * (limiting - rows[row] - shift)
        return gap

    return form


def _along_run(bound: Bound, row: int, shift: float, run: _Run) -> _Form:
    """The closed form along a run through its own two ends, with the nominal curvature scaled to the density."""
    square = run.stretches[0].moment[2] if row == 1 else 0.0

    def form(here: _Here) -> Array:
        start, end = here.at(run.start), here.at(run.end)
        c = square * here.margins.plan.density.density / here.rho * np.ones_like(start[0])
        m1, m2, y1, y2 = start[0], end[0], start[row] + shift, end[row] + shift
        slope = (y1 - y2) / (m1 - m2) - c * (m1 + m2)
        return _least_along(bound, m1, m2, y1 - (slope + c * m1) * m1, slope, c)

    return form


def _least_along(bound: Bound, start: Array, end: Array, a: Array, b: Array, c: Array) -> Array:
    """Least margin [m] along a run for each draw, by the closed form: moment a + b m + c m2, mass from `end` up to `start`."""
    sign = 1.0 if bound.upper else -1.0
    least = np.full(start.shape, np.inf)
    for piece in bound.pieces:
        high, low = np.minimum(start, piece.high), np.maximum(end, piece.low)
        valid = high >= low
        if not valid.any():
            continue
        top, middle, square = sign * (piece.p - a), sign * (piece.q - b), sign * (piece.r - c)
        with np.errstate(divide="ignore", invalid="ignore"):
            still = np.sqrt(np.divide(top, square))
        inner = np.clip(np.where(np.isfinite(still), still, high), low, high)
        for mass in (high, low, inner):
            margin = top / mass + middle + square * mass
            least = np.minimum(least, np.where(valid, margin, np.inf))
    return least


def _runs(plan: Plan) -> tuple[_Run, ...]:
    """Consecutive stretches that are one polynomial in mass are one run: taxi, climb and cruise on the same tanks differ only in time."""
    runs: list[list[Stretch]] = []
    for stretch in plan.burn.path:
        if runs and runs[-1][-1].shares == stretch.shares and runs[-1][-1].moment[2] == stretch.moment[2]:
            runs[-1].append(stretch)
        else:
            runs.append([stretch])
    return tuple(_Run(run[0].volumes, run[-1].volumes_at(run[-1].end), tuple(run)) for run in runs)


def _sags(run: _Run, bound: Bound, shift: float) -> bool:
    """Whether the margin dips below the lower of its ends anywhere on a run, for the means."""
    path = shifted(run.stretches, shift) if shift else run.stretches
    whole = least_margin(path, bound)
    if whole is None:
        return False
    inside_run = path[-1].end + 1e-9 < whole.point.total.mass < path[0].start - 1e-9
    # An edge with a slope or a table can bend a run that is straight at the means, so those are always looked at.
    return inside_run or any(piece.r or piece.p for piece in bound.pieces) or path[0].moment[2] != 0.0
