"""What a proof says of a box: loadings that break a limit of what is aboard by arithmetic, boxes by the plans of
their corners; and what is unsure in the forms of a profile on which nothing is sure.
"""

from __future__ import annotations

import json
from dataclasses import replace
from itertools import product
from typing import Any

import numpy as np
import pytest

from planner.facts.rules import RULES
from planner.plan import plan_flight
from planner.records.aircraft.record import Aircraft
from planner.records.document import parse
from planner.records.store import Loaded, aircraft_in, flight_in, load_aircraft, profile_folder
from planner.search.card import proof as proving
from planner.search.card.bounds import checks
from planner.search.card.boxes import Boxes
from planner.search.card.forms import BoxForm, BoxForms, compile_forms
from planner.search.card.proof import BoxLoading, _points, prove
from planner.search.card.witness import judged

T4 = (profile_folder() / "thornlea-t4.yaml").read_text(encoding="utf-8")
T4 = T4[: T4.index("examples:")]
GRADE = ("avgas-100LL",)  # 690 to 735 kg/m3


def changed(*replaced: tuple[str, str]) -> Loaded[Aircraft]:
    text = T4
    for old, new in replaced:
        assert old in text, old
        text = text.replace(old, new)
    return aircraft_in(parse(text, "profile.yaml"))


def forms_of(loaded: Loaded[Aircraft], category: str = "normal") -> BoxForms:
    return compile_forms(loaded.record, category, GRADE, 120.0, 50.0)


FEED = ("feed: together", "feed: [left, right]\nbalance: {between: [left, right], max: 15 L}")
LEFT = ("left: {capacity: 76 L,", "left: {max: 25 kg, capacity: 76 L,")
FLOOR = ("arm: 3.630 m, max: 40 kg", "arm: 3.630 m, max: 40 kg, area: 0.5 m2, max_per_area: 30 kg/m2")
PAYLOAD = ("edges: linear in cg              # this", "max_payload: 300 kg\n    edges: linear in cg   # this")


@pytest.mark.parametrize(
    ("change", "most", "litres", "broken"),
    [
        (LEFT, (100, 0, 0, 0), 68.0, False),  # 25 kg of 735 kg/m3 are 34.01 L, and as much in the other tank
        (LEFT, (100, 0, 0, 0), 68.1, True),
        (FEED, (100, 0, 0, 0), 15.0, False),  # the left tank is emptied first, so that the right is filled first
        (FEED, (100, 0, 0, 0), 15.1, True),
        (FEED, (100, 0, 0, 0), 144.0, True),  # both are full, and on the way the left is empty
        (("feed: together", "feed: together\nbalance: {between: [left, right], max: 1 L}"), (100, 0, 0, 0), 144.0, False),
        (FLOOR, (100, 0, 15, 0), 20.0, False),
        (FLOOR, (100, 0, 15.01, 0), 20.0, True),
        (PAYLOAD, (200, 80, 20, 0), 20.0, False),
        (PAYLOAD, (200, 80, 20.01, 0), 20.0, True),
    ],
)  # fmt: skip
def test_what_is_aboard_breaks_no_limit_where_the_heaviest_loading_keeps_it(
    change: tuple[str, str], most: tuple[float, ...], litres: float, broken: bool
) -> None:
    proof = prove(forms_of(changed(change)), (60.0, 0.0, 0.0, 0.0), tuple(map(float, most)), litres * 1e-3)
    assert (proof.boxes == 0) == broken
    if broken:
        assert proof.against is not None
        assert (proof.against.fuel, proof.against.density) == (pytest.approx(litres * 1e-3), 735.0)
        assert len(proof.against.masses) == 6
        assert sum(proof.against.masses[:2]) == pytest.approx(most[0] if change is PAYLOAD else 60.0)


def test_nothing_lies_where_a_category_forbids_it() -> None:
    forms = forms_of(changed(), "utility")
    assert prove(forms, (60.0, 0.0, 0.0, 0.0), (100.0, 0.0, 0.0, 0.0), 0.02).boxes > 0
    for at in (1, 2, 3):
        most = [100.0, 0.0, 0.0, 0.0]
        most[at] = 0.1
        assert prove(forms, (60.0, 0.0, 0.0, 0.0), tuple(most), 0.02).boxes == 0


