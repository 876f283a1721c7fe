"""Sheets of the bench: what stands in where they are silent, where findings point, and how a flight uses
them.
"""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from planner.density.bench.bench_results import float_sheet, weigh_sheet
from planner.density.bench.bench_values import Values, bottle_values, hydrometer_values
from planner.density.bench.hydrometer import HydrometerReading, read
from planner.density.bench.steps.results import BottleBench
from planner.density.budget import Estimate, Missing
from planner.facts.grades import GRADES
from planner.plan import plan_file
from planner.plan.bench_density import bench_measured, tank_density
from planner.quantities.errors import InputRefused
from planner.records.document import parse
from planner.records.sheets.bench import BottleSheet, HydrometerSheet, load_sheet
from planner.records.store import load_flight_file

ROOT = Path(__file__).resolve().parents[2]
GOOD = """\
bottle: 1
id: B1
liquid: avgas-100LL
date: 2026-05-09
cautions_acknowledged: true
empty: 27.41 g
water: 77.21 g
sample: 63.15 g
"""
AT_20 = "temperature: 20 degC\n"


def values(text: str) -> Values:
    return bottle_values(load_sheet(parse(text, "b.yaml"), BottleSheet).record)


def weighed(text: str) -> BottleBench:
    return weigh_sheet(load_sheet(parse(text, "b.yaml"), BottleSheet))


def said(found: Values, words: str) -> bool:
    return any(words in sentence for sentence in found.sentences)


def test_a_silent_sheet_gets_named_defaults() -> None:
    found = values(GOOD + AT_20)
    readings = found.readings
    assert readings.empty.u == pytest.approx(
        math.hypot(1e-5 / math.sqrt(12), 1e-5)
    )  # 0.01 g is the last digit; one step and its rounding
    assert readings.u_thermometer == 0.5
    assert readings.u_balance == 2e-4
    assert readings.air_density == Estimate(1.2, 0.05)
    for words in (
        "resolution of the balance: 0.01 g",
        "standard uncertainty of a balance reading",
        "thermometer: 0.5 K",
        "scale as a whole: 0.02 %",
        "density of the air",
        "glass",
    ):
        assert said(found, words), words
    assert all("assumed" in sentence or "resolution" in sentence for sentence in found.sentences)


def test_what_the_sheet_states_is_used_and_not_called_assumed() -> None:
    text = (
        GOOD.replace("27.41 g", "27.41 +/- 0.02 g")
        + "temperature: 20 +/- 0.2 degC\nglass: soda-lime\nmarked: 50 +/- 0.1 mL\n"
    )
    text += (
        "balance: {resolution: 0.01 g, uncertainty: 0.03 g, scale: 0.01 %}\nair: {pressure: 1000 hPa,"
        " temperature: 20 degC, humidity: 50 %}\n"
    )
    found = values(text)
    readings = found.readings
    assert readings.empty.u == pytest.approx(2e-5)
    assert readings.sample.u == pytest.approx(math.hypot(1e-5 / math.sqrt(12), 3e-5))
    assert (readings.u_balance, readings.glass_expansion.value) == (1e-4, 27e-6)
    assert readings.u_nominal_volume == pytest.approx(1e-7)
    # One reading holds for both liquids, so its error is common and neither has one of its own.
    assert (readings.u_thermometer, readings.sample_temperature.u) == (pytest.approx(0.2), 0.0)
    assert not any("assumed" in sentence for sentence in found.sentences if "water" not in sentence)


@pytest.mark.parametrize(
    ("text", "sample", "water", "common"),
    [
        ("sample_temperature: 20 degC\nwater_temperature: 20 degC\n", 0.0, 0.0, 0.5),
        ("sample_temperature: 20 +/- 0.1 degC\nwater_temperature: 20 degC\n", 0.1, 0.5, 0.0),
        (
            "sample_temperature: 20 +/- 0.1 degC\nwater_temperature: 20 +/- 0.2 degC\nthermometer: 0.3 K\n",
            0.1,
            0.2,
            0.3,
        ),
        ("temperature: 68 +/- 0.9 degF\n", 0.0, 0.0, 0.5),
        ("temperature: 20 degC\nthermometer: 0.9 degF\n", 0.0, 0.0, 0.5),
    ],
)
def test_thermometer_errors_are_common_or_own(text: str, sample: float, water: float, common: float) -> None:
    readings = values(GOOD + text).readings
    assert readings.water_temperature is not None
    assert (
        readings.sample_temperature.u,
        readings.water_temperature.u,
        readings.u_thermometer,
    ) == pytest.approx((sample, water, common))


