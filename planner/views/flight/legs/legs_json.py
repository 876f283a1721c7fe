"""The legs of a flight as plain JSON data, the key `legs` of `planner flight --json`."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from planner.quantities.units import LITRE, Display
from planner.search.legs import LegPlan
from planner.views.flight.flight_json import whole_json
from planner.views.keyed import keyed

if TYPE_CHECKING:
    from planner.sureness.chance import Chance


def legs_json(
    legs: Sequence[LegPlan], drawn: Sequence[Chance | None], working: Display | None = None
) -> list[dict[str, Any]]:
    """Every leg: its name, verdict, window, order at the pump, and its whole plan as in `planner/flight/1`,
    with `working` its arithmetic.

    `put_in_l` and `windows_l` count the fuel put in; for the first leg, which has no stop before it, all
    usable fuel at start.
    """
    return [
        _leg(number, leg) | {"plan": whole_json(leg.plan, chance, working)}
        for number, (leg, chance) in enumerate(zip(legs, drawn, strict=True), 1)
    ]


def _leg(number: int, leg: LegPlan) -> dict[str, Any]:
    window: list[float] | str = "no amount of fuel makes this leg inside"
    if leg.put_in is not None:
        window = [leg.put_in.low / LITRE, leg.put_in.high / LITRE]
    return {
        "number": number,
        "name": leg.name,
        "verdict": leg.plan.verdict,
        "window_of": "usable fuel at start" if number == 1 else "fuel put in",
        "put_in_l": window,
        "windows_l": [[each.low / LITRE, each.high / LITRE] for each in leg.windows],
        "order": {
            "grade": leg.plan.grade.id,
            "total_l": leg.uplift / LITRE,
            "total_kg": leg.uplift * leg.plan.density.density,
            "tanks": {
                line.tank: keyed(
                    line,
                    "on_arrival_l=arrival put_in_l=uplift usable_then_l=usable dip_before_m=dip_before"
                    " dip_after_m=dip_after",
                )
                for line in leg.order
            },
        },
    }
