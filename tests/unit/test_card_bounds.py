"""What U may be at most in a box of loadings."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest

from planner.search.card.bounds import _Bounds

Ends = tuple[float, float]


@pytest.mark.parametrize(
    ("arm", "mass", "most"),
    [
        ((2.0, 5.0), (1.0, 3.0), 16.0),  # 5 x 3 + 1
        ((-5.0, -2.0), (1.0, 3.0), 17.0),  # 5 x 3 + 2
        ((2.0, 5.0), (-3.0, -1.0), 17.0),
        ((-5.0, -2.0), (-3.0, -1.0), 16.0),
    ],
)
def test_the_greatest_u_is_that_of_the_worst_corner(arm: Ends, mass: Ends, most: float) -> None:
    # A cause changes the mass by `mass` [kg] and the moment by -1 to 2 kg.m; the arm lies within `arm` [m].
    moment = (np.array([-1.0]), np.array([2.0]))
    cause = (tuple(np.array([each]) for each in mass), moment, (np.zeros(1), np.zeros(1)))
    bounds = cast(Any, SimpleNamespace(none=np.zeros(1), causes=[cause]))
    u = _Bounds._u(bounds, *(np.array([each]) for each in arm), False, 0.0)
    assert u.tolist() == [pytest.approx(2 * most)]
    more = _Bounds._u(bounds, *(np.array([each]) for each in arm), False, 3.0)
    assert more.tolist() == [pytest.approx(2 * np.hypot(most, 3.0))], "a moment change besides"