@pytest.mark.parametrize(
    ("written", "step"),
    [
        ("63.15 g", 1e-5),
        ("63.150 g", 1e-6),
        ("63 g", 1e-3),
        ("0.06315 kg", 1e-5),
        ("6.315e1 g", 1e-5),
        ("63.15g", 1e-5),
    ],
)
def test_the_last_digit_written_is_the_resolution(written: str, step: float) -> None:
    text = GOOD.replace("63.15 g", written).replace("27.41 g", "27 g").replace("77.21 g", "77 g") + AT_20
    assert values(text).readings.empty.u == pytest.approx(math.hypot(step / math.sqrt(12), step))


def test_a_series_is_carried_back_to_the_closing() -> None:
    """Readings on the line 63.15 g - 0.0001 g/s t, to 0.01 mg: at the closing the balance would have shown
    63.15 g.
    """
    rows = ", ".join(f"[{t} s, {63.15 - 1e-4 * t:.5f} g]" for t in (30, 60, 90, 120, 150))
    text = GOOD.replace("sample: 63.15 g", f"sample: {{closed: 0 s, readings: [{rows}]}}") + AT_20
    bench = weighed(text + "balance: {resolution: 0.0001 g, uncertainty: 0.001 g}\n")
    assert bench.result.readings.sample.value == pytest.approx(63.15e-3, abs=1e-9)
    ((name, line),) = bench.closed
    assert name == "sample"
    assert bench.result.readings.sample.u == pytest.approx(math.hypot(line.reading.u, 1e-6))
    (notice,) = [finding for finding in bench.findings if finding.code == "bench-evaporating"]
    assert notice.line == 8
    assert "6 mg/min" in notice.message


def test_a_calibrated_volume_stands_in_for_water() -> None:
    text = (
        GOOD.replace("water: 77.21 g", "calibrated: {volume: 49.942 +/- 0.02 mL, date: 2026-01-10}") + AT_20
    )
    bench = weighed(text)
    assert bench.result.volume_from == "known volume"
    # (63.15 - 27.41) (1 - 1.2/8000)/49.942 + 0.0012, by hand
    assert bench.result.density.value == pytest.approx(716.72, abs=0.01)
    silent = weighed(text.replace(" +/- 0.02", ""))
    assert silent.result.volume_20c.result.u == pytest.approx(49.942e-9)
    assert any("calibrated volume: 0.1 %" in sentence for sentence in silent.sentences)


def test_air_from_qnh_and_altitude_is_the_pressure_there() -> None:
    """ICAO standard atmosphere (Doc 7488, from memory): 898.76 hPa at 1000 m, so a standard QNH there must
    give the air of that pressure.
    """
    by_qnh = values(
        GOOD + AT_20 + "air: {altitude: 1000 m, qnh: 1013.25 hPa, temperature: 20 degC, humidity: 50 %}\n"
    ).readings.air_density
    by_pressure = values(
        GOOD + AT_20 + "air: {pressure: 898.76 hPa, temperature: 20 degC, humidity: 50 %}\n"
    ).readings.air_density
    assert by_qnh.value == pytest.approx(by_pressure.value, rel=2e-5)
    alone = values(GOOD + AT_20 + "air: {altitude: 1000 m, temperature: 20 degC}\n")
    # 10 hPa for the weather against 1 hPa beside what the formula itself is worth there
    assert alone.readings.air_density.u > 3 * by_qnh.u
    assert said(alone, "10 hPa")


def test_batch_stated_at_another_temperature_is_moved() -> None:
    at_15 = weighed(GOOD + AT_20 + "batch: {density: 720 +/- 0.5 kg/m3}\n").batch_15c
    at_25 = weighed(GOOD + AT_20 + "batch: {density: 710.8 +/- 0.5 kg/m3, at: 25 degC}\n").batch_15c
    assert isinstance(at_15, Estimate)
    assert isinstance(at_25, Estimate)
    assert at_15.value == 720
    # API MPMS 11.1 by hand: alpha(720) = 346.4228/720^2 + 0.4388/720 = 0.00127770,
    # VCF(25) = exp(-0.012777 (1 + 0.8 x 0.012777)) = 0.987175, 710.8/0.987175 = 720.03
    assert at_25.value == pytest.approx(720.03, abs=0.01)
    assert at_25.u > at_15.u
    assert isinstance(weighed(GOOD + AT_20).comparison, Missing)


