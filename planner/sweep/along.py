"""The least CG margin over the whole burn, for a whole column of loadings, in closed form.

The curve of each stretch is that of `planner.burn`: moment is `a + b m + c m2` in the mass, a limit is `p + q m + r m2`,
the margin `A/m + B + C m` is least at an end of its span or at `sqrt(A/C)`. Nothing is sampled.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from planner.fuel import Stage
from planner.polygon import Piece
from planner.sweep.edges import Array
from planner.sweep.fuelrows import DrawRows, interpolate_rows, volume_moment_rows
from planner.sweep.model import Group, SweepModel

_EMPTY_RANGE: Final = 1e-12  # kg; a stretch shorter than this holds no margin of its own


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of every row: mass falls from `start` to `end` [kg]; moments as (a, b, c) in mass; `volumes` [m3] at the start and shares per tank."""

    stage: Stage
    start: Array
    end: Array
    moment: tuple[Array, Array, Array | None]
    lateral: tuple[Array, Array, None] | None
    volumes: list[Array]
    shares: list[Array]


@dataclass(slots=True)
class Watch:
    """One limit watched along the burn: `group` it counts to, `pieces` of limiting moment, `upper` for aft or right; `change` [kg.m] in the air.

    `margin` [m] is the least so far (infinite where nothing was burnt), with the `mass` [kg], limiting `arm` [m], its `slope` [m/kg] and the
    `volumes` [m3] there.
    """

    group: Group
    axis: Literal["longitudinal", "lateral"]
    pieces: tuple[Piece, ...]
    upper: bool
    change: float | None
    rows: int
    with_volumes: bool
    tanks: int
    margin: Array = field(init=False)
    mass: Array = field(init=False)
    arm: Array = field(init=False)
    slope: Array = field(init=False)
    volumes: list[Array] = field(init=False)

    def __post_init__(self) -> None:
        self.margin = np.full(self.rows, np.inf)
        self.mass, self.arm, self.slope = np.ones(self.rows), np.zeros(self.rows), np.zeros(self.rows)
        self.volumes = [np.zeros(self.rows) for _ in range(self.tanks if self.with_volumes else 0)]


def watches(model: SweepModel, rows: int, with_volumes: bool) -> list[Watch]:
    """Every CG limit to follow for a block of `rows` [1]: as it stands, and in the air with each massless moment change."""
    result = []
    for change in (None, *model.moment_changes):
        for group, edge, upper in (("forward", model.envelope.forward, False), ("aft", model.envelope.aft, True)):
            result.append(Watch(group, "longitudinal", edge.pieces(), upper, change, rows, with_volumes, len(model.tanks)))  # type: ignore[arg-type]  # both are Groups
        if model.lateral is not None:
            for arm, upper in zip(model.lateral, (False, True), strict=True):
                piece = Piece(0.0, np.inf, 0.0, arm, 0.0)
                result.append(Watch("lateral", "lateral", (piece,), upper, change, rows, with_volumes, len(model.tanks)))
    return result


def spans(model: SweepModel, zero_fuel: tuple[Array, Array, Array | None], draw: DrawRows) -> Iterator[Span]:
    """A draw as stretches on which the moment is one polynomial in mass: cut where a tank's volume passes a point of its arm table."""
    cuts = []
    for tank, start, share in zip(model.tanks, draw.start, draw.shares, strict=True):
        for volume in tank.breaks():
            at = np.divide(start - volume, share, out=np.zeros_like(share), where=share > 0)
            cuts.append(np.clip(at, 0.0, draw.volume))
    if not cuts:
        yield _span(model, zero_fuel, draw, draw.start, draw.volume)
        return
    ordered = np.sort(np.stack([np.zeros_like(draw.volume), *cuts, draw.volume]), axis=0)
    for low, high in pairwise(ordered):
        if (high > low).any():
            volumes = [np.maximum(v - share * low, 0.0) for v, share in zip(draw.start, draw.shares, strict=True)]
            yield _span(model, zero_fuel, draw, volumes, high - low)


