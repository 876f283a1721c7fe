"""What a ledger holds: entries in SI, made from what was read or written down, with how sure each is.

Where no uncertainty is stated a default stands in; the defaults are this program's, from common practice.
"""

from __future__ import annotations

import secrets
from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, datetime
from typing import Any, Final, Literal, get_args

from planner.flight.fuel import dip_to_volume
from planner.quantities.errors import Finding, InputRefused, OutOfRange, closest, refuse_option
from planner.quantities.frozen import frozen
from planner.quantities.sentences import Figure, say
from planner.quantities.units import LITRE, Quantity
from planner.records.aircraft.record import Aircraft

Kind = Literal["dip", "gauge", "uplift", "flight", "drain"]
KINDS: Final[tuple[Kind, ...]] = get_args(Kind)
READINGS: Final = ("dip", "gauge")
SUPPLIES: Final = ("uplift", "drain")
FLAGS: Final = ("start", "computed", "void")  # what of an entry is true or false

# of the full tank: from memory; 14 CFR 23.1337(b)(1) asks only that a gauge reads zero at unusable fuel
GAUGE_SHARE: Final = 0.05
DIP_READING: Final = 0.005  # m on the stick: common practice, no published source
# of the full tank, for a stick marked in litres: common practice, no published source
STICK_SHARE: Final = 0.02
METER_SHARE: Final = 0.005  # of an uplift by a delivery meter: common practice, no published source
DRAIN_SHARE: Final = 0.02  # of a drained volume: common practice, no published source
LEAST_U: Final = 0.2 * LITRE  # nobody reads a can or a meter better: common practice, no published source
# of the full tank, for "filled to the brim" or "drained to unusable": common practice, no published source
LEVEL_SHARE: Final = 0.01
FLOW_SHARE: Final = 0.10  # of a burn computed from time and a book flow: common practice, no published source


@frozen
class Entry:
    """One line of a ledger. Volumes [m3], times [s], `at` in UTC as `2026-06-01T10:30:00Z`.

    `volume` is usable fuel in `tank` for a dip or gauge, what went in or out for uplift and drain, the burn
    for a flight; `u` its standard uncertainty. `tank` is empty where the entry is about the whole aircraft.
    `leaves` is the usable fuel known to be there afterwards (filled to the brim, drained), -1 where it is not
    known. `start` begins the log anew at a reading. `planned` is a flight's planned burn; `computed` says its
    burn is time x flow. `supersedes` names the entry this one corrects; `void` takes that one out.
    """

    uid: str
    kind: Kind
    at: str
    tank: str
    text: str
    volume: float
    u: float
    duration: float = 0.0
    planned: float = -1.0
    leaves: float = -1.0
    u_leaves: float = 0.0
    start: bool = False
    computed: bool = False
    stick: str = ""
    ticket: str = ""
    grade: str = ""
    note: str = ""
    supersedes: str = ""
    void: bool = False
    recorded: str = ""


@frozen
class Stored:
    """An entry with its number in the file."""

    number: int
    entry: Entry


def now() -> str:
    """This moment as an entry writes it."""
    return datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def moment(text: str | None) -> str:
    """A time as an entry writes it: `2026-06-01 10:30` is UTC, an offset is converted; nothing is this
    moment.

    Raises InputRefused for anything else, and for a time that is still to come.
    """
    if text is None:
        return now()
    try:
        read = datetime.fromisoformat(text.strip().replace("Z", "+00:00"))
    except ValueError:
        raise refuse_option(
            "--at",
            "ledger-time",
            f"'{text}' is not a time",
            "needed year-month-day hour:minute such as '2026-06-01 10:30' (UTC)",
        ) from None
    read = read.replace(tzinfo=UTC) if read.tzinfo is None else read.astimezone(UTC)
    result = read.strftime("%Y-%m-%dT%H:%M:%SZ")
    if result > now():
        raise refuse_option(
            "--at",
            "ledger-time",
            f"{result} is still to come",
            "a ledger holds what has happened",
            "times are UTC",
        )
    return result


