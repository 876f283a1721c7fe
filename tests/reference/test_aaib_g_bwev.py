"""UK AAIB report G-BWEV (2007), second-hand copy: a fuel log that was right where both dips were wrong.

Printed: the log, at 25 L/h, goes 80 -> 55 -> 32 -> 9.2 L; two dips on the way read 70 and 50 L; 10 L were
drained at the end. The flights' times are not printed: they follow from the log's own steps, 25, 23 and 22.8
L at 25 L/h. The aircraft here is a stand-in with one tank and a stick marked in litres; the report's type is
not modelled.
"""

from __future__ import annotations

from itertools import pairwise

import pytest

from planner.logbook.ledger.agree import compare
from planner.logbook.ledger.balance import stages
from planner.logbook.ledger.burned import learned_of
from planner.logbook.ledger.contents import contents
from planner.logbook.ledger.entries import Entry, Stored, dip, effective, flight, supply
from planner.logbook.ledger.sources import Stage
from planner.quantities.units import LITRE, read_quantity
from planner.records.aircraft.record import Aircraft
from planner.records.store import load_aircraft_file

PROFILE = """
profile: 1
name: stand-in
source: AAIB G-BWEV, fuel figures only
datum: none needed
fuel_grades: [avgas-100LL]
basic_empty: {mass: 500 kg, arm: 1 m, date: 2007-01-01, includes: [full oil, unusable fuel]}
stations: {seats: {kind: seats, seats: 2, arm: 1 m}}
tanks: {main: {capacity: 100 L, unusable: 0 L, arm: 1 m}}
masses: {max_takeoff: 900 kg}
envelopes: {normal: {edges: linear in cg, forward: [[400 kg, 0.5 m], [900 kg, 0.5 m]], aft: [[400 kg, 2 m], [900 kg, 2 m]]}}
burn: {cruise: 25 L/h}
dipsticks: {main: {id: S, reads: usable, table: [[0 cm, 0 L], [50 cm, 100 L]]}}
"""
LOG = (80.0, 55.0, 32.0, 9.2)
DIPS = {1: 70.0, 2: 50.0}
DRAINED = 10.0


def aircraft() -> Aircraft:
    return load_aircraft_file("stand-in.yaml", PROFILE).record


def entries(upto: int = 99) -> list[Stored]:
    """The report's story as a pilot would enter it."""
    craft = aircraft()
    made: list[Entry] = [
        supply(
            craft,
            "uplift",
            "2007-06-01T08:00:00Z",
            "",
            read_quantity("60 L", "volume"),
            read_quantity("80 L", "volume"),
        )
    ]
    for number, (before, after) in enumerate(pairwise(LOG), 1):
        time = read_quantity(f"{(before - after) / 25 * 60:.10g} min", "time")
        made.append(flight(craft, f"2007-06-0{number + 1}T08:00:00Z", time, None, None, None))
        if number in DIPS:
            made.append(
                dip(
                    craft,
                    f"2007-06-0{number + 1}T12:00:00Z",
                    "",
                    "S",
                    read_quantity(f"{DIPS[number]} L", "volume"),
                )
            )
    drained = read_quantity(f"{DRAINED} L", "volume")
    made.append(supply(craft, "drain", "2007-06-05T08:00:00Z", "", drained, "empty"))
    return [Stored(number, entry) for number, entry in enumerate(made[:upto], 1)]


def reconciled(upto: int = 99) -> tuple[Stage, ...]:
    return stages(aircraft(), effective(entries(upto)))


def test_the_log_is_the_printed_one() -> None:
    found = [stage.source("log") for stage in reconciled()[:4]]
    for source, printed in zip(found, LOG, strict=True):
        assert source is not None
        assert source.volume / LITRE == pytest.approx(
            printed, abs=1e-6
        )  # the printed figures are exact steps of the same arithmetic


def test_it_ends_within_a_litre_of_what_was_drained() -> None:
    last = reconciled()[3]
    log, ticket = last.source("log"), last.source("ticket")
    assert log is not None
    assert ticket is not None
    assert ticket.volume / LITRE == pytest.approx(DRAINED, abs=1e-6)
    assert abs(log.volume - ticket.volume) / LITRE < 1.0
    assert compare(last.sources).agree


def test_both_dips_are_named_the_odd_one_out() -> None:
    for number, reading in DIPS.items():
        agreement = compare(reconciled()[number].sources)
        assert agreement.odd is not None
        assert agreement.odd.name == "dip"
        assert agreement.odd.volume / LITRE == pytest.approx(reading)


def test_before_the_drain_the_lower_figure_is_reckoned_with() -> None:
    # On the day of the second dip only log and dip speak: they are 18 L apart, and nothing says which is
    # wrong.
    now = contents(aircraft(), entries(5))
    assert not isinstance(now, str)
    assert not now.agreement.agree
    assert now.agreement.odd is None
    assert "18.0 L apart" in now.agreement.words
    assert sum(now.low) / LITRE == pytest.approx(32.0, abs=1e-6)
    assert sum(now.high) / LITRE == pytest.approx(50.0, abs=1e-6)


def test_the_learned_flow_is_not_led_astray() -> None:
    # 70 L from known level to known level (80 -> 10) in 2.832 h of flight: 24.72 L/h; the wrong dips between
    # do not count.
    learned = learned_of(aircraft(), effective(entries()))
    assert isinstance(learned.between, float)
    assert learned.between * 3.6e6 == pytest.approx((80 - DRAINED) / ((80 - 9.2) / 25), rel=1e-6)
    assert len(learned.intervals) == 1
    assert not learned.differ
