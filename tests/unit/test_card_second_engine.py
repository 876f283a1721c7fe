"""Corners of a card's cells, and the loadings that refute a step more, flown by the second engine."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from planner.facts.grades import GRADES
from planner.facts.rules import RULES
from planner.quantities.units import Display
from planner.records.aircraft.record import Aircraft
from planner.records.store import load_aircraft, profile_folder
from planner.search.card import Typed, card, read_ask
from planner.search.card.forms import BoxForms
from planner.search.card.proof import BoxLoading
from tests.oracle.engine import fly_file
from tests.sizes import stride


def inside(folder: Path, aircraft: Aircraft, forms: BoxForms, loading: BoxLoading) -> bool:
    """Whether the second engine shows a loading inside every limit, along the whole burn."""
    rows = {row.name: loading.masses[row.first : row.first + row.seats] for row in forms.rows}
    grade = next(
        each
        for each in aircraft.fuel_grades
        if GRADES[each].band[0] <= loading.density <= GRADES[each].band[1]
    )
    volumes = zip(aircraft.tanks, forms.volumes(loading.fuel), strict=True)
    flight = {
        "flight": 1,
        "aircraft": "profile.yaml",
        "category": forms.category,
        "rules": next(iter(RULES)),
        "load": {name: [f"{float(mass)!r} kg" for mass in row] for name, row in rows.items() if any(row)},
        "fuel": {
            "grade": grade,
            "density": {"fixed": f"{loading.density!r} kg/m3"},
            "tanks": {name: f"{volume!r} m3" for name, volume in volumes},
        },
        "trip": [{"phase": "cruise", "fuel": "0 L"}],
    }
    path = folder / "flight.yaml"
    path.write_text(json.dumps(flight), "utf-8")
    checks = fly_file(path, draws=10).checks.values()
    return {each.verdict for each in checks} | {each.worst_on_the_way or "inside" for each in checks} == {
        "inside"
    }


@pytest.mark.parametrize("name", ["thornlea-t4b", "saltmere-samphire"])
def test_the_second_engine_agrees_with_a_card(name: str, tmp_path: Path) -> None:
    loaded, random = load_aircraft(name), np.random.default_rng(8)
    aircraft = loaded.record
    (tmp_path / "profile.yaml").write_text((profile_folder() / f"{name}.yaml").read_text("utf-8"), "utf-8")
    typed = Typed(across_step=f"{20 * stride(2)} kg", down_step="30 kg", fuel="20 L", fuel_step="20 L")
    made = card(loaded, read_ask(aircraft, typed, Display()))
    flown = refuted = 0
    for cell in (cell for row in made.cells for cell in row):
        for witness in filter(None, (cell.more_baggage, cell.more_fuel)):
            assert not inside(tmp_path, aircraft, made.forms, witness.loading), (cell, witness)
            refuted += 1
        if cell.fuel is None:
            continue
        for density in made.forms.density:
            masses = np.zeros(made.forms.seats)
            bounds = {made.ask.across[0]: cell.across, made.ask.down[0]: cell.down}
            bounds[made.ask.baggage[0]] = (0.0, cell.baggage or 0.0)
            for row in made.forms.rows:
                low, high = bounds.get(row.name, (0.0, 0.0))
                whole = max(low, sum(row.least)) if random.random() < 0.5 else high
                # All that is above the least goes to the first seat, and what it can not hold to the next.
                left = whole - sum(row.least)
                for seat, least in enumerate(row.least):
                    more = min(left, row.heaviest - least)
                    masses[row.first + seat] = least + more
                    left -= more
            one = BoxLoading(masses=tuple(masses.tolist()), fuel=cell.fuel, density=density)
            assert inside(tmp_path, aircraft, made.forms, one), (cell, one)
            flown += 1
    assert flown > 10 // stride(2)
    assert refuted > 3 // stride(2)