def stored(volume: float) -> float:
    """A volume [m3] as a ledger keeps it: to a cubic millimetre, so that it leaves and comes back as the same
    figure.
    """
    return round(volume, 9)


def full(aircraft: Aircraft, tank: str) -> float:
    """Usable capacity [m3] of a tank, or of all of them for ''."""
    return sum(each.usable for name, each in aircraft.tanks.items() if tank in ("", name))


def checked_tank(aircraft: Aircraft, tank: str, needed: bool) -> str:
    """A tank of the aircraft; the only one where it has one. Raises InputRefused for an unknown or, where
    `needed`, a missing one.
    """
    if tank and tank not in aircraft.tanks:
        raise refuse_option(
            "--tank",
            "tank-unknown",
            f"{aircraft.name} has no tank '{tank}'",
            hint=closest(tank, aircraft.tanks),
        )
    if not tank and len(aircraft.tanks) == 1:
        return next(iter(aircraft.tanks))
    if not tank and needed:
        raise refuse_option(
            "--tank",
            "ledger-tank",
            f"{aircraft.name} has {len(aircraft.tanks)} tanks",
            f"needed one of {', '.join(aircraft.tanks)}",
        )
    return tank


def _fits(aircraft: Aircraft, tank: str, volume: float, where: str) -> None:
    if volume > full(aircraft, tank) * (1 + 1e-6):
        holds = f"{tank} holds" if tank else "all tanks hold"
        message = say(
            "{} usable does not fit: {} {}",
            Figure(volume, "volume"),
            holds,
            Figure(full(aircraft, tank), "volume"),
        )
        raise refuse_option(
            where,
            "tank-overfilled",
            message,
            "needed not more than that",
            "check litres, gallons, usable or total",
        )


def _above_zero(given: Quantity | None, where: str) -> None:
    if given is not None and given.value <= 0:
        raise refuse_option(
            where,
            "quantity-too-small",
            f"'{given.text}' is nothing",
            f"needed a {given.dimension} above zero",
            "correct a wrong entry instead",
        )


def _entry(kind: Kind, at: str, tank: str, text: str, volume: float, u: float, **more: Any) -> Entry:
    """A new entry as it is kept, recorded now."""
    about: dict[str, Any] = {"uid": _uid(), "kind": kind, "at": at, "tank": tank, "text": text}
    return Entry(**about, **more, volume=stored(volume), u=stored(u), recorded=now())


def dip(
    aircraft: Aircraft, at: str, tank: str, stick: str, reading: Quantity, note: str = "", start: bool = False
) -> Entry:
    """A dip: a reading on the stick [m], or litres where the stick is marked in litres, turned into usable
    fuel [m3].

    The stick has to be the one the profile names for that tank: a stick of another tank or aircraft is
    refused, whatever it reads. Source: [common-practice]; [aaib-11-2020] for what another type's stick does.
    """
    tank = checked_tank(aircraft, tank, needed=True)
    own = aircraft.dipsticks.get(tank)
    if own is None:
        hint = "dip tables belong into the profile under 'dipsticks:'"
        raise refuse_option(
            "--tank",
            "dip-no-table",
            f"tank '{tank}' has no dipstick in the profile",
            "needed the stick made for this tank",
            hint,
        )
    if stick != own.id:
        elsewhere = next((name for name, each in aircraft.dipsticks.items() if each.id == stick), None)
        what = f"belongs to tank '{elsewhere}'" if elsewhere else f"is no stick of {aircraft.name}"
        raise refuse_option(
            "--stick",
            "ledger-stick",
            f"'{stick}' {what}; tank '{tank}' has {own.id}",
            "a stick reads right in its own tank only",
            "dip again",
        )
    points = tuple((mark.value, volume.value) for mark, volume in own.table)
    u = reading.u
    if reading.dimension == "length":
        try:
            volume = dip_to_volume(points, reading.value)
        except OutOfRange as error:
            raise refuse_option(
                "--reading",
                "dip-off-table",
                error.words,
                "needed a reading on the stick",
                "check the tank and the stick",
            ) from None
        near = [min(max(reading.value + step, points[0][0]), points[-1][0]) for step in (-1e-3, 1e-3)]
        slope = (dip_to_volume(points, near[1]) - dip_to_volume(points, near[0])) / (near[1] - near[0])
        u = (u or DIP_READING) * slope
    else:
        volume, u = reading.value, u or STICK_SHARE * full(aircraft, tank)
    if own.reads == "total":
        # Below the unusable fuel there is nothing to fly on, however much a stick still reads.
        volume = max(volume - aircraft.tanks[tank].unusable.value, 0.0)
    _fits(aircraft, tank, volume, "--reading")
    return _entry("dip", at, tank, reading.text, volume, u, start=start, stick=stick, note=note)