def test_a_margin_of_u_is_not_shown_and_one_of_nothing_is_where_all_is_sure() -> None:
    """1040 kg at most in the landing, 688.4 +/- 2 kg empty: 1036 kg are its limit less U. Without the doubt
    1040 kg are inside. 300 kg aboard, and the rest fuel of 735 kg/m3.
    """
    box = (200.0, 100.0, 0.0, 0.0)
    sure = changed(("mass: 688.4 +/- 2 kg, arm: 2.235 +/- 0.004 m", "mass: 688.4 kg, arm: 2.235 m"))
    for loaded, mass, shown in (
        (changed(), 1036.0, False),
        (changed(), 1035.99, True),
        (sure, 1040.0, True),
        (sure, 1040.01, False),
    ):
        forms, fuel = forms_of(loaded), (mass - 688.4 - 300.0) / 735.0
        proof = prove(forms, box, box, fuel)
        assert proof.shown == shown, mass
        loading = BoxLoading(masses=(100.0, 100.0, 50.0, 50.0, 0.0, 0.0), fuel=fuel, density=735.0)
        found = judged(loaded, forms, GRADE, loading).limit
        assert (found is None) == shown
        assert (proof.against is None) == shown


def test_the_zero_fuel_mass_is_asked_where_no_fuel_is_left() -> None:
    """1000 kg without fuel: 311.6 kg aboard less the 4 kg of U, with 20 L or with none."""
    loaded = changed(("max_landing: 1040 kg}", "max_landing: 1040 kg, max_zero_fuel: 1000 kg}"))
    forms = forms_of(loaded)
    for rear, shown in ((107.5, True), (107.7, False)):
        box = (200.0, rear, 0.0, 0.0)
        assert [prove(forms, box, box, fuel).shown for fuel in (0.0, 0.02)] == [shown, shown]


def test_the_zero_fuel_mass_is_asked_of_no_box_in_which_some_fuel_is_left() -> None:
    """888.4 kg without fuel and 900 kg at most; 962 kg with 100 L, of which the last 72 L are one segment."""
    loaded = changed(
        ("max_landing: 1040 kg}", "max_landing: 1040 kg, max_zero_fuel: 900 kg}"),
        ("feed: together", "feed: [left, right]"),
        ("lateral_arm: -1.10 m", "lateral_arm: -0.10 m"),
        ("lateral_arm: 1.10 m", "lateral_arm: 0.10 m"),
    )
    forms, aboard = forms_of(loaded), (200.0, 0.0, 0.0, 0.0)
    assert forms.cuts == pytest.approx((0.0, 0.072, 0.144))
    assert prove(forms, aboard, aboard, 0.1).shown
    low = np.array([[*aboard, 690.0, fuel] for fuel in (0.0, 0.03, 0.0)])
    high = np.array([[*aboard, 735.0, fuel] for fuel in (0.01, 0.06, 0.02)])
    some = Boxes(low, high, np.array([0, 0, 1]))
    kept = [check.left.value for check in checks(forms, some)]
    assert np.min(kept, axis=0).min() > 0
    # All that is left is a mass without fuel: 900 - 888.4 - 2 x 2 in the first, not asked of the others.
    (dry,) = [each for each in kept if np.isinf(each).any() and each[0] == pytest.approx(7.6)]
    assert dry.tolist() == [pytest.approx(7.6), np.inf, np.inf]
    wet = [check.left.value for check in checks(forms, some.some(np.array([1])))]
    assert np.array(wet).tolist() == [[each[1]] for each in kept if each is not dry]


def test_places_of_the_fuel_are_asked_without_the_masses_of_those_beside_them() -> None:
    """A box of one loading for each place: masses by row, density, fuel."""
    forms = forms_of(changed())
    at = np.array(
        [[80.0, 70.0, 10.0, 20.0, 5.0, 1.0, 700.0, 0.02], [60.0, 0.0, 0.0, 0.0, 0.0, 2.0, 735.0, 0.0]]
    )
    here = np.zeros((2, 6))
    found = _points(forms, at, Boxes(here, here, np.array([0, 0])))
    expected = [[150.0, 30.0, 5.0, 1.0, 700.0, 0.02], [60.0, 0.0, 0.0, 2.0, 735.0, 0.0]]
    assert found.low.tolist() == found.high.tolist() == expected
    assert found.segment.tolist() == [0, 0]


