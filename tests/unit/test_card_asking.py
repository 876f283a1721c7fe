"""What a card is asked: from options typed as docs/card.md has them, every figure worked out beside it."""

from __future__ import annotations

import pytest

from planner.quantities.errors import InputRefused
from planner.quantities.units import Display, UnitSystem
from planner.records.aircraft.record import Aircraft
from planner.records.document import parse
from planner.records.store import aircraft_in, load_aircraft, profile_folder
from planner.search.card import CardAsk, Typed, read_ask

POUND = 0.45359237
T4 = (profile_folder() / "thornlea-t4.yaml").read_text(encoding="utf-8")


def asked(typed: Typed, aircraft: Aircraft | None = None, units: UnitSystem = "metric") -> CardAsk:
    return read_ask(aircraft or load_aircraft("thornlea-t4").record, typed, Display(units))


def refused(typed: Typed, aircraft: Aircraft | None = None) -> list[tuple[str, str]]:
    """Where and what."""
    with pytest.raises(InputRefused) as found:
        asked(typed, aircraft)
    assert all((each.line, each.column) == (0, 0) for each in found.value.findings), "an option has no line"
    return [(each.path, each.message) for each in found.value.findings]


def changed(*replaced: tuple[str, str]) -> Aircraft:
    text = T4
    for old, new in replaced:
        assert old in text
        text = text.replace(old, new)
    return aircraft_in(parse(text, "profile.yaml")).record


def test_options_of_a_category_leave_out_what_it_forbids() -> None:
    """Utility: nobody behind and nothing in the baggage places."""
    found = asked(Typed(category="utility"))
    assert found.category == "utility"
    assert found.across[0] == "front seats"
    assert (found.down, found.baggage) == (("", (0.0,)), ("", (0.0,)))
    assert [where for where, _ in refused(Typed(category="utility", down="rear seats"))] == ["--down"]
    assert refused(Typed(category="utilty")) == [("--category", "'utilty' is no category")]


def test_the_first_category_is_that_of_a_card_that_names_none() -> None:
    assert asked(Typed()).category == "normal"


def test_a_range_is_read_with_its_unit_and_parted_into_bands() -> None:
    found = asked(
        Typed(
            across="front seats=60..130 kg",
            across_step="20 kg",
            down="rear seats = 0 .. 1e2 kg",
            down_step="25 kg",
        )
    )
    assert found.across == ("front seats", pytest.approx((60.0, 80.0, 100.0, 120.0, 130.0)))
    assert found.down == ("rear seats", (0.0, 25.0, 50.0, 75.0, 100.0))
    pounds = asked(Typed(across="front seats=130.5..290.5 lb", across_step="40 lb")).across[1]
    assert [each / POUND for each in pounds] == pytest.approx([130.5, 170.5, 210.5, 250.5, 290.5])
    exact = asked(Typed(across="front seats=60..60.3 kg", across_step="0.1 kg")).across[1]
    assert exact == pytest.approx((60.0, 60.1, 60.2, 60.3)), "rounding makes no band of its own"


@pytest.mark.parametrize(
    "text",
    [
        "front seats=80..80 kg",
        "front seats=90..80 kg",
        "front seats=-5..80 kg",
        "front seats=60..80",
        "front seats=60..80 L",
        "front seats=60 kg",
        "front seat=60..80 kg",
        "=60..80 kg",
    ],
)
def test_a_range_that_does_not_rise_or_names_nothing_is_refused(text: str) -> None:
    assert {where for where, _ in refused(Typed(across=text))} == {"--across"}


def test_a_card_has_twelve_bands_and_four_hundred_steps_at_most() -> None:
    assert len(asked(Typed(across="front seats=60..84 kg", across_step="2 kg")).across[1]) == 13
    assert refused(Typed(across="front seats=60..84.1 kg", across_step="2 kg")) == [
        ("--across-step", "13 bands do not fit a card")
    ]
    assert len(asked(Typed(baggage_step="0.1 kg")).baggage[1]) == 401
    assert refused(Typed(baggage_step="0.09976 kg")) == [("--baggage-step", "401 steps are too many")]
    assert refused(Typed(fuel_step="0.1 L"))[0][0] == "--fuel-step"


