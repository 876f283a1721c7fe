"""Records for any input: changes that undo each other, ledgers that leave and come back, shares that add
up.
"""

from __future__ import annotations

import json
import math
import tempfile
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.logbook.ledger.agree import compare
from planner.logbook.ledger.balance import stages
from planner.logbook.ledger.contents import per_tank
from planner.logbook.ledger.entries import Entry, Stored, correction, effective, flight, gauge, supply
from planner.logbook.ledger.kept.exchange import read_file, to_csv, to_json
from planner.logbook.ledger.sources import SOURCE_ORDER, FuelSource, differ
from planner.logbook.mass.amend import amend, total_of
from planner.quantities.units import read_quantity
from planner.records.edit import set_values, spelt
from planner.records.sheets.change_sheet import load_change
from planner.records.store import load_aircraft, load_aircraft_file, profile_folder
from tests.sizes import examples

T4 = load_aircraft("thornlea-t4").record
THORNLEA = (profile_folder() / "thornlea-t4.yaml").read_text(encoding="utf-8")

words = st.text(st.characters(codec="utf-8", exclude_categories=("Cs", "Cc")), max_size=30)
kilograms = st.decimals(min_value="0.1", max_value="40", places=2)
metres = st.decimals(min_value="-2", max_value="6", places=3)


@settings(max_examples=examples(12), deadline=None)
@given(st.lists(st.tuples(kilograms, metres), min_size=1, max_size=5), words.filter(str.strip))
def test_what_is_put_in_and_taken_out_again_leaves_the_record(
    things: list[tuple[object, object]], reference: str
) -> None:
    """Mass and CG come back to within what the record is written with (0.5 g, 5 um a time), the whole chain
    stays, nothing else moves.
    """
    with tempfile.TemporaryDirectory() as folder:
        path, change = Path(folder) / "mine.yaml", Path(folder) / "change.yaml"
        path.write_text(THORNLEA, encoding="utf-8")
        start = total_of(load_aircraft_file(path).record.basic_empty)
        for key in ("added", "removed"):
            for index, (mass, arm) in enumerate(things):
                item = {f"thing {index}": {"mass": f"{mass} kg", "arm": f"{arm} m"}}
                sheet = {
                    "change": 1,
                    "aircraft": "Thornlea T4",
                    "date": "2026-12-01",
                    "reference": f"{reference[:150]} {key} {index}",
                    key: item,
                }
                change.write_text(json.dumps(sheet, ensure_ascii=False), encoding="utf-8")  # JSON is YAML
                amend(str(path), load_change(change))
        record = load_aircraft_file(path).record
        after = total_of(record.basic_empty)
        steps = 2 * len(things)
        assert after.mass == pytest.approx(start.mass, abs=5e-4 * steps)
        assert after.centre_of_gravity == pytest.approx(start.centre_of_gravity, abs=1e-5 * steps)
        assert len(record.superseded) == steps
        assert all(old.version == old.version_id for old in record.superseded)
        assert record.superseded[-1].mass.text == "688.4 +/- 2 kg"
        new = path.read_text(encoding="utf-8").splitlines()
        assert [
            line for line in new[: THORNLEA.count("\n")] if not line.startswith(("basic_empty", "source"))
        ] == [line for line in THORNLEA.splitlines() if not line.startswith(("basic_empty", "source"))]


@given(words, words)
def test_any_text_can_be_written_and_read_back(one: str, other: str) -> None:
    from planner.records.document import parse

    text = set_values("a: {x: 1, z: 3}  # kept\n", "a", {"x": spelt(one), "y": spelt([other])})
    assert parse(text, "").value == {"a": {"x": one, "z": 3, "y": [other]}}
    assert text.endswith("# kept\n")


days = st.integers(1, 28)
volumes = st.decimals(min_value="0.001", max_value="60", places=3)