# A flight with a sheet


def test_tank_density_counts_no_error_twice() -> None:
    """Against Monte Carlo over the raw readings, with the table's error scaled by the way from the sample to
    the tank.
    """
    rng, count = np.random.default_rng(3838), 400_000
    taken = HydrometerReading(Estimate(715.0, 0.4), Estimate(24.0, 0.5))
    grade = GRADES["avgas-100LL"]
    result = read(taken, grade)
    used = tank_density(result.density, 24.0, result.budget_15c, 5.0, 0.3, grade, "a test")
    reading, sample_at, tank_at = (
        rng.normal(715.0, 0.4, count),
        rng.normal(24.0, 0.5, count),
        rng.normal(5.0, 0.3, count),
    )
    step = sample_at - 15.0
    observed = reading * (1 - 2.3e-5 * step - 2e-8 * step**2)

    def factor(rho15: object, t: object) -> object:
        x = (346.4228 / rho15 + 0.4388) / rho15 * (t - 15)  # type: ignore[operator]  # arrays
        return np.exp(-x * (1 + 0.8 * x))

    rho15 = observed
    for _ in range(20):
        rho15 = observed / factor(rho15, sample_at)
    table = rng.normal(0.0, 0.001 * 720 * 19 / 25, count)  # 0.1 % per 25 K over the 19 K from sample to tank
    tank = rho15 * factor(rho15, tank_at) + table
    assert used.density == pytest.approx(float(np.mean(tank)), abs=0.01)
    assert used.u == pytest.approx(float(np.std(tank)), rel=0.01)


def test_at_the_sample_s_own_temperature_the_table_adds_nothing() -> None:
    bench = weighed(GOOD + AT_20)
    assert not isinstance(bench.result.budget_15c, Missing)
    used = tank_density(
        bench.result.density, 20.0, bench.result.budget_15c, 20.0, 0.0, GRADES["avgas-100LL"], "a test"
    )
    assert used.density == pytest.approx(bench.result.density.value, abs=1e-6)
    # Only the thermometer's effect on the way there and back is more than in the density itself.
    assert used.u == pytest.approx(
        math.hypot(
            *(
                line.contribution
                for line in bench.result.budget_15c.lines
                if line.source.name != "petroleum table"
            )
        ),
        rel=0.01,
    )


FLIGHT = (ROOT / "docs/flights/measured-density.yaml").read_text(encoding="utf-8")
DENSITY_LINE = next(
    number for number, line in enumerate(FLIGHT.splitlines(), 1) if line.startswith("  density:")
)


def flight(folder: Path, text: str = FLIGHT, bottle: str = GOOD + AT_20) -> Path:
    (folder / "bottle-b07.yaml").write_text(bottle, encoding="utf-8")
    path = folder / "flight.yaml"
    path.write_text(text, encoding="utf-8")
    return path


def test_a_flight_carries_the_sheet_s_density_method_and_notices(tmp_path: Path) -> None:
    plan = plan_file(flight(tmp_path))
    bench = weighed(GOOD + AT_20)
    assert isinstance(plan.density.at_15c, float)
    assert isinstance(bench.result.density_15c, Estimate)
    assert plan.density.at_15c == pytest.approx(bench.result.density_15c.value, abs=1e-6)
    assert plan.density.temperature == 22.0
    assert "density bottle B1, volume by water" in plan.density.method
    assert str(tmp_path / "bottle-b07.yaml") in plan.density.source
    assert plan.uncertainties_stated
    demo = plan_file(ROOT / "docs/flights/measured-density.yaml")
    here = {(Path(finding.path).name, finding.code) for finding in demo.findings}
    assert ("bottle-b07.yaml", "bench-invented") in here
    assert ("bottle-b07.yaml", "bench-water-not-density") in here


def test_a_flight_with_only_the_marked_volume_is_loud_and_wide(tmp_path: Path) -> None:
    marked = GOOD.replace("water: 77.21 g", "marked: 50 mL") + AT_20
    plan = plan_file(flight(tmp_path, bottle=marked))
    assert plan.density.u / plan.density.density == pytest.approx(0.01, rel=0.02)
    assert "VOLUME ONLY AS MARKED" in plan.density.method
    (notice,) = [finding for finding in plan.findings if finding.code == "bench-nominal-volume-only"]
    assert (Path(notice.path).name, notice.line) == ("bottle-b07.yaml", 7)


