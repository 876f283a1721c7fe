"""The mass records of an aircraft in their time: what made each of them, and how far it lies from its
weighing.
"""

from __future__ import annotations

from datetime import date

from planner.flight.loading import record_effects
from planner.logbook.mass.hung import TotalUncertainty, total_uncertainty
from planner.logbook.mass.values import total_of
from planner.quantities.frozen import frozen
from planner.quantities.moments import Total
from planner.records.aircraft.mass_record import BasicEmpty
from planner.records.aircraft.record import Aircraft


@frozen(kw_only=True)
class Held:
    """One record in its time: figures [kg, m, kg.m] with U, what made it, by whom, and the day another
    replaced it (None: in use).

    `mass_since`, `cg_since` [kg, m] are its distance from the weighing it rests on, which is `weighing`.
    """

    record: BasicEmpty
    total: Total
    u: TotalUncertainty
    what: str
    by: str
    until: date | None
    weighing: BasicEmpty
    mass_since: float
    cg_since: float


def history(aircraft: Aircraft) -> tuple[Held, ...]:
    """Every mass record the profile keeps, oldest first, the one in use last.

    Parameters: `aircraft`. Returns the records [kg, m]; where no weighing is kept, the oldest record stands
    for it.
    Source: [amc1-cat-pol-mab-100] (b) for the drift since a weighing.
    """
    older = aircraft.superseded[::-1]
    found: list[Held] = []
    weighing: BasicEmpty = older[0] if older else aircraft.basic_empty
    for index, record in enumerate((*older, aircraft.basic_empty)):
        weighing = record if record.established == "weighed" else weighing
        total, base = total_of(record), total_of(weighing)
        maker = older[index - 1] if index else None
        found.append(
            Held(
                record=record,
                total=total,
                u=total_uncertainty(total, record_effects(record)),
                what=maker.change if maker is not None else record.reference or "the first record kept",
                by=maker.by if maker is not None else "",
                until=older[index].superseded_on if index < len(older) else None,
                weighing=weighing,
                mass_since=total.mass - base.mass,
                cg_since=total.centre_of_gravity - base.centre_of_gravity,
            )
        )
    return tuple(found)
