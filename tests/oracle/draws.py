"""The figures of the files, as they stand or drawn at random.

A `Reader` is asked for a figure by a name and its quantity. Nominal, it answers the value and notes which
names carry a standard uncertainty; with draws it answers an array, value + u z, where z is one column of
standard normal numbers per name. A figure that stands once in the files is one name, whoever uses it: what
depends on it moves together.

The columns are moved and turned to have mean 0, variance 1 and no correlation in the sample (moment matching,
a known way to make draws tell more: Barraquand, Management Science 41 (1995) 1882, from memory). A margin
that is linear in the inputs then shows its standard deviation to rounding with some hundred draws, and what
is left over is its bend.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from planner.quantities.units import Quantity

Array = NDArray[np.float64]


class Reader:
    """Answers figures; `size` values of each, 1 where nominal."""

    def __init__(self, names: tuple[str, ...] = (), z: Array | None = None) -> None:
        self.names: dict[str, int] = {name: index for index, name in enumerate(names)}
        self.z = z

    @property
    def size(self) -> int:
        """How many flights are flown at once."""
        return 1 if self.z is None else len(self.z)

    def __call__(self, name: str, quantity: Quantity) -> Any:
        """The figure [SI]: a float where it is exact, else one value per flight."""
        return self.plain(name, quantity.value, quantity.u)

    def plain(self, name: str, value: float, u: float) -> Any:
        """The same for a value and its standard uncertainty."""
        if not u:
            return value
        if self.z is None:
            self.names.setdefault(name, len(self.names))
            return value
        return value + u * self.z[:, self.names[name]]

    def spread(self, value: Any) -> Array:
        """The figure as an array, one entry per flight."""
        return np.broadcast_to(np.asarray(value, dtype=float), (self.size,)).copy()


def drawn(names: tuple[str, ...], draws: int, seed: int) -> Array:
    """Standard normal numbers [draws x names] with mean 0 and unit covariance in the sample."""
    random = np.random.default_rng(seed)
    z = random.standard_normal((draws, len(names)))
    if not names:
        return z
    if draws <= 2 * len(names):
        raise ValueError(f"{draws} draws cannot tell {len(names)} inputs apart")
    z -= z.mean(axis=0)
    root = np.linalg.cholesky(z.T @ z / draws)
    return np.asarray(np.linalg.solve(root, z.T).T)