def test_the_place_that_may_hold_most_is_told_in_its_steps() -> None:
    """40 kg behind the rear seats, 10 kg on the shelf; the last step is what is left."""
    assert asked(Typed(baggage_step="15 kg")).baggage == ("baggage", (0.0, 15.0, 30.0, 40.0))
    assert asked(Typed(baggage="shelf=0..7 kg", baggage_step="3 kg")).baggage == (
        "shelf",
        (0.0, 3.0, 6.0, 7.0),
    )
    swapped = changed(("max: 40 kg", "max: 8 kg"))
    assert asked(Typed(), swapped).baggage == ("shelf", (0.0, 5.0, 10.0))
    assert asked(Typed(), changed(("arm: 3.630 m, max: 40 kg", "arm: 3.630 m"))).baggage[0] == "shelf"


def test_people_of_a_usual_mass_sit_in_a_row_and_no_more_than_it_may_hold() -> None:
    """100 kg for each seat, 60 kg at least where the pilot sits."""
    limited = changed(
        ("rear seats: {kind: seats, seats: 2,", "rear seats: {kind: seats, seats: 2, max: 150 kg,")
    )
    found = asked(Typed(), limited)
    assert (found.across[1][0], found.across[1][-1]) == (60.0, 200.0)
    assert (found.down[1][0], found.down[1][-1]) == (0.0, 150.0)
    light = asked(Typed(heaviest="80 kg"))
    assert (light.across[1][-1], light.down[1][-1], light.heaviest) == (160.0, 160.0, 80.0)
    turned = asked(Typed(across="rear seats", down="front seats"))
    assert (turned.across[0], turned.across[1][0], turned.across[1][-1]) == ("rear seats", 0.0, 200.0)
    assert (turned.down[0], turned.down[1][0], turned.down[1][-1]) == ("front seats", 60.0, 200.0)


def test_a_row_of_two_has_bands_of_forty_others_of_twenty() -> None:
    assert asked(Typed(down="shelf")).down == ("shelf", (0.0, 10.0))
    assert asked(Typed(down="baggage=0..40 kg")).down[1] == (0.0, 20.0, 40.0)
    one = changed(
        ("rear seats: {kind: seats, seats: 2,", "rear seats: {kind: seats, seats: 1,"),
        (T4[T4.index("examples:") :], ""),
    )
    assert asked(Typed(), one).down[1] == (0.0, 20.0, 40.0, 60.0, 80.0, 100.0, 120.0)


