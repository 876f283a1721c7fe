"""A sheet of the bench written in other units is the same sheet, and no figures in it break the program."""

from __future__ import annotations

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.density.bench.bench_results import weigh_sheet
from planner.density.bench.steps.results import BottleBench
from planner.density.budget import Estimate
from planner.quantities.errors import InputRefused
from planner.quantities.units import UNITS, Display
from planner.records.document import parse
from planner.records.sheets.bench import BottleSheet, load_sheet
from planner.views.bench.bench_json import bench_json
from planner.views.bench.bench_working import working

# Exact by definition (NIST SP 811 App. B): 1 lb = 0.45359237 kg, 1 in = 2.54 cm; 1 inHg = 3386.389 Pa.
MASSES = {"g": 1e-3, "kg": 1.0, "lb": 0.45359237, "mg": 1e-6}
VOLUMES = {"mL": 1e-6, "L": 1e-3, "cm3": 1e-6, "in3": 0.0254**3, "m3": 1.0}
DENSITIES = {"kg/m3": 1.0, "kg/L": 1e3, "g/cm3": 1e3, "lb/USgal": UNITS["lb/USgal"].factor}
PRESSURES = {"hPa": 100.0, "Pa": 1.0, "inHg": 3386.389}
LENGTHS = {"m": 1.0, "ft": 0.3048, "cm": 0.01}


def temperature(celsius: float, unit: str) -> str:
    return {
        "degC": f"{celsius!r} degC",
        "K": f"{celsius + 273.15!r} K",
        "degF": f"{celsius * 1.8 + 32!r} degF",
    }[unit]


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
        (
            f"air: {{pressure: {figures['pressure'] / PRESSURES[units['pressure']]!r} {units['pressure']},"
            f" temperature: {temperature(18.0, units['at'])}}}"
        ),
        (
            f"batch: {{density: {720.0 / DENSITIES[units['batch']]!r} +/- {0.5 / DENSITIES[units['batch']]!r}"
            f" {units['batch']}}}"
        ),
    ]
    return weigh_sheet(load_sheet(parse("\n".join(lines), "b.yaml"), BottleSheet))


PLAIN = {
    "marked": "mL",
    "empty": "g",
    "water": "g",
    "sample": "g",
    "resolution": "g",
    "at": "degC",
    "pressure": "hPa",
    "batch": "kg/m3",
}


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
def test_other_units_give_the_same_result(
    units: dict[str, str], held: float, relative: float, at: float, pressure: float
) -> None:
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
def test_a_balance_that_reads_too_much_throughout_changes_nothing_against_water(
    factor: float, relative: float
) -> None:
    figures = {
        "marked": 50e-6,
        "empty": 0.027,
        "water": 0.077,
        "sample": 0.027 + 0.05 * relative,
        "resolution": 1e-5,
        "at": 20.0,
        "pressure": 101325.0,
    }
    scaled = figures | {name: figures[name] * factor for name in ("empty", "water", "sample")}
    assert weighed(scaled, PLAIN).result.density.value == pytest.approx(
        weighed(figures, PLAIN).result.density.value, rel=1e-9
    )


FIGURES = [
    "0",
    "1e-300",
    "1e-12",
    "1",
    "20",
    "27.41",
    "50",
    "63.15",
    "77.21",
    "718",
    "1e6",
    "1e300",
    "-40",
    "15",
    "0.5 +/- 0.1",
    "20 +/- 1e5",
    "40",
    "0.72",
]


def quantities(*units: str) -> st.SearchStrategy[str]:
    return st.builds(
        lambda number, unit: f"{number} {unit}", st.sampled_from(FIGURES), st.sampled_from(units)
    )


SERIES = st.builds(
    lambda closed, masses: {
        "closed": closed,
        "readings": [[f"{30 * number} s", f"{mass!r} g"] for number, mass in enumerate(masses, 1)],
    },
    quantities("s"),
    st.lists(st.floats(63.1, 63.2), min_size=2, max_size=7),
)
ODD = st.fixed_dictionaries(
    {},
    optional={
        "empty": quantities("g", "kg"),
        "water": quantities("g", "kg", "lb"),
        "sample": quantities("g", "lb") | SERIES,
        "temperature": quantities("degC", "K", "degF"),
        "marked": quantities("mL", "m3", "L"),
        "air": st.fixed_dictionaries(
            {"altitude": quantities("m", "ft"), "temperature": quantities("degC")},
            optional={"qnh": quantities("hPa", "Pa")},
        ),
        "batch": st.fixed_dictionaries({"density": quantities("kg/m3", "kg/L"), "at": quantities("degC")}),
        "thermometer": quantities("degC", "K"),
        "balance": st.fixed_dictionaries(
            {},
            optional={
                "resolution": quantities("g", "kg"),
                "uncertainty": quantities("g"),
                "scale": quantities("%"),
            },
        ),
        "liquid": st.sampled_from(["water", "cooking oil", "lamp oil", "jet-A1", "avgas-UL91"]),
    },
)
USUAL = {
    "empty": "27.41 g",
    "water": "77.21 g",
    "sample": "63.15 g",
    "temperature": "20 degC",
    "marked": "50 mL",
    "liquid": "avgas-100LL",
}


@settings(max_examples=400, deadline=None)
@given(odd=ODD, water=st.booleans())
def test_any_figures_are_worked_out_or_refused(odd: dict[str, object], water: bool) -> None:
    """Refused with findings, or a result whose every number is one; never anything between."""
    fields = {"bottle": 1, "id": "B", "date": "2026-05-09", "cautions_acknowledged": True, **USUAL, **odd}
    if not water:
        del fields["water"]
    try:
        bench = weigh_sheet(load_sheet(parse(json.dumps(fields), "b.yaml"), BottleSheet))
    except InputRefused as refused:
        findings = refused.findings
        bench = None
    if bench is None:
        assert findings
        assert all(finding.line and finding.message for finding in findings)
        return
    text = json.dumps(bench_json(bench, Display()), allow_nan=False)
    assert working(bench)
    assert 300 < bench.result.density.value < 3000
    assert bench.result.density.u > 0
    assert "NaN" not in text
