"""Fuel in tanks: volumes, mass, moment, dips, and the order in which it is burnt."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

from planner.errors import OutOfRange

Stage = Literal["taxi", "trip", "alternate", "reserve", "taxi in"]
# A microlitre: below it a tank is empty. Sums of litres carry rounding of about 1e-16 m3.
EMPTY: Final = 1e-9  # m3

Points = tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class FuelTank:
    """One tank in SI: `capacity` and `unusable` [m3], `arm_points` of (volume in the tank [m3], arm [m]), `lateral_arm` [m]."""

    name: str
    capacity: float
    unusable: float
    arm_points: Points
    lateral_arm: float

    @property
    def usable_capacity(self) -> float:
        """Capacity less unusable fuel [m3]."""
        return self.capacity - self.unusable

    def arm(self, total: float) -> float:
        """Arm [m] of everything in the tank when it holds `total` [m3], unusable included; straight lines between points."""
        return interpolate(self.arm_points, total)

    def volume_moment(self, usable: float) -> float:
        """Volume times arm of the usable fuel [m4]: (v + u) a(v + u) - u a(u).

        Times density it is the moment added to a basic empty mass that includes the unusable fuel. With a
        constant arm it is v a; with a table it is quadratic in v between two points of the table.

        Parameters: `usable` volume v [m3], 0 or more. Range: the tank's capacity.
        Source: [common-practice] moment of a part is that of the whole less that of the rest.
        """
        if len(self.arm_points) == 1:
            return usable * self.arm_points[0][1]
        total = usable + self.unusable
        return total * self.arm(total) - self.unusable * self.arm(self.unusable)

    def marginal_arm(self, usable: float) -> float:
        """Arm [m] at which the next drop goes in: d(volume_moment)/dv = a(w) + w a'(w), w = v + u."""
        total = usable + self.unusable
        step = 1e-6 * self.capacity
        low, high = max(total - step, 0.0), total
        return self.arm(total) + total * (self.arm(high) - self.arm(low)) / (high - low) if high > low else self.arm(total)

    def breaks(self) -> tuple[float, ...]:
        """Usable volumes [m3] at which the arm's line changes."""
        return tuple(volume - self.unusable for volume, _ in self.arm_points if volume > self.unusable) if len(self.arm_points) > 1 else ()


def interpolate(points: Points, x: float) -> float:
    """Straight line between points (x ascending), held constant outside them."""
    if x <= points[0][0]:
        return points[0][1]
    if x >= points[-1][0]:
        return points[-1][1]
    upper = bisect_left([point[0] for point in points], x)
    (x1, y1), (x2, y2) = points[upper - 1], points[upper]
    return y1 + (y2 - y1) * (x - x1) / (x2 - x1)


def dip_to_volume(table: Points, dip: float) -> float:
    """Volume [m3] for a dip reading [m], on straight lines of the stick's table (dip [m], volume [m3]).

    Raises OutOfRange off the table: a stick is never read beyond its marks.
    Source: [common-practice].
    """
    if not table[0][0] <= dip <= table[-1][0]:
        raise OutOfRange(f"a dip of {dip * 100:g} cm is off the stick's table ({table[0][0] * 100:g} to {table[-1][0] * 100:g} cm)")
    return interpolate(table, dip)


def volume_to_dip(table: Points, volume: float) -> float:
    """Dip reading [m] for a volume [m3]: the inverse of `dip_to_volume`.

    Raises OutOfRange off the table. Source: [common-practice].
    """
    if not table[0][1] <= volume <= table[-1][1]:
        raise OutOfRange(f"{volume * 1000:g} L is off the stick's table ({table[0][1] * 1000:g} to {table[-1][1] * 1000:g} L)")
    return interpolate(tuple((v, d) for d, v in table), volume)


@dataclass(frozen=True, slots=True)
class Leg:
    """A draw on the tanks: `volume` [m3] at `flow` [m3/s] (0 where no time is known); `tanks` named by the pilot, or empty."""

    phase: str
    stage: Stage
    volume: float
    flow: float
    tanks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Draw:
    """A stretch of the burn with constant shares: from `start` volumes [m3], `shares` per tank (sum 1), `volume` [m3] at `flow` [m3/s]."""

    phase: str
    stage: Stage
    start: tuple[float, ...]
    shares: tuple[float, ...]
    volume: float
    flow: float

    @property
    def end(self) -> tuple[float, ...]:
        """Usable volumes [m3] per tank at the end."""
        return tuple(max(v - share * self.volume, 0.0) for v, share in zip(self.start, self.shares, strict=True))

    @property
    def duration(self) -> float:
        """Time [s]; 0 where the flow is not known."""
        return self.volume / self.flow if self.flow else 0.0


@dataclass(frozen=True, slots=True)
class Shortage:
    """A leg (number `leg` of those given) the fuel does not cover: `missing` [m3]; `named` where the tanks were named and others may hold fuel."""

    phase: str
    stage: Stage
    missing: float
    named: tuple[str, ...]
    leg: int


def burn_down(
    names: Sequence[str], volumes: Sequence[float], order: Sequence[Sequence[str]], legs: Sequence[Leg]
) -> tuple[tuple[Draw, ...], tuple[Shortage, ...]]:
    """Draw the legs from the tanks, stretch by stretch.

    The tanks of a group drain at equal rates until one is empty, then the rest of the group goes on; groups
    are emptied in order. A leg that names tanks draws on these only.

    Parameters: tank `names`; usable `volumes` [m3] per tank; feed `order`, groups of names; `legs`.
    Returns the stretches in time order and the legs that ran short. Volume is conserved in every stretch.
    Source: [common-practice]; an aircraft's own fuel system may differ, and its manual governs.
    """
    index = {name: position for position, name in enumerate(names)}
    current = list(volumes)
    draws: list[Draw] = []
    shortages: list[Shortage] = []
    for number, leg in enumerate(legs):
        left = leg.volume
        groups = [leg.tanks] if leg.tanks else order
        for group in groups:
            while left > EMPTY:
                live = [index[name] for name in group if current[index[name]] > EMPTY]
                if not live:
                    break
                share = 1.0 / len(live)
                volume = min(left, min(current[i] for i in live) / share)
                shares = tuple(share if i in live else 0.0 for i in range(len(current)))
                draw = Draw(leg.phase, leg.stage, tuple(current), shares, volume, leg.flow)
                draws.append(draw)
                current = list(draw.end)
                left -= volume
        if left > EMPTY:
            shortages.append(Shortage(leg.phase, leg.stage, left, leg.tanks, number))
    return tuple(draws), tuple(shortages)


