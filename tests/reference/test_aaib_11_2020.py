"""UK AAIB Bulletin 11/2020, second-hand copy: a dipstick of another type was used. Here such a stick is
refused, whatever it reads.
"""

from __future__ import annotations

import pytest

from planner.logbook.ledger.entries import dip
from planner.quantities.errors import InputRefused
from planner.quantities.units import read_quantity
from planner.records.store import load_aircraft, profile_ids

STICKS = [
    (each, tank, stick.id)
    for each in profile_ids()
    for tank, stick in load_aircraft(each).record.dipsticks.items()
]


def test_only_a_tanks_own_stick_is_accepted() -> None:
    assert len({stick for _, _, stick in STICKS}) > 3
    reading = read_quantity("10 cm", "length")
    for each, tank, own in STICKS:
        craft = load_aircraft(each).record
        assert dip(craft, "2026-01-01T00:00:00Z", tank, own, reading).stick == own
        for _, _, other in STICKS:
            if other != own:
                with pytest.raises(InputRefused) as refused:
                    dip(craft, "2026-01-01T00:00:00Z", tank, other, reading)
                assert [finding.code for finding in refused.value.findings] == ["ledger-stick"]