@pytest.mark.parametrize(
    ("name", "low", "high", "fuel"),
    [
        ("thornlea-t4", (60, 0, 0, 0), (120, 40, 15, 0), 0.06),
        ("thornlea-t4", (150, 0, 0, 0), (200, 100, 30, 0), 0.06),
        ("thornlea-t4", (60, 80, 0, 0), (80, 200, 40, 0), 0.04),
        ("saltmere-samphire", (0, 0, 60, 0), (0, 90, 90, 5), 0.04),
        ("saltmere-samphire", (0, 60, 60, 0), (5, 110, 110, 15), 0.065),
        ("hazelbrook-teasel", (60, 0), (110, 5), 0.03),
        ("hazelbrook-teasel", (60, 0), (220, 20), 0.06),
    ],
)
def test_a_box_is_shown_where_the_plans_of_its_corners_are_inside(
    name: str, low: tuple[float, ...], high: tuple[float, ...], fuel: float
) -> None:
    """Shown: so is every corner. Not shown: a loading of the box refutes it, by its plan."""
    loaded = load_aircraft(name)
    grades = loaded.record.fuel_grades[:1]
    forms = compile_forms(loaded.record, "normal", grades, 120.0, 50.0)
    least = tuple(max(float(each), sum(row.least)) for each, row in zip(low, forms.rows, strict=True))
    proof = prove(forms, least, tuple(map(float, high)), fuel)
    if proof.shown:
        assert proof.against is None
        for ends in product(*zip(least, high, strict=True)):
            masses: list[float] = []
            for row, whole in zip(forms.rows, ends, strict=True):
                own = list(row.least)
                own[-1] += whole - sum(own)
                masses += own
            if max(masses[: forms.rows[0].seats]) <= 120.0:
                for density in forms.density:
                    loading = BoxLoading(masses=tuple(masses), fuel=fuel, density=density)
                    assert judged(loaded, forms, grades, loading).limit is None, loading
        return
    assert proof.against is not None
    assert proof.against.fuel == fuel
    assert len(proof.against.masses) == forms.seats
    assert forms.density[0] <= proof.against.density <= forms.density[1]
    for row, first, last in zip(forms.rows, least, high, strict=True):
        own = proof.against.masses[row.first : row.first + row.seats]
        assert first - 1e-9 <= sum(own) <= last + 1e-9
        assert all(one >= few - 1e-9 for one, few in zip(own, row.least, strict=True))
        assert max(own) <= row.heaviest + 1e-9
    assert judged(loaded, forms, grades, proof.against).limit is not None


@pytest.mark.parametrize(
    ("change", "rows", "ends", "limit"),
    [
        # 800 kg at least and U of 4 kg: 688.4 kg empty and 50 kg in front leave 65.6 kg behind.
        (("[600 kg, 2.150 m], [820 kg, 2.150 m], [1085", "[800 kg, 2.150 m], [820 kg, 2.150 m], [1085"), (50.0, None), (62.0, 74.0), "mass/least"),
        (("lateral: {left: -0.05 m", "lateral: {left: -0.03 m"), (None, 60.0), (77.0, 93.0), "lateral/left"),
        (("lateral: {left: -0.05 m, right: 0.05 m}", "lateral: {left: -0.09 m, right: 0.02 m}"), (None, 60.0), (150.0, 168.0), "lateral/right"),
        (("lateral: {left", "moment_changes: {gear up: 25 +/- 5 kg.m}\nlateral: {left"), (80.0, None), (107.0, 121.0), "cg/aft"),
        (("lateral: {left", "moment_changes: {gear up: -35 +/- 3 kg.m}\nlateral: {left"), (None, 0.0), (168.0, 182.0), "cg/forward"),
        (("lateral: {left", "moment_changes: {gear up: -40 kg.m, flaps down: 55 kg.m}\nlateral: {left"), (80.0, None), (69.0, 83.0), "cg/aft"),
        (("lateral: {left", "moment_changes: {gear up: -20 kg.m, flaps down: -18 kg.m}\nlateral: {left"), (None, 0.0), (167.0, 181.0), "cg/forward"),
    ],
)  # fmt: skip
def test_a_loading_is_shown_as_far_as_its_plan_is_inside(
    change: tuple[str, str], rows: tuple[float | None, float | None], ends: tuple[float, float], limit: str
) -> None:
    """One row is loaded across the limit: where the plans turn between two kilograms, so does the proof."""
    loaded = changed(change)
    forms = forms_of(loaded)

    def plans(front: float, rear: float) -> list[str]:
        spread = {(min(front, 120.0), front - min(front, 120.0)), (50.0, front - 50.0)}
        judgements = [
            judged(
                loaded,
                forms,
                GRADE,
                BoxLoading(masses=(*seats, rear, 0.0, 0.0, 0.0), fuel=0.01, density=density),
            )
            for seats in spread
            for density in forms.density
            if seats[1] <= 120.0
        ]
        return [each.limit.id for each in judgements if each.limit is not None]

    def both(value: float) -> tuple[bool, list[str]]:
        front, rear = (value if each is None else each for each in rows)
        found = prove(forms, (front, rear, 0.0, 0.0), (front, rear, 0.0, 0.0), 0.01)
        told = plans(front, rear)
        assert not (found.shown and told), (value, told)
        return found.shown, told

    low, high = ends
    kept = not both(low)[1]
    assert kept != (not both(high)[1]), "the plans turn in between"
    while high - low > 2.0:
        middle = (low + high) / 2
        low, high = (middle, high) if (not both(middle)[1]) == kept else (low, middle)
    outside, inside = (high, low) if kept else (low, high)
    assert limit in both(outside)[1]
    assert both(inside + 2 * (inside - outside)) == (True, [])


