"""Standard uncertainties of the inputs, carried as what each does to mass and moments.

Mass and moments are sums of products, so one standard uncertainty of an input moves a state by an exact
(mass, moment, lateral moment) step to first order. Steps with the same cause add before they are squared:
that is how an input shared by several figures (one density for all tanks) comes out correlated.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace
from typing import Final, Literal, TypeAlias

from planner.quantities.frozen import frozen
from planner.quantities.many import Some, is_nothing, where

# k of every expanded uncertainty; about 95 % for a normal distribution, [jcgm-100] G.6.6
COVERAGE: Final = 2.0
FUEL_DENSITY: Final = "fuel density"
BATCH: Final = "batch to batch"  # what makes the density of a standard figure unsure, in budgets


# An input is known by its name, and equal names are what makes figures correlate: each is spelt in one place.
def seat_label(station: str, seat: int, masses: int) -> str:
    """The name of one mass of a station: its own, with the seat (counted from 0) where it holds several."""
    return station if masses == 1 else f"{station} {seat + 1}"


def seat_labels(station: str, masses: int) -> list[str]:
    """The names of all masses of a station."""
    return [seat_label(station, seat, masses) for seat in range(masses)]


Side: TypeAlias = Literal["", "at", "less", "more"]
# How far a cause is followed where the burn or a table may bend [standard uncertainties]: a little beyond the
# k of U, as tails count too.
FAR: Final = 3.0
SIDES: Final[tuple[Side, ...]] = ("at", "less", "more")


def fuel_in(tank: str) -> str:
    """The name of the amount in a tank."""
    return f"fuel in {tank} tank"


def unusable_in(tank: str) -> str:
    """The name of the unusable amount in a tank, where it matters."""
    return f"unusable fuel in {tank} tank"


def tank_arm(tank: str, point: int = -1) -> str:
    """The name of a tank's arm, or of that at a `point` (from 0) of its table."""
    return f"{tank} tank arm" if point < 0 else f"{tank} tank arm, point {point + 1}"


def tank_lateral_arm(tank: str) -> str:
    """The name of a tank's lateral arm."""
    return f"{tank} tank lateral arm"


def stick_row(tank: str, row: int) -> str:
    """The name of a volume in the table of a tank's dipstick (row from 0)."""
    return f"{tank} dipstick, row {row + 1}"


@frozen
class Effect:
    """What one standard uncertainty of the input `cause` does: `mass` [kg], `moment` and `lateral_moment`
    [kg.m].

    Where it does something else towards less and towards more (a tank that may run dry, a bend in a table),
    it stands once for each `side`, as a share of what `FAR` standard uncertainties do that way, and once for
    the state itself; the greatest counts. Each is one figure, or a block with one per loading.
    """

    cause: str
    mass: Some
    moment: Some
    lateral_moment: Some = 0.0
    side: Side = ""


@frozen
class Gradient:
    """How a figure changes with the state: per kg of `mass`, per kg.m of `moment` and of `lateral_moment`."""

    mass: Some = 0.0
    moment: Some = 0.0
    lateral_moment: Some = 0.0

    def along(self, effect: Effect) -> Some:
        """What an effect does to the figure."""
        change = self.mass * effect.mass
        if not is_nothing(self.moment):
            change = change + self.moment * effect.moment
        return (
            change
            if is_nothing(self.lateral_moment)
            else change + self.lateral_moment * effect.lateral_moment
        )


def merged(effects: Iterable[Effect]) -> tuple[Effect, ...]:
    """Effects of one cause and side as one. Source: [jcgm-100] F.1.2.3: what shares an input adds before it
    is squared.
    """
    result: dict[tuple[str, Side], Effect] = {}
    for each in effects:
        old = result.get((each.cause, each.side))
        if old is not None:
            each = replace(
                old,
                mass=old.mass + each.mass,
                moment=old.moment + each.moment,
                lateral_moment=old.lateral_moment + each.lateral_moment,
            )
        result[each.cause, each.side] = each
    return tuple(result.values())


def steps(effects: Iterable[Effect], side: Side = "at") -> dict[str, tuple[float, float, float]]:
    """Mass [kg], moment and lateral moment [kg.m] changed by one standard uncertainty of every cause towards
    one side, summed per cause.

    Source: [jcgm-100] F.1.2.3: what shares an input adds before it is squared.
    """
    result: dict[str, tuple[float, float, float]] = {}
    for each in effects:
        if each.side in ("", side):
            mass, moment, lateral = result.get(each.cause, (0.0, 0.0, 0.0))
            result[each.cause] = (mass + each.mass, moment + each.moment, lateral + each.lateral_moment)
    return result


def contributions(effects: Iterable[Effect], gradient: Gradient) -> dict[str, Some]:
    """The signed change of a figure for one standard uncertainty of every cause: sum of gradient . step per
    cause.

    Parameters: `effects` of the state; `gradient` of the figure [figure per kg, per kg.m].
    Returns cause -> change, in the unit of the figure.
    Source: [jcgm-100] 5.1.2 and 5.2.2, with correlation expressed by shared inputs (F.1.2.3).
    """
    result: dict[str, Some] = {}
    sides: dict[tuple[str, Side], Some] = {}
    for effect in effects:
        change = gradient.along(effect)
        if effect.side:
            sides[effect.cause, effect.side] = sides.get((effect.cause, effect.side), 0.0) + change
        else:
            result[effect.cause] = result.get(effect.cause, 0.0) + change
    for cause in dict.fromkeys(cause for cause, _ in sides):
        common = result.get(cause, 0.0)
        first, *others = (common + sides.get((cause, side), 0.0) for side in SIDES)
        for other in others:
            first = where(abs(other) > abs(first), other, first)
        result[cause] = first
    return result


def expanded(causes: Iterable[tuple[str, float]]) -> float:
    """Expanded uncertainty k sqrt(sum of squared contributions), k = 2.

    Parameters: `causes`, pairs of cause and its contribution [unit of the figure]. Returns U in that unit,
    never negative.
    Source: [jcgm-100] 5.1.2, 6.2.1.
    """
    return COVERAGE * math.hypot(*(change for _, change in causes))
