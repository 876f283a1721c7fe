"""Certainty of a plan: budgets, evidence, what measuring buys, what the density buys, and random draws."""

from __future__ import annotations

import math
from pathlib import Path
from statistics import NormalDist

import numpy as np
import pytest

from planner.density.basis import choose
from planner.facts.evidence import EVIDENCE
from planner.facts.grades import GRADES
from planner.facts.standard_masses import seat_band
from planner.flight.envelope import LimitResult
from planner.plan import Plan, plan_file, plan_flight
from planner.quantities.effects import COVERAGE, FUEL_DENSITY, fuel_in
from planner.quantities.errors import InputRefused
from planner.quantities.units import Display, Quantity
from planner.records.flight.load_items import LoadMass
from planner.records.store import load_flight_file
from planner.sureness.certainty import budget, expanded_with
from planner.sureness.chance import SHOWN, Chance, chance
from planner.sureness.margins import DrawnMargins
from planner.sureness.sureness import measurements, sureness
from planner.views.flight.certainty_text import book_sentence, chance_sentence
from tests.oracle.plain import edges, plain

FLIGHTS = Path(__file__).parents[2] / "docs" / "flights"
PROFILES = Path(__file__).parents[2] / "aircraft_profiles"

FLIGHT = """\
flight: 1
aircraft: {aircraft}
category: normal
rules: us-vfr-day
load: {load}
fuel:
  grade: avgas-100LL
  temperature: 15 degC
  density: {density}
  tanks: {{left: 31 L, right: 31 L}}
trip: [{{phase: cruise, time: 30 min}}]
"""


def planned(
    folder: Path,
    load: str,
    density: str = "{fixed: 0.720 kg/L}",
    empty: str = "688.4 kg, arm: 2.235 m",
    tanks: str = "left: 31 L, right: 31 L",
) -> Plan:
    """The reference four-seater with this load, density, fuel and basic empty mass, planned from files."""
    text = (PROFILES / "thornlea-t4.yaml").read_text(encoding="utf-8")
    start = text.index("mass: 688.4")
    end = text.index(", date:", start)
    (folder / "aircraft.yaml").write_text(text[:start] + f"mass: {empty}" + text[end:], encoding="utf-8")
    flight = folder / "flight.yaml"
    text = FLIGHT.replace("left: 31 L, right: 31 L", tanks)
    flight.write_text(text.format(aircraft="./aircraft.yaml", load=load, density=density), encoding="utf-8")
    return plan_file(flight)


def aft_on_the_ramp(plan: Plan) -> LimitResult:
    return next(limit for limit in plan.state("ramp").limits if limit.name == "aft limit")


# Demonstrations on the invented four-seater; its margins are arithmetic, the uncertainties assumed are
# written out here (common practice, no published source). 80, 70 / 78, 72, bag 15 kg, 62 L at 0.720 kg/L.
# Stated people 5 kg and bag 1.8 kg; an aircraft known to 2 kg and 7 mm; weighed people 0.5 kg, bag 0.3 kg;
# weighed aircraft 2 kg and 4 mm.
STATED = (
    "{front seats: [80 +/- 5 kg, 70 +/- 5 kg], rear seats: [78 +/- 5 kg, 72 +/- 5 kg], baggage: 15 +/-"
    " 1.8 kg}"
)
WEIGHED = (
    "{front seats: [80 +/- 0.5 kg, 70 +/- 0.5 kg], rear seats: [78 +/- 0.5 kg, 72 +/- 0.5 kg], baggage: 15"
    " +/- 0.3 kg}"
)
LOOSE_AIRCRAFT = "688.4 +/- 2 kg, arm: 2.235 +/- 0.007 m"
WEIGHED_AIRCRAFT = "688.4 +/- 2 kg, arm: 2.235 +/- 0.004 m"