def halvings(
    monkeypatch: pytest.MonkeyPatch, low: Any, high: Any, fuel: float, most: int = 99
) -> list[Boxes]:
    """The boxes looked at, where none is shown unless it is of one loading."""
    looked: list[Boxes] = []

    def judge(forms: BoxForms, boxes: Boxes) -> tuple[Any, Any]:
        wide = (boxes.high - boxes.low).max(axis=1) > 0
        if wide.any():
            looked.append(boxes)
        shown = ~wide | (len(looked) > most)
        return shown, np.zeros((len(boxes), forms.seats + 2))

    monkeypatch.setattr(proving, "_judged", judge)
    forms = replace(forms_of(changed()), density=(700.0, 700.0))
    found = prove(forms, low, high, fuel)
    assert found.boxes == sum(map(len, looked))
    assert found.shown == (len(looked) > most)
    assert found.against is None
    return looked


@pytest.mark.parametrize(
    ("wide", "times"), [(0.019, 1), (0.021, 2), (0.039, 2), (0.041, 3), (0.159, 4), (0.161, 5)]
)
def test_a_box_is_halved_until_it_is_narrower_than_20_g(
    monkeypatch: pytest.MonkeyPatch, wide: float, times: int
) -> None:
    looked = halvings(monkeypatch, (60.0, 0.0, 0.0, 0.0), (60.0, wide, 0.0, 0.0), 0.0)
    assert [len(boxes) for boxes in looked] == [2**at for at in range(times)]
    for boxes in looked:
        assert sorted(boxes.low[:, 1]) == pytest.approx(np.arange(len(boxes)) * wide / len(boxes))
        assert boxes.high[:, 1] - boxes.low[:, 1] == pytest.approx(wide / len(boxes))


def test_a_box_is_halved_across_the_side_that_spans_the_most_mass(monkeypatch: pytest.MonkeyPatch) -> None:
    """20 L of 700 kg/m3 are 14 kg, beside 10 kg behind and 5 kg in front."""
    looked = halvings(monkeypatch, (60.0, 0.0, 0.0, 0.0), (65.0, 10.0, 0.0, 0.0), 0.02, most=3)
    sizes = [(boxes.high - boxes.low)[:, [0, 1, 5]].tolist() for boxes in looked]
    assert sizes[0] == [pytest.approx([5.0, 10.0, 0.02])]
    assert sizes[1] == [pytest.approx([5.0, 10.0, 0.01])] * 2
    assert sizes[2] == [pytest.approx([5.0, 5.0, 0.01])] * 4
    assert sizes[3] == [pytest.approx([5.0, 5.0, 0.005])] * 8


@pytest.mark.parametrize("density", [680.0, 689.9, 690.0, 730.0, 730.1, 735.0])
def test_a_loading_is_judged_with_a_grade_that_may_weigh_so(density: float) -> None:
    """avgas-UL91 weighs 680 to 730 kg/m3, avgas-100LL 690 to 735. No trip is flown: no fuel is enough."""
    loaded = changed()
    grades = ("avgas-UL91", *GRADE)
    forms = compile_forms(loaded.record, "normal", grades, 120.0, 50.0)
    assert forms.density == (680.0, 735.0)
    for fuel in (0.0, 0.05):
        loading = BoxLoading(masses=(80.0, 0.0, 0.0, 0.0, 0.0, 0.0), fuel=fuel, density=density)
        found = judged(loaded, forms, grades, loading)
        assert (found.limit, found.loading) == (None, loading)


