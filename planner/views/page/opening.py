"""A flight to open a page with: what its file takes from elsewhere (people, a sheet of the bench, the fuel
ledger) as figures, with their source and all that the program says of the flight.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Any

from planner.plan.bench_density import bench_measured
from planner.quantities.frozen import frozen
from planner.quantities.sentences import finding_words, said
from planner.quantities.units import UNITS, Display, Quantity, in_unit
from planner.records.document import put
from planner.records.flight.people import with_people
from planner.search.varied import Case
from planner.views.flight.flight_json import flight_json
from planner.views.words import density_sentences


@frozen
class Opening:
    """`flight` as the data of a flight file without reference to any other, and what is `told` of it: digest,
    sources, notices, and `heavier`, the fuel per tank that the ledger says may be there, or None.
    """

    flight: dict[str, Any]
    told: dict[str, Any]


def opening_of(case: Case, display: Display, changed: Sequence[str] = ()) -> Opening:
    """The flight of a case for a page; `changed` says in words what is not as in its file."""
    plan, record = case.plan, case.flight.record
    tree = with_people(case.flight.document)[0].value
    spec = record.fuel.density
    if spec.bottle or spec.hydrometer:
        density, u, at = bench_measured(record, case.flight.document, plan.grade)
        sample = {
            "measured": _figure(Quantity(density, u, "density", ""), display),
            "at": _figure(Quantity(at, 0.0, "temperature", ""), display),
        }
        tree = put(tree, ("fuel", "density"), sample)
    data = json.loads(json.dumps(_plain(tree, display), default=str))
    heavier = case.heavier and {
        each.tank.name: _figure(Quantity(each.volume, each.u, "volume", ""), display)
        for each in case.heavier.fuel.tanks
    }
    origins = [f"{each.tank.name} tank: {said(each.origin, display)}" for each in plan.fuel.tanks]
    told = {
        "digest": flight_json(plan)["digest"],
        "verdict": plan.verdict,
        "sources": [*changed, *origins, *density_sentences(plan, display)],
        "notices": [
            f"{each.where}: {words}" if each.where else words
            for each in plan.findings
            if each.code != "person-old"  # it names somebody, and a page may be shown to anybody
            for words in [finding_words(each, display)]
        ],
        "heavier": heavier,
    }
    return Opening(data, told)


def _plain(value: Any, display: Display) -> Any:
    """Figures as text, in the reader's unit to the last digit."""
    if isinstance(value, Quantity):
        return _figure(value, display)
    if isinstance(value, Mapping):
        return {str(key): _plain(each, display) for key, each in value.items() if each is not None}
    return [_plain(each, display) for each in value] if isinstance(value, (list, tuple)) else value


def _figure(given: Quantity, display: Display) -> str:
    unit = display.unit(given.dimension)
    spread = f" +/- {given.u / UNITS[unit].factor!r}" if given.u else ""
    return f"{in_unit(given.value, unit)!r}{spread} {unit}"