@pytest.mark.parametrize(
    ("load", "empty", "sigma_mm"),
    [(STATED, LOOSE_AIRCRAFT, 6.8), (WEIGHED, LOOSE_AIRCRAFT, 4.6), (WEIGHED, WEIGHED_AIRCRAFT, 2.7)],
)
def test_demonstration_weighing_narrows_the_margin(
    tmp_path: Path, load: str, empty: str, sigma_mm: float
) -> None:
    limit = aft_on_the_ramp(planned(tmp_path, load, empty=empty))
    assert limit.margin * 1000 == pytest.approx(7.4, abs=0.05)  # printed to 0.1 mm
    assert limit.uncertainty / COVERAGE * 1000 == pytest.approx(sigma_mm, abs=0.05)


def test_the_same_margin_turns_from_not_shown_to_inside(tmp_path: Path) -> None:
    assert aft_on_the_ramp(planned(tmp_path, STATED, empty=LOOSE_AIRCRAFT)).verdict == "not shown inside"
    assert aft_on_the_ramp(planned(tmp_path, WEIGHED, empty=WEIGHED_AIRCRAFT)).verdict == "inside"


def test_budget_shares_sum_to_one_and_rank() -> None:
    shares = budget([("a", 3.0), ("b", -4.0), ("c", 0.0)])
    assert [share.cause for share in shares] == ["b", "a"]
    assert [share.share for share in shares] == pytest.approx([16 / 25, 9 / 25])
    assert budget([("a", 0.0)]) == ()


def test_expanded_with_scales_only_what_is_named() -> None:
    causes = [("a", 3.0), ("b", 4.0)]
    assert expanded_with(causes, {}) == pytest.approx(10.0)
    assert expanded_with(causes, {"b": 0.0}) == pytest.approx(6.0)


def test_evidence_pads_and_uncertainty_are_named(tmp_path: Path) -> None:
    load = (
        "{front seats: [{mass: 80 kg, how: stated}, {mass: 70 +/- 1 kg, how: weighed}], rear seats: {how:"
        " standard, people: 2, who: female}}"
    )
    front, rear = (planned(tmp_path, load).flight.load[name] for name in ("front seats", "rear seats"))
    stated, weighed = front
    rule = EVIDENCE[("person", "stated")]
    assert isinstance(stated, LoadMass)
    assert (stated.value, stated.u) == (80.0 + rule.pad, rule.u)
    assert f"default u {rule.u:g} kg" in stated.basis
    assert isinstance(weighed, LoadMass)
    assert (weighed.value, weighed.u) == (70.0, 1.0)
    assert "default" not in weighed.basis  # a stated uncertainty replaces the default, never adds to it
    assert [mass.value for mass in rear] == [seat_band(3).female] * 2


def test_own_pad_replaces_the_grades_pad(tmp_path: Path) -> None:
    (mass,) = planned(tmp_path, "{front seats: {mass: 80 kg, how: stated, pad: 1 kg}}").flight.load[
        "front seats"
    ]
    assert mass.value == 81.0
    assert isinstance(mass, LoadMass)
    assert "a pad of your own" in mass.basis


@pytest.mark.parametrize(
    ("load", "fragment"),
    [
        ("{front seats: {how: standard, mass: 80 kg}}", "a standard mass is not stated"),
        ("{front seats: {how: weighed}}", "a mass that is weighed is missing"),
        ("{front seats: {how: stated, mass: 80 kg, people: 2}}", "one mass cannot stand for several people"),
        ("{baggage: {how: standard}}", "there is no standard mass for 'baggage'"),
        ("{front seats: {how: told, mass: 80 kg}}", "'told' does not fit here"),
        ("{front seats: {mass: 80 kg}}", "'how' is missing"),
        ("{rear seats: {how: standard, people: 3}}", "3 masses for 2 seats"),
    ],
)
def test_bad_evidence_is_refused(tmp_path: Path, load: str, fragment: str) -> None:
    with pytest.raises(InputRefused) as refused:
        planned(tmp_path, load)
    assert fragment in str(refused.value)


