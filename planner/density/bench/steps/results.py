"""What a sheet of the bench gives: records of its results."""

from __future__ import annotations

from dataclasses import asdict
from datetime import date

from planner.density.bench.bottle import BottleResult
from planner.density.bench.comparing import Comparison
from planner.density.bench.hydrometer import HydrometerResult
from planner.density.budget import Estimate, Missing
from planner.density.evaporation import ClosedReading
from planner.quantities.errors import Finding
from planner.quantities.frozen import frozen
from planner.records.sheets.bench import BenchSheet, BottleSheet, HydrometerSheet


@frozen
class Acknowledged:
    """That the handling cautions were acknowledged: words, by whom, when, how; kept with every record."""

    words: str
    by: str
    on: date
    given: str

    def as_json(self) -> dict[str, str]:
        """The same as it is kept."""
        return asdict(self) | {"on": self.on.isoformat()}


@frozen
class InTanks:
    """A volume of fuel [m3] in words, and the mass [kg] that a difference of density makes in it."""

    volume: float
    words: str
    difference: float


@frozen
class AsRead:
    """What a calculation without care gives [kg/m3]: readings taken for masses, the mark for the volume."""

    sample: float
    water: float | Missing


@frozen(kw_only=True)
class Bench:
    """A sheet worked out; a Missing says why a figure is not there. `uncertainty_in_tanks` is what U does to
    the fuel aboard.
    """

    sheet: BenchSheet
    path: str
    result: BottleResult | HydrometerResult
    sentences: tuple[str, ...]
    batch_15c: Estimate | Missing
    comparison: Comparison | Missing
    uncertainty_in_tanks: InTanks
    acknowledged: Acknowledged | Missing
    findings: tuple[Finding, ...]


@frozen(kw_only=True)
class BottleBench(Bench):
    """A bottle sheet worked out; `nominal_error` is what the marked volume would have made of the fuel in the
    tanks.
    """

    sheet: BottleSheet
    result: BottleResult
    closed: tuple[tuple[str, ClosedReading], ...]
    as_read: AsRead | Missing
    nominal_error: InTanks | Missing


@frozen(kw_only=True)
class HydrometerBench(Bench):
    """A hydrometer sheet worked out."""

    sheet: HydrometerSheet
    result: HydrometerResult
