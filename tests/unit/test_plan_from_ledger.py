"""A flight that takes its fuel from the ledger: least for endurance, most for mass, and every doubt told."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from planner.logbook.ledger.entries import Entry, dip, flight, gauge, supply
from planner.logbook.ledger.kept.store import ledger_path, opened
from planner.plan import plan_file
from planner.plan.from_ledger import with_heavier
from planner.plan.results import Plan
from planner.quantities.errors import InputRefused
from planner.quantities.units import LITRE, read_quantity
from planner.records.store import load_aircraft, load_flight_file
from planner.search.varied import case_of
from planner.sweep.block import GROUPS, Sweeper
from planner.sweep.sweep_run import group_margins
from planner.sweep.sweeping import compile_sweep, plan_of_row
from planner.sweep.targets import find_target

ROOT = Path(__file__).parents[2]

T4 = load_aircraft("thornlea-t4").record
FLIGHT = """
flight: 1
aircraft: thornlea-t4
category: normal
rules: us-vfr-day
date: 2026-06-02
load: {front seats: [80 kg, 70 kg], rear seats: [78 kg, 72 kg], baggage: 15 kg}
fuel: {grade: avgas-100LL, temperature: 15 degC, density: {at_15C: 0.715 kg/L}, FUEL}
trip:
  - {phase: taxi, fuel: 4 L}
  - {phase: cruise, time: 20 min}