def test_two_seats_share_nothing_but_one_density_is_shared(tmp_path: Path) -> None:
    """Two people of u 5 kg add in quadrature; the density error of two tanks adds straight."""
    people = planned(tmp_path, "{front seats: [80 +/- 5 kg, 70 +/- 5 kg]}")
    mass = next(
        limit for limit in people.state("zero fuel").limits if limit.name == "least mass of the envelope"
    )
    assert mass.uncertainty == pytest.approx(2 * math.hypot(5, 5))
    fuel = planned(tmp_path, "{front seats: [80 kg, 70 kg]}", density="{fixed: 0.720 +/- 0.01 kg/L}")
    ramp = next(limit for limit in fuel.state("ramp").limits if limit.name == "least mass of the envelope")
    assert ramp.uncertainty == pytest.approx(2 * 0.062 * 10)  # 62 L x 10 kg/m3, not 31 L twice in quadrature


def test_a_density_with_uncertainty_is_raised_for_masses_and_not_counted_twice(tmp_path: Path) -> None:
    plan = planned(tmp_path, "{front seats: [80 kg, 70 kg]}", density="{fixed: 0.720 +/- 0.01 kg/L}")
    limit = next(limit for limit in plan.state("ramp").limits if limit.name == "maximum ramp mass")
    assert limit.value - plan.state("ramp").total.mass == pytest.approx(2 * 0.062 * 10)
    assert limit.uncertainty == 0.0


def test_improvements_are_promised_only_for_what_can_be_inside() -> None:
    outside = sureness(plan_file(FLIGHTS / "seat-order.yaml"))
    assert outside.improvements == ()
    assert "uncertainty cannot improve that" in outside.sentence
    unsure = sureness(plan_file(FLIGHTS / "not-shown-inside.yaml"))
    assert unsure.improvements
    assert all(each.uncertainty < unsure.weakest.limit.uncertainty for each in unsure.improvements)
    assert [each.uncertainty for each in unsure.improvements] == sorted(
        each.uncertainty for each in unsure.improvements
    )


def test_improvement_is_what_planning_again_gives(tmp_path: Path) -> None:
    """Weighing the rear passengers, foretold from the budget, equals the plan with their uncertainty
    replaced.
    """
    stated = planned(tmp_path, STATED, empty=LOOSE_AIRCRAFT)
    sure = sureness(stated)
    foretold = next(each for each in sure.improvements if "people on rear seats" in each.what)
    weighed = planned(
        tmp_path,
        STATED.replace("78 +/- 5", "78 +/- 0.5").replace("72 +/- 5", "72 +/- 0.5"),
        empty=LOOSE_AIRCRAFT,
    )
    again = next(
        each.limit
        for each in sureness(weighed).budgets
        if (each.where, each.limit.name) == (sure.weakest.where, sure.weakest.limit.name)
    )
    assert foretold.uncertainty == pytest.approx(again.uncertainty, rel=1e-9)
    assert again.uncertainty < sure.weakest.limit.uncertainty


def test_book_comparison_by_hand(tmp_path: Path) -> None:
    plan = planned(tmp_path, "{front seats: [80 kg, 70 kg]}", density="{at_15C: 0.700 kg/L}")
    book = sureness(plan).book
    assert book.mass == pytest.approx(0.062 * (700.0 - plan.grade.standard_density), rel=1e-9)
    assert book.endurance == 0.0  # flows by volume do not care
    assert "+0 min" in book_sentence(book, Display())


def test_fuel_by_mass_weighs_the_same_and_lasts_longer_where_it_is_thinner(tmp_path: Path) -> None:
    """Mass over density is the volume, and the flows are by volume: endurances are as the densities are."""
    fixed = "{fixed: 0.700 kg/L}"
    plan = planned(tmp_path, "{front seats: [80 kg, 70 kg]}", fixed, tanks="left: 20 kg, right: 20 kg")
    book = sureness(plan).book
    assert (book.mass, book.cg) == pytest.approx((0.0, 0.0), abs=1e-9)
    assert book.book_density != 700.0
    assert (plan.fuel.endurance - book.endurance) / plan.fuel.endurance == pytest.approx(
        700.0 / book.book_density
    )


