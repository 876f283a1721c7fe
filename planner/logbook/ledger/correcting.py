"""A correction: the entry as it should have been, in the place of the one that was."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final, Literal

from planner.logbook.ledger import entries
from planner.logbook.ledger.entries import Entry, Kind, Stored
from planner.quantities.errors import refuse_option
from planner.quantities.options import read_level, read_option
from planner.quantities.units import Quantity
from planner.records.aircraft.record import Aircraft

# What may be corrected of each kind; the rest is taken over from the old entry.
ALLOWED: Final[dict[Kind, tuple[str, ...]]] = {
    "dip": ("reading", "tank", "stick", "at"),
    "gauge": ("reading", "tank", "at"),
    "uplift": ("volume", "leaves", "tank", "at"),
    "drain": ("volume", "leaves", "tank", "at"),
    "flight": ("time", "burnt", "flow", "planned", "at"),
}


def corrected(
    aircraft: Aircraft, held: Sequence[Stored], number: int, given: Mapping[str, str], void: bool, note: str
) -> Entry:
    """The entry that takes the place of entry `number`.

    Parameters: `held`, all entries; `given`, the options by name as typed; `void`, to take it out; `note`,
    why. Returns the new Entry. Raises InputRefused for an unknown number, nothing or the wrong thing to
    correct, a figure that cannot be read, and whatever making such an entry raises.
    """
    stored = next((each for each in held if each.number == number), None)
    if stored is None:
        known = f"needed 1 to {max(each.number for each in held)}" if held else "the ledger is empty"
        raise refuse_option(
            "NUMBER", "ledger-number", f"there is no entry {number}", known, "see: planner ledger list"
        )
    old = stored.entry
    chain = history(held, number)
    if old.void:
        before = next(each.number for each in chain if each.entry.uid == old.supersedes)
        message = f"entry {number} only takes out entry {before}, and is none itself"
        raise refuse_option(
            "NUMBER", "ledger-void", message, "needed an entry that counts", _probable(held, chain)
        )
    if chain[-1].number != number:
        now = chain[-1]
        told = f"entry {now.number} took it out" if now.entry.void else f"entry {now.number} counts now"
        hint = _probable(held, chain) if now.entry.void else f"correct {now.number}"
        message = f"entry {number} was corrected before: {told}"
        raise refuse_option("NUMBER", "ledger-corrected", message, "needed the entry that counts now", hint)
    if not note.strip():
        raise refuse_option(
            "--note", "ledger-correction", "a correction without a reason", "needed why it is corrected"
        )
    if void:
        if given:
            raise refuse_option(
                "--void",
                "ledger-correction",
                "an entry is either taken out or corrected",
                "needed one of the two",
            )
        return entries.correction(old, None, note)
    wrong = [name for name in given if name not in ALLOWED[old.kind]]
    if wrong or not given:
        message = f"--{wrong[0]} does not belong to a {old.kind}" if wrong else "nothing to correct is given"
        raise refuse_option(
            "NUMBER",
            "ledger-correction",
            message,
            f"needed one of --{', --'.join(ALLOWED[old.kind])}, or --void",
        )
    return entries.correction(old, _remade(aircraft, old, given), note)


def history(held: Sequence[Stored], number: int) -> tuple[Stored, ...]:
    """An entry with all it corrects and all that correct it, the first one first; () if it is not there."""
    by_uid = {each.entry.uid: each for each in held}
    after = {each.entry.supersedes: each for each in held if each.entry.supersedes}
    first = next((each for each in held if each.number == number), None)
    while first is not None and first.entry.supersedes in by_uid:
        first = by_uid[first.entry.supersedes]
    chain = []
    while first is not None:
        chain.append(first)
        first = after.get(first.entry.uid)
    return tuple(chain)


def _probable(held: Sequence[Stored], chain: Sequence[Stored]) -> str:
    """Which entry is probably meant: one of that kind and tank that counts, the nearest in number."""
    wanted = chain[0]
    alike = [
        each
        for each in entries.effective(held)
        if (each.entry.kind, each.entry.tank) == (wanted.entry.kind, wanted.entry.tank)
    ]
    if not alike:
        return "see: planner ledger list --all"
    best = min(alike, key=lambda each: abs(each.number - wanted.number))
    return f"probably {best.number} is meant: {best.entry.at[:10]} {best.entry.kind} {best.entry.text}"


def _remade(aircraft: Aircraft, old: Entry, given: Mapping[str, str]) -> Entry:
    at, tank = entries.moment(given["at"]) if "at" in given else old.at, given.get("tank", old.tank)
    if old.kind == "dip":
        reading = read_option(given.get("reading", old.text), "--reading", "length", "volume")
        return entries.dip(aircraft, at, tank, given.get("stick", old.stick), reading, start=old.start)
    if old.kind == "gauge":
        return entries.gauge(
            aircraft,
            at,
            tank,
            read_option(given.get("reading", old.text), "--reading", "volume"),
            start=old.start,
        )
    if old.kind == "flight":
        stated = given.get("time") or (f"{old.duration / 60:g} min" if old.duration else None)
        time = read_option(stated, "--time", "time") if stated else None
        kept = None if old.computed else old.text
        burnt = given.get("burnt", kept if "flow" not in given else None)
        flow = given.get("flow") or (old.text.split(" at ")[-1] if old.computed else None)
        planned = given.get("planned") or (f"{old.planned * 1e3:.6g} L" if old.planned >= 0 else None)
        return entries.flight(
            aircraft,
            at,
            time,
            read_option(burnt, "--burnt", "volume") if burnt else None,
            read_option(flow, "--flow", "volume flow") if flow else None,
            read_option(planned, "--planned", "volume") if planned else None,
        )
    level = read_level(given.get("leaves", ""))
    if "leaves" not in given and old.leaves >= 0:
        level = Quantity(old.leaves, old.u_leaves, "volume", f"{old.leaves * 1e3:.6g} L")
    kind: Literal["uplift", "drain"] = "uplift" if old.kind == "uplift" else "drain"
    return entries.supply(
        aircraft,
        kind,
        at,
        tank,
        read_option(given.get("volume", old.text), "--volume", "volume"),
        level,
        old.ticket,
        old.grade,
    )
