"""Random draws against the plan itself: every draw's exact margins are what planning that draw's inputs
gives.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from planner.plan import Plan, plan_file, plan_flight
from planner.quantities.errors import InputRefused
from planner.quantities.units import Quantity
from planner.records.store import Loaded, load_flight_file
from planner.sureness.chance import chance
from planner.sureness.forms import straight_forms
from planner.sureness.margins import DrawnMargins
from tests.oracle.settle import finished
from tests.sizes import examples

FLIGHTS = Path(__file__).parents[2] / "docs" / "flights"


def _nudged(name: str, z: dict[str, float]) -> tuple[float, float, float]:
    """Ramp, zero-fuel margins of the plan with every unsure input of the basic empty mass moved by z standard
    deviations.
    """
    flight, aircraft = load_flight_file(FLIGHTS / f"{name}.yaml")
    empty = aircraft.record.basic_empty
    assert empty.arm is not None
    mass = Quantity(empty.mass.value + z.get("basic empty mass", 0.0) * empty.mass.u, 0.0, "mass", "drawn")
    arm = Quantity(empty.arm.value + z.get("basic empty arm", 0.0) * empty.arm.u, 0.0, "length", "drawn")
    moved = aircraft.record.model_copy(
        update={"basic_empty": empty.model_copy(update={"mass": mass, "arm": arm})}
    )
    plan = plan_flight(flight, Loaded(moved, aircraft.document))
    aft = next(limit for limit in plan.burn.limits if limit.name.startswith("aft limit"))
    forward = next(limit for limit in plan.burn.limits if limit.name.startswith("forward limit"))
    top = next(limit for limit in plan.state("ramp").limits if limit.name == "maximum ramp mass")
    return aft.margin, forward.margin, top.limit - plan.state("ramp").total.mass


@pytest.mark.parametrize("name", ["demo", "turboprop", "fuel-ahead-of-cg"])
def test_signs_of_exact_margins_are_those_of_the_planned_draw(name: str) -> None:
    margins = DrawnMargins(plan_file(FLIGHTS / f"{name}.yaml"))
    rng = np.random.default_rng(11)
    z = np.zeros((len(margins.causes), 12))
    for cause in ("basic empty mass", "basic empty arm"):
        z[margins.causes.index(cause)] = 4 * rng.standard_normal(12)
    values = margins.of(z)
    for column in range(z.shape[1]):
        inputs = {cause: float(z[row, column]) for row, cause in enumerate(margins.causes)}
        aft, forward, top = _nudged(name, inputs)
        for limit, planned in (("aft limit", aft), ("forward limit", forward), ("maximum ramp mass", top)):
            ours = min(values[row, column] for row, label in enumerate(margins.names) if label == limit)
            assert (ours < 0) == (planned < 0), (limit, inputs)


@pytest.mark.parametrize("name", ["demo", "not-shown-inside", "turboprop", "helicopter"])
def test_fast_count_equals_exact_count(name: str) -> None:
    """Settling draws by the linear form changes nothing: every draw computed exactly gives the same count."""
    plan = plan_file(FLIGHTS / f"{name}.yaml")
    margins = DrawnMargins(plan)
    if not margins.causes:
        pytest.fail(f"{name} states no uncertainty")
    draws = 8192 * 3 + 17
    rng, exact = np.random.default_rng(5), 0
    for begin in range(0, draws, 8192):
        z = np.empty((len(margins.causes), min(8192, draws - begin)))
        rng.standard_normal(out=z)
        exact += int(np.count_nonzero((margins.of(z) >= 0).all(axis=0)))
    assert chance(plan, draws, seed=5).inside == exact


def _judged_as_flown(plan: Plan, seed: int, draws: int = 2048) -> int:
    """How many draws the forms settle; every one of them as flying it through the whole burn does, limit by
    limit.
    """
    margins = DrawnMargins(plan)
    if not margins.causes:
        return 0
    forms = straight_forms(margins, seed=1)
    block = forms.room(draws)
    drawn = block[: len(margins.causes)]
    np.random.default_rng(seed).standard_normal(out=drawn)
    # some far out, where a form that only seems straight would show
    drawn[:, ::16] *= 2.0
    fails, unsure = forms.judge(block)
    flown = margins.of(drawn) < 0
    settled = np.setdiff1d(np.arange(draws), unsure)
    found = np.zeros_like(flown)
    found[forms.rows] = fails
    wrong = np.argwhere(found[:, settled] != flown[:, settled])
    assert not wrong.size, [(margins.names[row], int(settled[draw])) for row, draw in wrong[:5]]
    return len(settled)


@pytest.mark.parametrize("path", sorted(FLIGHTS.glob("*.yaml")), ids=lambda path: path.stem)
def test_every_draw_of_a_demo_flight_is_judged_as_flown(path: Path) -> None:
    if path.stem.startswith(("bottle", "hydrometer")):
        pytest.skip("a bottle or a hydrometer")
    plan = plan_file(path)
    settled = _judged_as_flown(plan, seed=3)
    assert settled > 2000 or not DrawnMargins(plan).causes


@pytest.mark.parametrize("block", range(examples(2)))
def test_every_draw_of_generated_flights_is_judged_as_flown(block: int, tmp_path: Path) -> None:
    """Tanks that run dry, arm tables, edges that bend, moment changes: the forms may leave draws open, and
    may not be wrong.
    """
    settled = flights = 0
    for number in range(25 * block, 25 * block + 25):
        case = finished(20261128, number)
        try:
            plan = plan_file(case.write(tmp_path / str(number))) if case is not None else None
        except InputRefused:
            continue
        if plan is not None and DrawnMargins(plan).causes:
            flights += 1
            settled += _judged_as_flown(plan, seed=number)
    assert flights > 12
    assert settled > 0.6 * 2048 * flights
