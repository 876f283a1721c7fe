"""The demonstrations: a question each, worked out live on an aircraft, and whether its lesson holds."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from planner.quantities.frozen import frozen
from planner.school.demonstrations.demos_fuel import density_both_ways, dip_temperature, how_sure
from planner.school.demonstrations.demos_limits import burn_aft, edge_kind, envelope_width, middle_outside
from planner.school.demonstrations.demos_loading import (
    aft_fuel,
    early_return,
    full_fuel_or_seats,
    two_in_front,
)
from planner.school.demonstrations.demos_seats import lever, seat_order
from planner.school.demonstrations.demos_water import overnight, water
from planner.school.dice import Pen
from planner.school.lab import Lab, Shown


@frozen
class Demonstration:
    """A demonstration: its name, its question, the work, and the profile where no other is asked for."""

    name: str
    question: str
    work: Callable[[Lab, Pen], Shown]
    aircraft: str = "thornlea-t4"


DEMONSTRATIONS: Final[dict[str, Demonstration]] = {
    each.name: each
    for each in (
        Demonstration("full-fuel-or-seats", "Do full tanks and full seats go together?", full_fuel_or_seats),
        Demonstration("early-return", "May you land again straight after take-off?", early_return),
        Demonstration("fuel-and-aft-cg", "Does draining fuel cure a CG that is too far aft?", aft_fuel),
        Demonstration("seat-order", "Does it matter who sits where?", seat_order),
        Demonstration("lever", "What does one bag do when it is carried to the front?", lever),
        Demonstration(
            "burn", "Can a flight that leaves inside its limits fly itself outside?", burn_aft, "thornlea-t4b"
        ),
        Demonstration("two-in-front", "Can two people and no baggage be wrong?", two_in_front),
        Demonstration(
            "envelope-width", "Is there as much room for the CG when heavy as when light?", envelope_width
        ),
        Demonstration("density", "What does the batch do to the mass of full tanks?", density_both_ways),
        Demonstration(
            "dip-temperature", "Is a dip reading as good in the heat as in the cold?", dip_temperature
        ),
        Demonstration("water", "Where does water lie, and what finds it?", water),
        Demonstration("overnight", "What does the air over half-full tanks do in a cold night?", overnight),
        Demonstration("how-sure", "How sure is a margin, and what would weighing buy?", how_sure),
        Demonstration("chart-kind", "Does it matter how the manual draws its chart?", edge_kind),
        Demonstration("middle", "Both ends inside: is the middle too?", middle_outside, "corvedale-sextet"),
    )
}
