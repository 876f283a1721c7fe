"""What the ledger sees and what it does not, in months that owe nothing to its own assumptions; the rates are
those of docs/formats.md, "What can be seen".

The worst is a notice that names an entry which is right, as if it were sure: there is none.
"""

from __future__ import annotations

import random

import pytest

from planner.records.store import load_aircraft
from tests.unit.hard_month import KINDS, HardMonth, rates

BOTH = [load_aircraft(name).record for name in ("thornlea-t4", "saltmere-samphire")]
SEEDS = range(4)  # eight months for each kind and size


@pytest.mark.parametrize("craft", BOTH, ids=lambda craft: craft.name)
def test_a_hard_month_without_errors_accuses_nobody(craft: object) -> None:
    for seed in range(12):
        month = HardMonth(craft, random.Random(seed))  # type: ignore[arg-type]
        assert [str(each.finding()) for each in month.found()] == []


@pytest.mark.parametrize("kind", KINDS)
def test_an_error_within_u_is_not_seen_and_nobody_is_accused_for_it(kind: str) -> None:
    found = rates(BOTH, SEEDS, (kind,), 1.0)
    assert (found.entries, found.missed, found.accused) == (8, 8, 0)


@pytest.mark.parametrize(("kind", "seen"), [("dip", 7), ("gauge", 8), ("flight", 5), ("uplift", 0)])
def test_what_is_seen_of_an_error_of_three_u(kind: str, seen: int) -> None:
    found = rates(BOTH, SEEDS, (kind,), 3.0)
    assert found.named + found.among >= seen
    assert found.accused == 0
    if not seen:
        assert found.missed == 8  # 1 % of an uplift is less than a mark of the stick


@pytest.mark.parametrize("size", [1.5, 2.0])
def test_near_the_limit_nobody_right_is_accused(size: float) -> None:
    for kind in ("dip", "gauge", "flight"):
        assert rates(BOTH, SEEDS, (kind,), size).accused == 0


@pytest.mark.parametrize("pair", [("dip", "flight"), ("dip", "gauge")])
def test_two_errors_at_once(pair: tuple[str, ...]) -> None:
    found = rates(BOTH, SEEDS, pair, 3.0)
    assert found.named + found.among >= 10
    assert found.accused == 0


@pytest.mark.parametrize("craft", BOTH, ids=lambda craft: craft.name)
def test_a_day_that_was_not_written_down_is_told_as_missing(craft: object) -> None:
    told = 0
    for seed in range(6):
        month = HardMonth(craft, random.Random(seed), missing=12)  # type: ignore[arg-type]
        found = month.found()
        told += bool(found)
        assert all(each.missing or not each.numbers for each in found), [str(x.finding()) for x in found]
    assert told >= 4  # the rest went back to the level it had


def test_where_several_explain_it_the_notice_says_so() -> None:
    for seed in range(20):
        month = HardMonth(BOTH[1], random.Random(seed))
        wrong = month.plant("flight", 3.0)
        for each in month.found():
            if each.sure:
                continue
            message = each.finding().message
            assert message.startswith("one of these is wrong, and the entries do not say which: ")
            assert f"no. {wrong} (" in message
            assert all(f"no. {number} (" in message for number in (*each.numbers, *each.others))
            return
    raise AssertionError("none of twenty months was ambiguous")
