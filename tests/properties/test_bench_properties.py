"""A sheet of the bench written in other units is the same sheet."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.density.budget import Estimate
from planner.profile.bench import BottleSheet, load_sheet
from planner.profile.bench_results import BottleBench, weigh_sheet
from planner.profile.document import parse
from planner.units import UNITS

# Exact by definition (NIST SP 811 App. B): 1 lb = 0.45359237 kg, 1 in = 2.54 cm; 1 inHg = 3386.389 Pa.
MASSES = {"g": 1e-3, "kg": 1.0, "lb": 0.45359237, "mg": 1e-6}
VOLUMES = {"mL": 1e-6, "L": 1e-3, "cm3": 1e-6, "in3": 0.0254**3, "m3": 1.0}
DENSITIES = {"kg/m3": 1.0, "kg/L": 1e3, "g/cm3": 1e3, "lb/USgal": UNITS["lb/USgal"].factor}
PRESSURES = {"hPa": 100.0, "Pa": 1.0, "inHg": 3386.389}
LENGTHS = {"m": 1.0, "ft": 0.3048, "cm": 0.01}


def temperature(celsius: float, unit: str) -> str:
    return {"degC": f"{celsius!r} degC", "K": f"{celsius + 273.15!r} K", "degF": f"{celsius * 1.8 + 32!r} degF"}[unit]


def weighed(figures: dict[str, float], units: dict[str, str]) -> BottleBench:
    def mass(name: str) -> str:
        return f"{figures[name] / MASSES[units[name]]!r} {units[name]}"

    spread = 0.3 * (1.8 if units["at"] == "degF" else 1.0)
    lines = [
        "bottle: 1",
        "id: B1",
        "liquid: avgas-100LL",
        "date: 2026-05-09",
        "cautions_acknowledged: true",
        "glass: borosilicate",
        f"marked: {figures['marked'] / VOLUMES[units['marked']]!r} {units['marked']}",
        f"empty: {mass('empty')}",
        f"water: {mass('water')}",
        f"sample: {mass('sample')}",
        f"temperature: {temperature(figures['at'], units['at'])}",
        f"thermometer: {spread!r} {units['at']}",
        f"balance: {{resolution: {mass('resolution')}, uncertainty: {mass('resolution')}}}",
        f"air: {{pressure: {figures['pressure'] / PRESSURES[units['pressure']]!r} {units['pressure']}, temperature: {temperature(18.0, units['at'])}}}",
        f"batch: {{density: {720.0 / DENSITIES[units['batch']]!r} +/- {0.5 / DENSITIES[units['batch']]!r} {units['batch']}}}",
    ]
    return weigh_sheet(load_sheet(parse("\n".join(lines), "b.yaml"), BottleSheet))


PLAIN = {"marked": "mL", "empty": "g", "water": "g", "sample": "g", "resolution": "g", "at": "degC", "pressure": "hPa", "batch": "kg/m3"}


@settings(max_examples=60, deadline=None)
@given(
    units=st.fixed_dictionaries(
        {
            "marked": st.sampled_from(sorted(VOLUMES)),
            **{name: st.sampled_from(sorted(MASSES)) for name in ("empty", "water", "sample", "resolution")},
            "at": st.sampled_from(["degC", "K", "degF"]),
            "pressure": st.sampled_from(sorted(PRESSURES)),
            "batch": st.sampled_from(sorted(DENSITIES)),
        }
    ),
    held=st.floats(20e-6, 110e-6),
    relative=st.floats(0.69, 0.74),
    at=st.floats(5.0, 35.0),
    pressure=st.floats(70_000, 105_000),
)
def test_other_units_give_the_same_result(units: dict[str, str], held: float, relative: float, at: float, pressure: float) -> None:
    figures = {
        "marked": held,
        "empty": 0.027,
        "water": 0.027 + 997 * held,
        "sample": 0.027 + 997 * relative * held,
        "resolution": 1e-5,
        "at": at,
        "pressure": pressure,
    }
    one, other = weighed(figures, PLAIN), weighed(figures, units)
    for get in ("density", "density_15c"):
        first, second = getattr(one.result, get), getattr(other.result, get)
        assert isinstance(first, Estimate)
        assert second.value == pytest.approx(first.value, rel=1e-9)
        assert second.u == pytest.approx(first.u, rel=1e-6)
    assert other.result.volume_20c.result.value == pytest.approx(one.result.volume_20c.result.value, rel=1e-9)
    assert {finding.code for finding in other.findings} == {finding.code for finding in one.findings}


@settings(max_examples=40, deadline=None)
@given(factor=st.floats(0.5, 2.0), relative=st.floats(0.69, 0.74))
def test_a_balance_that_reads_too_much_throughout_changes_nothing_against_water(factor: float, relative: float) -> None:
    figures = {"marked": 50e-6, "empty": 0.027, "water": 0.077, "sample": 0.027 + 0.05 * relative, "resolution": 1e-5, "at": 20.0, "pressure": 101325.0}
    scaled = figures | {name: figures[name] * factor for name in ("empty", "water", "sample")}
    assert weighed(scaled, PLAIN).result.density.value == pytest.approx(weighed(figures, PLAIN).result.density.value, rel=1e-9)