def gauge(
    aircraft: Aircraft, at: str, tank: str, reading: Quantity, note: str = "", start: bool = False
) -> Entry:
    """A gauge: usable fuel [m3], as a gauge reads zero at unusable fuel; 5 % of the full tank where no
    uncertainty is stated.

    Source: [14-cfr-23.1337] (b)(1) for the zero; the share is from memory.
    """
    tank = checked_tank(aircraft, tank, needed=False)
    _fits(aircraft, tank, reading.value, "--reading")
    u = reading.u or GAUGE_SHARE * full(aircraft, tank)
    return _entry("gauge", at, tank, reading.text, reading.value, u, start=start, note=note)


def supply(
    aircraft: Aircraft,
    kind: Literal["uplift", "drain"],
    at: str,
    tank: str,
    volume: Quantity,
    leaves: Quantity | str,
    ticket: str = "",
    grade: str = "",
    note: str = "",
) -> Entry:
    """Fuel put in or let out [m3], and what is known to be in the tank afterwards: a volume, `full`, `empty`,
    or '' for not known.

    Where the aircraft has several tanks the tank is needed, unless all of them are known to be full or empty
    afterwards.
    Source: [common-practice].
    """
    tank = checked_tank(aircraft, tank, needed=leaves == "")
    _above_zero(volume, "--volume")
    most = full(aircraft, tank)
    _fits(aircraft, tank, volume.value, "--volume")
    known, u_known = -1.0, 0.0
    if isinstance(leaves, Quantity):
        known, u_known = leaves.value, leaves.u or LEVEL_SHARE * most
        _fits(aircraft, tank, known, "--leaves")
    elif leaves in ("full", "empty"):
        known, u_known = (most if leaves == "full" else 0.0), LEVEL_SHARE * most
    elif leaves:
        raise refuse_option(
            "--leaves",
            "ledger-leaves",
            f"'{leaves}' is not a level",
            "needed 'full', 'empty' or usable litres such as '80 L'",
        )
    if kind == "uplift" and 0 <= known < volume.value - 3 * max(u_known, LEAST_U):
        message = say("{} put in cannot leave only {}", volume.text, Figure(known, "volume"))
        raise refuse_option("--leaves", "ledger-leaves", message, "needed what is in the tank afterwards")
    u = volume.u or max((METER_SHARE if kind == "uplift" else DRAIN_SHARE) * volume.value, LEAST_U)
    left = {"leaves": stored(known), "u_leaves": stored(u_known)}
    told = {"ticket": ticket, "grade": grade, "note": note}
    return _entry(kind, at, tank, volume.text, volume.value, u, **left, **told)