@pytest.mark.parametrize("temperature", [-50, 60])
@pytest.mark.parametrize("grade", GRADES)
def test_every_grade_has_a_book_figure_at_every_temperature_of_a_flight(grade: str, temperature: int) -> None:
    choose(GRADES[grade], Quantity(temperature, 0.0, "temperature", ""), source="")


def test_book_comparison_says_when_it_buys_nothing(tmp_path: Path) -> None:
    plan = planned(tmp_path, "{front seats: [80 kg, 70 kg]}", density="{standard: true}")
    book = sureness(plan).book
    assert "uses the book figure itself" in book_sentence(book, Display())
    assert (book.mass, book.cg, book.endurance) == (0.0, 0.0, 0.0)


def test_the_weakest_of_exact_limits_has_the_least_margin_as_a_share_of_itself(tmp_path: Path) -> None:
    """39.6 of 40 kg of baggage are 1 %; 6.6 mm of the 50 mm to the left are less than that of a metre, and
    13 %: (37 L x 0.72 kg/L x 1.10 m + 40 kg x 0.28 m) / 933 kg = 43.4 mm.
    """
    load = "{front seats: [100 kg, 60 kg], baggage: 39.6 kg}"
    plan = planned(tmp_path, load, tanks="left: 50 L, right: 13 L")
    weakest = sureness(plan).weakest
    assert (weakest.where, weakest.limit.value, weakest.limit.limit) == ("load", 39.6, 40.0)
    left = next(each for each in plan.state("ramp").limits if each.id == "lateral/left")
    assert left.margin == pytest.approx(0.0066, abs=1e-4)


def test_the_weakest_of_limits_passed_is_passed_by_the_largest_share(tmp_path: Path) -> None:
    """A kilogram of 40 is a larger one than 22 of 1040."""
    heavy = "{front seats: [100 kg, 100 kg], rear seats: [70 kg, 30 kg], baggage: 41 kg}"
    plan = planned(tmp_path, heavy)
    assert sum(limit.margin < 0 for limit in plan.limits()) == 2
    assert sureness(plan).weakest.limit.limit == 40.0


def test_a_limit_with_a_budget_is_weaker_than_a_nearer_one_that_is_exact(tmp_path: Path) -> None:
    """Of what is exact nothing can be measured better."""
    plan = planned(tmp_path, "{front seats: [80 +/- 1 kg, 70 +/- 1 kg], baggage: 39.99 kg}")
    weakest = sureness(plan).weakest
    assert weakest.shares
    margin, u = weakest.limit.tightest
    assert margin / u == min(each.margin / each.uncertainty for each in plan.limits() if each.uncertainty)


@pytest.mark.parametrize(
    ("empty", "what"),
    [
        # A careful weighing reaches 1 kg and 2 mm, which is 0.002 m x 688.4 kg of moment.
        ("688.4 +/- 4 kg, arm: 2.235 m", {"basic empty mass": 1 / 4}),
        ("688.4 kg, arm: 2.235 +/- 0.008 m", {"basic empty arm": 2 / 8}),
        ("688.4 kg, moment: 1538.574 +/- 6.884 kg.m", {"basic empty moment": 0.002 / 0.010}),
        ("688.4 +/- 0.9 kg, arm: 2.235 +/- 0.0019 m", None),
    ],
)
def test_what_weighing_the_aircraft_again_buys(
    tmp_path: Path, empty: str, what: dict[str, float] | None
) -> None:
    found = dict(measurements(planned(tmp_path, "{front seats: [80 kg, 70 kg]}", empty=empty)))
    assert found.get("weigh the aircraft again") == (what and pytest.approx(what))