def _span(model: SweepModel, zero_fuel: tuple[Array, Array, Array | None], draw: DrawRows, volumes: list[Array], length: Array) -> Span:
    """Moments as polynomials in mass over one stretch, as `planner.burn` has them."""
    rho = model.density
    m0, m1, m2 = zero_fuel[1].copy(), np.zeros_like(length), None
    start = zero_fuel[0] + rho * np.sum(volumes, axis=0)
    for tank, volume, share in zip(model.tanks, volumes, draw.shares, strict=True):
        m0 += rho * volume_moment_rows(tank, volume)
        if len(tank.arm_points) == 1:
            m1 -= (rho * tank.arm_points[0][1]) * share
            continue
        high, low = volume + tank.unusable, np.maximum(volume - share * length, 0.0) + tank.unusable
        arm, rise = interpolate_rows(tank.arm_points, high), high - low
        beta = np.divide(arm - interpolate_rows(tank.arm_points, low), rise, out=np.zeros_like(rise), where=rise > 0)
        m1 -= rho * share * (arm + beta * high)  # alpha + 2 beta w0, alpha = a(w0) - beta w0
        m2 = (rho * share * share) * beta + (0.0 if m2 is None else m2)
    b1 = m1 / rho
    if m2 is None:
        moment = (m0 + b1 * start, -b1, None)
    else:
        c2 = m2 / rho**2
        moment = (m0 + b1 * start + c2 * start * start, -b1 - 2 * c2 * start, c2)  # type: ignore[assignment]  # the third is None or an array
    lateral = None
    if zero_fuel[2] is not None:
        y0, y1 = zero_fuel[2].copy(), np.zeros_like(length)
        for tank, volume, share in zip(model.tanks, volumes, draw.shares, strict=True):
            y0 += (rho * tank.lateral_arm) * volume
            y1 -= tank.lateral_arm * share
        lateral = (y0 + y1 * start, -y1, None)
    return Span(draw.stage, start, start - rho * length, moment, lateral, volumes, draw.shares)


def follow(model: SweepModel, watch: Watch, span: Span) -> None:
    """Lower the least margin of `watch` by what one stretch holds."""
    if watch.change is not None and span.stage == "taxi":
        return
    curve = span.moment if watch.axis == "longitudinal" else span.lateral
    if curve is None:
        return
    a, b, c = curve
    if watch.change:
        a = a + watch.change
    sign = 1.0 if watch.upper else -1.0
    for piece in reversed(watch.pieces):
        high, low = np.minimum(span.start, piece.high), np.maximum(span.end, piece.low)
        some = high - low > _EMPTY_RANGE
        if not some.any():
            continue
        a_, b_ = sign * (piece.p - a), sign * (piece.q - b)
        c_ = sign * piece.r if c is None else sign * (piece.r - c)
        for mass in (high, low):
            _lower(model, watch, span, piece, mass, a_ / mass + b_ + c_ * mass, some)
        if c is not None or piece.r:
            ratio = np.divide(a_, c_, out=np.zeros_like(a_), where=np.not_equal(c_, 0.0))
            still = np.sqrt(np.maximum(ratio, 0.0))
            within = some & (still > low) & (still < high)
            if within.any():
                mass = np.where(within, still, high)
                _lower(model, watch, span, piece, mass, a_ / mass + b_ + c_ * mass, within)


def _lower(model: SweepModel, watch: Watch, span: Span, piece: Piece, mass: Array, margin: Array, where: NDArray[np.bool_]) -> None:
    better = where & (margin < watch.margin)
    if not better.any():
        return
    np.copyto(watch.margin, margin, where=better)
    np.copyto(watch.mass, mass, where=better)
    np.copyto(watch.arm, piece.p / mass + piece.q + piece.r * mass, where=better)
    if watch.with_volumes:
        np.copyto(watch.slope, -piece.p / (mass * mass) + piece.r, where=better)
        burnt = (span.start - mass) / model.density
        for into, volume, share in zip(watch.volumes, span.volumes, span.shares, strict=True):
            np.copyto(into, np.maximum(volume - share * burnt, 0.0), where=better)