@pytest.mark.parametrize(
    ("units", "litres"),
    [("metric", 10.0), ("us", 2 * 3.785411784), ("uk", 2 * 4.54609)],
    ids=["L", "USgal", "impgal"],
)
def test_fuel_rises_in_the_readers_steps_to_full_tanks(units: UnitSystem, litres: float) -> None:
    """144 L usable; every cell allows the first step that holds half of it."""
    found = asked(Typed(), units=units)
    count = int(144 // litres)
    assert [each * 1e3 for each in found.fuel] == pytest.approx(
        [*(litres * at for at in range(1, count + 1)), 144.0]
    )
    assert found.least_fuel * 1e3 == pytest.approx(next(litres * at for at in range(99) if litres * at >= 72))


def test_half_of_the_fuel_that_is_a_step_is_enough() -> None:
    found = asked(Typed(fuel_step="24 L"))
    assert [round(each * 1e3, 9) for each in found.fuel] == [24, 48, 72, 96, 120, 144]
    assert found.least_fuel == pytest.approx(0.072)


def test_no_more_fuel_is_asked_than_the_tanks_hold() -> None:
    assert asked(Typed(fuel="144 L")).least_fuel == pytest.approx(0.144)
    assert refused(Typed(fuel="144.1 L")) == [("--fuel", "the tanks do not hold that much")]
    assert refused(Typed(fuel="60 kg"))[0][0] == "--fuel"


def test_the_lightest_pilot_is_not_heavier_than_the_heaviest_person() -> None:
    assert asked(Typed(pilot="70 kg", heaviest="70 kg")).pilot == 70.0
    assert refused(Typed(pilot="70.1 kg", heaviest="70 kg")) == [
        ("--pilot", "the lightest pilot is heavier than the heaviest person")
    ]
    assert [where for where, _ in refused(Typed(heaviest="40 kg"))] == ["--pilot"], (
        "50 kg where none is typed"
    )


def test_what_lies_on_other_places_is_told() -> None:
    assert asked(Typed(aboard=("shelf=5 kg",))).aboard == (("shelf", 5.0),)
    assert asked(Typed(aboard=(" shelf = 5.5 kg ",))).aboard == (("shelf", 5.5),)
    both = asked(Typed(baggage="shelf", down="baggage=0..40 kg", aboard=("rear seats=11 lb",)))
    assert both.aboard == (("rear seats", pytest.approx(11 * POUND)),)
    wrong = Typed(aboard=("shelf=5 kg", "baggage=2 kg", "roof=1 kg", "shelf=3 L", "front seats=80 kg"))
    found = refused(wrong)
    assert {where for where, _ in found} == {"--aboard"}
    assert [said for _, said in found if "names no other" in said] == [
        "'baggage=2 kg' names no other station",
        "'roof=1 kg' names no other station",
        "'front seats=80 kg' names no other station",
    ]
    assert len(found) == 4, "and 3 L is no mass"


def test_a_station_stands_on_one_side_of_the_card_only() -> None:
    for typed in (
        Typed(down="front seats"),
        Typed(baggage="rear seats=0..100 kg"),
        Typed(baggage="front seats=0..9 kg"),
    ):
        assert ("--across", "a station is named twice") in refused(typed)
    assert ("--across", "a station is named twice") not in refused(Typed(across="nose"))


def test_grades_are_those_of_the_profile_or_the_one_named() -> None:
    assert asked(Typed()).grades == ("avgas-100LL", "avgas-UL91")
    assert asked(Typed(grade="avgas-UL91")).grades == ("avgas-UL91",)
    assert refused(Typed(grade="jet-A1")) == [("--grade", "'jet-A1' is no grade of this profile")]


def test_all_that_is_wrong_is_told_at_once() -> None:
    found = refused(
        Typed(
            category="none",
            across="nose",
            pilot="0 kg",
            across_step="-1 kg",
            fuel="400 L",
            grade="diesel",
            fuel_step="x",
        )
    )
    assert {where for where, _ in found} == {
        "--category",
        "--across",
        "--pilot",
        "--across-step",
        "--fuel",
        "--grade",
        "--fuel-step",
    }


def test_a_card_of_one_row_or_of_nothing_to_carry() -> None:
    """A single-seater with no baggage place: one band of nobody down, and no baggage."""
    one = changed(
        ("  rear seats: {kind: seats, seats: 2, arm: 3.005 m}\n", ""),
        ("  baggage: {kind: baggage, arm: 3.630 m, max: 40 kg}     # floor behind the rear seats\n", ""),
        (
            "  shelf: {kind: baggage, arm: 4.050 m, max: 10 kg}       # coats only; the longest lever in the cabin\n",
            "",
        ),
        (T4[T4.index("combined_limits:") : T4.index("# capacity is")], ""),
        ("    forbids: [rear seats, baggage, shelf]\n", ""),
        (T4[T4.index("examples:") :], ""),
    )
    found = asked(Typed(), one)
    assert (found.down, found.baggage) == (("", (0.0,)), ("", (0.0,)))
    assert found.across[0] == "front seats"


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        (Typed(category="utilty"), "utility"),
        (Typed(across="front seat=60..80 kg"), "front seats"),
        (Typed(aboard=("shelv=1 kg",)), "shelf"),
        (Typed(grade="avgas-100L"), "avgas-100LL"),
    ],
)
def test_a_name_spelt_nearly_right_is_told(typed: Typed, meant: str) -> None:
    with pytest.raises(InputRefused) as found:
        asked(typed)
    assert meant in found.value.findings[0].hint


def test_a_row_named_alone_ends_at_the_heaviest_person_typed() -> None:
    """On a row of one seat; 120 kg would be a band that nobody can fill."""
    aircraft = load_aircraft("thornlea-t4").record
    rear = aircraft.stations["rear seats"].model_copy(update={"seats": 1, "lateral_arms": ()})
    single = aircraft.model_copy(update={"stations": {**aircraft.stations, "rear seats": rear}})
    for typed, most in (("100 kg", 100.0), ("", 120.0)):
        assert asked(Typed(heaviest=typed, down="rear seats"), single).down[1][-1] == pytest.approx(most)


def test_baggage_begins_at_nothing() -> None:
    assert asked(Typed(baggage="baggage=0..30 kg")).baggage[1][-1] == pytest.approx(30.0)
    assert [where for where, _ in refused(Typed(baggage="baggage=10..30 kg"))] == ["--baggage"]
