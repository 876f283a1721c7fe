"""The density a flight states: refused where no fuel has it, told where the declared grade has not."""

from __future__ import annotations

from dataclasses import replace

import pytest

from planner.density.basis import DensityUsed
from planner.plan.inputs import agrees, density_of
from planner.quantities.errors import InputRefused
from planner.records.document import all_or_refuse, parse
from planner.records.placed import place_all
from planner.records.store import flight_in, load_aircraft

FLIGHT = """\
flight: 1
aircraft: thornlea-t4
category: normal
rules: us-vfr-day
load: {front seats: [80 kg, 70 kg]}
fuel: {grade: avgas-100LL, temperature: 15 degC, density: {DENSITY}, tanks: {left: 20 L, right: 20 L}}
trip: [{phase: cruise, fuel: 1 L}]
"""


def used(density: str) -> DensityUsed:
    aircraft = load_aircraft("thornlea-t4")
    text = FLIGHT.replace("DENSITY", density)
    flight = flight_in(parse(text, "flight.yaml"), aircraft)
    density = density_of(flight.record, flight.document)
    told = all_or_refuse(place_all(flight.document, agrees(flight.record, density)))
    return replace(density, findings=(*density.findings, *told))


def test_a_density_is_held_against_the_band_of_its_grade_ends_included() -> None:
    """Avgas 100LL from 690 to 735 kg/m3, UL91 and UL94 from 680 to 730, EN 228 from 720 to 775."""
    for density, told in (
        ("at_15C: 690 kg/m3", ""),
        ("at_15C: 735 kg/m3", ""),
        ("at_15C: 735.1 kg/m3", "Motor gasoline to EN 228"),
        ("at_15C: 689.9 kg/m3", "Avgas UL91, Avgas UL94"),
        ("fixed: 680 kg/m3", "Avgas UL91, Avgas UL94"),
        ("fixed: 679 kg/m3", "no grade in the list"),
        ("measured: 738 kg/m3, at: 15 degC", "Motor gasoline to EN 228"),
        # 10 K cooler than 15 degC it is denser: at 15 degC it is in the band again.
        ("measured: 738 kg/m3, at: 5 degC", ""),
        ("fixed: 740 kg/m3", "Motor gasoline to EN 228"),
        ("standard: true", ""),
    ):
        found = used(density).findings
        assert [each.code for each in found] == ["density-outside-band"] * bool(told), density
        if told:
            assert found[0].needed.endswith(f" is in the band of: {told}"), density
            assert found[0].severity == "notice"
            assert found[0].where == f"fuel > density > {density.split(':')[0]}"
            assert "is outside the usual band of Avgas 100LL" in found[0].message


@pytest.mark.parametrize(
    ("density", "code", "hint"),
    [
        ("fixed: 740.1 kg/m3", "density-not-grade", "ask the supplier"),
        ("fixed: 649.9 kg/m3", "density-implausible", "check number and unit"),
        ("fixed: 900.1 kg/m3", "density-implausible", "check number and unit"),
        ("fixed: 650 kg/L", "density-implausible", "in kg/m3 would"),
        ("fixed: 900 kg/L", "density-implausible", "in kg/m3 would"),
        ("at_15C: 0.9 kg/m3", "density-implausible", "in kg/L would"),
        ("at_15C: 0.65+/-0.01 kg/m3", "density-implausible", "in kg/L would"),
        ("fixed: 6 kg/L", "density-implausible", "in lb/USgal would"),
        ("fixed: 8 kg/L", "density-implausible", "in lb/impgal would"),
        ("fixed: 7 kg/L", "density-implausible", "in lb/USgal or lb/impgal would"),
        ("fixed: 1.6 kg/L", "density-implausible", "in lb/L would"),
    ],
)
def test_a_density_no_fuel_has_is_refused_with_the_unit_it_may_be_in(
    density: str, code: str, hint: str
) -> None:
    with pytest.raises(InputRefused) as refused:
        used(density)
    (found,) = refused.value.findings
    assert found.code == code
    assert hint in found.hint
    assert found.where == f"fuel > density > {density.split(':')[0]}"


def test_a_certificate_is_the_source() -> None:
    assert used("at_15C: 715 kg/m3, certificate: B-17").source == "batch certificate B-17"
    assert used("at_15C: 715 kg/m3").source == "the flight file"
    assert used("fixed: 650 kg/m3").density == 650.0
