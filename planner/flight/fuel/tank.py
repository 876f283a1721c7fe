"""A tank: what it holds, where that lies, and how its stick is read."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from planner.quantities.effects import tank_arm, unusable_in
from planner.quantities.errors import OutOfRange
from planner.quantities.frozen import frozen
from planner.quantities.many import Points, Some, anywhere, greater, interpolate, over
from planner.quantities.sentences import book, say, span_of


@frozen
class FuelTank:
    """One tank in SI: `capacity` and `unusable` [m3], `arm_points` of (volume in the tank [m3], arm [m]),
    `lateral_arm` [m].

    `arm_us` [m] are the standard uncertainties of the arms, one per point, empty where all are exact;
    `lateral_u` [m] that of the lateral arm, `unusable_u` [m3] that of what is unusable, which may be drawn.
    """

    name: str
    capacity: float
    unusable: Some
    arm_points: Points
    lateral_arm: float
    arm_us: tuple[float, ...] = ()
    lateral_u: float = 0.0
    unusable_u: float = 0.0

    @property
    def usable_capacity(self) -> float:
        """Capacity less unusable fuel [m3]."""
        return float(self.capacity - self.unusable)

    def arm(self, total: Some) -> Some:
        """Arm [m] of everything in the tank when it holds `total` [m3], unusable included; straight lines
        between points.
        """
        return interpolate(self.arm_points, total)

    def volume_moment(self, usable: Some) -> Some:
        """Volume times arm of the usable fuel [m4]: (v + u) a(v + u) - u a(u).

        Times density it is the moment added to a basic empty mass that includes the unusable fuel. With a
        constant arm it is v a; with a table it is quadratic in v between two points of the table.

        Parameters: `usable` volume v [m3], 0 or more, or a block of them. Range: the tank's capacity.
        Source: [common-practice] moment of a part is that of the whole less that of the rest.
        """
        if len(self.arm_points) == 1:
            return usable * self.arm_points[0][1]
        total = usable + self.unusable
        return total * self.arm(total) - self.unusable * self.arm(self.unusable)

    def marginal_arm(self, usable: Some) -> Some:
        """Arm [m] at which the next drop goes in: d(volume_moment)/dv = a(w) + w a'(w), w = v + u, with the
        slope of the table's line below.
        """
        if len(self.arm_points) == 1:
            return self.arm_points[0][1]
        total = usable + self.unusable
        low = greater(total - 1e-6 * self.capacity, 0.0)
        arm = self.arm(total)
        return arm + over(total * (arm - self.arm(low)), total - low)

    def arm_effects(self, usable: Some) -> Iterator[tuple[str, Some]]:
        """What one standard uncertainty of each arm does to the volume moment [m4]: w phi(w) - u phi(u), phi
        the point's share of the arm.
        """
        for index, u in enumerate(self.arm_us):
            if u:
                yield self.arm_cause(index), u * self.only(index).volume_moment(usable)
        if self.lies_higher:
            yield (
                unusable_in(self.name),
                self.unusable_u * (self.marginal_arm(usable) - self.marginal_arm(0.0)),
            )

    @property
    def lies_higher(self) -> bool:
        """Whether the usable fuel lies higher up where more of the fuel is unusable: on a table of arms."""
        return bool(self.unusable_u) and len(self.arm_points) > 1

    def arm_cause(self, index: int) -> str:
        """The name of the arm at a point of the table, or of the one arm there is."""
        return tank_arm(self.name, index if len(self.arm_points) > 1 else -1)

    def only(self, index: int) -> FuelTank:
        """The same tank with an arm of 1 m at one point and 0 m at the others: what that point's arm
        counts.
        """
        return replace(
            self,
            arm_points=tuple((volume, float(at == index)) for at, (volume, _) in enumerate(self.arm_points)),
        )

    def breaks(self) -> tuple[float, ...]:
        """Usable volumes [m3] at which the arm's line changes."""
        points = self.arm_points if len(self.arm_points) > 1 else ()
        return tuple(volume - self.unusable for volume, _ in points if anywhere(volume > self.unusable))


def dip_to_volume(table: Points, dip: float) -> float:
    """Volume [m3] for a dip reading [m], on straight lines of the stick's table (dip [m], volume [m3]).

    Raises OutOfRange off the table: a stick is never read beyond its marks.
    Source: [common-practice].
    """
    low, high = table[0][0], table[-1][0]
    if not low <= dip <= high:
        marks = span_of(low, high, "length")
        raise OutOfRange(say("a dip of {} is off the stick's table ({})", book(dip, "length"), marks))
    return float(interpolate(table, dip))
