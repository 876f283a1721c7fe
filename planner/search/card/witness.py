"""One loading of a card as a flight of its own, judged by the plan as any other."""

from __future__ import annotations

import json
from collections.abc import Sequence

from planner.facts.grades import GRADES
from planner.facts.rules import RULES
from planner.flight.envelope import LimitResult
from planner.flight.limits import ENOUGH
from planner.plan import plan_flight
from planner.quantities.frozen import frozen
from planner.records.aircraft.record import Aircraft
from planner.records.document import parse
from planner.records.flight.checks import GROUND
from planner.records.store import Loaded, flight_in
from planner.search.card.forms import BoxForms
from planner.search.card.proof import BoxLoading


@frozen(kw_only=True)
class Witness:
    """A `loading` and the first limit that the plan of it does not show it inside of; None where it is inside
    all.
    """

    loading: BoxLoading
    limit: LimitResult | None


def judged(loaded: Loaded[Aircraft], forms: BoxForms, grades: Sequence[str], loading: BoxLoading) -> Witness:
    """The plan of a loading, with no taxi and no trip: every state and the whole burn, by the engine itself.

    Parameters: `loaded` profile; `forms` of it; `grades`, ids, one of
    which may weigh that; `loading` [kg, m3, kg/m3]. Returns a Witness.
    Raises InputRefused where the profile refuses such a flight. Source: as `planner.plan.plan_flight`.
    """
    record = loaded.record
    fits = [each for each in grades if GRADES[each].band[0] <= loading.density <= GRADES[each].band[1]]
    seats = {
        row.name: [f"{mass!r} kg" for mass in loading.masses[row.first : row.first + row.seats]]
        for row in forms.rows
        if any(loading.masses[row.first : row.first + row.seats])
    }
    flight = {
        "flight": 1,
        "aircraft": "as given",
        "category": forms.category,
        "rules": next(iter(RULES)),
        "load": seats,
        "fuel": {
            "grade": fits[0],
            "density": {"fixed": f"{loading.density!r} kg/m3"},
            "tanks": {
                name: f"{volume!r} m3"
                for name, volume in zip(record.tanks, forms.volumes(loading.fuel), strict=True)
            },
        },
        "trip": [{"phase": next(each for each in record.burn if each != GROUND), "fuel": "0 L"}],
    }
    plan = plan_flight(flight_in(parse(json.dumps(flight), "card"), loaded), loaded)
    wrong = (limit for limit in plan.limits() if limit.verdict != "inside" and limit.id != ENOUGH)
    return Witness(loading=loading, limit=next(wrong, None))