def test_a_flight_takes_a_hydrometer_sheet(tmp_path: Path) -> None:
    sheet = (ROOT / "docs/flights/hydrometer-h02.yaml").read_text(encoding="utf-8")
    (tmp_path / "hydrometer-h02.yaml").write_text(sheet, encoding="utf-8")
    plan = plan_file(
        flight(tmp_path, FLIGHT.replace("{bottle: bottle-b07.yaml}", "{hydrometer: hydrometer-h02.yaml}"))
    )
    floated = float_sheet(load_sheet(parse(sheet, "h.yaml"), HydrometerSheet))
    assert plan.density.at_15c == pytest.approx(floated.result.density_15c.value, abs=1e-6)
    assert "hydrometer H02" in plan.density.method


def test_a_sheet_as_a_measured_density_makes_the_same_of_every_tank(tmp_path: Path) -> None:
    """What the bench found, stated in the flight as measured, is the same density with the same doubt."""
    for temperature in ("-5 +/- 1 degC",):
        text = FLIGHT.replace("22 +/- 0.5 degC", temperature)
        path = flight(tmp_path, text)
        plan, (loaded, _) = plan_file(path), load_flight_file(path)
        density, u, at = bench_measured(loaded.record, loaded.document, plan.grade)
        assert at == 20.0
        assert density == weighed(GOOD + AT_20).result.density.value
        stated = f"{{measured: {density!r} +/- {u!r} kg/m3, at: 20 degC}}"
        again = plan_file(flight(tmp_path, text.replace("{bottle: bottle-b07.yaml}", stated))).density
        assert (again.density, again.u) == pytest.approx((plan.density.density, plan.density.u), rel=1e-9)


@pytest.mark.parametrize(
    ("change", "bottle", "code", "name", "line"),
    [
        ({}, GOOD + "water_temperature: 20 degC\n", "bench-temperature-missing", "bottle-b07.yaml", 1),
        ({}, GOOD.replace("63.15 g", "20 g") + AT_20, "bench-nothing-in-bottle", "bottle-b07.yaml", 8),
        (
            {},
            GOOD.replace("cautions_acknowledged: true\n", "") + AT_20,
            "bench-cautions",
            "bottle-b07.yaml",
            1,
        ),
        ({}, GOOD.replace("100LL", "UL91") + AT_20, "bench-sheet-grade", "flight.yaml", DENSITY_LINE),
        ({}, GOOD.replace("63.15 g", "67.15 g") + AT_20, "density-not-grade", "flight.yaml", DENSITY_LINE),
        ({}, GOOD.replace("63.15 g", "55 g") + AT_20, "density-out-of-range", "flight.yaml", DENSITY_LINE),
        ({"bottle-b07": "nobody"}, GOOD + AT_20, "bench-sheet-missing", "flight.yaml", DENSITY_LINE),
        ({"{bottle": "{hydrometer"}, GOOD + AT_20, "file-wrong-kind", "bottle-b07.yaml", 1),
        (
            {"{bottle:": "{at_15C: 0.72 kg/L, bottle:"},
            GOOD + AT_20,
            "density-ways",
            "flight.yaml",
            DENSITY_LINE,
        ),
        (
            {"  temperature: 22 +/- 0.5 degC": "  #"},
            GOOD + AT_20,
            "temperature-missing",
            "flight.yaml",
            DENSITY_LINE - 2,
        ),
    ],
)
def test_a_flight_is_refused_with_the_finding_where_it_belongs(
    tmp_path: Path, change: dict[str, str], bottle: str, code: str, name: str, line: int
) -> None:
    text = FLIGHT
    for old, new in change.items():
        assert old in text
        text = text.replace(old, new)
    with pytest.raises(InputRefused) as caught:
        plan_file(flight(tmp_path, text, bottle))
    (finding,) = [each for each in caught.value.findings if each.severity == "refused"]
    assert (finding.code, Path(finding.path).name, finding.line) == (code, name, line)


def test_a_hydrometer_without_a_division_is_read_to_the_usual_one() -> None:
    text = (ROOT / "docs/flights/hydrometer-h02.yaml").read_text(encoding="utf-8")
    line = next(each for each in text.splitlines() if each.startswith("division:"))
    found = [
        hydrometer_values(load_sheet(parse(text.replace(line, new), "h.yaml"), HydrometerSheet).record)[0]
        for new in ("", "division: 1 kg/m3")
    ]
    assert found[0] == found[1]