"""


@pytest.fixture(autouse=True)
def _data(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PLANNER_DATA", str(tmp_path / "data"))


def keep(*entries: Entry) -> None:
    with opened(ledger_path(T4.name), T4.name) as ledger:
        ledger.add(entries)


def litres(text: str) -> object:
    return read_quantity(text, "volume")


def plan(tmp_path: Path, fuel: str = "from: ledger", rear: str = "78 kg, 72 kg") -> Plan:
    path = tmp_path / "flight.yaml"
    path.write_text(FLIGHT.replace("FUEL", fuel).replace("78 kg, 72 kg", rear), encoding="utf-8")
    return plan_file(path)


def codes(made: Plan) -> list[str]:
    return [finding.code for finding in made.findings]


def dips(left: str, right: str, day: str = "2026-06-01") -> tuple[Entry, Entry]:
    at = f"{day}T18:00:00Z"
    return (
        dip(T4, at, "left", "T4-L", read_quantity(left, "length")),
        dip(T4, at, "right", "T4-R", read_quantity(right, "length")),
    )


def test_sources_that_agree_plan_the_lowest_and_weigh_the_highest(tmp_path: Path) -> None:
    keep(
        supply(T4, "uplift", "2026-06-01T08:00:00Z", "", read_quantity("20 L", "volume"), "full"),
        flight(T4, "2026-06-01T12:00:00Z", None, read_quantity("82 L", "volume"), None, None),
        *dips("10.5 cm", "10.3 cm"),
    )
    made = plan(tmp_path, rear="60 kg, 60 kg")
    # log 144 - 82 = 62.0 L; dips 32.7 + 32.02 - 8 = 56.72 L
    assert made.fuel.aboard / LITRE == pytest.approx(56.72, abs=1e-6)
    assert codes(made) == ["ledger-source"]
    told = next(finding for finding in made.findings if finding.code == "ledger-source")
    assert "56.7 L (dip" in told.message
    assert "62.0 L (log)" in told.message
    assert told.message.endswith("), the least of the sources, mass also with 62.0 L (log), the most")
    assert told.needed == "last entry 2026-06-01 18:00 UTC"
    assert (told.line, told.where) == (8, "fuel > from")
    stated = plan(tmp_path, "tanks: {left: 28.7 +/- 1.2 L, right: 28.02 +/- 1.2 L}", rear="60 kg, 60 kg")
    assert made.verdict == stated.verdict == "inside"
    assert [state.total.mass for state in made.states] == pytest.approx(
        [state.total.mass for state in stated.states], abs=1e-6
    )


def test_a_limit_that_only_the_highest_quantity_passes_counts(tmp_path: Path) -> None:
    # Landing after 15 L burnt: 688.4 + 285 kg and the dips' 77.4 L make 1018 kg; the gauge's 110 L make 1041
    # kg, above 1040.
    keep(
        *dips("13.5 cm", "13.3 cm"),
        gauge(T4, "2026-06-01T18:05:00Z", "", read_quantity("110 +/- 4 L", "volume")),
    )
    made = plan(tmp_path, rear="60 kg, 60 kg")
    assert "ledger-heavier" in codes(made)
    assert "ledger-disagrees" in codes(made)
    assert made.verdict == "outside"
    told = [finding for finding in made.findings if finding.code == "ledger-heavier"]
    heavier = [finding.message for finding in told]
    assert {(each.path, each.line, each.column) for each in told} == {(str(tmp_path / "flight.yaml"), 1, 1)}
    low = plan(
        tmp_path,
        f"tanks: {{left: {made.fuel.tanks[0].volume / LITRE} L, right:"
        f" {made.fuel.tanks[1].volume / LITRE} L}}",
        "60 kg, 60 kg",
    )
    high = plan(tmp_path, "tanks: {left: 55.5 L, right: 54.5 L}", "60 kg, 60 kg")
    worse = {limit.name for limit in high.limits() if limit.verdict == "outside"} - {
        limit.name for limit in low.limits() if limit.verdict == "outside"
    }
    assert worse == {"maximum landing mass"}
    for name in worse:
        assert any(name in message for message in heavier)
    from planner.quantities.units import Display
    from planner.views.words import verdict_sentence

    assert "with the highest quantity, 110.0 L" in verdict_sentence(made, Display())


def test_a_lone_source_is_told(tmp_path: Path) -> None:
    keep(*dips("10 cm", "10 cm"))
    made = plan(tmp_path)
    assert codes(made) == ["ledger-source", "ledger-alone"]
    assert made.findings[0].message.startswith("fuel from the ledger: planned with 54.0 L (dip, U ")
    assert made.findings[0].message.endswith("), the only source")


def test_a_burn_above_its_plan_is_told_before_the_next_flight(tmp_path: Path) -> None:
    keep(
        supply(T4, "uplift", "2026-06-01T08:00:00Z", "", read_quantity("20 L", "volume"), "full"),
        flight(
            T4,
            "2026-06-01T12:00:00Z",
            read_quantity("2 h", "time"),
            None,
            None,
            read_quantity("66 L", "volume"),
        ),
        *dips("9.2 cm", "9.2 cm"),
    )
    assert "ledger-burn-plan" in codes(plan(tmp_path))


def test_a_named_file_beside_the_flight(tmp_path: Path) -> None:
    with opened(tmp_path / "mine.sqlite3", T4.name) as ledger:
        ledger.add(dips("10 cm", "10 cm"))
    assert plan(tmp_path, "from: ledger, ledger: mine.sqlite3").fuel.aboard / LITRE == pytest.approx(54)


@pytest.mark.parametrize(
    ("fuel", "code"),
    [
        ("from: ledger", "ledger-missing"),
        ("from: ledger, tanks: {left: 10 L, right: 10 L}", "fuel-source"),
        ("tanks: {}", "fuel-source"),
        ("tanks: {left: 10 L, right: 10 L}, ledger: x", "fuel-source"),
        ("from: memory", "value-wrong-kind"),
    ],
)
def test_refused_with_its_place(tmp_path: Path, fuel: str, code: str) -> None:
    with pytest.raises(InputRefused) as refused:
        plan(tmp_path, fuel)
    assert [finding.code for finding in refused.value.findings] == [code]
    assert refused.value.findings[0].path.endswith("flight.yaml")
    assert refused.value.findings[0].line == 8


def test_a_ledger_that_does_not_say_is_refused(tmp_path: Path) -> None:
    keep(flight(T4, "2026-06-01T12:00:00Z", None, read_quantity("82 L", "volume"), None, None))
    with pytest.raises(InputRefused) as refused:
        plan(tmp_path)
    assert [finding.code for finding in refused.value.findings] == ["ledger-empty"]


def uplift(text: str, ticket: str, leaves: str = "", tank: str = "left", day: int = 3) -> Entry:
    return supply(T4, "uplift", f"2026-06-{day:02d}T08:00:00Z", tank, litres(text), leaves, ticket)


def flown(minutes: int, day: int) -> Entry:
    return flight(
        T4, f"2026-06-{day:02d}T12:00:00Z", read_quantity(f"{minutes} min", "time"), None, None, None
    )


def test_an_uplift_entered_twice_reaches_no_flight_until_it_is_settled(tmp_path: Path) -> None:
    keep(
        uplift("20 L", "B-1", "full", tank="", day=1),
        flown(60, 2),
        uplift("15 L", "B-2"),
        uplift("15 L", "B-2"),
    )
    with pytest.raises(InputRefused) as refused:
        plan(tmp_path)
    assert [finding.code for finding in refused.value.findings] == ["ledger-twice"]
    keep(flown(60, 4))  # the next flight hides nothing
    with pytest.raises(InputRefused):
        plan(tmp_path)
    keep(*dips("15 cm", "15 cm", "2026-06-05"))
    made = plan(tmp_path)
    assert "ledger-twice" in codes(made)
    assert made.fuel.aboard / LITRE < 144 - 33 + 15 - 33 + 2


def test_a_gauge_far_below_the_log_is_not_forgotten_by_the_next_flight(tmp_path: Path) -> None:
    full = uplift("20 L", "B-1", "full", tank="", day=1)
    low = gauge(T4, "2026-06-02T18:00:00Z", "", litres("40 L"))
    keep(full, flown(20, 2), low, flown(30, 3))
    made = plan(tmp_path)
    assert made.fuel.aboard / LITRE == pytest.approx(40 - 16.5)
    assert "ledger-disagrees" in codes(made)
    keep(flown(10, 4), *dips("19 cm", "18.6 cm", "2026-06-05"))  # as the log has it: the gauge is settled
    assert "ledger-disagrees" not in codes(plan(tmp_path))


def test_a_limit_as_bad_with_the_highest_quantity_is_not_told_again() -> None:
    outside = plan_file(ROOT / "docs/flights/seat-order.yaml")
    assert outside.verdict == "outside"
    again = with_heavier(outside, outside)
    assert (again.findings, again.limits()) == (outside.findings, outside.limits())


def test_a_search_begins_at_the_least_and_weighs_the_most(tmp_path: Path) -> None:
    """Dips of 77.4 L and a gauge of 110 L, shared as the dips are: the fuel stands tank by tank, and what may be
    aboard besides is the rest.
    """
    keep(
        *dips("13.5 cm", "13.3 cm"),
        gauge(T4, "2026-06-01T18:05:00Z", "", read_quantity("110 +/- 4 L", "volume")),
    )
    made = plan(tmp_path, rear="60 kg, 60 kg")
    case = case_of(*load_flight_file(tmp_path / "flight.yaml"))
    assert case.plan.verdict == made.verdict == "outside"
    assert case.flight.record.fuel.source is None
    assert [each.volume for each in case.plan.fuel.tanks] == pytest.approx(
        [each.volume for each in made.fuel.tanks]
    )
    assert case.heavier is not None
    assert case.heavier.fuel.aboard / LITRE == pytest.approx(110.0)
    assert sum(case.more) == pytest.approx(case.heavier.fuel.aboard - case.plan.fuel.aboard)
    assert all(extra > 0 for extra in case.more)


def test_where_one_source_is_all_there_is_nothing_is_weighed_besides(tmp_path: Path) -> None:
    keep(*dips("13.5 cm", "13.3 cm"))
    made = plan(tmp_path, rear="60 kg, 60 kg")
    case = case_of(*load_flight_file(tmp_path / "flight.yaml"))
    assert (case.more, case.heavier) == ((), None)
    assert case.plan.fuel.aboard == pytest.approx(made.fuel.aboard)
    assert case.plan.verdict == made.verdict


def test_a_row_of_a_sweep_takes_from_the_ledger_what_it_does_not_set(tmp_path: Path) -> None:
    """One tank given, the other holds what the ledger says; without fuel among the figures both do."""
    keep(*dips("10.5 cm", "10.3 cm"))
    made = plan(tmp_path)
    flight, aircraft = load_flight_file(tmp_path / "flight.yaml")
    _, right = (each.volume for each in made.fuel.tanks)
    for names, row, left in (
        (["front seats 1", "fuel left"], [90.0, 0.020], 0.020),
        (["fuel left"], [0.020], 0.020),
        (["front seats 1"], [90.0], made.fuel.tanks[0].volume),
    ):
        targets = [
            find_target(made.flight, made.aircraft, name, "L" if "fuel" in name else "kg") for name in names
        ]
        model = compile_sweep(made, targets)
        alone = plan_of_row(flight, aircraft, model, targets, row)
        assert [each.volume for each in alone.fuel.tanks] == pytest.approx([left, right], abs=1e-12)
        found = Sweeper(model).judge(np.array([row]))
        for group, margin in group_margins(alone).items():
            assert found.margins[GROUPS.index(group), 0] == pytest.approx(margin, abs=1e-9), (names, group)
