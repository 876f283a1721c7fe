"""Changes to a flight in words, shared by the terminal and the JSON form."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from planner.flight.envelope import LimitResult
from planner.quantities.sentences import said
from planner.quantities.units import Dimension, Display, clock
from planner.search.remedies import Impossible, Remedies, Remedy, Step, Stop
from planner.search.remedies.steps import least_mass_of, least_of
from planner.views.limit_words import PLACE_WORDS
from planner.views.words import amount, margin_and_u

ORDER_NOTE: Final = (
    "One change comes before two; among equals the order is: measure better, change seats, carry a bag"
    " elsewhere, take fuel out, another category, more fuel, ballast, leave something, a landing for fuel,"
    " leave somebody; then fuel left even in a pair of tanks, then the smaller change. A figure with next to"
    " no room comes last."
)
AGAIN_NOTE: Final = (
    "Every change shown was written into the flight and planned again: all limits, the whole burn and the"
    " fuel required are inside. Change the flight file the same way and run `planner flight` before you act"
    " on it."
)
_ROOM_OF: Final = {
    "limit": " of it",
    "move": " carried",
    "fuel off": " out",
    "fuel on": " in",
    "ballast": " of ballast",
}
_EVEN: Final = 1e-4  # m3; a tenth of a litre, below what is shown
PILOT_NOTE: Final = "Who sits on the pilot's seat is taken to be the pilot and stays there."


def fuel_words(step: Step, display: Display) -> str:
    """Litres per tank of a fuel change."""
    parts = [
        f"{display.text(abs(volume), 'volume')} {'into' if volume > 0 else 'out of'} {name}"
        for name, volume in step.tanks
    ]
    whole = display.text(abs(step.value), "volume")
    if not parts:
        return f"{whole} {'into' if step.value > 0 else 'out of'} {step.subject}"
    return parts[0] if len(parts) == 1 else f"{', '.join(parts)} ({whole} in all)"


def step_words(step: Step, display: Display) -> str:
    """What to do, as one sentence without its full stop."""
    mass, now = (display.text(value, "mass") for value in (step.value, step.now))
    match step.kind:
        case "measure":
            return step.subject[0].upper() + step.subject[1:]
        case "swap":
            return f"Let {step.subject} ({mass}) and {step.to} ({now}) change seats"
        case "reseat":
            return f"Put {step.subject} ({mass}) on {step.to}"
        case "move":
            how = f"all {mass}" if step.value >= step.now else f"{mass} of the {now}"
            return f"Carry {how} from {step.subject} to {step.to}"
        case "fuel off":
            return f"Take fuel out: {fuel_words(step, display)}"
        case "fuel on":
            return f"Put fuel in: {fuel_words(step, display)}"
        case "category":
            return f"Fly in the {step.to} category in place of {step.subject}"
        case "ballast":
            return f"Ballast of {mass} on {step.subject}, weighed and secured"
        case "limit" if step.value == 0:
            return f"Leave the {now} on {step.subject} behind"
        case "limit":
            left = display.text(step.left_behind, "mass")
            return f"No more than {mass} on {step.subject}: leave {left} of the {now} behind"
        case "leave person":
            return f"Leave {step.subject} ({now}) behind"
        case "fuel stop":
            return "Land for fuel on the way"


def exact_words(step: Step, display: Display) -> str:
    """The edge before rounding, where the change is a figure."""
    if not step.dimension or step.kind == "fuel stop":
        return ""
    return f"edge {display.text(abs(step.exact), step.dimension, extra=1)}"


def room_words(step: Step, display: Display) -> str:
    """How far a figure may be off before the plan leaves inside, and whether that is next to nothing; empty
    for a change that is no figure.
    """
    if step.dimension not in ("mass", "volume"):
        return ""
    dimension: Dimension = step.dimension
    width = amount(step.room, dimension, display)
    if step.kind == "fuel stop":
        what = f"the usable fuel at the start of the part with less of it may be off by {width} in all"
    else:
        low, high = sorted((abs(step.low), abs(step.high)))
        ends = f"{display.number(low, dimension, extra=1)} and {display.text(high, dimension, extra=1)}"
        what = f"inside between {ends}{_ROOM_OF.get(step.kind, '')}, {width} from end to end"
    if not step.narrow:
        return f"Room: {what}."
    return (
        f"NARROW: {what}; less than {display.text(step.practical, dimension, extra=1)}, so it takes more care"
        " than there is at the aircraft."
    )


def uneven_words(remedy: Remedy, display: Display) -> str:
    """That the fuel left in a pair of tanks is uneven, with what each holds; nothing where it is even or not
    changed.
    """
    if remedy.uneven <= _EVEN:
        return ""
    held = ", ".join(
        f"{each.tank.name} {display.text(each.volume, 'volume')}" for each in remedy.plan.fuel.tanks
    )
    return f"Leaves the fuel uneven by {amount(remedy.uneven, 'volume', display)}: {held}."


def tried_words(found: Remedies, display: Display) -> str:
    """Exactly what was tried, as one sentence or two."""
    load, fuel = display.text(found.steps.load, "mass"), display.text(found.steps.fuel, "volume")
    first = (
        f"{found.tried} single changes were tried, every figure over its whole range and then rounded to"
        f" {load} and {fuel} per tank."
    )
    sought = found.sought
    if isinstance(sought, str):
        return f"{first} Two changes together were not looked for: {sought}."
    parts = []
    if sought.plain:
        parts.append(
            f"each of {sought.plain} changes without a figure (seats, category, one person left behind, one"
            " thing or all things measured better) with every other change, its figure over the whole range"
        )
    if sought.figures:
        parts.append(
            f"each of {sought.figures} figures (a bag lighter or carried elsewhere, ballast, fuel in or out"
            f" of one tank, a pair or all alike) in {sought.parts} steps of its range and, for fuel, at what"
            " is required, with every other figure over its whole range (not the fuel of one tank twice, nor"
            " what was just put down taken up again)"
        )
    if sought.landing:
        parts.append(
            "a landing for fuel with each of the changes without a figure and with each bag left or carried"
            " whole"
        )
    tried = "; ".join(parts) if parts else "nothing, as no change is left that could be one of them"
    return f"{first} Two together: {tried}. Figures between those steps, and three changes, were not tried."


def stop_words(stop: Stop, display: Display) -> list[str]:
    """Where the landing may lie and what each part needs and may have."""
    earliest, latest, chosen = (share * 100 for share in (stop.earliest, stop.latest, stop.chosen))
    first, last, here = (
        f"{clock(time)} after take-off" if time == time else "time not known" for time in stop.times
    )  # NaN: a phase without a flow
    lines = [
        f"The landing may lie between {earliest:.0f} % ({first}) and {latest:.0f} % ({last}) of the trip"
        f" fuel; shown for {chosen:.0f} % ({here})."
    ]
    cases = (stop.before, stop.after)
    for words, case, window in zip(("Before it", "After it"), cases, stop.windows, strict=True):
        low, high = display.text(window.low, "volume"), display.text(window.high, "volume")
        lines.append(
            f"{words}: start with {display.text(case.plan.fuel.aboard, 'volume')} usable; anything above"
            f" {low} and below {high} is inside."
        )
    lines.append(
        f"At the stop put in {display.text(stop.put_in, 'volume')}, if the first part is flown as planned."
    )
    lines.append(
        "Each part taxies, climbs, and keeps the contingency, alternate and final reserve of the flight file;"
        " no tank is named."
    )
    return lines


def result_words(remedy: Remedy, display: Display) -> str:
    """What the change leaves: least CG margin, fuel beyond what is required, what it costs."""
    plans = [remedy.plan] if remedy.stop is None else [remedy.stop.before.plan, remedy.stop.after.plan]
    least = min((least_of(plan) for plan in plans), key=lambda limit: limit.margin)
    mass = min((least_mass_of(plan) for plan in plans), key=lambda limit: limit.margin)
    surplus = min(plan.fuel.surplus for plan in plans)
    margin, u = margin_and_u(least, display)
    parts = [
        f"least CG margin {margin} ({least.title}, U {u})",
        "{} {} (U {})".format(mass.name, *margin_and_u(mass, display)),
        f"fuel {amount(surplus, 'volume', display, sign=True)} beyond what is required",
    ]
    if remedy.left_behind:
        parts.append(f"{display.text(remedy.left_behind, 'mass')} left behind")
    return "; ".join(parts)


def failing_words(limit: LimitResult, display: Display) -> str:
    """A limit that is still not shown, with how far and where."""
    where = PLACE_WORDS[limit.place][1]
    place = f" {where}" if where else ""
    size = amount(abs(limit.margin), limit.dimension, display)
    if limit.group == "fuel":
        return f"fuel {amount(limit.uncertainty - limit.margin, limit.dimension, display)} short"
    if limit.group == "load" and not limit.limit:
        return f"{limit.title} ({display.text(limit.value, 'mass')} there)"  # nothing may be there
    if limit.verdict == "outside":
        return f"{limit.title} {size} outside{place}"
    u = amount(limit.uncertainty, limit.dimension, display)
    return f"{limit.title}{place} not shown (margin {size}, U {u})"


def worst_words(failing: Sequence[LimitResult], display: Display) -> list[str]:
    """The two worst limits that are still not shown, and the fuel where it is short."""
    fuel = [each for each in failing if each.group == "fuel"]
    others = [each for each in failing if each.group != "fuel"]
    return [failing_words(each, display) for each in (*others[:2], *fuel)]


def impossible_words(item: Impossible, display: Display) -> str:
    """Why a change does not cure."""
    if item.reason:
        return said(item.reason, display)
    parts = worst_words(item.failing, display) or ["not inside with the highest quantity of the ledger"]
    step, worse = step_words(item.step, display), "makes it worse: " if item.worse else ""
    return f"{worse}{step[0].lower() + step[1:]}, and still {' and '.join(parts)}"


def nearest(items: Iterable[Impossible]) -> list[Impossible]:
    """Of each kind of change the one that comes nearest, in the order given."""
    best: dict[str, Impossible] = {}
    for item in items:
        # Of two that come as near the first, which is the plainer one.
        if item.step.kind not in best or _miss(item) < 0.9 * _miss(best[item.step.kind]):
            best[item.step.kind] = item
    return list(best.values())


def _miss(item: Impossible) -> float:
    misses = (
        max(limit.uncertainty - limit.margin, 0.0) / max(abs(limit.limit), 1e-9)
        for limit in item.failing
        if limit.group != "fuel"
    )
    return sum(misses) + item.short * 1e3