@st.composite
def entries(draw: st.DrawFn) -> Entry:
    at, note = f"2026-05-{draw(days):02d}T{draw(st.integers(0, 23)):02d}:00:00Z", draw(words)
    amount = read_quantity(f"{draw(volumes)} L", "volume")
    kind = draw(st.sampled_from(["gauge", "uplift", "drain", "flight"]))
    if kind == "gauge":
        return gauge(T4, at, draw(st.sampled_from(["", "left"])), amount, note)
    if kind == "flight":
        return flight(
            T4, at, read_quantity(f"{draw(st.integers(1, 200))} min", "time"), None, None, amount, note
        )
    return supply(
        T4,
        kind,
        at,
        draw(st.sampled_from(["left", "right"])),
        amount,
        draw(st.sampled_from(["", "full"])),
        ticket=note,
        note=note,
    )  # type: ignore[arg-type]


@settings(max_examples=examples(25), deadline=None)
@given(st.lists(entries(), max_size=8), st.data())
def test_a_ledger_leaves_and_comes_back(made: list[Entry], data: st.DataObject) -> None:
    if made:
        made = [*made, correction(data.draw(st.sampled_from(made)), None, data.draw(words))]
    held = [Stored(number, entry) for number, entry in enumerate(made, 1)]
    with tempfile.TemporaryDirectory() as folder:
        for name, text in (("x.csv", to_csv(T4.name, held)), ("x.json", json.dumps(to_json(T4.name, held)))):
            path = Path(folder) / name
            path.write_bytes(text.encode())
            assert tuple(each.entry for each in read_file(path, T4.name)) == tuple(made)


@settings(max_examples=examples(25), deadline=None)
@given(st.lists(entries(), max_size=8))
def test_the_log_is_what_went_in_less_what_went_out(made: list[Entry]) -> None:
    """Between two starts of the log, its steps are the movements; its uncertainty never shrinks."""
    found = stages(T4, effective([Stored(number, entry) for number, entry in enumerate(made, 1)]))
    for before, after in pairwise(found):
        one, two = before.source("log"), after.source("log")
        assert after.movement is not None
        if one is None or two is None or after.movement.level is not None or one.basis != two.basis:
            continue
        assert two.volume - one.volume == pytest.approx(after.movement.change, abs=1e-12)
        assert two.u >= one.u - 1e-15


sources = st.builds(
    FuelSource, st.sampled_from(SOURCE_ORDER), st.floats(0, 0.2), st.floats(1e-5, 0.02), st.just("")
)


@given(st.lists(sources, min_size=1, max_size=4, unique_by=lambda each: each.name))
def test_the_odd_one_out_is_just_that(held: list[FuelSource]) -> None:
    result = compare(held)
    assert result.agree is not any(differ(one, other) for one in held for other in held)
    assert result.lowest is not None
    assert result.highest is not None
    assert result.lowest.volume == min(each.volume for each in held)
    if result.odd is not None:
        rest = [each for each in held if each is not result.odd]
        assert len(rest) >= 2
        assert not any(differ(one, other) for one in rest for other in rest)
        assert any(differ(result.odd, other) for other in rest)
    assert result.highest.volume == max(each.volume for each in held)


@given(
    st.lists(st.tuples(st.floats(0, 1), st.floats(0.001, 0.3)), min_size=1, max_size=5), st.floats(-0.1, 2)
)
def test_shares_add_up_and_fit(tanks: list[tuple[float, float]], total: float) -> None:
    weight = math.fsum(share for share, _ in tanks)
    shares = [share / weight if weight else 1 / len(tanks) for share, _ in tanks]
    capacities = [capacity for _, capacity in tanks]
    result = per_tank(total, shares, capacities)
    assert all(
        -1e-12 <= volume <= capacity + 1e-9 for volume, capacity in zip(result, capacities, strict=True)
    )
    assert math.fsum(result) == pytest.approx(min(max(total, 0.0), math.fsum(capacities)), abs=1e-9)
