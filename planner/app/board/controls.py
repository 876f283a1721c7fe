"""What can be moved on the board, and what that changes in the flight file.

A control knows where its figure stands in the flight file and writes it there as text with its unit, so that
a moved figure goes through the same reading and the same checks as a typed one. A stated uncertainty stays
with its figure.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any, Final

from planner.facts.grades import GREATEST_DENSITY, LEAST_DENSITY
from planner.facts.standard_masses import HEAVIEST_ON_SLIDER
from planner.plan.results import Plan
from planner.quantities.effects import seat_label
from planner.quantities.frozen import frozen
from planner.quantities.units import UNITS, Dimension, Display, Quantity, in_unit, read_quantity
from planner.records.document import Location
from planner.records.flight.load_items import LoadMass

_NO_LIMIT: Final = 200.0  # kg; where the slider of a station without a limit ends
_COLDEST, _WARMEST = -40.0, 50.0  # degC
# One step of a slider in each unit shown: what a scale, a pump or a thermometer shows.
_STEPS: Final = {
    "kg": 0.5,
    "lb": 1.0,
    "L": 0.5,
    "USgal": 0.1,
    "impgal": 0.1,
    "degC": 0.5,
    "degF": 1.0,
    "kg/L": 0.0005,
    "lb/USgal": 0.005,
    "lb/impgal": 0.005,
}


@frozen
class Control:
    """One figure: label and unit, its value and range in that unit, where it is written, and with which
    spread; `fixed` says why it cannot be moved.
    """

    id: str
    group: str
    label: str
    unit: str
    value: float
    low: float
    high: float
    step: float
    location: Location
    spread: float = 0.0
    fixed: str = ""

    def text(self, value: float) -> str:
        """The figure as the file has it: `82 +/- 2 kg`."""
        spread = f" +/- {self.spread:.6g}" if self.spread else ""
        return f"{value:.10g}{spread} {self.unit}"


def controls_of(plan: Plan, raw: Mapping[str, Any], display: Display) -> tuple[Control, ...]:
    """Every control of a flight, in the order of the page, in the reader's units.

    Parameters: `plan` as the file stands [SI]; `raw` the file's own values; `display`. Raises: nothing.
    """
    found = [*_loads(plan, raw.get("load") or {}, display), *_tanks(plan, display), *_fuel(plan, display)]
    return tuple(replace(each, id=f"c{place}") for place, each in enumerate(found))


@frozen
class _Figure:
    """A figure in SI before it becomes a control: its value, the ends of its slider, its own standard
    uncertainty, why it cannot be moved.
    """

    value: float
    low: float
    high: float
    u: float = 0.0
    fixed: str = ""


def _control(
    group: str, label: str, figure: _Figure, dimension: Dimension, location: Location, display: Display
) -> Control:
    """A control in the reader's unit; the ends of the slider hold the value."""
    unit = display.unit(dimension)
    value, low, high = (round(in_unit(each, unit), 6) for each in (figure.value, figure.low, figure.high))
    spread = figure.u / UNITS[unit].factor
    return Control(
        "",
        group,
        label,
        unit,
        value,
        min(low, value),
        max(high, value),
        _STEPS[unit],
        location,
        spread,
        figure.fixed,
    )


def _loads(plan: Plan, load: Mapping[str, Any], display: Display) -> Iterator[Control]:
    for name, station in plan.aircraft.stations.items():
        masses: tuple[Quantity, ...] = plan.flight.load.get(name, ())
        count = len(masses) or (station.seats if station.kind == "seats" else 1)
        for index in range(count):
            if station.kind == "seats":
                most = HEAVIEST_ON_SLIDER * (station.seats if count == 1 else 1)
            else:
                most = 1.5 * station.max.value if station.max is not None else _NO_LIMIT
            figure = _stated(masses[index] if masses else None, load.get(name, []), most)
            label = seat_label(name, index, count)
            yield _control("Load", label, figure, "mass", _place(load, name, index, count), display)