def test_what_measuring_people_bags_and_fuel_buys(tmp_path: Path) -> None:
    """A person weighed is sure to 0.5 kg, a bag to 0.3 kg, a dipped tank to a litre, a measured density to 0.5
    kg/m3: common practice.
    """
    load = "{front seats: [80 +/- 5 kg, 70 +/- 0.5 kg], rear seats: [60 +/- 2 kg, 60 +/- 4 kg], baggage: 10 +/- 3 kg}"
    plan = planned(
        tmp_path, load, "{fixed: 0.720 +/- 0.005 kg/L}", tanks="left: 31 +/- 4 L, right: 31 +/- 1 L"
    )
    person, bag = (EVIDENCE[kind, "weighed"].u for kind in ("person", "bag"))
    assert dict(measurements(plan)) == {
        "weigh the one on front seats": {"front seats 1": person / 5},
        "weigh the 2 people on rear seats": {"rear seats 1": person / 2, "rear seats 2": person / 4},
        "weigh what is on baggage": {"baggage": bag / 3},
        "measure the density of the fuel": {FUEL_DENSITY: 0.5 / 5},
        "dip the left tank with its own stick": {fuel_in("left"): pytest.approx(1 / 4)},
    }


@pytest.mark.parametrize("name", ["demo", "not-shown-inside", "fuel-ahead-of-cg"])
def test_draws_agree_with_the_linear_result(name: str) -> None:
    """The share outside the weakest limit agrees with the normal tail of its margin within 5 standard errors
    and a linearity allowance.
    """
    plan = plan_file(FLIGHTS / f"{name}.yaml")
    drawn = chance(plan, 200_000, seed=7)
    weakest = min(
        (limit for limit in plan.burn.limits if limit.uncertainty),
        key=lambda limit: limit.margin / limit.uncertainty,
    )
    tail = NormalDist().cdf(-COVERAGE * weakest.margin / weakest.uncertainty)
    counted = dict(drawn.failures)[weakest.name.removesuffix(", whole burn")] / drawn.draws
    error = math.sqrt(tail * (1 - tail) / drawn.draws)
    assert counted == pytest.approx(
        tail, abs=5 * error + 0.002
    )  # 0.002: second-order terms, seen below 0.001


def test_draws_are_reproducible_and_do_not_depend_on_progress() -> None:
    plan = plan_file(FLIGHTS / "not-shown-inside.yaml")
    seen: list[int] = []
    assert chance(plan, 20_000, seed=3, progress=seen.append) == chance(plan, 20_000, seed=3)
    assert seen[-1] == 20_000
    assert chance(plan, 20_000, seed=4).inside != chance(plan, 20_000, seed=3).inside


def test_draws_of_a_plan_outside_without_uncertainty_are_all_outside() -> None:
    drawn = chance(plan_file(FLIGHTS / "middle-of-the-flight.yaml"), 1000)
    assert drawn.inside == 0
    assert drawn.failures


def test_less_than_the_share_never_reads_as_fine() -> None:
    plan = plan_file(FLIGHTS / "not-shown-inside.yaml")
    drawn = chance(plan, 5000)
    assert drawn.share < SHOWN
    assert chance_sentence(drawn).startswith("NOT SHOWN INSIDE")
    fine = chance(plan_file(FLIGHTS / "demo.yaml"), 5000)
    assert fine.share >= SHOWN
    assert "NOT" not in chance_sentence(fine)


def test_no_draws_are_refused() -> None:
    with pytest.raises(ValueError, match="0 draws"):
        chance(plan_file(FLIGHTS / "demo.yaml"), 0)
    assert chance(plan_file(FLIGHTS / "demo.yaml"), 1).draws == 1