def flight(
    aircraft: Aircraft,
    at: str,
    duration: Quantity | None,
    burnt: Quantity | None,
    flow: Quantity | None,
    planned: Quantity | None,
    note: str = "",
) -> Entry:
    """A flight: its time [s] and burn [m3], measured or computed as time x flow; and what was planned [m3].

    The flow is the one given, else the profile's cruise flow; a computed burn is taken to be known to 10 %.
    Source: [common-practice].
    """
    for given, where in ((duration, "--time"), (burnt, "--burnt"), (flow, "--flow")):
        _above_zero(given, where)
    time = duration.value if duration is not None else 0.0
    rate = flow if flow is not None else aircraft.burn.get("cruise")
    if burnt is not None:
        volume, u = burnt.value, burnt.u or max(DRAIN_SHARE * burnt.value, LEAST_U)
        text, computed = burnt.text, False
    elif duration is not None and rate is not None and rate.dimension == "volume flow":
        volume = time * rate.value
        u = (volume * rate.u / rate.value if rate.u else FLOW_SHARE * volume) if rate.value else 0.0
        text, computed = f"{duration.text} at {rate.text}", True
    elif duration is not None:
        raise refuse_option(
            "--flow",
            "ledger-flow",
            f"no cruise flow by volume in the profile of {aircraft.name}",
            "needed --flow '25 L/h', or --burnt '23 L'",
        )
    else:
        raise refuse_option(
            "--time",
            "option-missing",
            "neither a time nor a burn is given",
            "needed --time '1 h 5 min', or --burnt '23 L'",
        )
    _fits(aircraft, "", volume, "--burnt" if burnt is not None else "--time")
    plan = stored(planned.value) if planned is not None else -1.0
    flown: dict[str, Any] = {"duration": round(time, 3), "planned": plan, "computed": computed}
    return _entry("flight", at, "", text, volume, u, **flown, note=note)


def correction(old: Entry, new: Entry | None, note: str) -> Entry:
    """An entry that takes the place of `old`: `new` in its stead, or, with None, nothing. The old one stays
    in the file.
    """
    if new is None:
        return replace(old, uid=_uid(), supersedes=old.uid, void=True, note=note, recorded=now())
    return replace(new, supersedes=old.uid, note=note, recorded=now())


def unusable_grades(aircraft: Aircraft, entries: Iterable[Stored]) -> tuple[Entry, ...]:
    """Uplifts of a grade the aircraft may not use that no later drain to empty of their tank has taken out
    again.

    Parameters: `aircraft`; `entries` that count, in order of time. Returns the uplifts.
    Source: [common-practice].
    """
    found: list[Entry] = []
    for each in entries:
        entry = each.entry
        if entry.kind == "uplift" and entry.grade and entry.grade not in aircraft.fuel_grades:
            found.append(entry)
        elif entry.kind == "drain" and entry.leaves == 0.0:
            found = [wrong for wrong in found if entry.tank and wrong.tank != entry.tank]
    return tuple(found)


def grade_words(aircraft: Aircraft, wrong: Iterable[Entry]) -> tuple[str, ...]:
    """What `unusable_grades` found, a sentence each."""
    refusal = f"and {aircraft.name} may not use it: do not fly"
    return tuple(
        f"{entry.text} of {entry.grade} was put into tank '{entry.tank or 'all'}' on {entry.at[:10]},"
        f" {refusal}"
        for entry in wrong
    )


def effective(entries: Iterable[Stored]) -> tuple[Stored, ...]:
    """The entries that count, in order of time: neither corrected by a later one nor taken out."""
    held = tuple(entries)
    replaced = {each.entry.supersedes for each in held if each.entry.supersedes}
    alive = [each for each in held if each.entry.uid not in replaced and not each.entry.void]
    return tuple(sorted(alive, key=lambda each: (each.entry.at, each.number)))


def tanks_known(aircraft: Aircraft, entries: Iterable[Stored]) -> None:
    """Refuse entries about a tank the profile does not have: it may have been renamed, and its fuel must not
    vanish.
    """
    findings = [
        Finding(
            "tank-unknown",
            f"entry {each.number} is about tank '{each.entry.tank}', which {aircraft.name} has not",
            hint=closest(each.entry.tank, aircraft.tanks),
        )
        for each in entries
        if each.entry.tank and each.entry.tank not in aircraft.tanks
    ]
    if findings:
        raise InputRefused([finding.at("ledger", 1, 1) for finding in findings])


def _uid() -> str:
    return secrets.token_hex(8)