UNSURE = (
    ("arm: 2.235 +/- 0.004 m,", "arm: 2.235 +/- 0.004 m, lateral_arm: 0.003 +/- 0.002 m,"),
    ("includes: [full oil, unusable fuel]}", "includes: []}\noil: {volume: 6 +/- 0.5 L, arm: 1.1 +/- 0.01 m}"),
    ("arm: 2.165 m, lateral_arms: [-0.28 m, 0.28 m]", "arm: 2.165 +/- 0.01 m, lateral_arms: [-0.28 +/- 0.01 m, 0.28 +/- 0.02 m]"),
    ("rear seats: {kind: seats, seats: 2, arm: 3.005 m}", "rear seats: {kind: seats, seats: 2, arm: 3.005 +/- 0.02 m, lateral_arm: 0.0 +/- 0.03 m}"),
    ("baggage: {kind: baggage, arm: 3.630 m", "baggage: {kind: baggage, arm: 3.630 +/- 0.05 m, lateral_arm: 0.1 m"),
    ("left: {capacity: 76 L, unusable: 4 L, arm: 2.410 m, lateral_arm: -1.10 m}", "left: {capacity: 76 L, unusable: 4 +/- 0.5 L, arm: 2.410 +/- 0.02 m, lateral_arm: -1.10 +/- 0.04 m}"),
    ("right: {capacity: 76 L, unusable: 4 L, arm: 2.410 m,", "right: {capacity: 76 L, unusable: 4 +/- 0.5 L, arm: [[0 L, 2.3 +/- 0.01 m], [30 L, 2.41 +/- 0.02 m], [76 L, 2.5 m]],"),
)  # fmt: skip


def at(form: BoxForm, masses: tuple[float, ...], density: float, segment: int, fuel: float) -> float:
    """A form as its docstring has it."""
    a, b, c = form.fuel[segment]
    return float(
        form.constant
        + form.seats @ np.array(masses)
        + density * (form.at_density + a + b * fuel + c * fuel**2)
    )


@pytest.mark.parametrize("feed", ["feed: together", "feed: [left, right]", "feed: [right, left]"])
def test_forms_have_all_that_is_unsure_as_a_plan_has_it(feed: str) -> None:
    """Mass, moments and the change each cause makes in the margins of the ramp, for the same loading."""
    loaded = changed(*UNSURE, ("feed: together", feed))
    forms, random = forms_of(loaded), np.random.default_rng(4)
    assert forms.density == (690.0, 735.0)
    assert forms.cuts == tuple(sorted(forms.cuts))
    assert (forms.cuts[0], forms.cuts[-1]) == (0.0, pytest.approx(0.144))
    for fuel in (0.0, 0.01, 0.05, 0.075, 0.1, 0.144):
        masses = tuple(random.uniform(50.0, 80.0, 6) * (1, 1, 0.2, 0.2, 0.1, 0.1))
        density = float(random.uniform(*forms.density))
        segment = max(int(np.searchsorted(forms.cuts, fuel)) - 1, 0)
        limits = ramp(loaded, forms, masses, density, fuel)
        here = (masses, density, segment, fuel - forms.cuts[segment])
        mass, moment, lateral = (at(form, *here) for form in (forms.mass, forms.moment, forms.lateral))
        assert limits["mass/greatest"].value == pytest.approx(mass, rel=1e-12)
        assert limits["cg/aft"].value == pytest.approx(moment / mass, rel=1e-12)
        assert limits["lateral/left"].value == pytest.approx(lateral / mass, rel=1e-9, abs=1e-12)
        off = [[at(form, *here) for form in (one.mass, one.moment, one.lateral)] for one in forms.causes]
        changes = {
            "mass/greatest": [each for each, _, _ in off],
            "cg/aft": [(each - moment / mass * heavier) / mass for heavier, each, _ in off],
            "lateral/left": [(each - lateral / mass * heavier) / mass for heavier, _, each in off],
        }
        for name, found in changes.items():
            expected = sorted(abs(change) for _, change in limits[name].causes)
            mine = sorted(abs(each) for each in found if abs(each) > 1e-13)
            assert mine == pytest.approx(expected, rel=1e-7, abs=1e-12), (name, fuel)


def ramp(
    loaded: Loaded[Aircraft], forms: BoxForms, masses: tuple[float, ...], density: float, fuel: float
) -> dict[str, Any]:
    """The limits of the ramp by id, from the plan of a flight."""
    flight = {
        "flight": 1,
        "aircraft": "as given",
        "category": forms.category,
        "rules": next(iter(RULES)),
        "load": {
            row.name: [f"{mass!r} kg" for mass in map(float, masses[row.first : row.first + row.seats])]
            for row in forms.rows
        },
        "fuel": {
            "grade": GRADE[0],
            "density": {"fixed": f"{density!r} kg/m3"},
            "tanks": {
                name: f"{volume!r} m3"
                for name, volume in zip(loaded.record.tanks, forms.volumes(fuel), strict=True)
            },
        },
        "trip": [{"phase": "cruise", "fuel": "0 L"}],
    }
    plan = plan_flight(flight_in(parse(json.dumps(flight), "flight.yaml"), loaded), loaded)
    return {each.id: each for each in plan.limits() if each.place == "ramp"}
