"""The answers of a sweep as numpy arrays in SI, in one file."""

from __future__ import annotations

import io
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from planner.flight.limits import STATES
from planner.plan.results import Plan
from planner.quantities.files import write_new
from planner.sweep.block import GROUPS
from planner.sweep.sweep_run import Kept
from planner.sweep.targets import Target
from planner.views.words import cautions


def write_npz(path: Path, kept: Kept, targets: Sequence[Target], plan: Plan) -> None:
    """Write every loading and answer.

    Arrays: `names` (k,) and `loads` (n, k) in kg or m3; `verdict` (n,), 0 inside, 1 not shown inside, 2
    outside; per group of limits, named in
    `groups`: `verdicts`, `margins` (infinite where there is no such limit) and `uncertainties` (7, n) in kg,
    m or m3; per state, named in `states`:
    `masses` [kg] and `cgs` [m], (4, n); `cautions`. Raises InputRefused where the file exists or can not be
    written.
    """
    buffer = io.BytesIO()
    np.savez(
        buffer,
        names=np.array([target.name for target in targets]),
        loads=kept.loads,
        verdict=kept.verdict,
        groups=np.array(GROUPS),
        verdicts=kept.verdicts,
        margins=kept.margins,
        uncertainties=kept.uncertainties,
        states=np.array(STATES),
        masses=kept.masses,
        cgs=kept.cgs,
        cautions=np.array(cautions(plan)),
    )
    write_new(path, buffer.getvalue())