@pytest.mark.parametrize(("taxi", "share"), [("2 L", 1.0), ("1 L", 0.0)])
def test_gear_up_is_drawn_only_where_there_is_fuel_in_the_air(
    tmp_path: Path, taxi: str, share: float
) -> None:
    """780 kg at 2.0103 m; gear up, 78 kg.m more, they lie at 2.11 m, behind the aft limit of 2.05 m."""
    flight, aircraft = load_flight_file(
        plain(
            moment_changes={"gear up": "78 kg.m"},
            envelopes=edges("1.9 m", "2.05 m"),
            load={"front seats": "80 +/- 1 kg"},
            fuel={"grade": "avgas-100LL", "density": {"fixed": "0.7 kg/L"}, "tanks": {"main": "2 L"}},
            trip=[{"phase": "taxi", "fuel": taxi}, {"phase": "cruise", "fuel": "0 L"}],
        ).write(tmp_path)
    )
    assert chance(plan_flight(flight, aircraft), 100).share == share


def test_what_is_counted_is_what_every_draw_flown_in_full_says() -> None:
    """Draws of two blocks and some more, limit by limit; of a limit asked at several corners the worst counts."""
    plan, draws, seen = plan_file(FLIGHTS / "not-shown-inside.yaml"), 18_000, list[int]()
    drawn = chance(plan, draws, seed=3, progress=seen.append)
    assert seen == [8192, 16384, 18000]
    margins, rng = DrawnMargins(plan), np.random.default_rng(3)
    outside, counts = 0, np.zeros(len(margins.names), dtype=int)
    for size in (8192, 8192, 18_000 - 2 * 8192):
        failed = margins.of(rng.standard_normal((len(margins.causes), size))) < 0
        outside += int(failed.any(axis=0).sum())
        counts += failed.sum(axis=1)
    expected: dict[str, int] = {}
    for name, count in zip(margins.names, counts.tolist(), strict=True):
        expected[name] = max(count, expected.get(name, 0))
    assert dict(drawn.failures) == {name: count for name, count in expected.items() if count}
    assert [count for _, count in drawn.failures] == sorted(
        (count for count in expected.values() if count), reverse=True
    )
    assert (drawn.draws, drawn.inside, drawn.seed) == (draws, draws - outside, 3)
    share = 1 - outside / draws
    assert drawn.share == pytest.approx(share)
    assert drawn.standard_error == pytest.approx(math.sqrt(share * (1 - share) / draws))
    assert chance(plan, 100) == chance(plan, 100, seed=1)


def test_the_share_that_shows_is_that_of_a_margin_of_two_standard_deviations() -> None:
    assert pytest.approx(NormalDist().cdf(2.0), abs=5e-4) == SHOWN
    for inside, shown in ((977, True), (976, False), (978, True)):
        drawn = Chance(1000, inside, inside / 1000, 0.0, 1, (), 0)
        assert drawn.shown is shown


def test_a_limit_that_nothing_unsure_moves_is_decided_once_for_all_draws(tmp_path: Path) -> None:
    """13 kg on a shelf for 10 to the gram; the one in front is unsure."""
    plan = planned(tmp_path, "{front seats: [80 +/- 2 kg, 70 kg], shelf: 13 kg}")
    drawn = chance(plan, 1000)
    assert (drawn.inside, drawn.failures, drawn.full_checks) == (0, (("shelf limit", 1000),), 0)
    exact = chance(planned(tmp_path, "{front seats: [80 kg, 70 kg], shelf: 13 kg}"), 1000)
    assert (exact.inside, exact.failures) == (0, (("shelf limit", 1000),))


@pytest.mark.parametrize("front", ["80 kg", "80 +/- 2 kg"])
def test_a_limit_reached_to_the_gram_is_passed_by_no_draw(tmp_path: Path, front: str) -> None:
    """10 kg on a shelf for 10, whatever else is unsure."""
    drawn = chance(planned(tmp_path, f"{{front seats: [{front}, 70 kg], shelf: 10 kg}}"), 1000)
    assert (drawn.inside, drawn.failures, drawn.full_checks) == (1000, (), 0)
