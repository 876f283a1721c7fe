"""ATSB AO-2014-168, second-hand copy: the measured burn was 12 L above the plan, and the flight went on.

Printed: 12 L. Planned and burnt quantities are not in the copy: 60 and 72 L here are ours, as is the
aircraft.
"""

from __future__ import annotations

import pytest

from planner.logbook.ledger.burned import burn_findings, learned_of
from planner.logbook.ledger.entries import Entry, Stored, effective, flight, supply
from planner.quantities.units import LITRE, read_quantity
from planner.records.store import load_aircraft

ABOVE = 12.0


def test_the_burn_above_the_plan_is_told() -> None:
    craft = load_aircraft("dunwick-marram").record
    full = sum(tank.usable for tank in craft.tanks.values()) / LITRE
    made: list[Entry] = [
        supply(craft, "uplift", "2014-10-01T08:00:00Z", "", read_quantity("50 L", "volume"), "full"),
        flight(
            craft,
            "2014-10-01T11:00:00Z",
            read_quantity("1 h 30 min", "time"),
            None,
            read_quantity("40 L/h", "volume flow"),
            read_quantity("60 L", "volume"),
        ),
        supply(
            craft, "uplift", "2014-10-01T12:00:00Z", "", read_quantity(f"{60 + ABOVE} L", "volume"), "full"
        ),
    ]
    held = [Stored(number, entry) for number, entry in enumerate(made, 1)]
    learned = learned_of(craft, effective(held))
    (interval,) = learned.intervals
    assert full > 60 + ABOVE
    assert isinstance(interval.above_plan, float)
    assert interval.above_plan / LITRE == pytest.approx(ABOVE, abs=1e-6)
    assert interval.differs
    told = [finding for finding in burn_findings(learned, craft) if finding.code == "ledger-burn-plan"]
    assert len(told) == 1
    assert "12.0 L above the plan" in told[0].message


def test_the_same_burn_as_planned_is_not() -> None:
    craft = load_aircraft("dunwick-marram").record
    made = [
        supply(craft, "uplift", "2014-10-01T08:00:00Z", "", read_quantity("50 L", "volume"), "full"),
        flight(
            craft,
            "2014-10-01T11:00:00Z",
            read_quantity("1 h 30 min", "time"),
            None,
            read_quantity("40 L/h", "volume flow"),
            read_quantity("60 L", "volume"),
        ),
        supply(craft, "uplift", "2014-10-01T12:00:00Z", "", read_quantity("61 L", "volume"), "full"),
    ]
    held = [Stored(number, entry) for number, entry in enumerate(made, 1)]
    learned = learned_of(craft, effective(held))
    assert not [finding for finding in burn_findings(learned, craft) if finding.code == "ledger-burn-plan"]
