"""The shape of an aircraft that is legal but hard to believe: its envelopes, its sides, front and rear.

As in `planner.records.aircraft.believable`, the bounds are common practice.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import pairwise
from typing import Final

from planner.quantities.sentences import Figure, book, say
from planner.records.aircraft.record import Aircraft
from planner.records.aircraft.unit_families import unlikely
from planner.records.placed import Located

WIDEST: Final = 1.5  # m between forward and aft limit
NARROWING: Final = 4.0  # how many times wider an envelope may be at one mass than at another
AFT_SHIFT: Final = 0.5  # of its width: how far the aft limit moves aft as the mass grows
ALIKE: Final = 0.005  # m between the arms of two tanks that lie side by side
CHORD_SHARE: Final = (-0.2, 0.8)  # of the chord: where the limits of a centre of gravity lie
_FRONT: Final = {"front", "forward", "nose"}
_REAR: Final = {"rear", "aft"}


def range_of(aircraft: Aircraft) -> tuple[float, float]:
    """The foremost and the rearmost arm of all envelopes [m]."""
    arms = [
        arm.value
        for each in aircraft.envelopes.values()
        for side in (each.forward, each.aft)
        for _, arm in side
    ]
    return min(arms), max(arms)


def envelopes_believable(aircraft: Aircraft) -> Iterator[Located]:
    """envelope-unlikely: limits further apart than those of a light aircraft, or off the chord."""
    for name, category in aircraft.envelopes.items():
        envelope = category.envelope()
        masses = {mass for edge in (envelope.forward, envelope.aft) for mass, _ in edge.points}
        wide = max(envelope.aft.arm(mass) - envelope.forward.arm(mass) for mass in masses)
        if wide > WIDEST:
            message: str = say("forward and aft limit are {} apart", Figure(wide, "length"))
            needed: str = say("usual: not above {}", book(WIDEST, "length"))
            yield unlikely(("envelopes", name), "envelope-unlikely", message, needed)
    chord = aircraft.mean_aerodynamic_chord
    if chord is not None and chord.length.value > 0:
        shares = [(each - chord.leading_edge.value) / chord.length.value for each in range_of(aircraft)]
        if shares[0] < CHORD_SHARE[0] or shares[1] > CHORD_SHARE[1]:
            low, high = (f"{100 * share:.0f} %" for share in shares)
            message = f"the envelope reaches from {low} to {high} of this chord"
            needed, hint = "usual: some 10 to 40 %", "check leading edge and length"
            yield unlikely(("mean_aerodynamic_chord",), "chord-unlikely", message, needed, hint)


def edges_believable(aircraft: Aircraft) -> Iterator[Located]:
    """envelope-unlikely: a forward limit that moves forward, or an aft limit far aft, as the mass grows; an
    envelope much narrower at one mass than at another.
    """
    for name, category in aircraft.envelopes.items():
        envelope = category.envelope()
        drawn = envelope.masses()
        widths = [envelope.aft.arm(mass) - envelope.forward.arm(mass) for mass in drawn]
        if min(widths) > 0 and max(widths) > NARROWING * min(widths):
            message = say(
                "the envelope is {} wide at {} and {} at {}",
                Figure(max(widths), "length"),
                book(drawn[widths.index(max(widths))], "mass"),
                Figure(min(widths), "length"),
                book(drawn[widths.index(min(widths))], "mass"),
            )
            needed = f"usual: within a factor of {NARROWING:g}"
            yield unlikely(("envelopes", name), "envelope-unlikely", message, needed)
        # The heavier, the further aft the forward limit lies, and the aft limit hardly moves.
        room = {"forward": (0.0, WIDEST), "aft": (WIDEST, AFT_SHIFT * max(widths))}
        for side, (forward, aft) in room.items():
            edge = envelope.forward if side == "forward" else envelope.aft
            for number, ((_, less), (mass, more)) in enumerate(pairwise(edge.points), 1):
                if not -forward - 1e-9 <= more - less <= aft + 1e-9:
                    way = "forward" if more < less else "aft"
                    words = "up to {} the {} limit moves {} by {}"
                    message = say(words, book(mass, "mass"), side, way, Figure(abs(more - less), "length"))
                    needed = f"usual: the {side} limit does not, as the mass grows"
                    yield unlikely(
                        ("envelopes", name, side, number),
                        "envelope-unlikely",
                        message,
                        needed,
                        "look for swapped rows and slipped digits",
                    )


def sides_believable(aircraft: Aircraft) -> Iterator[Located]:
    """lateral-unlikely: left and right tank on one side; tank-unlikely: of one capacity, not of one arm."""
    tanks = aircraft.tanks
    for left in (name for name in tanks if "left" in name.lower()):
        right = left.lower().replace("left", "right")
        other = next((name for name in tanks if name.lower() == right), None)
        if other is None:
            continue
        alike = tanks[left].capacity.value == tanks[other].capacity.value
        one, two = tanks[left].arm_points(), tanks[other].arm_points()
        if alike and len(one) == len(two) == 1 and abs(one[0][1] - two[0][1]) > ALIKE:
            message = f"'{left}' and '{other}' are of one size and do not lie at one arm"
            yield unlikely(("tanks", other, "arm"), "tank-unlikely", message, "usual: alike")
        if tanks[left].lateral_arm.value * tanks[other].lateral_arm.value > 0:
            arms = " and ".join(tanks[name].lateral_arm.text for name in (left, other))
            message = f"'{left}' and '{other}' lie on the same side: {arms}"
            needed = "left is negative, right positive"
            yield unlikely(
                ("tanks", left, "lateral_arm"), "lateral-unlikely", message, needed, "check the signs"
            )


def ends_believable(aircraft: Aircraft) -> Iterator[Located]:
    """arm-unlikely: a place called front or nose that lies behind one called rear or aft."""
    arms = {name: each.arm.value for name, each in aircraft.stations.items()}
    for front in (name for name in arms if _FRONT & set(name.lower().split())):
        rear = next(
            (each for each in arms if _REAR & set(each.lower().split()) and arms[each] < arms[front]), ""
        )
        if rear:
            words = "'{}' at {} lies behind '{}' at {}"
            message = say(words, front, Figure(arms[front], "length"), rear, Figure(arms[rear], "length"))
            hint = "check both arms: digits, signs, the two swapped"
            yield unlikely(("stations", front, "arm"), "arm-unlikely", message, "aft is positive", hint)


SHAPES: Final[tuple[Callable[[Aircraft], Iterator[Located]], ...]] = (
    envelopes_believable,
    edges_believable,
    sides_believable,
    ends_believable,
)