def _place(load: Mapping[str, Any], name: str, index: int, count: int) -> Location:
    """Where the mass stands, or will stand: in its list or alone, in a record with its evidence or as a plain
    figure.
    """
    given = load.get(name)
    here: Location = (
        ("load", name, index) if isinstance(given, list) or (given is None and count > 1) else ("load", name)
    )
    entry = given[index] if isinstance(given, list) and index < len(given) else given
    return (*here, "mass") if isinstance(entry, dict) else here


def _stated(mass: Quantity | None, entries: Any, most: float) -> _Figure:
    """What the file states of a mass [kg]: its value without any pad, its own uncertainty, and why it cannot
    be moved, if so.
    """
    if mass is None:
        return _Figure(0.0, 0.0, most)
    if not isinstance(mass, LoadMass):
        return _Figure(mass.value, 0.0, most, mass.u)
    listed = entries if isinstance(entries, list) else [entries]
    several = any(isinstance(entry, dict) and entry.get("people", 1) != 1 for entry in listed)
    standard = mass.how == "standard" or several
    # An entry with evidence states its own uncertainty beside its mass, or takes that of the evidence.
    u = read_quantity(mass.text, "mass").u if not standard else 0.0
    return _Figure(
        value=mass.given,
        low=0.0,
        high=most,
        u=u,
        fixed="a standard mass: state one in the flight file to move it" if standard else "",
    )


def _tanks(plan: Plan, display: Display) -> Iterator[Control]:
    for each in plan.fuel.tanks:
        figure = _Figure(each.volume, 0.0, each.tank.usable_capacity, each.u)
        yield _control(
            "Usable fuel",
            f"{each.tank.name} tank",
            figure,
            "volume",
            ("fuel", "tanks", each.tank.name),
            display,
        )


def _fuel(plan: Plan, display: Display) -> Iterator[Control]:
    fuel, group = plan.flight.fuel, "Fuel density"
    if fuel.temperature is None:
        warmth = _Figure(15.0, 15.0, 15.0, fixed="not used: the density is a fixed figure")
    else:
        warmth = _Figure(fuel.temperature.value, _COLDEST, _WARMEST, fuel.temperature.u)
    yield _control(group, "temperature of the fuel", warmth, "temperature", ("fuel", "temperature"), display)
    if fuel.density.fixed is not None:
        stated, key, label = fuel.density.fixed, "fixed", "density, fixed"
    elif fuel.density.measured is not None:
        stated, key, label = fuel.density.measured, "measured", "density as measured"
    else:
        # A standard figure or a sheet becomes a figure at 15 degC once it is moved, with the uncertainty the
        # plan used.
        at_15c = plan.density.at_15c if isinstance(plan.density.at_15c, float) else plan.density.density
        stated = fuel.density.at_15C or Quantity(at_15c, plan.density.u, "density", "")
        key, label = "at_15C", "density at 15 degC"
    yield _control(
        group,
        label,
        _Figure(stated.value, LEAST_DENSITY, GREATEST_DENSITY, stated.u),
        "density",
        ("fuel", "density", key),
        display,
    )


def changes_of(
    raw: Mapping[str, Any], controls: Mapping[str, Control], values: Mapping[str, float]
) -> dict[Location, object]:
    """What the figures of `values` (control id to figure in its unit) change in the flight file.

    Parameters: `raw` the file's own values; where it takes the fuel from a ledger, all tanks are stated once
    one is moved. Returns location -> text. Raises KeyError for a control that is not there.
    """
    changes: dict[Location, object] = {
        controls[name].location: controls[name].text(value) for name, value in values.items()
    }
    if "tanks" not in raw["fuel"] and any(location[:2] == ("fuel", "tanks") for location in changes):
        tanks = [each for each in controls.values() if each.location[:2] == ("fuel", "tanks")]
        changes = {**{each.location: each.text(each.value) for each in tanks}, **changes}
    return changes
