"""A flight without a file: an aircraft and what is set, and nothing that had to be guessed."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any, Final

from planner.facts.rules import RULES
from planner.quantities.errors import Finding, InputRefused
from planner.records.aircraft.record import Aircraft
from planner.records.document import Document, Location
from planner.records.flight.checks import GROUND
from planner.records.flight.record import Flight
from planner.records.keys import keys_of
from planner.records.store import Loaded

_DENSITY: Final = "standard"  # the grade's own figure, its band counted as uncertainty


def flight_without_file(
    aircraft: Loaded[Aircraft], name: str, changes: Mapping[str, object]
) -> Loaded[Flight]:
    """The flight that `changes` make, keys as for `Loaded.with_`; phases are flown in the order in which they
    are set.

    What the profile leaves no choice in (its only category, its only grade) need not be set, nor the density:
    it is then the grade's own with its band. Parameters: `aircraft`; `name`, as a flight file would name it.
    Raises InputRefused with every finding at once: set-missing for what else a flight needs.
    """
    profile = aircraft.record
    phases = {*profile.burn, GROUND}
    heads = (key.strip().removeprefix("flight.").removeprefix("trip.").partition(".")[0] for key in changes)
    trip = [{"phase": head} for head in dict.fromkeys(heads) if head in phases]
    fuel: dict[str, Any] = {"grade": profile.fuel_grades[0], "density": {_DENSITY: True}}
    tree: dict[str, Any] = {
        "flight": 1,
        "aircraft": name,
        "category": next(iter(profile.envelopes)),
        "load": {},
        "fuel": fuel,
        "trip": trip,
    }
    keys = keys_of(Flight, tree, profile)
    found = [(keys.find(key), str(value)) for key, value in changes.items()]
    # `fuel=full` says what is in the tanks, `fuel={grade: ..., ...}` all there is to say of the fuel.
    places = [
        ("fuel", "tanks") if place == ("fuel",) and not value.startswith("{") else place
        for place, value in found
    ]
    missing = _missing(profile, trip, [place for place in places if not isinstance(place, Finding)])
    wrong = [
        Finding("set-missing", f"without a file '{key}' has to be set", f"needed {words}").at("--set", 0, 0)
        for key, words in missing.items()
    ]
    # In the place of what is missing something stands, so that all else that is wrong is told beside it.
    airborne = next((phase for phase in profile.burn if phase != GROUND), GROUND)
    tree |= {"rules": next(iter(RULES))} if "rules" in missing else {}
    tree |= {"trip": [{"phase": airborne, "time": "1 min"}]} if "trip" in missing else {}
    fuel |= {"tanks": dict.fromkeys(profile.tanks, "0 L")} if "fuel" in missing else {}
    fuel |= {"temperature": "15 degC"} if "temperature" in missing else {}
    nothing = Flight.model_construct(flight=1)  # only what is set makes a flight of it
    try:
        made = Loaded(nothing, Document("--set", tree), aircraft=aircraft, read=nothing).with_(
            changes, aircraft
        )
    except InputRefused as refused:
        raise InputRefused([*wrong, *refused.findings]) from None
    if wrong:
        raise InputRefused(wrong)
    return made


def _missing(profile: Aircraft, trip: list[dict[str, str]], found: list[Location]) -> dict[str, str]:
    """What a flight needs, neither set nor without a choice in the profile, and how to set it."""

    def is_set(wanted: Location) -> bool:
        return any(each[: len(wanted)] == wanted or wanted[: len(each)] == each for each in found)

    def one_of(names: Collection[str]) -> str:
        return f"one of {', '.join(names)}" if len(names) > 1 else ""

    needed: tuple[tuple[str, str, tuple[Location, ...]], ...] = (
        ("category", one_of(profile.envelopes), (("category",),)),
        ("rules", "such as '--set rules=us-vfr-day'; 'planner fuel --rules' lists them", (("rules",),)),
        ("grade", one_of(profile.fuel_grades), (("fuel", "grade"),)),
        (
            "fuel",
            f"'--set fuel=full', or tank by tank: '--set fuel.{next(iter(profile.tanks))}=...'",
            (("fuel", "tanks"), ("fuel", "from")),
        ),
        (
            "temperature",
            "that of the fuel: '--set temperature=\"22 degC\"'",
            (("fuel", "temperature"), ("fuel", "density", "fixed")),
        ),
        (
            "trip",
            "" if trip else 'phase by phase, as they are flown: \'--set taxi="4 L" --set cruise="45 min"\'',
            (("trip",),),
        ),
    )
    return {key: words for key, words, ways in needed if words and not any(map(is_set, ways))}
