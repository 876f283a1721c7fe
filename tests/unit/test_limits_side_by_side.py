"""Limits of several plans beside each other: in a comparison, and with the highest quantity of a ledger."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from types import SimpleNamespace
from typing import Any, cast

import pytest

from planner.flight.envelope import LimitResult, Verdict
from planner.flight.limits import ENOUGH, Place
from planner.plan.comparing import FEWEST, MOST, ComparedLoading, compared_limits, worst_compared
from planner.plan.from_ledger import with_heavier
from planner.quantities.errors import Finding


def limit(
    name: str,
    place: Place,
    margin: float,
    verdict: Verdict = "inside",
    key: str = "",
    variant: str = "",
    base: str = "",
) -> LimitResult:
    return LimitResult(
        name=name,
        dimension="mass",
        value=0.0,
        limit=0.0,
        margin=margin,
        uncertainty=0.0,
        verdict=verdict,
        id=key or name,
        place=place,
        base=base,
        variant=variant,
    )


@dataclass(frozen=True)
class Planned:
    """As much of a plan as is asked here."""

    checks: tuple[LimitResult, ...]
    verdict: Verdict = "inside"
    findings: tuple[Finding, ...] = ()
    flight_path: str = "flight.yaml"
    fuel: Any = field(default_factory=lambda: SimpleNamespace(aboard=0.1))

    def limits(self) -> tuple[LimitResult, ...]:
        return self.checks


def plans(*checks: tuple[LimitResult, ...]) -> list[Any]:
    return [Planned(each) for each in checks]


def test_limits_are_set_beside_each_other_in_the_order_of_the_register() -> None:
    fuel = limit("fuel required", "fuel", 5.0, key=ENOUGH)
    first = (
        limit("seats", "load", 1.0),
        limit("tank", "fuel", 2.0),
        limit("ramp mass", "ramp", 3.0),
        limit("aft", "burn", 4.0),
        fuel,
    )
    second = (
        limit("seats", "load", 1.5),
        limit("shelf", "load", 7.0),
        limit("floor", "load", 8.0),
        limit("ramp mass", "ramp", 2.0),
        limit("landing mass", "landing", 9.0),
        limit("aft", "burn", 4.0),
        replace(fuel, margin=6.0),
    )
    found = compared_limits(plans(first, second))
    assert [
        (each.limit.name, each.limit.place, [None if one is None else one.margin for one in each.checks])
        for each in found
    ] == [
        ("seats", "load", [1.0, 1.5]),
        ("shelf", "load", [None, 7.0]),
        ("floor", "load", [None, 8.0]),
        ("tank", "fuel", [2.0, None]),
        ("ramp mass", "ramp", [3.0, 2.0]),
        ("landing mass", "landing", [None, 9.0]),
        ("aft", "burn", [4.0, 4.0]),
        ("fuel required", "fuel", [5.0, 6.0]),
    ]
    assert [each.change(1) for each in found] == [0.5, None, None, None, -1.0, None, 0.0, 1.0]
    assert [each.change(0) for each in found] == [0.0, None, None, 0.0, 0.0, None, 0.0, 0.0]


def test_a_limit_met_first_in_another_loading_keeps_its_place_in_the_register() -> None:
    """What only the second has stands behind what it has before it; the first thing, before all."""
    b, d, e = (limit(name, "load", 1.0) for name in "bde")
    new = {name: limit(name, "load", 1.0) for name in ("a", "c", "cc")}
    found = compared_limits(plans((b, d, e), (new["a"], b, new["c"], new["cc"], e)))
    assert [each.limit.name for each in found] == ["a", "b", "c", "cc", "d", "e"]


def test_the_least_of_several_moment_changes_stands_and_other_words_are_another_limit() -> None:
    burn = [
        limit(f"aft{variant}, whole burn", "burn", margin, key="cg/aft", variant=variant, base="aft")
        for variant, margin in (("", 3.0), (" (gear up)", 1.0), (" (flaps)", 2.0))
    ]
    other = limit("payload of another category", "load", 1.0, key="payload")
    found = compared_limits(plans((limit("payload", "load", 2.0), *burn), (other, burn[0]), (*burn[::-1],)))
    assert [[None if one is None else one.margin for one in each.checks] for each in found] == [
        [None, 1.0, None],
        [2.0, None, None],
        [1.0, 3.0, 1.0],
    ]


def test_the_worst_loading_counts_and_two_to_five_are_compared() -> None:
    def loading(verdict: Verdict) -> ComparedLoading:
        return ComparedLoading(plan=cast(Any, Planned((), verdict)), file="flight.yaml")

    assert worst_compared([loading("inside"), loading("outside"), loading("not shown inside")]) == "outside"
    assert worst_compared([loading("inside"), loading("inside")]) == "inside"
    assert (FEWEST, MOST) == (2, 5)


@pytest.mark.parametrize(
    ("low", "high", "told", "verdict"),
    [
        ("inside", "outside", True, "outside"),
        ("inside", "not shown inside", True, "not shown inside"),
        ("not shown inside", "outside", True, "outside"),
        ("inside", "inside", False, "inside"),
        ("not shown inside", "not shown inside", False, "not shown inside"),
        ("outside", "not shown inside", False, "outside"),
        (None, "outside", True, "outside"),
        (None, "inside", False, "inside"),
    ],
)
def test_what_the_highest_quantity_brings_to_a_worse_verdict_counts(
    low: Verdict | None, high: Verdict, told: bool, verdict: Verdict
) -> None:
    before = Finding("before", "told before")
    light = Planned(
        ()
        if low is None
        else (limit("aft", "ramp", 1.0, low), limit("aft", "landing", 1.0, variant=" (gear)")),
        low or "inside",
        (before,),
    )
    heavy = Planned((limit("aft", "ramp", -1.0, high),), fuel=SimpleNamespace(aboard=0.11))
    made = with_heavier(cast(Any, light), cast(Any, heavy))
    assert made.verdict == verdict
    assert [each.code for each in made.findings] == ["before", *(["ledger-heavier"] if told else [])]
    if told:
        words = made.findings[1]
        assert "with the highest quantity, 110.0 L: aft" in words.message
        assert (words.path, words.line, words.column, words.severity) == ("flight.yaml", 1, 1, "notice")
