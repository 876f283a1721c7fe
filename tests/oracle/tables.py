"""Plain interpolation between points."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def between(x: Any, xs: Sequence[Any], ys: Sequence[Any]) -> Any:
    """y at x on the straight lines between the points (xs, ys), held at the ends; points may differ from draw
    to draw.
    """
    if all(np.ndim(each) == 0 for each in (*xs, *ys)):
        return np.interp(x, [float(each) for each in xs], [float(each) for each in ys])
    result = np.asarray(ys[0] + 0.0 * np.asarray(x), dtype=float)
    for index in range(len(xs) - 1):
        share = np.clip((x - xs[index]) / (xs[index + 1] - xs[index]), 0.0, 1.0)
        result = np.where(x > xs[index], ys[index] + share * (ys[index + 1] - ys[index]), result)
    return result


def edge_at(mass: Any, points: Sequence[tuple[float, float]], kind: str) -> Any:
    """The CG limit [m] at `mass` [kg] on an edge of (mass, CG) points, straight in CG or straight in moment.

    Beyond its ends an edge keeps the CG of its last point; whether that mass is allowed at all is another
    limit.
    """
    masses = [mass_ for mass_, _ in points]
    if kind == "linear in cg":
        return np.interp(mass, masses, [cg for _, cg in points])
    inside = np.clip(mass, masses[0], masses[-1])
    return np.interp(inside, masses, [mass_ * cg for mass_, cg in points]) / inside
